package bot

import (
	"cmp"
	"math"
	"slices"

	"panelhand/bot/answer"
	"panelhand/calc/area"
	"panelhand/calc/balance"
	"panelhand/calc/colour"
	"panelhand/calc/exposure"
	"panelhand/calc/flash"
	"panelhand/calc/lens"
	"panelhand/calc/stand"
	"panelhand/calc/units"
	"panelhand/rules"
)

// measure writes the numbers of a solved set-up. What has no number here is
// absent.
func (s *staging) measure() error {
	s.numbers = &answer.Numbers{}
	s.lengths = map[string]float64{}
	for _, m := range s.setup.Geometry {
		if m.Unit != rules.Degrees {
			s.lengths[m.Name] = m.Metres(float64(longest(s.panel)))
		}
	}
	n, set := s.numbers, s.solution.Settings
	n.Set("iso", set.ISO.Value)
	n.Set("aperture", set.Aperture.Value)
	n.Set("shutter_s", set.Shutter.Value)
	n.Set("focal_mm", s.number("camera.focal_mm", 85))
	n.Set("ambient_ev100", float64(s.scene.Ambient))
	n.Set("background_ev100", float64(s.scene.Background))
	n.Set("camera_subject_m", s.number("distance.camera_subject_m", 2.25))
	if set.ND > 0 {
		n.Set("nd_stops", float64(set.ND))
	}
	levels := s.solution.Levels
	n.Set("subject_stops", float64(levels.Subject))
	n.Set("ambient_stops", float64(levels.Ambient))
	n.Set("background_stops", float64(levels.Background))
	if err := s.measureKey(); err != nil {
		return err
	}
	s.measureShadow()
	s.measureColour()
	s.measureDepth()
	s.measureFace()
	if err := s.measureRim(); err != nil {
		return err
	}
	s.work()
	if s.format() == phone {
		n.Drop("iso", "aperture", "shutter_s", "wb_k", "depth_near_m", "depth_far_m", "focal_mm")
	}
	return s.measureStand()
}

// phone is the format without dials: what they would be set to is no use.
const phone = "phone"

// measureKey writes the key light's part: dial, geometry, source.
func (s *staging) measureKey() error {
	key, n, set := s.setup.Key, s.numbers, s.solution.Settings
	if s.light.source > 0 {
		n.Set("source_deg", float64(s.light.source))
		n.Set("panel_size_m", float64(longest(s.panel)))
		n.Set("panel_pass", fabric["translucent"])
	}
	if d := s.setup.Daylight; d != nil && d.Distance != nil && s.light.fill == 0 {
		n.Set("panel_subject_m", s.daylightDistance())
	}
	if s.light.fill > 0 {
		n.Set("fill_panel_m", s.light.fill)
		n.Set("panel_subject_m", s.light.fill)
		n.Set("panel_size_m", float64(longest(s.panel)))
	}
	if key == nil {
		return nil
	}
	if key.Side != nil {
		n.Set("key_side_deg", float64(*key.Side))
	}
	if key.Up != nil {
		n.Set("key_up_deg", float64(*key.Up))
	}
	if key.Feather != nil {
		n.Set("feather_deg", float64(*key.Feather))
	}
	distance := units.Metres(1)
	switch {
	case key.Light == "led":
		distance = s.ledDistance()
		n.Set("led_subject_m", float64(distance))
		n.Tell("led_lux", s.ledLamp().String())
	case s.scene.Key == nil:
		if key.Distance != nil {
			distance = units.Metres(key.Distance.Metres(float64(longest(s.panel))))
		}
	default:
		var err error
		if distance, err = s.measureFlash(); err != nil {
			return err
		}
	}
	if key.Up != nil {
		eyes := units.Metres(1.6) // the handbook's table of defaults
		if s.facts.Has("subject.traits", "seated") {
			eyes = 1.2
		}
		if h, err := area.Height(eyes, distance, angle(key.Up)); err == nil {
			n.Set("key_height_m", float64(h))
		}
	}
	light := answer.Light{Role: "key", Kind: key.Light, DistanceM: float64(distance), SideDeg: float64(angle(key.Side)), UpDeg: float64(angle(key.Up)), Gel: s.gel}
	if s.scene.Key != nil {
		light.Power, light.ZoomMM = set.Power.Value, float64(set.Zoom)
	}
	n.Lights = append(n.Lights, light)
	return nil
}

