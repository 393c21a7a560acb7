package rules

import (
	"slices"
	"strings"

	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// A Setup is one way of lighting: when it holds, what it serves, where things
// go and what is said. Its numbers are computed by the coach.
type Setup struct {
	ID              string        `source:"setup,required"`
	Title           source.Text   `source:"title,required"`
	Technique       []string      `source:"technique,required"` // contract's words, key first
	Serves          Serves        `source:"serves,required"`
	Needs           []Need        `source:"needs"`
	Hands           int           `source:"hands"`   // helpers' hands it takes
	Seconds         int           `source:"seconds"` // to build
	When            Lines         `source:"when"`
	Prefer          []Preference  `source:"prefer"`
	Key             *Light        `source:"key"` // nil: the light that is there is the key
	Fill            *Light        `source:"fill"`
	Rim             *Light        `source:"rim"`
	BackgroundLight *Light        `source:"background_light"`
	Daylight        *Daylight     `source:"daylight"`
	Look            *Tones        `source:"look"`
	Camera          *Camera       `source:"camera"`
	Geometry        Measures      `source:"geometry"`
	First           source.Text   `source:"first"`
	Place           []source.Text `source:"place"`
	Helper          []source.Text `source:"helper"`
	Check           []source.Text `source:"check"`
	Why             source.Text   `source:"why,required"`
	Instead         source.Text   `source:"instead"` // in one line, when it is second best
	Careful         []source.Text `source:"careful"`
	Source          string        `source:"source,required"`
	Pos             source.Pos
}

// Decode reads a set-up and checks the words it shares with the contract.
func (s *Setup) Decode(n source.Node) []source.Problem {
	type plain Setup
	problems := n.Decode((*plain)(s))
	if list, ok := n.Get("technique"); ok {
		for item := range list.Items() {
			problems = oneOf(item, "technique", fact.Techniques, problems)
		}
	}
	for key, low := range map[string]int{"hands": s.Hands, "seconds": s.Seconds} {
		if low < 0 {
			at, _ := n.Get(key)
			problems = append(problems, at.Problem("out-of-range", "%s is 0 or more", key))
		}
	}
	return problems
}

// Texts are all texts that a reader sees, in order.
func (s *Setup) Texts() []source.Text {
	all := slices.Concat([]source.Text{s.Title, s.First}, s.Place, s.Helper, s.Check, []source.Text{s.Why, s.Instead}, s.Careful)
	return slices.DeleteFunc(all, func(t source.Text) bool { return t.Value == "" })
}

// Serves says which wants and faults a set-up answers and how well.
type Serves []Serve

// A Serve is one want or one fault with its points, 1 to 3.
type Serve struct {
	Want   string // of fact wants, or
	Fault  string // of fact faults ("fault:dark-sockets")
	Points float64
	Pos    source.Pos
}

// Decode reads {softer: 3, "fault:dark-sockets": 2}.
func (s *Serves) Decode(n source.Node) []source.Problem {
	if n.Kind() != source.Map {
		return []source.Problem{n.Problem("wrong-kind", "serves is a map: {softer: 3}")}
	}
	var problems []source.Problem
	wants, _ := fact.Lookup("wants")
	for key, value := range n.Pairs() {
		serve := Serve{Want: key.Text(), Pos: key.Pos()}
		choices, what := wants.Choices, "wants"
		if fault, ok := strings.CutPrefix(key.Text(), "fault:"); ok {
			serve.Want, serve.Fault = "", fault
			choices, what = fact.Faults, "faults"
		}
		if name := serve.Want + serve.Fault; !slices.Contains(choices, name) {
			p := key.Problem("unknown-choice", "%q is not a choice of %s", name, what)
			p.Nearest = source.Nearest(name, choices)
			problems = append(problems, p)
		}
		points, ok := value.Number()
		if !ok || points < 1 || points > 3 {
			problems = append(problems, value.Problem("out-of-range", "points are a number from 1 to 3"))
		}
		serve.Points = points
		*s = append(*s, serve)
	}
	return problems
}

// A Need is kit that must be at hand: one of its kinds.
type Need struct {
	Kinds []string
	Pos   source.Pos
}

func (n Need) String() string { return strings.Join(n.Kinds, " or ") }

// Decode reads "flash|strobe".
func (n *Need) Decode(node source.Node) []source.Problem {
	n.Pos = node.Pos()
	if node.Kind() != source.Scalar {
		return []source.Problem{node.Problem("wrong-kind", `a need is kit, "flash" or "flash|strobe", not %s`, node.Kind())}
	}
	var problems []source.Problem
	for kind := range strings.SplitSeq(node.Text(), "|") {
		kind = strings.TrimSpace(kind)
		if !slices.Contains(fact.KitKinds, kind) {
			p := node.Problem("unknown-choice", "%q is not a kind of kit", kind)
			p.Nearest = source.Nearest(kind, fact.KitKinds)
			problems = append(problems, p)
		}
		n.Kinds = append(n.Kinds, kind)
	}
	return problems
}

// A Preference moves a set-up's score when its lines hold.
type Preference struct {
	When   Lines   `source:"when,required"`
	Points float64 `source:"points,required"`
	Pos    source.Pos
}

// A Light is a light of the set-up and where it goes. A field that was not
// written is nil or empty.
type Light struct {
	Light    string   `source:"light"`    // bare through bounce umbrella softbox wall led; empty for a panel that returns light
	Panel    string   `source:"panel"`    // the side of the panel it uses: white silver gold black translucent
	Side     *Angle   `source:"side"`     // to the side of the lens axis, from the sitter
	Up       *Angle   `source:"up"`       // above the eye line
	Distance *Length  `source:"distance"` // lit cloth, tube or wall to the near eye
	From     *Place   `source:"from"`     // where the flash is
	Wall     *Length  `source:"wall"`     // flash to wall or ceiling
	Count    int      `source:"count"`    // flashes alike, side by side, each at the power told; 0 is one
	Zoom     float64  `source:"zoom"`     // mm
	Gel      string   `source:"gel"`      // a gel by name
	OwnGel   bool     `source:"own_gel"`  // wears the crew's gel where they have one
	OverKey  *float64 `source:"over_key"` // stops above the key at the face
	Feather  *Angle   `source:"feather"`  // turned past the face
	Size     *Length  `source:"size"`     // of an umbrella or softbox where the crew's was not said
	Pos      source.Pos
}

// LightKinds are what a Light can be.
var LightKinds = []string{"bare", "through", "bounce", "umbrella", "softbox", "wall", "led"}

// Decode reads a light and checks its words.
func (l *Light) Decode(n source.Node) []source.Problem {
	type plain Light
	problems := n.Decode((*plain)(l))
	for key, choices := range map[string][]string{"light": LightKinds, "panel": fact.Surfaces, "gel": fact.Gels} {
		if value, ok := n.Get(key); ok {
			problems = oneOf(value, key, choices, problems)
		}
	}
	if l.Light == "" && l.Panel == "" && n.Kind() == source.Map {
		problems = append(problems, n.Problem("missing-key", "what shines: light or panel is missing"))
	}
	if l.Count < 0 || l.Count > 4 {
		at, _ := n.Get("count")
		problems = append(problems, at.Problem("out-of-range", "count is flashes alike, 1 to 4"))
	}
	if l.Zoom < 0 || l.Zoom > 400 {
		at, _ := n.Get("zoom")
		problems = append(problems, at.Problem("out-of-range", "zoom is in mm, up to 400"))
	}
	return problems
}

// A Place is where a flash is: a word, or a length behind its panel.
type Place struct {
	Word   string // camera or hand; empty where Length counts
	Length Length
}

// Decode reads camera, hand or a length.
func (p *Place) Decode(n source.Node) []source.Problem {
	switch n.Text() {
	case "camera", "hand":
		p.Word = n.Text()
		return nil
	}
	if problems := p.Length.Decode(n); problems != nil {
		return []source.Problem{n.Problem("wrong-kind", `a flash is at the camera, in a hand, or at a length such as "1.0 m" behind its panel`)}
	}
	return nil
}

// Daylight is what a set-up does to the light that is there.
type Daylight struct {
	Model    string  `source:"model,required"`
	Side     string  `source:"side"`     // of a reflector: white silver gold
	Distance *Length `source:"distance"` // panel to the near eye
	Angle    *Angle  `source:"angle"`    // the panel to the side of the lens axis, from the sitter
	Up       *Angle  `source:"up"`       // the panel above the eye line; below it is negative
	Pos      source.Pos
}

// DaylightModels are what can be done to the light that is there.
var DaylightModels = []string{"scrim", "sun-reflector", "sky-reflector", "black-panel", "own-shade", "to-shade", "window-side", "step-to-edge", "darker-behind", "none"}

// Decode reads the model and checks its words.
func (d *Daylight) Decode(n source.Node) []source.Problem {
	type plain Daylight
	problems := n.Decode((*plain)(d))
	for key, choices := range map[string][]string{"model": DaylightModels, "side": fact.Surfaces} {
		if value, ok := n.Get(key); ok {
			problems = oneOf(value, key, choices, problems)
		}
	}
	return problems
}

// Tones are the levels of a look. A nil one is left to the look asked for.
type Tones struct {
	Ambient    *float64 `source:"ambient"`    // stops of the light that is there, on the face
	Background *float64 `source:"background"` // stops
	Ratio      *float64 `source:"ratio"`      // lit side : shadow side, fill reaching both
}

// Camera is where the search for dial settings starts.
type Camera struct {
	Aperture float64 `source:"aperture"`
	ShutterS float64 `source:"shutter_s"`
	ISO      float64 `source:"iso"`
	FocalMM  float64 `source:"focal_mm"`
	WBK      float64 `source:"wb_k"`
}

// Measures are the further lengths and angles that a set-up's texts name.
type Measures []Measure

// A Measure is one of them.
type Measure struct {
	Name string
	Quantity
}

// Decode reads {step_in: 0.7 m, turn: 45 deg}.
func (m *Measures) Decode(n source.Node) []source.Problem {
	if n.Kind() != source.Map {
		return []source.Problem{n.Problem("wrong-kind", "geometry is a map: {step_in: 0.7 m}")}
	}
	var problems []source.Problem
	for key, value := range n.Pairs() {
		measure := Measure{Name: key.Text()}
		if bad := measure.Quantity.Decode(value); bad != nil {
			problems = append(problems, bad...)
		} else if measure.Unit == "" {
			problems = append(problems, value.Problem("wrong-unit", "%s has no unit; write m, panels or deg after it", value.Text()))
		}
		if slices.Contains(NumberKeys, measure.Name) {
			problems = append(problems, key.Problem("duplicate-id", "%s is a number that the answer computes; name this one otherwise", measure.Name))
		}
		*m = append(*m, measure)
	}
	return problems
}

// Get finds a measure by its name.
func (m Measures) Get(name string) (Quantity, bool) {
	for _, one := range m {
		if one.Name == name {
			return one.Quantity, true
		}
	}
	return Quantity{}, false
}
