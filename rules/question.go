package rules

import (
	"errors"
	"slices"
	"strings"

	"panelhand/rules/fact"
	"panelhand/rules/formula"
	"panelhand/rules/source"
)

// A Question is a number that can be asked for: the words that ask for it, and
// the ways to compute it, each from numbers of its own.
type Question struct {
	ID     string   `source:"question,required"`
	Result string   `source:"result,required"` // one of Results
	Say    []string `source:"say,required"`    // phrases, as a Word's
	Ways   []Way    `source:"ways,required"`
	Pos    source.Pos
}

// A Way computes a question's number. Of the ways whose numbers are all there
// the one that uses most of what was said is taken.
type Way struct {
	From   Inputs      `source:"from"`
	With   []string    `source:"with"`    // one of these words must be said too
	Not    []string    `source:"without"` // none of these
	Gives  source.Text `source:"gives,required"`
	Tell   source.Text `source:"tell,required"` // {value}, or the name of an input, is a number
	Note   source.Text `source:"note"`          // a convention that could be otherwise, with the same holes
	Also   Inputs      `source:"also"`          // more that follows, for the holes: {hold: {kind: time, else: shutter / 2}}
	Source string      `source:"source"`        // where the formulas' own do not say it
	Pos    source.Pos

	gives *Line
}

// Inputs are the numbers that a way needs, by the names that its expression
// calls them.
type Inputs []Input

// An Input is one number of a way: an amount of the message of its kind, else
// what is known under its paths, else what Else comes to, which is said to be
// assumed unless it is 0.
type Input struct {
	Name string
	Kind string
	Near []string // words beside an amount that say it is this one
	Must bool     // only an amount with such a word beside it
	Fact []string // where else it is known
	Ask  string   // the question that asks for it
	Else *Line
	Is   *float64 // what it is unless something else is said; no assumption
	By   []Spoken // words that give it a value: "umbrella" a drag of 1.42
	Pos  source.Pos
}

// A Spoken is a word that stands for a number.
type Spoken struct {
	Word  string
	Value float64
}

// A Kind is what an amount can measure.
type Kind struct {
	Name  string
	Paths []string // where it is known when the message does not say it
	Ask   string   // the question that asks for it
}

// Kinds are what amounts measure. A path is a number of the thread's set-up
// ("numbers.iso"), a number fact, a field of the kit ("kit.gn_m") or one of
// Derived.
var Kinds = []Kind{
	{"aperture", []string{"numbers.aperture", "camera.aperture"}, "Which f-number?"},
	{"time", []string{"numbers.shutter_s", "camera.shutter_s"}, "Which shutter?"},
	{"iso", []string{"numbers.iso", "camera.iso"}, "Which ISO?"},
	{"ev", []string{"light.ev100", "numbers.ambient_ev100"}, "What does a meter or a test frame at the face say (f, shutter, ISO)?"},
	{"lux", nil, "How many lux?"},
	{"power", []string{"numbers.flash_power", "kit.power"}, "What power is the flash on?"},
	{"guide", []string{"numbers.flash_gn_m", "kit.gn_m"}, "Which guide number has the flash, in metres at ISO 100?"},
	{"energy", []string{"kit.energy_ws"}, "How many watt-seconds?"},
	{"zoom", []string{"numbers.flash_zoom_mm", "kit.zoom_mm"}, "Which zoom is the flash head at?"},
	{"focal", []string{"numbers.focal_mm", "camera.focal_mm"}, "Which focal length?"},
	{"sync", []string{"camera.sync_s"}, "What is the sync time?"},
	{"filter", []string{"numbers.nd_stops", "kit.stops"}, "How many stops has the filter?"},
	{"length", nil, "How far?"},
	{"width", nil, "How wide?"},
	{"height", nil, "How high?"},
	{"kelvin", nil, "How many kelvin?"},
	{"mired", nil, "How many mired?"},
	{"gel", []string{"gel.shift"}, "Which gel?"},
	{"stops", nil, "How many stops?"},
	{"more", nil, "How many stops?"},    // stops told as more or less light
	{"verdict", nil, "How many stops?"}, // told as yes from 0 up, as no below
	{"ratio", nil, "Which ratio?"},
	{"degree", nil, "How many degrees?"},
	{"speed", nil, "How fast?"},
	{"weight", nil, "How heavy, stand and kit?"},
	{"number", nil, "How many?"},
	{"latitude", []string{"where.lat"}, "Where, in latitude and longitude?"},
	{"longitude", []string{"where.lon"}, "Where, in latitude and longitude?"},
	{"instant", []string{"when.instant"}, "On which date, and at what time?"},
	{"day", []string{"when.day"}, "On which date?"},
	{"format", nil, "Which sensor format?"},
}

