package bot

import (
	"panelhand/calc/balance"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// A plan is a set-up of the playbook with what a thread's follow-ups made of
// it. The zero fields are as the playbook has them.
type plan struct {
	Setup string        // id
	Given balance.Given // the dials and distances that stand
	WBK   units.Kelvin  // white balance dialled; 0 follows the light

	Face units.Stops // lit side of the face against right, as asked after a test frame
	Loss units.Stops // flash lost beyond what is computed, by the crew's test frames; below 0 is a gain

	Side, Up, Feather float64      // degrees added to the key's place
	Fill, Black       units.Metres // white or black side to the face, on the shadow side; below 0 taken away
	Gel               string       // on the key; "none" takes the set-up's off
	Camera, Gap       units.Metres // camera to face, sitter to background, where they were moved
	HSS               bool         // high-speed sync switched on
	Behind            bool         // the light was taken to come from behind

	Made []made
}

// made is an adjustment that was made, and how big of its first size it was.
type made struct {
	ID   string
	Size float64
}

// gel is what the key wears, of what it would wear without the plan.
func (p *plan) gel(worn string) string {
	switch p.Gel {
	case "":
		return worn
	case "none":
		return ""
	}
	return p.Gel
}

// times is how often an adjustment was made, and its last size.
func (p *plan) times(id string) (n int, last float64) {
	for _, m := range p.Made {
		if m.ID == id {
			n, last = n+1, m.Size
		}
	}
	return n, last
}

// applied is the playbook's set-up with the plan's changes of geometry.
func (p *plan) applied(setup *rules.Setup) *rules.Setup {
	s := *setup
	length := func(at units.Metres) *rules.Length {
		return &rules.Length{Quantity: rules.Quantity{Value: float64(at), Unit: rules.Metres}}
	}
	if setup.Key != nil {
		key := *setup.Key
		key.Side, key.Up, key.Feather = turned(key.Side, p.Side), turned(key.Up, p.Up), turned(key.Feather, p.Feather)
		if key.Light == "led" && p.Given.FlashSubject > 0 {
			key.Distance = length(p.Given.FlashSubject)
		}
		s.Key = &key
	}
	lit := setup.Key != nil && setup.Key.Light != ""
	switch {
	case p.Fill < 0:
		s.Fill = nil
		if !lit && reflects(s.Daylight) {
			s.Daylight = nil
		}
	case p.Fill > 0 && (lit || setup.Fill != nil):
		s.Fill = &rules.Light{Panel: "white", Distance: length(p.Fill)}
	case p.Fill > 0:
		s.Daylight = reflecting(setup.Daylight, length(p.Fill))
	}
	if p.Black > 0 && !lit {
		s.Daylight = &rules.Daylight{Model: "black-panel", Distance: length(p.Black)}
	}
	return &s
}

// reflecting is what a white side at a distance makes of what the set-up does
// to the light that is there.
func reflecting(d *rules.Daylight, at *rules.Length) *rules.Daylight {
	if reflects(d) {
		nearer := *d
		nearer.Distance = at
		return &nearer
	}
	return &rules.Daylight{Model: "sky-reflector", Side: "white", Distance: at}
}

// reflects reports whether a panel throws the light that is there at the face.
func reflects(d *rules.Daylight) bool {
	return d != nil && (d.Model == "sun-reflector" || d.Model == "sky-reflector")
}

func turned(a *rules.Angle, by float64) *rules.Angle {
	if by == 0 {
		return a
	}
	sum := rules.Angle(by)
	if a != nil {
		sum += *a
	}
	return &sum
}

// stands are the dials of a solution as what is given for the next.
func stands(s *staging) balance.Given {
	set := s.solution.Settings
	g := balance.Given{
		ISO: units.ISO(set.ISO.Value), Aperture: units.FNumber(set.Aperture.Value), Shutter: units.Seconds(set.Shutter.Value), ND: set.ND,
	}
	if set.Flash {
		g.Power, g.Zoom, g.FlashPanel, g.PanelSubject, g.FlashSubject = units.Fraction(set.Power.Value), set.Zoom, set.FlashPanel, set.PanelSubject, set.FlashSubject
		if s.scene.Key.Way == balance.Bounce || s.scene.Key.Way == balance.Wall {
			g.FlashPanel = 0 // what camera and panel make of it
		}
		if s.scene.Key.Way == balance.Wall {
			g.PanelSubject = 0
		}
		return g
	}
	if at, ok := s.numbers.Get("panel_subject_m"); ok {
		g.PanelSubject = units.Metres(at)
	}
	if at, ok := s.numbers.Get("led_subject_m"); ok {
		g.FlashSubject = units.Metres(at)
	}
	return g
}

// A dial is a fact that names one, with how to read and set it in a plan.
type dial struct {
	path  string
	get   func(*plan) float64
	set   func(*plan, float64)
	moves []string // of rules.Moved
}

var dialled = []dial{
	{"camera.iso", func(p *plan) float64 { return float64(p.Given.ISO) }, func(p *plan, v float64) { p.Given.ISO = units.ISO(v) }, []string{"iso"}},
	{"camera.aperture", func(p *plan) float64 { return float64(p.Given.Aperture) }, func(p *plan, v float64) { p.Given.Aperture = units.FNumber(v) }, []string{"aperture"}},
	{"camera.shutter_s", func(p *plan) float64 { return float64(p.Given.Shutter) }, func(p *plan, v float64) { p.Given.Shutter = units.Seconds(v) }, []string{"shutter"}},
	{"camera.wb_k", func(p *plan) float64 { return float64(p.WBK) }, func(p *plan, v float64) { p.WBK = units.Kelvin(v) }, []string{"warmth"}},
	{"distance.flash_panel_m", func(p *plan) float64 { return float64(p.Given.FlashPanel) }, func(p *plan, v float64) { p.Given.FlashPanel = units.Metres(v) }, []string{"flash_panel"}},
	{"distance.panel_subject_m", func(p *plan) float64 { return float64(p.Given.PanelSubject) }, func(p *plan, v float64) { p.Given.PanelSubject = units.Metres(v) }, []string{"distance", "fill"}},
	{"distance.flash_subject_m", func(p *plan) float64 { return float64(p.Given.FlashSubject) }, func(p *plan, v float64) { p.Given.FlashSubject = units.Metres(v) }, []string{"distance"}},
}

// place writes where the plan has camera, sitter and panel, and its white
// balance, over what is known of them.
func (p *plan) place(known *fact.Set, setup *rules.Setup) {
	moved := func(path string, v float64) {
		if v > 0 {
			put(known, path, v)
		}
	}
	moved("distance.camera_subject_m", float64(p.Camera))
	moved("distance.subject_background_m", float64(p.Gap))
	moved("camera.wb_k", float64(p.WBK))
	if setup.Key == nil {
		moved("distance.panel_subject_m", float64(p.Given.PanelSubject))
	}
}

// remember writes the dials that stand over what the thread was once told of
// them, so that an older word does not come back.
func (p *plan) remember(facts *fact.Set) {
	for _, d := range dialled {
		if old, ok := facts.Get(d.path); ok && d.get(p) > 0 && old.Number != d.get(p) {
			put(facts, d.path, d.get(p))
		}
	}
	kit := append([]fact.Item(nil), facts.Kit()...)
	for i := range kit {
		if kit[i].Kind != "flash" && kit[i].Kind != "strobe" {
			continue
		}
		if kit[i].Power > 0 {
			kit[i].Power = float64(p.Given.Power)
		}
		if kit[i].ZoomMM > 0 && p.Given.Zoom > 0 {
			kit[i].ZoomMM = float64(p.Given.Zoom)
		}
	}
	facts.SetKit(kit)
}