// measureFlash writes what the solver made of the flash, and returns how far
// its source is from the face.
func (s *staging) measureFlash() (units.Metres, error) {
	n, set, f := s.numbers, s.solution.Settings, s.scene.Key
	n.Set("flash_power", set.Power.Value)
	n.Tell("flash_power", set.Power.Text)
	if g, ok := colour.LookupGel(s.gel); ok {
		n.Tell("flash_gel", g.Label)
	}
	gn, err := f.Guide(set.Zoom)
	if err != nil {
		return 0, err
	}
	n.Set("flash_gn_m", float64(gn))
	n.Set("flash_zoom_mm", float64(set.Zoom))
	n.Set("flash_stops", float64(s.solution.Levels.Flash))
	loss := f.Loss
	if set.HSS {
		hss, err := flash.HighSpeedLoss(units.Seconds(set.Shutter.Value), s.scene.Camera.Sync)
		if err != nil {
			return 0, err
		}
		loss += hss
	}
	if loss != 0 {
		n.Set("flash_loss_stops", float64(loss))
	}
	if wait, err := flash.Recycle(cmp.Or(units.Seconds(s.head.item.RecycleS), flash.AssumedRecycle), units.Fraction(set.Power.Value)); err == nil {
		n.Set("recycle_s", float64(wait))
		n.Set("pace_s", float64(flash.Pace(wait)))
	}
	if count, err := flash.Flashes(cmp.Or(s.head.item.Charge, flash.AssumedFlashes), units.Fraction(set.Power.Value)); err == nil {
		n.Set("flashes", count)
	}
	distance := set.PanelSubject
	source, size := units.Metres(0), longest(s.panel)
	switch f.Way {
	case balance.Bare:
		distance, source = set.FlashSubject, bareHead
		n.Set("flash_subject_m", float64(distance))
	case balance.Wall:
		distance = f.Path.Face
		n.Set("flash_subject_m", float64(f.Path.Flash+f.Path.Face))
	default:
		n.Set("panel_subject_m", float64(distance))
		n.Set("panel_size_m", float64(size))
		n.Set("panel_pass", f.Pass)
		if set.FlashPanel > 0 {
			n.Set("flash_panel_m", float64(set.FlashPanel))
		}
	}
	lit, err := f.At(set.Zoom, set.FlashPanel, distance)
	if err != nil {
		return 0, err
	}
	if lit.Tilt != 0 {
		n.Set("panel_tilt_stops", math.Abs(float64(lit.Tilt)))
	}
	if lit.Source > 0 {
		source = lit.Source
	}
	if wide, err := area.SourceAngle(source, distance); err == nil {
		n.Set("source_deg", float64(wide))
	}
	const nose units.Metres = 0.025 // the contract's depth for shadow_edge_mm
	if edge, err := area.ShadowEdge(source, distance, nose); err == nil {
		n.Set("shadow_edge_mm", float64(edge))
	}
	return distance, nil
}

func (s *staging) daylightDistance() float64 {
	if said, ok := s.facts.Number("distance.panel_subject_m"); ok {
		return said
	}
	return s.setup.Daylight.Distance.Metres(float64(longest(s.panel)))
}

// measureShadow compares the lit side with the shadow side. With a flash as
// key the light that is there fills both; a fill panel adds what the lit side
// throws back. Without a flash the two sides are known only where the set-up
// says what it does to them.
func (s *staging) measureShadow() {
	n, levels := s.numbers, s.solution.Levels
	lit := float64(levels.Subject)
	known, shadow := true, 0.0
	switch {
	case s.scene.Key != nil:
		shadow = math.Exp2(float64(levels.Ambient))
	case s.light.shapes:
		shadow = math.Exp2(lit - float64(s.light.lit) + float64(s.light.shadow))
	default:
		known = false
	}
	if at := s.blackAt(); at > 0 && s.scene.Key != nil { // it keeps the place's own light off the shadow side
		panel, _ := panelOf(s.facts, []string{"panel", "reflector", "diffuser"}, housePanel)
		if taken, err := area.BlackPanel(panel, fabric["black"], at); err == nil {
			shadow *= math.Exp2(float64(taken))
		}
	}
	if fill := s.setup.Fill; fill != nil && fill.Panel != "" && fill.Distance != nil {
		panel, _ := panelOf(s.facts, []string{"panel", "reflector", "diffuser"}, housePanel)
		at := units.Metres(fill.Distance.Metres(float64(longest(panel))))
		n.Set("fill_panel_m", float64(at))
		if share, err := area.Reflector(panel, fabric[fill.Panel], at, 0); err == nil && share > 0 {
			back := share * math.Exp2(lit)
			shadow += back
			n.Set("fill_stops", math.Log2(back))
		}
	}
	if known && shadow > 0 {
		n.Set("key_fill_stops", lit-math.Log2(shadow))
		n.Set("key_fill_ratio", math.Exp2(lit)/shadow)
	}
}