// KindNamed finds a kind.
func KindNamed(name string) (Kind, bool) {
	for _, k := range Kinds {
		if k.Name == name {
			return k, true
		}
	}
	return Kind{}, false
}

// Derived are the numbers that follow from a fact that is none: the mired of
// the gel that was named, what the format's sensor measures, a moment in seconds
// since 1970.
var Derived = []string{"gel.shift", "gel.loss", "format.circle", "format.crop", "format.width", "when.instant", "when.day"}

// Results are the numbers that can be asked for, with their units: those of
// the contract, push_kg, the wind's push on a sail as the weight that presses as
// hard, frames, of which one has no blink, and the lens that fits a width. A gel and a time are told in words alone.
var Results = map[string]string{
	"stops": "stop", "ev100": "EV", "lux": "lx", "iso": "", "aperture": "", "shutter_s": "s", "flash_power": "fraction", "gn_m": "m", "distance_m": "m", "flash_panel_m": "m",
	"ratio": "", "source_deg": "degree", "shadow_edge_mm": "mm", "depth_m": "m", "depth_near_m": "m", "depth_far_m": "m", "hyperfocal_m": "m", "mired": "MK⁻¹", "cct_k": "K", "gel": "",
	"ballast_kg": "kg", "tip_gust_ms": "m/s", "wind_limit_ms": "m/s", "push_kg": "kg", "frames": "", "focal_mm": "mm", "flashes": "", "recycle_s": "s", "nd_stops": "stop", "sun_elevation_deg": "degree", "sun_azimuth_deg": "degree",
	"time": "", "size_m": "m", "blur_mm": "mm",
}

// Decode reads a question.
func (q *Question) Decode(n source.Node) []source.Problem {
	type plain Question
	problems := n.Decode((*plain)(q))
	if at, ok := n.Get("result"); ok {
		var names []string
		for name := range Results {
			names = append(names, name)
		}
		slices.Sort(names)
		problems = oneOf(at, "results", names, problems)
	}
	return problems
}

// Decode reads a way; its expression is compiled with the names of its inputs.
func (w *Way) Decode(n source.Node) []source.Problem {
	type plain Way
	problems := n.Decode((*plain)(w))
	names := w.From.names()
	w.gives = &Line{Text: w.Gives, Pos: w.Gives.Pos, names: names}
	for i := range w.From {
		if w.From[i].Else != nil {
			w.From[i].Else.names = names
		}
	}
	for i := range w.Also {
		also := &w.Also[i]
		if also.Else == nil {
			problems = append(problems, source.Errorf(also.Pos, "missing-key", "%s says with else what it comes to", also.Name))
			continue
		}
		also.Else.names = names
	}
	if !w.Gives.InLine {
		problems = append(problems, n.Problem("many-lines", "an expression stands on one line as it is"))
	}
	return problems
}

func (in Inputs) names() []string {
	names := make([]string, len(in))
	for i := range in {
		names[i] = in[i].Name
	}
	return names
}

// Decode reads {iso: iso}, or {iso: {kind: iso, near: […], fact: …, else: 100}},
// or {drag: {kind: number, words: {umbrella: 1.42}, is: 1.17}}.
func (in *Inputs) Decode(n source.Node) []source.Problem {
	if n.Kind() != source.Map {
		return []source.Problem{n.Problem("wrong-kind", "from is a map: {distance: length, iso: {kind: iso, else: 100}}")}
	}
	var problems []source.Problem
	for key, value := range n.Pairs() {
		one := Input{Name: key.Text(), Pos: key.Pos()}
		kind := value
		if value.Kind() == source.Map {
			var long struct {
				Kind source.Text `source:"kind,required"`
				Near []string    `source:"near"`
				Must bool        `source:"must"`
				Fact source.Node `source:"fact"`
				Ask  string      `source:"ask"`
				Else source.Node `source:"else"`
				Is   *float64    `source:"is"`
				By   source.Node `source:"words"`
			}
			problems = append(problems, value.Decode(&long)...)
			one.Near, one.Must, one.Ask, one.Is = long.Near, long.Must || long.Is != nil, long.Ask, long.Is
			for word, number := range long.By.Pairs() {
				v, ok := number.Number()
				if !ok {
					problems = append(problems, number.Problem("wrong-kind", "a word stands for a number here"))
				}
				one.By = append(one.By, Spoken{word.Text(), v})
			}
			one.Fact, problems = numberPaths(long.Fact, problems)
			kind, _ = value.Get("kind")
			if long.Else.Kind() == source.Scalar {
				pos, inLine := long.Else.Inside()
				one.Else = &Line{Text: source.Text{Value: long.Else.Text(), Pos: pos, InLine: inLine}, Pos: long.Else.Pos()}
			}
		}
		one.Kind = kind.Text()
		var kinds []string
		for _, k := range Kinds {
			kinds = append(kinds, k.Name)
		}
		problems = oneOf(kind, "kinds", kinds, problems)
		k, _ := KindNamed(one.Kind)
		one.Fact = append(one.Fact, k.Paths...)
		if one.Ask == "" {
			one.Ask = k.Ask
		}
		*in = append(*in, one)
	}
	return problems
}

