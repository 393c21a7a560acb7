package hear

import (
	"cmp"
	"math"
	"slices"

	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// An Measure is one number of a message with what it measures: what a question
// reckons with. Set-ups read facts instead, where each number has one role.
type Measure struct {
	Kind   string  // one of rules.Kinds; "number" where nothing says of what
	Value  float64 // SI, as rules.Kinds say
	Unit   units.Unit
	Text   string   // as typed
	Path   string   // of the fact that took it; empty where none did
	Before []string // words before it, the nearest first, up to the number or the pause before
	After  []string // words behind it, the nearest first
	Span   fact.Span

	or string // what else it may be: 1/8 is a power or a time
}

// As returns the amount as another kind would take it. sure is false where
// only the number's size speaks for it.
func (a Measure) As(kind string) (value float64, sure, ok bool) {
	switch {
	case a.Kind == kind:
		return a.Value, true, true
	case a.or == kind:
		return a.Value, false, true
	case kind == "length" && (a.Kind == "focal" || a.Kind == "zoom"):
		return a.Value / 1000, false, true
	case (kind == "focal" || kind == "zoom") && a.Kind == "length" && a.Unit == units.Centimetre && a.Value <= 0.3: // "85 cm" is no lens; "10 cm" may be 100 mm
		return a.Value * 1000, false, true
	case kind == "length" && a.Kind == "width":
		return a.Value, true, true
	case a.Kind != "number":
		return 0, false, false
	}
	v, whole := a.Value, a.Value == math.Trunc(a.Value)
	switch kind {
	case "kelvin":
		ok = v >= 1500 && v <= 20000
	case "focal", "zoom":
		ok = whole && v >= 8 && v <= 600
	case "guide":
		ok = v >= 10 && v <= 120
	case "aperture":
		ok = isMarkedStop(v)
	case "iso":
		ok = isoMark(v)
	case "length": // "good for at 1.5": in metres, where no f-number is marked so
		ok = !whole && v >= 0.3 && v <= 10 && !isMarkedStop(v) && len(a.Before) > 0 && contains([]string{"at", "to", "from"}, a.Before[0])
	case "degree": // "45 up"
		ok = v <= 90 && len(a.After) > 0 && a.After[0] == "up"
	}
	return v, false, ok
}

// kindNames are the amounts that questions reckon with.
var kindNames = map[quantityKind]string{
	bareNumber: "number", frames: "number", multiples: "number", aperture: "aperture", fraction: "time", shutter: "time", shortTime: "time", syncTime: "sync", iso: "iso",
	kelvin: "kelvin", whiteBalance: "kelvin", exposureValue: "ev", lux: "lux", length: "length", guide: "guide", energy: "energy", zoom: "zoom", power: "power", percent: "power",
	speed: "speed", gust: "speed", wind: "speed", weight: "weight", stops: "stops", filter: "filter", ratio: "ratio", clock: "clock", date: "date", latitude: "latitude",
	longitude: "longitude", angle: "degree", kelvinStep: "kelvin", area: "width", temperature: "temperature",
}

// others is what else each kind may be, where the message cannot tell.
var others = map[string]string{"focal": "zoom", "zoom": "focal", "sync": "time", "temperature": "degree"}

// tally lists the amounts of the message in its order, those inside a phrase
// too: "group 2 m wide" counts people and is a length as well.
func (r *reader) tally() []Measure {
	var out []Measure
	for i := 0; i < len(r.toks); i++ {
		switch k := r.owner[i]; {
		case k >= 0 && r.marks[k].word == nil && r.marks[k].start == i:
			out = r.measure(out, &r.marks[k])
		case k >= 0 && r.marks[k].start == i && r.marks[k].word != nil && r.marks[k].word.kit != nil && r.marks[k].word.kit.Kind == "" && r.marks[k].word.kit.Power > 0:
			m := r.marks[k]
			out = r.measure(out, &mark{start: m.start, end: m.end, q: quantity{kind: power, v: m.word.kit.Power}}) // "at full"
		case k >= 0 && r.marks[k].word != nil && r.marks[k].word.kit == nil && (r.toks[i].kind == numberToken || r.stride[i] > 0):
			if q, end := r.quantityAt(i); end > i && q.kind != fraction {
				out = r.measure(out, &mark{start: i, end: end, q: q})
				i = end - 1
			}
		case k < 0 && r.toks[i].in("full") && i > 0 && r.toks[i-1].in("to", "from"):
			out = r.measure(out, &mark{start: i, end: i + 1, q: quantity{kind: power, v: 1}})
		}
	}
	powered := slices.ContainsFunc(out, func(a Measure) bool { return a.Kind == "power" && a.or == "" })
	for k := range out {
		if a := &out[k]; powered && a.or == "power" {
			a.Kind, a.or = "power", "time" // "1/8 against 1/2 power"
		}
		r.join(out, k)
	}
	return out
}

// measure appends what a mark measures.
func (r *reader) measure(out []Measure, m *mark) []Measure {
	kind, ok := kindNames[m.q.kind]
	if !ok || m.is(bareNumber) && r.at(m.start).glued && r.at(m.start-1).is("ev") { // EV100 is a name
		return out
	}
	at := r.span(m.start, m.end)
	a := Measure{Kind: kind, Value: m.q.v, Unit: m.q.unit, Text: r.typed(m.start, m.end), Span: at, Path: r.pathOf(m, at), Before: r.wordsBefore(m.start), After: r.wordsBehind(m.end)}
	a.or = others[kind]
	if m.is(bareNumber) && m.q.v >= 20 && slices.ContainsFunc(r.items, func(it kitMark) bool {
		return it.first <= m.start && m.end <= it.end && math.Abs(it.item.SizeM-m.q.v/100) < 1e-9
	}) {
		a.Kind, a.Value, a.Unit, a.Path = "length", m.q.v/100, units.Centimetre, "kit.size_m" // "softbox 60"
	}
	switch degrees := []string{"degrees", "degree", "deg", "degs", "°"}; {
	case a.Path == "camera.focal_mm":
		a.Kind, a.or = "focal", "zoom"
		if m.is(length) {
			a.Value = math.Round(m.q.v * 1000)
		}
	case m.is(length) && r.at(m.end).in("gn", "guide") && !r.numbersIn(m.end, m.end+1): // "a 118 ft guide number"
		a.Kind = "guide"
	case m.is(area):
		height := a
		height.Kind, height.Value, height.or = "height", m.q.v2, ""
		out = append(out, a)
		a = height
	case m.is(bareNumber) && (r.at(m.end).in("mired", "mireds", "mrd") || r.at(m.start-1).in("mired", "mireds")):
		a.Kind = "mired"
	case m.is(bareNumber) && r.at(m.end).in(degrees...):
		a.Kind = "degree"
	case m.q.v2 > 1 && m.is(power):
		a.or = "time"
	case m.q.v2 > 1 && m.is(shutter):
		a.or = "power"
	case m.is(temperature) && !r.at(m.end-1).in(degrees...):
		a.or = ""
	}
	return append(out, a)
}

// joins are the words between two numbers of one kind.
var joins, passing = set(`to - > vs versus and or into than = becomes want need needs`), set(`from up down then with now goes says is was , at on back pull pulled pulling move moved moving step stepped it`)

// join gives a bare number the kind of the amount that it is weighed against:
// "iso 100 to 640", "from 3 to 1.5 m".
func (r *reader) join(list []Measure, k int) {
	a := &list[k]
	if a.Kind != "number" {
		return
	}
	for _, n := range []int{k - 1, k + 1} {
		if n < 0 || n >= len(list) || list[n].Kind == "number" {
			continue
		}
		between := list[min(k, n)].After
		if digit := slices.IndexFunc(between, func(w string) bool { return w[0] >= '0' && w[0] <= '9' }); digit >= 0 {
			between = between[:digit] // the other stands inside a phrase: "back to 2 m"
		}
		if len(between) == 0 || !slices.ContainsFunc(between, func(w string) bool { return joins[w] }) || list[n].Kind != "lux" && slices.ContainsFunc(between, func(w string) bool { return !joins[w] && !passing[w] && !fillers[w] }) {
			continue
		}
		switch list[n].Kind {
		case "length":
			unit := cmp.Or(list[n].Unit, units.Metre)
			if unit == units.Metre && a.Value >= 20 {
				unit = units.Centimetre // "softbox 60 at 1 m or 90": nobody has one of 90 m
			}
			factor, _ := units.Length(1, string(unit))
			a.Kind, a.Value, a.Unit = "length", a.Value*float64(factor), unit
		case "iso", "aperture", "kelvin", "ev", "lux", "mired", "stops", "weight":
			a.Kind = list[n].Kind
		default:
			continue
		}
		return
	}
}

// pathOf is the fact that took the number at a mark.
func (r *reader) pathOf(m *mark, at fact.Span) string {
	for i := range fact.Table {
		if f := &fact.Table[i]; f.Kind == fact.Number {
			if v, ok := r.out.Facts.Get(f.Path); ok && v.Span == at {
				return f.Path
			}
		}
	}
	for _, item := range r.out.Facts.Kit() {
		if (m.is(length) || m.is(area)) && item.SizeM == m.q.v {
			return "kit.size_m"
		}
	}
	return ""
}

// nearby is how many words beside a number may say what it is of.
const nearby = 6

func (r *reader) wordsBefore(i int) []string {
	var out []string
	for j := i - 1; j >= 0 && len(out) < nearby && r.besideNumber(j); j-- {
		out = append(out, r.toks[j].text)
	}
	return out
}

func (r *reader) wordsBehind(i int) []string {
	var out []string
	for j := i; j < len(r.toks) && len(out) < nearby && r.besideNumber(j); j++ {
		out = append(out, r.toks[j].text)
	}
	return out
}

// besideNumber reports whether token j still belongs to the number beside it.
func (r *reader) besideNumber(j int) bool {
	k := r.owner[j]
	return !(k >= 0 && r.marks[k].word == nil) && !r.toks[j].breaks() && !r.toks[j].in(",", ":", "(", ")")
}

// A listener finds which questions a message asks.
type listener struct{ *lexicon }

func newListener(questions []rules.Question, known *vocabulary) listener {
	l := listener{&lexicon{vocabulary: known, byWord: map[string][]*phrase{}}}
	for i := range questions {
		e := &entry{Word: rules.Word{ID: questions[i].ID}}
		for _, say := range questions[i].Say {
			l.add(e, say)
		}
	}
	return l
}

// askers are the words that ask for what comes next, askedFor those behind it.
var (
	askers   = set(`what which whats wots wot whatll how find calc calculate compute convert give need many much new`)
	askedFor = set(`? needed need required now please pls = do does should can must for of`)
)

// directness is what it is worth that a phrase is asked for, not only named.
const directness = 4

// An Ask is a question that the message asks: how much the words that ask it
// say, and where they stand.
type Ask struct {
	Points int
	Span   fact.Span
}

// asked finds the questions whose phrases stand in the message, each by its best
// phrase. A word inside an amount ("1/4 power") asks nothing: a
// quantity named without a number is what is wanted.
func (r *reader) asked() map[string]Ask {
	if r.questions.phrases == 0 {
		return nil
	}
	var found map[string]Ask
	hear := func(ph *phrase, i int) {
		var best match
		r.follow(ph, 0, nil, i, i, match{}, &best)
		if best.word == nil || best.number == 0 && r.numbersIn(i, best.end) { // a phrase with a hole has taken its own
			return
		}
		score := best.score
		if r.toks[i].kind == wordToken && r.askedAt(i, best.end) {
			score += directness
		}
		if found == nil {
			found = map[string]Ask{}
		}
		if score > found[best.word.ID].Points {
			found[best.word.ID] = Ask{score, r.span(i, best.end)}
		}
	}
	for i, t := range r.toks {
		for _, ph := range r.questions.byWord[t.text] {
			hear(ph, i)
		}
		if s := r.stems[i]; s != "" {
			for _, ph := range r.questions.byWord[s] {
				hear(ph, i)
			}
		}
	}
	return found
}

func (r *reader) numbersIn(i, end int) bool {
	for ; i < end; i++ {
		if k := r.owner[i]; k >= 0 && r.marks[k].word == nil {
			return true
		}
	}
	return false
}

// askedAt reports whether the words around a phrase ask for it; what a message
// begins with it asks for too: "power for f8 at 3 m".
func (r *reader) askedAt(i, end int) bool {
	before := i - 1
	for before >= 0 && fillers[r.toks[before].text] {
		before--
	}
	return before < 0 || askers[r.toks[before].text] || end == len(r.toks) || askedFor[r.toks[end].text]
}

// asking reports whether the message reads as a question at all: by a question
// mark or word, because it begins as what is answered by yes or no, or with the
// name of a number that crews ask for by nothing but that: "dof", "recycle time".
func (r *reader) asking() bool {
	if len(r.toks) > 0 && yesOrNo[r.toks[0].text] {
		return true
	}
	if v, ok := r.out.Facts.ChoiceValue("ask", "number"); ok && v.Span.Start == r.span(0, 1).Start {
		return true
	}
	return slices.ContainsFunc(r.toks, func(t token) bool {
		return t.is("?") || t.kind == wordToken && questionWords[t.text]
	})
}

var yesOrNo = set(`will does is are would`)

var questionWords = set(`what which whats wots wot how when where calc calculate compute convert work find`)

// Says reports whether one of the words stands in the message, in the
// singular too.
func (r Reading) Says(words ...string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return r.words[w] })
}

