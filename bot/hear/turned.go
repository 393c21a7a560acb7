package hear

import (
	"math"
	"slices"

	"panelhand/rules/fact"
)

// farTurn is the longest way, in metres, that something is taken to be moved
// by; more is where it is to stand.
const farTurn = 0.5

// amounts reads by how much something is to be turned or moved: "half a stop",
// "by 20 cm", "15 degrees more to the side". Numbers that say where a thing stands
// ("panel in to 0.8 m") are left to be read as that.
func (r *reader) amounts() {
	asked := slices.ContainsFunc(r.turn, func(k int) bool { return k >= 0 })
	for i := 0; i < len(r.toks); i++ {
		v, end := r.stopsAt(i)
		if end == i || r.before(i, 1, "nd", "ratio") || r.at(end).in("nd", "filter", "grad", "polarizer") {
			continue
		}
		r.put("amount.stops", v, r.span(i, end))
		break
	}
	for k := range r.marks {
		m := &r.marks[k]
		if m.word != nil || m.used {
			continue
		}
		path := ""
		switch m.q.kind {
		case stops:
			if !r.before(m.start, 1, "nd") && !r.at(m.end).in("nd", "filter") {
				path = "amount.stops"
				r.signedTurn(m)
			}
		case length:
			by := r.before(m.start, 1, "by")
			to := r.before(m.start, 1, "to", "at", "from", "is", "@")
			if by || asked && !to && m.q.v <= farTurn && !r.at(m.end).in("from", "off", "behind", "away") {
				path = "amount.m"
			}
		case temperature:
			if asked && r.at(m.end-1).in("deg", "degree", "degrees", "°") {
				path = "amount.deg"
			}
		}
		if path == "" {
			continue
		}
		if _, said := r.out.Facts.Get(path); !said {
			r.put(path, math.Abs(m.q.v), r.span(m.start, m.end))
		}
		m.used = m.q.kind != stops // a filter's or a ratio's stops are read where they belong
		if m.q.kind == length && m.q.unit != "" {
			r.out.Style.Length = m.q.unit
		}
	}
}

// stopsAt reads an amount of light in words or figures at token i: "half a
// stop", "two clicks", "a third of a stop", "2/3 stop"; end is i where there is
// none. A click is a third of a stop. It looks inside phrases too, for "bg a stop
// darker" is one phrase.
func (r *reader) stopsAt(i int) (v float64, end int) {
	switch t := r.at(i); {
	case t.in("third", "thirds", "quarter") && t.kind == wordToken:
		v, end = 1, i
	case t.in("a", "one", "1") && r.at(i+1).in("third", "quarter"), t.in("two", "2") && r.at(i+1).in("thirds"):
		v, end = 1, i+1
		if t.in("two", "2") {
			v = 2
		}
	case t.in("half") && r.at(i+1).in("stop", "click"):
		v, end = 0.5, i+1
	case t.is("a") && r.at(i+1).in("stop", "click"):
		v, end = 1, i+1
	default:
		n, ok := r.numeral(i)
		if !ok || n.v < 0 || n.v > 10 {
			return 0, i
		}
		v, end = n.v, n.end
	}
	switch part := r.at(end); {
	case part.in("third", "thirds"):
		v, end = v/3, end+1
	case part.is("quarter"):
		v, end = v/4, end+1
	}
	if r.at(end).is("of") && r.at(end+1).in("a", "one") {
		end += 2
	}
	switch unit := r.at(end); {
	case unit.in("stop", "stops"):
		return v, end + 1
	case unit.in("click", "clicks", "notch", "notches"):
		return v / clicksPerStop, end + 1
	}
	return 0, i
}

// clicksPerStop is how many marks of a dial make a stop.
const clicksPerStop = 3

// signedTurn takes "flash −1" and "power +2/3" as what is to be turned.
func (r *reader) signedTurn(m *mark) {
	if !r.at(m.start).in("+", "-", "minus", "plus") || !r.before(m.start, 1, "flash", "strobe", "power", "key") {
		return
	}
	turn := "power-up"
	if m.q.v < 0 {
		turn = "power-down"
	}
	r.out.Facts.Add("turn", turn, fact.Value{Origin: fact.Said, Span: r.span(m.start, m.end)})
}
