package hear

import (
	"math"
	"slices"

	"panelhand/calc/units"
	"panelhand/rules/fact"
)

// An Amount is how much of a change a message asks for or complains of: "half
// a stop too bright", "20 cm lower", "a touch warmer". What it is an amount of
// stands beside it in the message: compare the spans.
type Amount struct {
	Value float64 // in Unit, with the sign that was typed; 0 for Little and Much
	Unit  AmountUnit
	Span  fact.Span
}

// An AmountUnit says what an amount counts.
type AmountUnit string

// The units of amounts. A click of a dial is a third of a stop (trade handbook
// §4).
const (
	Stops   AmountUnit = "stops"
	Metres  AmountUnit = "m"
	Degrees AmountUnit = "deg"
	Kelvins AmountUnit = "K"
	Times   AmountUnit = "times"  // "half the power", "double the distance"
	Little  AmountUnit = "little" // "a touch", "slightly"
	Much    AmountUnit = "much"   // "way", "a lot"
)

// click is the step of a dial, in stops.
const click = 1.0 / 3

// stopWords are what exposure is counted in, in stops.
var stopWords = map[string]float64{"stop": 1, "stops": 1, "ev": 1, "click": click, "clicks": click, "notch": click, "notches": click}

// shares are parts of a whole.
var shares = map[string]float64{"half": 0.5, "quarter": 0.25, "third": click, "thirds": click, "full": 1, "whole": 1}

// stopsAt reads a number of stops or clicks at token i: "a stop", "half a
// stop", "2/3 of a stop", "two clicks", "a stop and a half". end is i where
// there is none.
func (r *reader) stopsAt(i int) (stops float64, end int) {
	v, j := 1.0, i
	switch n, ok := r.numeral(i); {
	case ok && n.word && r.at(i).is("half"), !ok && shares[r.at(i).text] > 0, r.at(i).in("a", "one", "another") && shares[r.at(i+1).text] > 0:
		if r.at(i).in("a", "one", "another") {
			j++
		}
		v, j = shares[r.at(j).text], j+1
	case ok && math.IsInf(n.v, 0):
		return 0, i
	case ok:
		v, j = n.v, n.end
		if next, more := r.numeral(j); more && next.den > 0 && next.v < 1 && n.den == 0 {
			v, j = v+next.v, next.end
		}
		if s := shares[r.at(j).text]; s > 0 && s < 1 {
			v, j = v*s, j+1 // "two thirds"
		}
	case r.at(i).in("a", "another") && r.at(i+1).in("couple", "few"):
		v, j = 2, i+2
	case r.at(i).in("couple") && r.at(i+1).in("stops", "clicks"):
		v, j = 2, i+1
	case r.at(i).in("a", "another"):
		j = i + 1
	default:
		return 0, i
	}
	if r.at(j).is("of") {
		j++
	}
	if r.at(j).in("a", "an") {
		j++
	}
	if shares[r.at(j-1).text] == click && j > i+1 && r.at(j).in("too", "over", "under", "brighter", "darker", "hotter", "off", "shy", "short", "slower", "faster", "more", "less", "up", "down") {
		return v, j // "a third too hot": of a stop
	}
	if shares[r.at(j-1).text] == click && j > i+1 && r.at(i-1).is("by") && (j == len(r.toks) || r.at(j).pauses()) {
		return v, j // "down by a third"
	}
	if j > i && v <= 6 && r.at(j).in("under", "over") && r.at(j+1).kind != wordToken && r.at(j+1).kind != numberToken && r.toks[i].kind == numberToken {
		return v, j // "2 under, f4": said of a frame, and of nothing else
	}
	unit, ok := stopWords[r.at(j).text]
	if !ok || r.at(j).kind != wordToken || r.at(j).is("ev") && (v > 3 || r.at(j+1).kind == numberToken) || r.at(j+1).in("nd", "filter") || j == i {
		return 0, i
	}
	j++
	if r.at(j).is("and") && r.at(j+1).is("a") && r.at(j+2).is("half") {
		v, j = v+0.5, j+3
	}
	return v * unit, j
}

// strides notes where a number of stops stands: it may stand inside a phrase,
// "bg half a stop too bright".
func (r *reader) strides() {
	r.stride = make([]int, len(r.toks))
	for i := range r.toks {
		first := i
		if r.toks[i].in("about", "around", "roughly", "nearly", "almost", "by", "maybe") {
			first++
		}
		if _, end := r.stopsAt(first); end > first {
			r.stride[i] = end - i
		}
	}
}

