package bot

import (
	"errors"
	"fmt"
	"math"

	"panelhand/bot/answer"
	"panelhand/calc/area"
	"panelhand/calc/balance"
	"panelhand/calc/exposure"
	"panelhand/calc/lens"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// A situation is what all set-ups of one answer are staged in.
type situation struct {
	facts  *fact.Set          // what is known, defaults filled in
	before map[string]float64 // the planes of the face as they are
	shifts []*rules.Shift     // what moves the picture wanted
	stands *standing          // the set-up that stands and what of it may turn; nil for a new one
}

// A staging is one set-up put up before the facts: its geometry in metres,
// its dials solved, its numbers and its worth.
type staging struct {
	setup   *rules.Setup
	verdict rules.Verdict
	*situation
	tones tones

	panel     area.Panel // the panel or modifier of the key
	panelSaid bool
	gel       string
	head      head
	aside     float64     // degrees by which the crew's key stands farther to the side than the playbook's
	shown     units.Stops // loss of the flash that a told frame shows
	light     daylight
	scene     balance.Scene
	solution  balance.Solution

	tooFast *balance.SyncError // the shutter that was asked for and could not stay
	numbers *answer.Numbers
	lengths map[string]float64 // the set-up's own measures, m
	working []answer.Working
	score   float64
	told    string // the trade-offs told with it, before their holes are filled
}

// ways names the solver's way of using a flash for each of the playbook's.
var ways = map[string]balance.Way{
	"through":  balance.Through,
	"bounce":   balance.Bounce,
	"bare":     balance.Bare,
	"umbrella": balance.Umbrella,
	"softbox":  balance.Softbox,
	"wall":     balance.Wall,
}

// stage puts a set-up up and solves it. An error says why it cannot be
// computed; such a set-up is no answer.
func (c *Coach) stage(v rules.Verdict, here *situation) (*staging, error) {
	s := &staging{setup: v.Setup, verdict: v, situation: here, tones: c.tones(v.Setup, here)}
	if here.stands != nil {
		s.setup = here.stands.plan.applied(v.Setup)
	}
	if side, ok := s.facts.Number("key.side_deg"); ok && here.stands == nil {
		s.keyAt(side)
	}
	if off, ok := s.facts.Number("distance.flash_subject_m"); ok && here.stands == nil { // an LED where they have it; the solver sees to a flash
		s.setup = (&plan{Given: balance.Given{FlashSubject: units.Metres(off)}}).applied(s.setup)
	}
	s.panel, s.panelSaid = s.modifier()
	s.gel = gelFor(s.facts, s.setup.Key)
	if here.stands != nil {
		s.gel = here.stands.plan.gel(s.gel)
	}
	s.head = headOf(s.facts, s.gel)
	if here.stands != nil {
		s.head.loss += here.stands.plan.Loss
		if here.stands.anew && here.stands.plan.Loss != 0 {
			s.head.item.Power = 0 // a frame was read since it was told
		}
		s.head.item.HSS = s.head.item.HSS || here.stands.plan.HSS
	}
	var err error
	if s.light, err = s.changed(); err != nil {
		return nil, fmt.Errorf("%s: %w", s.setup.ID, err)
	}
	if err := s.compose(); err != nil {
		return nil, fmt.Errorf("%s: %w", s.setup.ID, err)
	}
	if err := s.solve(); err != nil {
		return nil, fmt.Errorf("%s: %w", s.setup.ID, err)
	}
	if err := s.readFrame(); err != nil {
		return nil, fmt.Errorf("%s: %w", s.setup.ID, err)
	}
	if err := s.measure(); err != nil {
		return nil, fmt.Errorf("%s: %w", s.setup.ID, err)
	}
	return s, nil
}

// keyAt puts the light as far to the side as the crew has it. A light at the
// lens stays there: it fills.
func (s *staging) keyAt(side float64) {
	if key := s.setup.Key; key != nil && key.Light != "" && key.Side != nil && angle(key.Side) > byTheLens {
		s.aside = side - float64(angle(key.Side))
		s.setup = (&plan{Side: s.aside}).applied(s.setup)
	}
}

// solve finds the dials. A shutter that the crew set faster than the flash can
// follow is the one given thing that does not stay: half the frame would be
// dark. The answer says so.
func (s *staging) solve() error {
	var err error
	s.solution, err = balance.Solve(s.scene)
	var sync *balance.SyncError
	if errors.As(err, &sync) {
		s.tooFast = sync
		s.scene.Given.Shutter = 0
		s.solution, err = balance.Solve(s.scene)
	}
	return err
}

// modifier is the panel, umbrella or softbox that the key uses.
func (s *staging) modifier() (area.Panel, bool) {
	kinds, house := []string{"panel", "reflector", "diffuser"}, housePanel
	if key := s.setup.Key; key != nil {
		switch key.Light {
		case "umbrella":
			kinds, house = []string{"umbrella"}, houseUmbrella
		case "softbox":
			kinds, house = []string{"softbox"}, houseSoftbox
		}
		if key.Size != nil {
			house = units.Metres(key.Size.Metres(float64(housePanel)))
		}
	}
	return panelOf(s.facts, kinds, house)
}

// number is a fact that a default has filled; a playbook without that default
// gets the house's.
func (s *staging) number(path string, house float64) float64 {
	if v, ok := s.facts.Number(path); ok {
		return v
	}
	return house
}

// compose sets the solver's scene.
func (s *staging) compose() error {
	face := units.EV(s.number("light.ev100", 10)) + units.EV(s.light.lit)
	behind := units.EV(s.number("light.background_ev100", float64(face))) + units.EV(s.light.behind)
	key := s.setup.Key
	lit := key != nil && key.Light != "" && key.Light != "led"
	if key != nil && key.Light == "led" {
		var err error
		if face, err = s.withLED(face); err != nil {
			return err
		}
	}
	s.scene = balance.Scene{
		Ambient:    face,
		Background: behind,
		Want: balance.Want{
			Face:       s.tones.face,
			Ambient:    s.tones.ambient,
			Background: s.tones.background,
			Aperture:   units.FNumber(s.tones.aperture),
			Widest:     units.FNumber(s.tones.widest),
			Slowest:    s.slowest(),
		},
		Camera: s.camera(),
	}
	if lit {
		s.scene.Key = s.flash(key)
	}
	s.scene.Given = s.given(lit)
	if s.stands != nil {
		s.stands.hold(&s.scene)
	}
	return nil
}

// The ends of the dials that the house turns, where the crew did not go past
// them itself: the handbook's table of defaults, and the longest mark of a
// shutter dial, s.
const (
	lowISO, highISO  = 100, 6400
	widest, smallest = 2.8, 16
	longestTime      = 30
)

// camera is what the crew's camera can do, as said or as the house assumes.
func (s *staging) camera() balance.Camera {
	c := balance.Camera{
		ISO:      units.ISOThirds().Between(lowISO, math.Min(highISO, s.tones.isoMax)),
		Aperture: units.ApertureThirds().Between(widest, smallest),
		Shutter:  units.ShutterThirds().Between(s.fastest(), longestTime),
		BaseISO:  lowISO,
		Sync:     units.Seconds(s.number("camera.sync_s", 1.0/200)),
	}
	for _, item := range s.facts.Kit() {
		if item.Kind == "nd-filter" && item.Stops > 0 {
			c.ND = append(c.ND, units.Stops(item.Stops))
		}
	}
	return c
}

// fastest is the shortest time that still serves, s. Where the crew set both
// other dials only the shutter is left to make the face right.
func (s *staging) fastest() float64 {
	if given := s.given(false); given.ISO > 0 && given.Aperture > 0 {
		return 0
	}
	return s.tones.fastest
}

// given is what the crew said: it stays.
func (s *staging) given(lit bool) balance.Given {
	said := func(path string) float64 {
		if v, ok := s.facts.Get(path); ok && v.Origin != fact.Assumed {
			return v.Number
		}
		return 0
	}
	g := balance.Given{
		ISO:      units.ISO(said("camera.iso")),
		Aperture: units.FNumber(said("camera.aperture")),
		Shutter:  units.Seconds(said("camera.shutter_s")),
	}
	if lit {
		g.Power = units.Fraction(s.head.item.Power)
		g.Zoom = units.Millimetres(s.head.item.ZoomMM)
		g.FlashPanel = units.Metres(said("distance.flash_panel_m"))
		g.PanelSubject = units.Metres(said("distance.panel_subject_m"))
		g.FlashSubject = units.Metres(said("distance.flash_subject_m"))
	}
	return g
}

// zooms are the settings of a small flash head, mm.
var zooms = []units.Millimetres{24, 28, 35, 50, 70, 85, 105}

// flash is the key as the solver sees it.
func (s *staging) flash(key *rules.Light) *balance.Flash {
	f := &balance.Flash{
		Way:           ways[key.Light],
		Guide:         s.head.guide,
		Count:         max(1, key.Count),
		Powers:        s.head.dial(),
		HSS:           s.head.item.HSS,
		Loss:          s.head.loss + units.Stops(s.head.item.Calibrated[key.Light].Stops),
		RecycleFull:   units.Seconds(s.head.item.RecycleS),
		Panel:         s.panel,
		Pass:          fabric[key.Panel],
		Side:          angle(key.Side),
		Up:            angle(key.Up),
		CameraSubject: units.Metres(s.number("distance.camera_subject_m", 2.25)),
		Zooms:         zooms,
		Zoom:          units.Millimetres(key.Zoom),
	}
	to := s.reach(key.Distance, 1.2)
	switch f.Way {
	case balance.Bare:
		f.FlashSubject = s.inFront(key, to)
	case balance.Wall:
		f.Pass = area.PaintReturns
		f.Path = s.wall(key)
	case balance.Through:
		f.PanelSubject = to
		f.FlashPanel = s.reach(behind(key), float64(longest(s.panel)))
	default:
		f.PanelSubject = to
	}
	if f.Pass == 0 {
		f.Pass = passOf[f.Way]
	}
	return f
}

// passOf is what the cloth of a way passes or returns where the set-up does
// not name a side.
var passOf = map[balance.Way]float64{
	balance.Through:  area.TranslucentPasses,
	balance.Bounce:   area.WhiteReturns,
	balance.Umbrella: area.WhiteReturns,
	balance.Softbox:  area.TranslucentPasses,
}

// behind is the length at which the set-up puts the flash behind its panel.
func behind(key *rules.Light) *rules.Length {
	if key.From != nil && key.From.Word == "" {
		return &key.From.Length
	}
	return nil
}

// reach lets hands move a light from three quarters of its best distance to
// half as far again.
func (s *staging) reach(at *rules.Length, house float64) balance.Reach {
	best := house
	if at != nil {
		best = at.Metres(float64(longest(s.panel)))
	}
	return balance.Reach{Best: units.Metres(best), Near: units.Metres(0.75 * best), Far: units.Metres(1.5 * best)}
}

// byTheLens is up to how far aside a flash counts as held over the camera.
const byTheLens units.Degrees = 15

// inFront keeps a bare flash that is held over the lens no farther off than
// the camera: nobody stands behind a camera to light past it.
func (s *staging) inFront(key *rules.Light, to balance.Reach) balance.Reach {
	if angle(key.Side) > byTheLens {
		return to
	}
	apart := units.Metres(s.number("distance.camera_subject_m", 2.25))
	return balance.Reach{Best: min(to.Best, apart), Near: min(to.Near, apart), Far: min(to.Far, apart)}
}

// wall is the path of a flash turned into a wall or ceiling, its bright patch
// seen from flash and face at the same slant.
func (s *staging) wall(key *rules.Light) area.Wall {
	to, from := 1.5, 2.2 // common practice: white within four steps (trade handbook D67)
	if key.Wall != nil {
		to = key.Wall.Metres(float64(housePanel))
	}
	if key.Distance != nil {
		from = key.Distance.Metres(float64(housePanel))
	}
	apart := s.number("distance.camera_subject_m", 2.25)
	between := math.Acos(max(-1, min(1, (to*to+from*from-apart*apart)/(2*to*from))))
	slant := units.Degrees(min(between/2*180/math.Pi, 60))
	return area.Wall{Flash: units.Metres(to), Face: units.Metres(from), In: slant, Out: slant}
}

func angle(a *rules.Angle) units.Degrees {
	if a == nil {
		return 0
	}
	return units.Degrees(*a)
}

// withLED adds the LED's light to what is there, as light.
func (s *staging) withLED(face units.EV) (units.EV, error) {
	there, err := exposure.Lux(face)
	if err != nil {
		return 0, err
	}
	lamp, err := s.ledLux()
	if err != nil {
		return 0, err
	}
	return exposure.FromLux(there + lamp)
}

// ledLux is what the LED puts on the face.
func (s *staging) ledLux() (units.Lux, error) {
	return exposure.AtDistance(s.ledLamp(), s.ledDistance())
}

// ledLamp is the LED at a metre.
func (s *staging) ledLamp() units.Lux {
	if item, ok := s.facts.Item("led"); ok && item.Lux1m > 0 {
		return units.Lux(item.Lux1m)
	}
	return houseLED
}

func (s *staging) ledDistance() units.Metres {
	if d := s.setup.Key.Distance; d != nil {
		return units.Metres(d.Metres(float64(housePanel)))
	}
	return 1
}

// slowest is the longest time that holds hand and sitter still. Where
// movement is wanted to show, the hand must be braced and does not count.
func (s *staging) slowest() units.Seconds {
	f, ok := lens.LookupFormat(s.format())
	if !ok {
		f = lens.Formats[0]
	}
	shake, err := lens.ShakeTime(units.Millimetres(s.number("camera.focal_mm", 85)), f.Crop())
	if err != nil {
		shake = 1.0 / 125
	}
	switch {
	case s.tones.slowest == 0:
		return max(shake, units.Seconds(s.tones.fastest))
	case s.tones.fastest > float64(shake):
		return units.Seconds(s.tones.slowest)
	}
	return max(min(shake, units.Seconds(s.tones.slowest)), units.Seconds(s.tones.fastest))
}

func (s *staging) format() string {
	if v, ok := s.facts.Get("camera.format"); ok {
		return v.Text
	}
	return "full-frame"
}