// blackAt is where a follow-up put the black side, 0 where it did not.
func (s *staging) blackAt() units.Metres {
	if s.stands == nil {
		return 0
	}
	return s.stands.plan.Black
}

// measureColour sets the white balance to the key's colour, unless it was
// dialled already or the set-up wants the key to keep a colour of its own.
func (s *staging) measureColour() {
	if said, ok := s.facts.Number("camera.wb_k"); ok {
		s.numbers.Set("wb_k", said)
		return
	}
	light := units.Kelvin(s.number("light.cct_k", 0))
	if c := s.setup.Camera; c != nil && c.WBK > 0 {
		light = units.Kelvin(c.WBK)
	} else if s.scene.Key != nil {
		light = colour.Flash
		if g, ok := colour.LookupGel(s.gel); ok {
			if k, err := colour.After(light, g.Shift); err == nil {
				light = k
			}
		}
	}
	if light > 0 {
		s.numbers.Set("wb_k", 100*math.Round(float64(light+s.tones.warm)/100))
	}
}

func (s *staging) measureDepth() {
	format, ok := lens.LookupFormat(s.format())
	if !ok {
		return
	}
	n := s.numbers
	aperture, _ := n.Get("aperture")
	focal, _ := n.Get("focal_mm")
	at, _ := n.Get("camera_subject_m")
	depth, err := lens.DepthOfField(units.Millimetres(focal), units.FNumber(aperture), format.Circle, units.Metres(at))
	if err != nil {
		return
	}
	n.Set("depth_near_m", float64(depth.Near))
	if !depth.Endless {
		n.Set("depth_far_m", float64(depth.Far))
	}
}

// measureRim sets a second flash by its level over the key at the head.
func (s *staging) measureRim() error {
	for _, second := range []struct {
		role  string
		light *rules.Light
	}{{"rim", s.setup.Rim}, {"background-light", s.setup.BackgroundLight}} {
		role, light := second.role, second.light
		if light == nil || light.Distance == nil {
			continue
		}
		over := 0.0
		if light.OverKey != nil {
			over = *light.OverKey
		}
		at := units.Metres(light.Distance.Metres(float64(longest(s.panel))))
		zoom := units.Millimetres(light.Zoom)
		if zoom == 0 {
			zoom = houseGuideZoom
		}
		gn, err := s.head.guide(zoom)
		if err != nil {
			return err
		}
		set := s.solution.Settings
		wanted, err := exposure.Needed(units.FNumber(set.Aperture.Value), units.ISO(set.ISO.Value))
		if err != nil {
			return err
		}
		full, err := flash.Exposure(gn, 1, at)
		if err != nil {
			return err
		}
		share := float64(wanted) / float64(full) * math.Exp2(float64(s.solution.Levels.Subject)+over+float64(set.ND))
		if g, ok := colour.LookupGel(light.Gel); ok {
			share *= math.Exp2(float64(g.Loss))
		}
		mark := units.PowerThirds(houseLowestPower).Nearest(share)
		if role == "rim" {
			s.numbers.Set("rim_power", mark.Value)
			s.numbers.Tell("rim_power", mark.Text)
			s.numbers.Set("rim_subject_m", float64(at))
			s.numbers.Set("rim_zoom_mm", float64(zoom))
		} else {
			s.numbers.Set("background_light_power", mark.Value)
			s.numbers.Tell("background_light_power", mark.Text)
			s.numbers.Set("background_light_m", float64(at))
		}
		s.numbers.Lights = append(s.numbers.Lights, answer.Light{
			Role: role, Kind: light.Light, Power: mark.Value, ZoomMM: float64(zoom), DistanceM: float64(at),
			SideDeg: float64(angle(light.Side)), UpDeg: float64(angle(light.Up)), Gel: light.Gel,
		})
	}
	return nil
}