// numberPaths reads one path or a list of paths of numbers.
func numberPaths(n source.Node, problems []source.Problem) ([]string, []source.Problem) {
	if n.Kind() == source.Nothing {
		return nil, problems
	}
	list, problems := texts(n, problems)
	for _, path := range list {
		top, rest, _ := strings.Cut(path, ".")
		f, ok := fact.Lookup(path)
		ok = ok && f.Kind == fact.Number || slices.Contains(Derived, path) || top == "numbers" && slices.Contains(NumberKeys, rest) || top == "kit" && slices.Contains(KitFields, rest)
		if !ok {
			problems = append(problems, n.Problem("unknown-fact", "%s is no number that is known", path))
		}
	}
	return list, problems
}

// KitFields are the numbers of kit that a question can be computed from.
var KitFields = []string{"size_m", "gn_m", "gn_zoom_mm", "energy_ws", "lux_1m", "power", "zoom_mm", "stops", "weight_kg", "recycle_s", "charge"}

// questionLines are the expressions of the book's questions.
func (b *Book) questionLines(yield func(*Line) bool) bool {
	for i := range b.Questions {
		for j := range b.Questions[i].Ways {
			w := &b.Questions[i].Ways[j]
			for k := range w.From {
				if e := w.From[k].Else; e != nil && !yield(e) {
					return false
				}
			}
			for k := range w.Also {
				if e := w.Also[k].Else; e != nil && !yield(e) {
					return false
				}
			}
			if !yield(w.gives) {
				return false
			}
		}
	}
	return true
}

// ErrNoValue says that an expression has no value here.
var ErrNoValue = errors.New("there is no value")

// Compute is the way's number for its inputs by name.
func (b *Book) Compute(w *Way, inputs map[string]float64) (float64, error) {
	return b.reckon(w.gives, inputs)
}

// Otherwise is what an input comes to that nobody said, for those that are
// there.
func (b *Book) Otherwise(in *Input, inputs map[string]float64) (float64, error) {
	return b.reckon(in.Else, inputs)
}

func (b *Book) reckon(l *Line, inputs map[string]float64) (float64, error) {
	if l == nil || l.program == nil {
		return 0, ErrNoValue
	}
	s := b.scene(&Env{Inputs: inputs})
	defer b.idle.put(s)
	r := s.run(l.program)
	switch {
	case r.truth == True:
		return r.number, nil
	case r.why == "":
		return 0, ErrNoValue
	}
	return 0, errors.New(r.why)
}

// readInput reads an input of a question.
func readInput(name string) func(*Env) reading {
	return func(e *Env) reading {
		if v, ok := e.Inputs[name]; ok {
			return known(v)
		}
		return reading{why: name + " is not known"}
	}
}

// Formulas are the rows of the formula table that the way's expression calls,
// in their order.
func (w *Way) Formulas() []*formula.Formula {
	var out []*formula.Formula
	for _, word := range strings.FieldsFunc(w.Gives.Value, func(r rune) bool { return !(r == '_' || r >= 'a' && r <= 'z' || r >= '0' && r <= '9') }) {
		if f, ok := formula.Lookup(word); ok && !slices.Contains(out, f) && strings.Contains(w.Gives.Value, word+"(") {
			out = append(out, f)
		}
	}
	return out
}

// Question returns a question by its id.
func (b *Book) Question(id string) (*Question, bool) {
	for i := range b.Questions {
		if b.Questions[i].ID == id {
			return &b.Questions[i], true
		}
	}
	return nil, false
}