func (r *reader) wordSet() map[string]bool {
	words := make(map[string]bool, 2*len(r.toks))
	for i, t := range r.toks {
		if t.kind != numberToken {
			words[t.text] = true
			words[r.stems[i]] = true
		}
	}
	return words
}

// wantsName reports whether the name of a quantity at token i is what is asked
// for, so that the number behind it is another's: "what iso for 320 lux", "how
// long at 1/8".
func (r *reader) wantsName(i int) bool {
	if r.at(i).in("long") {
		return i > 0 && r.toks[i-1].is("how")
	}
	j := i + 1
	guide := r.at(i).in("gn", "guide")
	if r.at(i).is("guide") && r.at(j).is("number") {
		j++
	}
	if !guide && !r.at(i).in("iso", "asa", "ev", "shutter", "aperture", "exposure", "power", "lux", "kelvin") || r.at(j+1).kind != numberToken {
		return false
	}
	if !r.at(j).in("for", "at", "in", "under", "with", "from", "to") && (guide || !r.at(j).in("is", "of")) {
		return false
	}
	unit := r.at(j + 2)
	return unit.in("lux", "lx", "ev", "k", "kelvin", "m", "cm", "mm", "ft", "kg", "mired", "stops", "stop", "degrees") || unit.is("/") && r.at(i).in("iso", "asa", "ev", "lux", "aperture")
}
