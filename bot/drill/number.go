package drill

import (
	"math"
	"slices"
	"strings"

	"panelhand/rules"
)

// classes say what class each unit of an answer is, what one of it is in the
// class's unit, and whether an answer must name it. What a dial shows, a ratio and
// a number of things need no unit: the figure is written so.
var classes = map[string]struct {
	of    class
	worth float64
	named bool
}{
	"level": {stop, 1, true}, "stops": {stop, 1, true}, "ev": {ev, 1, false}, "lux": {lux, 1, true},
	"m": {length, 1, true}, "cm": {length, 0.01, true}, "mm": {length, 0.001, true},
	"f-number": {fNumber, 1, false}, "iso": {iso, 1, false}, "shutter": {duration, 1, false}, "power": {power, 1, false},
	"k": {kelvin, 1, true}, "deg": {angle, 1, true}, "kg": {mass, 1, true}, "min": {duration, 60, true}, "percent": {percent, 1, true},
	"ratio": {ratio, 1, false}, "mired": {mired, 1, true}, "count": {count, 1, false},
}

// number marks a number by the handbook's rule (trade handbook §10.2): within
// tolerance one point, only the direction right a half, a half off where the unit
// is missing. A figure that is right without its direction is a half too (house
// rule). A point is right, half a point half, nothing not yet.
func number(deal rules.Deal, said reply) (Mark, string) {
	unit, right := deal.Drill.Answer.Unit, deal.Answer()
	c := classes[unit]
	var fitting []amount
	for _, a := range said.amounts {
		if v, named, ok := a.as(unit, c.of, right); ok {
			class := bare
			if named {
				class = c.of
			}
			fitting = append(fitting, amount{v / c.worth, class, a.sign})
		}
	}
	if slices.ContainsFunc(fitting, func(a amount) bool { return a.class != bare }) { // "at 3, 2 stops": the one with the unit
		fitting = slices.DeleteFunc(fitting, func(a amount) bool { return a.class == bare })
	}
	return judge(deal, said, fitting, c.named)
}

func judge(deal rules.Deal, said reply, fitting []amount, named bool) (Mark, string) {
	right, unit := deal.Answer(), deal.Drill.Answer.Unit
	within := func(v, r float64) bool { return holds(deal.Drill.Within, unit, v, r) }
	directed := unit == "level"
	way := said.direction
	for _, a := range fitting {
		if a.sign != 0 && way == 0 {
			way = a.sign
		} else if a.sign != 0 && way != a.sign && !(way == -1 && a.sign == -1) {
			way = contradicted
		}
	}
	wanted := 0
	if directed {
		wanted = 1
		if right < 0 {
			wanted = -1
		}
		if within(0, right) { // nothing is neither up nor down
			wanted = 0
		}
	}
	near, far := 0, 0
	for _, a := range fitting {
		v, r := a.value, right
		if directed {
			v, r = math.Abs(v), math.Abs(r)
		} else if a.sign < 0 && unit != "stops" {
			v = -v
		}
		if within(v, r) {
			near++
		} else {
			far++
		}
	}
	unitless := named && !slices.ContainsFunc(fitting, func(a amount) bool { return a.class != bare })
	switch {
	case len(fitting) == 0 && len(said.amounts) > 0:
		return NotYet, "other-unit"
	case len(fitting) == 0:
		if wanted != 0 && way == wanted {
			return Half, "direction-alone"
		}
		return NotYet, "other-way"
	case said.hedged, near > 0 && far > 0:
		return NotYet, "two-answers"
	case near == 0 && wanted != 0 && way == wanted && !unitless:
		return Half, "direction-right"
	case near == 0:
		return NotYet, "off"
	case wanted != 0 && way == 0 && unitless:
		return NotYet, "bare-figure"
	case wanted != 0 && way == 0:
		return Half, "no-direction"
	case wanted != 0 && way != wanted:
		return NotYet, "other-way"
	case said.below && strings.Contains(deal.Drill.Ask.Value, "above"):
		return NotYet, "other-way"
	case unitless:
		return Half, "no-unit"
	}
	return Right, "right"
}

// as turns an amount into a class, where it can be of it, and tells whether its
// unit was typed. What is written without one is taken as the answer is written.
func (a amount) as(unit string, want class, right float64) (v float64, named, ok bool) {
	v = a.value
	switch {
	case a.class == want:
		return v, true, true
	case a.class == under && (want == duration && unit == "shutter" || want == power):
		return v, true, true
	case a.class == under && want == stop && v > 0.1: // "1/3" of a stop, not a shutter
		return v, false, true
	case a.class == percent && want == power:
		return v / 100, true, true
	case a.class == count && want == power && v == 1: // "full"
		return v, true, true
	case a.class != bare:
		return 0, false, false
	case unit == "shutter" && v >= 2 && right < 0.5: // 250 is 1/250
		return 1 / v, true, true
	case unit == "shutter" || want == power:
		return v, true, true
	}
	return v * classes[unit].worth, false, true
}

// holds reports whether a value is near enough. Both are in the answer's unit.
func holds(t *rules.Tolerance, unit string, v, right float64) bool {
	const rounding = 1e-9
	switch t.Kind {
	case rules.ByPercent:
		return math.Abs(v-right) <= math.Abs(right)*t.By/100+rounding
	case rules.ByStops:
		if !(v > 0) || !(right > 0) {
			return false
		}
		stops := math.Abs(math.Log2(v / right))
		if unit == "f-number" { // light goes with its square
			stops *= 2
		}
		return stops <= t.By+rounding
	}
	return math.Abs(v-right) <= t.By+rounding
}