// amounts finds how much is asked for, and takes the lengths and angles that
// are changes away from what would take them for sizes, distances and the
// weather.
func (r *reader) amounts() {
	for i := 0; i < len(r.toks); i++ {
		if v, end := r.stopsAt(i); end > i {
			if k := r.owner[i]; k < 0 || r.marks[k].word == nil || r.marks[k].word.kit == nil {
				if r.at(i-1).in("-", "minus") && r.at(i-1).kind == symbolToken {
					v = -v
				}
				r.amount(v, Stops, i, end)
			}
			i = end - 1
			continue
		}
		if v, end := r.timesAt(i); end > i {
			r.amount(v, Times, i, end)
			continue
		}
		if unit := r.roughly(i); unit != "" {
			r.amount(0, unit, i, i+1)
		}
	}
	for k := range r.marks {
		m := &r.marks[k]
		switch {
		case m.is(stops) && !slices.ContainsFunc(r.out.Amounts, func(a Amount) bool { return overlaps(a.Span, r.span(m.start, m.end)) }):
			r.amount(m.q.v, Stops, m.start, m.end)
		case m.is(length) && r.moves(m):
			m.used = true
			r.amount(m.q.v, Metres, m.start, m.end)
			if r.out.Style.Length == "" {
				r.out.Style.Length = m.q.unit
			}
		case m.is(angle):
			m.used = true
			r.amount(m.q.v, Degrees, m.start, m.end)
		case m.is(kelvinStep), m.is(kelvin) && (r.at(m.end).in("warmer", "cooler", "colder", "up", "down") || r.before(m.start, 1, "by")):
			m.used = true
			r.amount(m.q.v, Kelvins, m.start, m.end)
		}
	}
	slices.SortFunc(r.out.Amounts, func(a, b Amount) int { return a.Span.Start - b.Span.Start })
}

func overlaps(a, b fact.Span) bool { return a.Start < b.End && b.Start < a.End }

func (r *reader) amount(v float64, unit AmountUnit, i, end int) {
	r.out.Amounts = append(r.out.Amounts, Amount{Value: v, Unit: unit, Span: r.span(i, end)})
}

// farthestMove is the longest way that a crew moves a thing by in one step;
// what is longer is where the thing stands.
const farthestMove = 1.5 // m

// moves reports whether a length is a change of place: "20 cm lower", "back by
// 10 cm", "in 8 inches".
func (r *reader) moves(m *mark) bool {
	next := r.at(m.end)
	if m.used || m.q.v > farthestMove || r.at(m.end-1).in("mm", "mil") || next.in("from", "off", "behind", "away", "panel", "to") || m.q.unit == units.Metre && next.in("wide", "tall") {
		return false
	}
	if next.in("lower", "higher", "closer", "nearer", "further", "farther") {
		return !r.at(m.end + 1).in("than")
	}
	if k := r.markEnding(m.start); k >= 0 && r.marks[k].isKit() && r.lifted(r.marks[k].start) {
		return true
	}
	if r.at(m.start-1).is("it") && r.before(m.start, 2, "lift", "raise", "lower", "drop") {
		return true
	}
	if r.at(m.end-1).in("hand", "hands") {
		return true // read for nothing else
	}
	if r.before(m.start, 1, "by") || next.in("back", "down", "forward", "in", "out") && r.turning(m.start) || next.in("back", "down", "forward", "up") && (r.placeBehind(m.start, 3) == atPanel || r.placeBehind(m.start, 3) == atFlash) {
		return true
	}
	return r.before(m.start, 1, "lower", "higher", "closer", "nearer", "further", "farther", "back", "down", "up", "in", "out", "forward") && (m.end == len(r.toks) || next.pauses() || next.kind == wordToken && !r.inside(m.end)) &&
		(r.before(m.start, 2, "lower", "higher", "closer", "nearer", "further", "farther", "back", "down", "forward") || r.turning(m.start) || r.opens(m.start-1) || r.placeBehind(m.start, 3) == atPanel || r.placeBehind(m.start, 3) == atFlash)
}

// opens reports whether token i is the first of its clause: "in a foot".
func (r *reader) opens(i int) bool { return i == 0 || i > 0 && r.toks[i-1].pauses() }

