package hear

import (
	"math"

	"panelhand/rules/fact"
)

// sized writes down the first amount of each unit as a fact, so that rules can
// read it: a rough one is a share of what a rule would do first.
func (r *reader) sized() {
	for _, a := range r.out.Amounts {
		path := map[AmountUnit]string{Stops: "amount.stops", Metres: "amount.m", Degrees: "amount.deg", Kelvins: "amount.k", Times: "amount.times"}[a.Unit]
		v := math.Abs(a.Value)
		switch a.Unit {
		case Little:
			path, v = "amount.share", little
		case Much:
			path, v = "amount.share", much
		}
		if row, ok := fact.Lookup(path); !ok || v < row.Low || v > row.High {
			continue // nobody turns anything by that much
		}
		if _, said := r.out.Facts.Get(path); !said {
			r.out.Facts.Put(path, fact.Value{Number: v, Origin: fact.Said, Span: a.Span})
		}
	}
	for k := range r.marks {
		// "flash to 1/8" asks for a power; "1/8 and still too dark" reports one
		if m := &r.marks[k]; (m.is(power) || m.is(fraction)) && r.before(m.start, 2, "to", "set", "try", "make", "put", "go") {
			r.out.Facts.Add("turn", "power-to", fact.Value{Origin: fact.Said, Span: r.span(m.start, m.end)})
		}
	}
}

// A touch is half of a first move, a lot is one and a half of it (common
// practice).
const little, much = 0.5, 1.5
