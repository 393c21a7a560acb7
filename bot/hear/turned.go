package hear

import (
	"math"
	"slices"
)

// farTurn is the longest way, in metres, that something is taken to be moved
// by; more is where it is to stand.
const farTurn = 0.5

// amounts reads by how much something is to be turned or moved: "half a stop",
// "by 20 cm", "15 degrees more to the side". Numbers that say where a thing stands
// ("panel in to 0.8 m") are left to be read as that.
func (r *reader) amounts() {
	asked := slices.ContainsFunc(r.turn, func(k int) bool { return k >= 0 })
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