// hand is what helpers call ten centimetres (trade handbook §6).
const hand = 0.1 // m

// handAt reads hands as a length where something is moved by them: "down a
// hand", "in by a hand", "two hands higher". n hands, the word at token i, stand
// from token start on. A thing in a hand is held.
func (r *reader) handAt(start, i int) bool {
	if !r.at(i).in("hand", "hands") {
		return false
	}
	before := r.at(start - 1)
	switch {
	case r.at(i+1).in("free", "full", "up", "over", "on", "to", "held", "light"), r.before(start, 4, "hold", "holds", "holding", "held", "put", "puts"), before.is("raise"):
		return false
	case r.at(i+1).in("higher", "lower", "closer", "nearer", "further", "farther"), before.in("by"):
		return true
	case before.in("out", "back", "closer", "nearer", "higher", "lower", "further", "farther", "down", "up", "forward"):
		return true
	}
	if r.at(i+1).pauses() && r.placeBehind(start, 2) == atPanel && r.before(start, 4, "raise", "lower", "drop", "lift") { // "raise the panel a hand"
		return true
	}
	return before.is("in") && r.at(i).is("hand") && (r.opens(start-1) || r.turning(start) || r.placeBehind(start, 2) == atPanel)
}

// turning reports whether something is being moved in the words before token i.
func (r *reader) turning(i int) bool {
	return r.before(i, 6, "move", "bring", "take", "put", "push", "pull", "raise", "drop", "lower", "lift", "go", "come", "walk", "step", "shift", "slide", "get")
}

// flashWords name the flash in "double the flash", "half as much gun".
var flashWords = set(`flash gun strobe`)

// timesAt reads a change said as a multiple: "double the power", "half the
// distance", "twice as far", "half as much flash".
func (r *reader) timesAt(i int) (v float64, end int) {
	t := r.at(i)
	switch {
	case t.in("double", "twice", "doubled", "doubling"):
		v = 2
	case t.in("triple"):
		v = 3
	case t.in("half", "halve", "halved", "halving"):
		v = 0.5
	default:
		return 0, i
	}
	if t.is("half") && r.at(i-1).is("in") && r.before(i, 5, "cut", "chop") {
		return v, i + 1
	}
	j := i + 1
	for r.at(j).in("the", "as", "that", "my", "its") || flashWords[r.at(j).text] {
		j++
	}
	if j > i+1 && r.at(j).in("power", "distance", "output", "far", "close", "near", "big", "bright", "dark", "soft", "strong", "hard", "much", "high", "light", "iso") || t.in("double", "halve", "doubled", "halved") && r.at(j).in("it", "power", "distance") {
		if r.at(j + 1).is("again") { // "half as much again" is another sum
			return 0, i
		}
		return v, j + 1
	}
	if flashWords[r.at(j-1).text] {
		return v, j
	}
	return 0, i
}

// comparatives may follow a rough amount.
var comparatives = set(`more less too over under darker brighter lighter softer harder warmer cooler colder closer nearer further farther lower higher bigger smaller wider tighter deeper shallower flatter harsher crisper
	moodier stronger weaker sharper blurrier punchier calmer cleaner greener redder bluer shinier airier dimmer hotter`)

// roughly returns the unit of a rough amount at token i, or nothing.
func (r *reader) roughly(i int) AmountUnit {
	t, next := r.at(i), r.at(i+1)
	if t.kind != wordToken {
		return ""
	}
	ahead := comparatives[next.text]
	switch {
	case t.in("slightly", "marginally"), t.in("bit", "tad", "smidge", "smidgen", "smidgin", "fraction", "touch", "hair", "whisker") && (ahead || r.at(i-1).in("a", "wee", "little", "tiny", "just", "one") && !next.in("the", "her", "his", "of")),
		t.in("bit", "tad", "touch") && (i == 0 || r.toks[i-1].pauses()) && !next.in("the", "her", "his", "them", "it"), t.in("little") && ahead:
		return Little
	case t.in("way", "much", "lot", "lots", "loads", "far", "miles", "heaps", "tons", "ages", "massively", "hugely") && ahead && !r.at(i-1).in("as", "how", "that", "so") && !(next.in("under", "over") && t.in("far", "lot", "lots")):
		return Much
	}
	return ""
}