// House figures for a stand of which nothing was said. Source: the handbook's
// table of defaults.
var houseStand = stand.Stand{Weight: 3, Feet: 0.5, Legs: 3, Height: 2}

// measureStand weighs a stand that is used with a sail on it.
func (s *staging) measureStand() error {
	if _, has := s.facts.Item("stand"); !has || s.facts.Has("limits", "no-stands") {
		return nil
	}
	sail := s.sail()
	tip, err := houseStand.TipWind(sail)
	if err != nil {
		return err
	}
	bags := 0.0
	for _, item := range s.facts.Kit() {
		if item.Kind == "weight" {
			bags += item.WeightKg * float64(max(1, item.Count))
		}
	}
	if bags > 0 {
		loaded := houseStand
		loaded.Weight += units.Kilograms(bags)
		if tip, err = loaded.TipWind(sail); err != nil {
			return err
		}
	}
	s.numbers.Set("tip_gust_ms", float64(tip))
	near := s.facts.Has("limits", "crowd") || s.facts.Has("limits", "children")
	if down, err := stand.TakeDown(stand.LimitRaised, tip, near); err == nil {
		s.numbers.Set("wind_limit_ms", float64(down))
	}
	// Where nobody spoke of wind, none is planned for, and outdoors the house's
	// floor is what is left.
	gust, said := s.facts.Number("weather.gust_ms")
	if mean, ok := s.facts.Number("weather.wind_ms"); !said && ok {
		g, err := stand.Gust(units.MetresPerSecond(mean))
		if err != nil {
			return nil
		}
		gust = float64(g)
	}
	if kg, err := houseStand.AdviseBallast(sail, units.MetresPerSecond(gust), near, !s.indoors()); err == nil && kg > 0 {
		s.numbers.Set("ballast_kg", float64(kg))
	}
	return nil
}

// indoors reports whether the picture is taken under a roof and between walls.
func (s *staging) indoors() bool {
	return s.facts.Has("hazards", "indoors") || slices.Contains([]string{"window", "tungsten", "fluorescent", "led-indoor", "stage"}, kindOfLight(s.facts))
}

// sail is what of the set-up catches the wind on a stand: a panel is in a
// helper's hands where there are any, and then the stand has the flash alone.
func (s *staging) sail() stand.Sail {
	drag := stand.FlatDrag
	if s.scene.Key != nil && s.scene.Key.Way == balance.Umbrella {
		drag = stand.UmbrellaDrag
	}
	// a box or umbrella at hand may go up on the stand whatever this set-up lights with
	for _, item := range s.facts.Kit() {
		used := s.scene.Key != nil && (s.scene.Key.Way == balance.Umbrella || s.scene.Key.Way == balance.Softbox)
		if used || item.Kind != "umbrella" && item.Kind != "softbox" {
			continue
		}
		cloth := area.Panel{Width: units.Metres(item.SizeM), Height: units.Metres(item.Size2M)}
		if item.Kind == "umbrella" {
			drag, cloth.Round = stand.UmbrellaDrag, true
		}
		if cloth.Width == 0 {
			cloth.Width = houseSail
		}
		return stand.Sail{Area: cloth.Area(), Drag: drag}
	}
	held := s.scene.Key != nil && (s.scene.Key.Way == balance.Through || s.scene.Key.Way == balance.Bounce) && s.number("helpers", 1) > 0 && !s.facts.Has("limits", "no-helper")
	if s.scene.Key == nil || s.scene.Key.Way == balance.Bare || s.scene.Key.Way == balance.Wall || held {
		return stand.Sail{Area: bareFlashArea, Drag: drag}
	}
	return stand.Sail{Area: s.panel.Area(), Drag: drag}
}

const (
	bareFlashArea = 0.012 // m²; photometry handbook §11
	houseSail     = 1     // m across, of an umbrella or box whose size was not said
)
