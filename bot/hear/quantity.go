package hear

import (
	"math"
	"strings"

	"panelhand/calc/units"
)

type quantityKind uint8

const (
	bareNumber quantityKind = iota
	aperture
	fraction  // 1/200, 1/8: a time or a power, its role comes later
	shutter   // s
	longTime  // s: minutes and hours
	shortTime // s: "20s", a time or a count
	iso
	kelvin
	whiteBalance // kelvin that was dialled
	exposureValue
	lux
	length // m
	area   // m × m
	guide  // m
	energy
	zoom     // mm, of the flash
	syncTime // s
	power
	speed // m/s
	gust  // m/s
	wind  // m/s
	temperature
	weight
	clock // minutes since midnight, v2 where it starts before: 2-6pm
	date
	zoneName // of a time zone, or an offset from UTC
	latitude
	longitude
	age // years
	stops
	angle      // degrees of a turn
	kelvinStep // a change of white balance
	percent
	filter    // ND, in stops
	ratio     // 3:1
	label     // the number of a place or a thing: stall 14
	frames    // 300 frames, 3 rows: a number of things that are nobody
	multiples // "2x", a count before a noun
	refused   // an impossible value; text tells it
)

// A quantity is a number with what it measures, in SI.
type quantity struct {
	kind  quantityKind
	v, v2 float64
	unit  units.Unit // as typed, for the asker's style
	text  string     // date; or what was refused
	plain bool       // a wind without a unit of its own
}

// at returns the token at i, or an empty one past the end.
func (r *reader) at(i int) token {
	if i < 0 || i >= len(r.toks) {
		return token{kind: symbolToken}
	}
	return r.toks[i]
}

func (r *reader) skip(i int, words ...string) int {
	for r.at(i).in(words...) {
		i++
	}
	return i
}

// quantityAt reads the quantity that starts at token i; end is i where there
// is none.
func (r *reader) quantityAt(i int) (q quantity, end int) {
	t := r.toks[i]
	if v, end := r.stopsAt(i); end > i {
		return quantity{kind: stops, v: v}, end
	}
	if t.kind == wordToken && !r.wantsName(i) {
		if q, end = r.dayAt(i); end > i {
			return q, end
		}
		if q, end = r.named(i); end > i {
			return q, end
		}
	}
	if t.is("-") && r.at(i+1).kind == numberToken && r.at(i+1).glued && strings.Contains(r.at(i+1).text, ".") { // the minus of a place
		if q, end := r.pairAt(i + 1); end > 0 {
			return q, end
		}
	}
	if t.symbol() && t.in("-", "+") && r.at(i+1).kind == numberToken && r.at(i+1).glued && !(i > 0 && t.glued) {
		return r.signed(i, i+1, t.is("-"))
	}
	if t.in("minus", "plus", "negative") {
		if _, ok := r.numeral(i + 1); ok && !t.is("plus") {
			return r.signed(i, i+1, true)
		}
	}
	if n, ok := r.numeral(i); ok {
		return r.measured(i, n)
	}
	if t.in("a", "one", "another", "under", "over", "about") { // "a 60th", "a metre", "a stop"
		if r.at(i+1).kind == numberToken && r.at(i+2).glued && r.at(i+2).in("th") && r.at(i+1).num >= 8 {
			return quantity{kind: shutter, v: 1 / r.at(i+1).num}, i + 3
		}
		if t.in("a", "one", "another") && r.handAt(i, i+1) {
			return quantity{kind: length, v: hand}, i + 2
		}
		if unit, end := r.lengthUnit(i + 1); end > i+1 && contains([]string{"m", "metre", "meter", "foot", "yard"}, unit) && !r.at(i+1).is("m") {
			v := 1.0
			if r.at(end).is("and") && r.at(end+1).is("a") && r.at(end+2).is("half") {
				v, end = 1.5, end+3
			}
			metres, _ := units.Length(v, unit)
			return quantity{kind: length, v: float64(metres), unit: styleOf(unit)}, end
		}
	}
	return q, i
}

// signed reads a number with a sign: a temperature, an offset in stops.
func (r *reader) signed(start, i int, negative bool) (quantity, int) {
	n, ok := r.numeral(i)
	if !ok || math.IsInf(n.v, 0) {
		return quantity{}, start
	}
	sign := 1.0
	if negative {
		sign = -1
	}
	if unit, end := r.temperatureUnit(n.end); end > n.end {
		c, ok := units.Temperature(sign*n.v, unit)
		if ok {
			return quantity{kind: temperature, v: c, unit: temperatureStyle(unit)}, end
		}
		return quantity{kind: refused, text: "a temperature of " + r.at(i).text}, end
	}
	if v, end := r.stopsAt(i); end > i {
		return quantity{kind: stops, v: sign * v}, end
	}
	if _, end := r.lengthUnit(n.end); end > n.end {
		if negative && r.at(start).is("-") {
			return quantity{kind: refused, text: "a length of −" + r.at(i).text + " " + r.at(end-1).text}, end
		}
		return r.measured(i, n)
	}
	if !negative {
		if r.at(start).is("+") && n.v <= 5 && (r.at(n.end).kind != wordToken || r.at(n.end).in("on", "for", "bg", "background", "face")) {
			return quantity{kind: stops, v: n.v}, n.end
		}
		return quantity{}, start
	}
	before := r.at(start - 1)
	if before.in("ambient", "ambi", "bg", "background", "exposure", "face", "flash", "fill", "key", "sky", "comp", "compensation", "at", "ev") && r.at(start).text == "-" || before.in("ambient", "ambi", "bg", "background", "fill", "exposure") {
		return quantity{kind: stops, v: -n.v}, n.end
	}
	if n.v >= 3 || r.at(start).is("minus") {
		if n.v <= 60 {
			return quantity{kind: temperature, v: -n.v}, n.end
		}
	}
	return quantity{kind: stops, v: -n.v}, n.end
}
