package hear

import (
	"math"

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
	zoom // mm, of the flash
	sync // s
	power
	speed // m/s
	gust  // m/s
	wind  // m/s
	temperature
	weight
	clock // minutes since midnight
	date
	latitude
	longitude
	age // years
	stops
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

// unitWords are spellings of lengths beyond those units.Length takes.
var unitWords = map[string]string{
	"mtr": "m", "mtrs": "m", "mts": "m", "mt": "m", "meteres": "m", "metros": "m", "ms": "m", "cms": "cm", "centimeters": "cm", "mms": "mm", "mil": "mm", "mill": "mm", "millimeter": "mm",
	"ins": "in", "inchs": "in", "foots": "ft", "fts": "ft", "yds": "yd",
}

// styleOf is the unit in which an asker who types this one is answered.
func styleOf(unit string) units.Unit {
	switch unit {
	case "cm", "cms", "centimetre", "centimetres", "centimeter", "centimeters", "mm", "millimetre", "millimetres":
		return units.Centimetre
	case "in", "ins", "inch", "inches", `"`:
		return units.Inch
	case "ft", "foot", "feet", "'", "yd", "yard", "yards":
		return units.Foot
	}
	return units.Metre
}

// lengthUnit reads a unit of length at i.
func (r *reader) lengthUnit(i int) (unit string, end int) {
	if i >= len(r.toks) {
		return "", i
	}
	t := r.toks[i]
	text := t.text
	if t.kind == emojiToken || t.kind == numberToken {
		return "", i
	}
	if to, ok := unitWords[text]; ok {
		if text == "ms" && !t.glued {
			return "", i
		}
		text = to
	}
	if _, ok := units.Length(1, text); !ok || text == "km" {
		return "", i
	}
	if text == "in" && !t.glued && !r.inches(i) {
		return "", i
	}
	return text, i + 1
}

// inches tells "a 40 in panel" from "2 in the shade": a loose "in" is a unit
// only where no place follows it.
func (r *reader) inches(i int) bool {
	if i+1 >= len(r.toks) {
		return true
	}
	next := r.toks[i+1]
	if next.kind == symbolToken {
		return true
	}
	return next.in("panel", "panels", "reflector", "umbrella", "brolly", "diffuser", "softbox", "octa", "octabox", "disc", "disk", "round", "wide", "across", "diameter", "folding", "pop", "white", "silver", "gold", "translucent", "white", "from", "away", "x", "scrim", "pnl", "refl", "by", "and")
}

func (r *reader) speedUnit(i int) (unit string, end int) {
	if i >= len(r.toks) || r.toks[i].kind == numberToken {
		return "", i
	}
	text := r.toks[i].text
	if i+2 < len(r.toks) && r.toks[i+1].is("/") && r.toks[i+2].kind == wordToken {
		joined := text + "/" + r.toks[i+2].text
		if _, ok := units.Speed(1, joined); ok {
			return joined, i + 3
		}
	}
	if i+2 < len(r.toks) && r.toks[i+1].in("per", "an", "a") {
		switch {
		case contains([]string{"km", "kms", "k", "kilometers", "kilometres", "kilometer", "kilometre"}, text) && r.toks[i+2].in("hour", "h", "hr"):
			return "km/h", i + 3
		case contains([]string{"miles", "mile"}, text) && r.toks[i+2].in("hour", "h", "hr"):
			return "mph", i + 3
		case contains([]string{"m", "metres", "meters", "metre", "meter"}, text) && r.toks[i+2].in("second", "s", "sec"):
			return "m/s", i + 3
		}
	}
	switch text {
	case "beaufort", "bft", "bf", "force":
		return "force", i + 1
	case "kmhr", "kms", "kmh", "klicks", "kilometers", "kmp":
		return "km/h", i + 1
	case "kn", "kt", "kts", "knot", "knots":
		return "knots", i + 1
	case "ms":
		return "", i
	}
	if _, ok := units.Speed(1, text); ok {
		return text, i + 1
	}
	return "", i
}

func windStyle(unit string) units.Unit {
	switch unit {
	case "m/s", "mps", "m/sec":
		return units.MetrePerSecond
	case "mph", "mi/h":
		return units.MilePerHour
	case "knots":
		return units.Knot
	case "force":
		return units.Force
	}
	return units.KilometrePerHour
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

// A numeral is a number as written.
type numeral struct {
	v        float64
	den      float64 // of a fraction 1/den, else 0
	word     bool    // written as a word
	negative bool
	end      int
}

var numberWords = map[string]float64{
	"zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14,
	"fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19, "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
	"dozen": 12,
}

// numeral reads a number at i: digits, words, "a pair of", "3 1/2", "1/8",
// "one and a half", "half a".
func (r *reader) numeral(i int) (n numeral, ok bool) {
	t := r.at(i)
	switch {
	case t.kind == numberToken:
		n = numeral{v: t.num, end: i + 1}
		if r.at(i+1).is("/") && r.at(i+2).kind == numberToken && (r.at(i+1).glued || !r.at(i+2).glued) {
			den := r.at(i + 2).num
			n.end = i + 3
			n.den = den
			if den == 0 {
				n.v = math.Inf(1)
			} else {
				n.v = t.num / den
			}
			return n, true
		}
		// a mixed number: 3 1/2
		if next := r.at(i + 1); next.kind == numberToken && next.num == 1 && t.num == math.Trunc(t.num) && t.num < 100 && r.at(i+2).is("/") && r.at(i+3).kind == numberToken {
			if den := r.at(i + 3).num; den == 2 || den == 3 || den == 4 || den == 8 {
				if _, end := r.lengthUnit(i + 4); end > i+4 || r.at(i+4).in("stop", "stops") {
					return numeral{v: t.num + 1/den, end: i + 4}, true
				}
			}
		}
		if r.at(i+1).is("and") && r.at(i+2).is("a") && r.at(i+3).is("half") {
			return numeral{v: t.num + 0.5, end: i + 4}, true
		}
		return n, true
	case t.kind != wordToken:
		return n, false
	case t.is("half") && r.at(i+1).in("a", "an"):
		return numeral{v: 0.5, word: true, end: i + 2}, true
	case t.in("a", "one") && r.at(i+1).is("pair") && r.at(i+2).is("of"):
		return numeral{v: 2, word: true, end: i + 3}, true
	case t.is("pair") && r.at(i+1).is("of"):
		return numeral{v: 2, word: true, end: i + 2}, true
	case t.is("a") && r.at(i+1).is("couple") && r.at(i+2).is("of"):
		return numeral{v: 2, word: true, end: i + 3}, true
	case t.is("couple") && r.at(i+1).is("of"):
		return numeral{v: 2, word: true, end: i + 2}, true
	case t.is("a") && r.at(i+1).is("dozen"):
		return numeral{v: 12, word: true, end: i + 2}, true
	}
	v, known := numberWords[t.text]
	if !known {
		return n, false
	}
	n = numeral{v: v, word: true, end: i + 1}
	if v >= 20 && v <= 90 {
		if unit, ok := numberWords[r.at(i+1).text]; ok && unit >= 1 && unit <= 9 && r.at(i+1).kind == wordToken {
			n.v, n.end = v+unit, i+2
		}
	}
	if r.at(n.end).is("hundred") {
		n.v, n.end = n.v*100, n.end+1
	}
	switch {
	case r.at(n.end).is("and") && r.at(n.end+1).is("a") && r.at(n.end+2).is("half"):
		n.v, n.end = n.v+0.5, n.end+3
	case r.at(n.end).is("point") && r.at(n.end+1).kind == wordToken:
		if d, ok := numberWords[r.at(n.end+1).text]; ok && d >= 0 && d <= 9 {
			n.v, n.end = n.v+d/10, n.end+2
		}
	}
	return n, true
}

// quantityAt reads the quantity that starts at token i; end is i where there
// is none.
func (r *reader) quantityAt(i int) (q quantity, end int) {
	t := r.toks[i]
	if t.kind == wordToken {
		if q, end = r.named(i); end > i {
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
		if unit, end := r.lengthUnit(i + 1); end > i+1 && contains([]string{"m", "metre", "meter", "foot", "yard"}, unit) && !r.at(i+1).is("m") {
			v := 1.0
			if r.at(end).is("and") && r.at(end+1).is("a") && r.at(end+2).is("half") {
				v, end = 1.5, end+3
			}
			metres, _ := units.Length(v, unit)
			return quantity{kind: length, v: float64(metres), unit: styleOf(unit)}, end
		}
		if r.at(i + 1).in("stop") {
			return quantity{kind: stops, v: 1}, i + 2
		}
	}
	return q, i
}

// between skips the small words that stand between a name and its number.
func (r *reader) between(i int) int {
	for {
		t := r.at(i)
		if t.in("at", "of", "is", "to", "on", "already", "set", "now", "currently", "around", "about", "say", "says", "was", "up", "upto", "max", "only", "just", "stuck", "maxed", "limit", "speed", "reads", "be", "a", "the", "down", "~", "=", ":", "@", "for", "drag", "dragged", "forecast", "blowing", "roughly", "approx", "over", "into") {
			i++
			continue
		}
		return i
	}
}

// named reads quantities that begin with their name: "f 2.8", "iso 400",
// "sync 1/250".
func (r *reader) named(i int) (q quantity, end int) {
	t := r.toks[i]
	next := func(j int) (numeral, bool) { return r.numeral(r.between(j)) }
	switch t.text {
	case "f", "fstop", "aperture", "fnumber":
		j := i + 1
		if t.is("f") && r.at(j).in("stop", "number") {
			j++
		}
		for r.at(j).in("/", ":", "-", "=", "at", "of", "is", "to", "stop") {
			j++
		}
		if r.at(j).kind == numberToken && (r.at(j).glued || !t.is("f") || j > i+1 || !r.at(j).in("x")) {
			n := r.at(j).num
			end := j + 1
			if r.at(j+1).is("/") && r.at(j+2).kind == numberToken && t.is("f") && r.at(j+1).glued {
				end = j + 1 // f4/200: the next number is a time's
			}
			switch n { // the point forgotten: no lens is marked so
			case 28, 35, 56, 63, 71:
				n /= 10
			}
			if !(n >= 0.7 && n <= 64) {
				return quantity{kind: refused, text: "f/" + r.at(j).text}, end
			}
			return quantity{kind: aperture, v: n}, end
		}
		return q, i
	case "iso", "asa":
		j := r.between(i + 1)
		if n := r.at(j); n.kind == numberToken && !r.at(j+1).is("/") {
			v, end := n.num, j+1
			if r.at(end).is("k") && r.at(end).glued {
				v, end = v*1000, end+1
			}
			if !(v >= 25 && v <= 409600) {
				return quantity{kind: refused, text: "ISO " + n.text}, end
			}
			return quantity{kind: iso, v: v}, end
		}
	case "ev":
		j := i + 1
		if r.at(j).kind == numberToken && r.at(j).num == 100 && r.at(j).glued {
			j++
		}
		j = r.between(j)
		sign := 1.0
		if r.at(j).in("-", "minus") {
			sign, j = -1, j+1
		}
		if n := r.at(j); n.kind == numberToken && r.at(i+1).text != "at" {
			return quantity{kind: exposureValue, v: sign * n.num}, j + 1
		}
	case "gn", "guide":
		j := i + 1
		if r.at(j).in("number", "no", "num", "nr", "n") {
			j++
		}
		if n, ok := next(j); ok {
			end := n.end
			v := n.v
			unit, after := r.lengthUnit(end)
			if end < len(r.toks) && r.at(end).is("(") {
				unit, after = r.lengthUnit(end + 1)
				if unit != "" && r.at(after).is(")") {
					after++
				}
			}
			switch {
			case unit == "ft" || unit == "feet" || unit == "foot" || unit == "'":
				metres, _ := units.Length(v, "ft")
				v, end = float64(metres), after
			case unit != "" && unit != "mm" && unit != "cm" && unit != "in":
				end = after
			case v > 80:
				// no small flash has such a guide number in metres
				metres, _ := units.Length(v, "ft")
				v = float64(metres)
			}
			if v > 0 && v < 400 {
				return quantity{kind: guide, v: v}, end
			}
			return quantity{kind: refused, text: "guide number " + r.at(n.end-1).text}, end
		}
	case "wb", "kelvin", "balance", "wbal", "cct":
		if n, ok := next(i + 1); ok && n.den == 0 && !n.word {
			v, end := n.v, n.end
			if r.at(end).in("k", "kelvin") {
				end++
			}
			if v < 20 {
				v *= 1000
			}
			if v >= 1500 && v <= 25000 {
				kind := whiteBalance
				if t.is("cct") {
					kind = kelvin
				}
				return quantity{kind: kind, v: v}, end
			}
		}
	case "zoom", "zoomed", "zooming":
		j := i + 1
		for r.at(j).in("head", "in", "out", "at", "to", "stuck", "set", "is", "on", "the", "flash", "mm", "manually", "fixed", ":", "=") {
			j++
		}
		if n := r.at(j); n.kind == numberToken && n.num >= 10 && n.num <= 250 {
			end := j + 1
			if r.at(end).in("mm", "mil") {
				end++
			}
			return quantity{kind: zoom, v: n.num}, end
		}
	case "sync", "syncs", "xsync", "synch":
		if n, ok := next(i + 1); ok {
			if v, ok := asShutter(n); ok && v <= 1.0/15 {
				return quantity{kind: sync, v: v}, r.secondsEnd(n.end)
			}
		}
	case "shutter", "ss", "tv", "exposure":
		if n, ok := next(i + 1); ok {
			if n.den == 0 && !math.IsInf(n.v, 1) && !n.word && n.v != 0 {
				after := r.secondsEnd(n.end)
				if after > n.end && r.at(n.end).text != "th" && n.v <= 60 {
					return quantity{kind: shutter, v: n.v}, after
				}
			}
			if _, end := r.lengthUnit(n.end); end > n.end {
				return q, i // "shutter at 85mm"
			}
			if v, ok := asShutter(n); ok {
				return quantity{kind: shutter, v: v}, r.secondsEnd(n.end)
			}
		}
	case "power", "pwr", "output":
		j := r.between(i + 1)
		if p, end := r.powerAt(j); end > j && !r.at(end).in("stop", "stops") {
			return quantity{kind: power, v: p}, end
		}
	case "force", "beaufort", "bft", "bf", "f5b":
		if n, ok := next(i + 1); ok && n.v <= 12 && n.den == 0 {
			v, _ := units.Speed(n.v, "force")
			return quantity{kind: speed, v: float64(v), unit: units.Force}, n.end
		}
	case "gust", "gusts", "gusting", "gusty", "wind", "winds":
		j := i + 1
		for r.at(j).in("speed", "speeds", "to", "of", "up", "at", "around", "about", "is", "now", "are", "~", ":", "=", "over", "hitting", "reaching", "max", "forecast", "near", "nearly", "like", "in", "the", "some") && j < i+5 {
			j++
		}
		if n, ok := r.numeral(j); ok && n.den == 0 {
			if _, end := r.speedUnit(n.end); end > n.end {
				return q, i // the number has a unit: read from there
			}
			if n.end < len(r.toks) && r.at(n.end).is("-") && r.at(n.end+1).kind == numberToken {
				return q, i
			}
			if !r.at(n.end).in("m", "min", "mins", "people", "ppl", "flash", "panel", "degrees", "c", "kg", "cm", "in", "ft", "°", "minutes", "stands", "stops") && n.v >= 3 && n.v <= 200 {
				kind := wind
				if t.text[0] == 'g' {
					kind = gust
				}
				return quantity{kind: kind, v: n.v, plain: true}, n.end
			}
		}
	case "lux", "lx":
		if n, ok := next(i + 1); ok && n.den == 0 && r.at(n.end-1).kind == numberToken {
			return quantity{kind: lux, v: n.v}, n.end
		}
	case "lat", "latitude":
		if n, ok := r.signedNumber(i + 1); ok {
			return r.hemisphere(quantity{kind: latitude, v: n.v}, n.end)
		}
	case "lon", "long", "lng", "longitude":
		if n, ok := r.signedNumber(i + 1); ok && r.at(n.end-1).kind == numberToken {
			if _, end := r.lengthUnit(n.end); end > n.end || math.Abs(n.v) > 180 {
				return q, i
			}
			return r.hemisphere(quantity{kind: longitude, v: n.v}, n.end)
		}
	case "nd":
		j := i + 1
		if r.at(j).in("filter") {
			j++
		}
		if n := r.at(j); n.kind == numberToken && n.num > 0 {
			end := j + 1
			switch {
			case r.at(end).in("stop", "stops"):
				return quantity{kind: filter, v: n.num}, end + 1
			case n.num < 2: // optical density
				return quantity{kind: filter, v: n.num / math.Log10(2)}, end
			case n.num <= 100000:
				stops := math.Log2(n.num)
				if rounded := math.Round(stops); math.Abs(stops-rounded) < 0.1 {
					stops = rounded // ND1000 is ten stops
				}
				return quantity{kind: filter, v: stops}, end
			}
		}
	case "age", "aged":
		if n, ok := next(i + 1); ok && n.v < 120 {
			return quantity{kind: age, v: n.v}, n.end
		}
	case "stall", "stalls", "kiosk", "platform", "pier", "gate", "bay", "unit", "room", "row", "track", "no", "nr", "number", "level", "floor", "take", "v", "version", "day", "set", "look", "slot", "berth", "shed", "door", "pitch", "hall", "lot", "section", "line", "bus", "tram", "stand", "shop", "block", "dock", "ch", "channel", "shot", "frame", "week", "route", "building", "zone", "booth", "part", "step", "terminal", "quay", "jetty", "pontoon", "deck", "grp", "scene":
		j := i + 1
		if r.at(j).in("no", "nr", "number", "#") {
			j++
			if r.at(j).is(".") {
				j++
			}
		}
		if n := r.at(j); n.kind == numberToken && n.num == math.Trunc(n.num) && n.num < 1000 && !r.at(j+1).is("/") {
			if t.in("no") && j == i+1 {
				return q, i
			}
			if t.in("stand", "quay", "hall", "pier", "platform", "shop", "deck", "dock", "building", "set", "row", "line", "room", "gate", "door", "frame", "look", "shot", "shed", "floor", "day", "step") {
				// "stand 2 m", "hall 20 people": a number with a noun or unit of its own
				next := r.at(j + 1)
				if next.kind == wordToken && !next.in("is", "and", "with", "at", "has", "in", "under", "on", "by", "near", "for", "again", "today", "n", "where", "we", "the") || next.kind == symbolToken && next.in("'", `"`, "x", "°") {
					return q, i
				}
			}
			return quantity{kind: label, v: n.num}, j + 1
		}
	case "full", "half", "quarter", "eighth", "sixteenth", "max", "maximum", "min", "minimum", "lowest", "low":
		if v, end := r.powerAt(i); end > i && r.at(end).in("power", "pwr", "output", "blast", "tilt", "whack") {
			return quantity{kind: power, v: v}, end + 1
		}
		if t.is("half") && r.at(i+1).in("stop") {
			return quantity{kind: stops, v: 0.5}, i + 2
		}
		if t.is("half") {
			if unit, end := r.lengthUnit(i + 1); end > i+1 && contains([]string{"metre", "meter", "m"}, unit) {
				return quantity{kind: length, v: 0.5, unit: units.Metre}, end
			}
		}
	case "noon", "midday":
		return q, i
	}
	return q, i
}

// powerAt reads a share of full power: a fraction, a percentage, a word.
func (r *reader) powerAt(i int) (p float64, end int) {
	switch r.at(i).text {
	case "full", "max", "maximum":
		return 1, i + 1
	case "half":
		return 0.5, i + 1
	case "quarter":
		return 0.25, i + 1
	case "eighth":
		return 0.125, i + 1
	case "sixteenth":
		return 1.0 / 16, i + 1
	}
	n, ok := r.numeral(i)
	if !ok || n.word {
		return 0, i
	}
	if n.den > 0 && n.den <= 512 && n.v <= 1 {
		if r.at(n.end).is("th") && r.at(n.end).glued {
			n.end++
		}
		return n.v, n.end
	}
	if r.at(n.end).is("%") && n.v > 0 && n.v <= 100 {
		return n.v / 100, n.end + 1
	}
	return 0, i
}

// asShutter takes a number after "shutter" or "sync" as a time: 1/250 or 250.
func asShutter(n numeral) (float64, bool) {
	if n.den > 0 {
		return n.v, n.v > 0 && n.v <= 60
	}
	if n.v >= 15 && n.v <= 32000 {
		return 1 / n.v, true
	}
	return 0, false
}

func (r *reader) secondsEnd(i int) int {
	if r.at(i).in("s", "sec", "secs", "second", "seconds", "th") {
		return i + 1
	}
	return i
}

func (r *reader) signedNumber(i int) (numeral, bool) {
	i = r.between(i)
	if r.at(i).in("-", "minus") {
		n, ok := r.numeral(i + 1)
		n.v = -n.v
		return n, ok
	}
	return r.numeral(i)
}

func (r *reader) hemisphere(q quantity, end int) (quantity, int) {
	if r.at(end).is("°") {
		end++
	}
	switch r.at(end).text {
	case "s", "south", "w", "west":
		q.v = -math.Abs(q.v)
		end++
	case "n", "north", "e", "east":
		end++
	}
	return q, end
}

// signed reads a number with a sign: a temperature, an offset in stops.
func (r *reader) signed(start, i int, negative bool) (quantity, int) {
	n, ok := r.numeral(i)
	if !ok {
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
	if r.at(n.end).in("stop", "stops", "ev", "click", "clicks") {
		return quantity{kind: stops, v: sign * n.v}, n.end + 1
	}
	if _, end := r.lengthUnit(n.end); end > n.end {
		if negative && r.at(start).is("-") {
			return quantity{kind: refused, text: "a length of −" + r.at(i).text + " " + r.at(end-1).text}, end
		}
		return r.measured(i, n)
	}
	if !negative {
		if r.at(start).is("+") && n.v <= 5 && !(r.at(n.end).kind == wordToken) {
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

func (r *reader) temperatureUnit(i int) (unit string, end int) {
	j := i
	if r.at(j).in("°") {
		j++
	} else if r.at(j).in("degrees", "degree", "deg", "degs") {
		j++
	}
	switch r.at(j).text {
	case "c", "celsius", "centigrade", "celcius":
		if j > i || r.at(j).glued || !r.at(j).is("c") {
			return "c", j + 1
		}
	case "f", "fahrenheit", "farenheit":
		if (j > i || r.at(j).glued || !r.at(j).is("f")) && r.at(j+1).kind != numberToken && !r.at(j+1).is("/") {
			return "f", j + 1
		}
	}
	if j == i {
		return "", i
	}
	// degrees alone: an angle where a direction or a width is spoken of
	for k := j; k < j+4; k++ {
		if r.at(k).in("side", "angle", "up", "down", "wide", "off", "to", "left", "right", "above", "seen", "from", "round", "turn", "tilt", "tilted", "apart", "camera", "axis", "latitude") {
			return "", i
		}
	}
	for k := i - 4; k < i; k++ {
		if r.at(k).in("angle", "tilt", "turn", "turned", "az", "el", "elevation", "height", "up", "rotate", "raise", "azimuth", "at") && !r.at(k).is("at") {
			return "", i
		}
	}
	return "c", j
}

func temperatureStyle(unit string) units.Unit {
	if unit == "f" {
		return units.Fahrenheit
	}
	return units.Celsius
}

// nouns that take a number without being people, kit or a setting.
var thingNouns = map[string]bool{
	"frames": true, "shots": true, "pops": true, "pics": true, "photos": true, "pictures": true, "rows": true, "looks": true, "setups": true, "steps": true, "images": true, "portraits": true,
	"batteries": true, "batts": true, "cells": true, "outfits": true, "locations": true, "stalls": true, "kiosks": true, "times": true, "images/frames": true, "spots": true, "tables": true,
	"skin": true, "tones": true, "skins": true, "sets": true, "backgrounds": true, "floors": true, "storeys": true, "fps": true, "gb": true, "mp": true, "per": true, "row": true, "sides": true, "chairs": true, "benches": true, "windows": true, "boats": true, "bikes": true, "takes": true, "colours": true, "colors": true, "star": true, "hands": true, "lights": true, "lamps": true, "bulbs": true, "clicks": true, "notches": true, "euros": true, "quid": true, "euro": true, "days": true, "weeks": true, "trees": true, "umbrellas": false,
}

// measured reads what follows the number n that starts at token i.
func (r *reader) measured(i int, n numeral) (quantity, int) {
	j := n.end
	next := r.at(j)
	// fractions
	if n.den > 0 || math.IsInf(n.v, 1) {
		return r.fraction(i, n)
	}
	// the impossible said plainly
	if n.v == 0 && next.in("iso") && next.kind == wordToken {
		return quantity{kind: refused, text: "ISO 0"}, j + 1
	}
	if q, end := r.clockAt(i, n); end > 0 {
		return q, end
	}
	if q, end := r.coordinates(i, n); end > 0 {
		return q, end
	}
	// sizes: 80x80cm, 48"x32", 60 x 90 cm, 4 by 6 ft
	if q, end := r.areaAt(i, n); end > 0 {
		return q, end
	}
	// a range: the second number carries the unit
	if next.is("-") && r.at(j+1).kind == numberToken && r.at(j+1).glued {
		q, end := r.measured(j+1, numeral{v: r.at(j + 1).num, end: j + 2})
		if end > j+1 && q.kind != bareNumber && q.kind != refused {
			if q.kind == length && r.at(end-1).is("mm") { // a zoom lens says no focal length
				return quantity{kind: frames, v: n.v}, end
			}
			return q, end
		}
		return quantity{kind: bareNumber, v: r.at(j + 1).num, v2: n.v}, j + 2
	}
	if next.glued && next.in("th") && n.v >= 30 {
		return quantity{kind: shutter, v: 1 / n.v}, j + 1
	}
	if next.glued && next.in("st", "nd", "rd", "th") {
		return quantity{kind: label, v: n.v}, j + 1
	}
	switch {
	case next.in("iso", "asa") && next.kind == wordToken && r.at(j+1).kind != numberToken && n.v >= 25 && n.v <= 409600 && !n.word:
		return quantity{kind: iso, v: n.v}, j + 1
	case next.in("k") && next.glued && n.v >= 1500 && n.v <= 25000, next.in("kelvin", "kelvins", "k") && n.v >= 1500 && n.v <= 25000:
		return quantity{kind: kelvin, v: n.v}, j + 1
	case next.in("k", "kelvin") && n.v >= 1.7 && n.v <= 15 && !n.word && (n.v != math.Trunc(n.v) || next.glued):
		return quantity{kind: kelvin, v: n.v * 1000}, j + 1
	case next.in("ev") && next.kind == wordToken && r.at(j+1).kind != numberToken:
		if r.at(i-1).in("+", "-", "plus") {
			return quantity{kind: stops, v: n.v}, j + 1
		}
		return quantity{kind: exposureValue, v: n.v}, j + 1
	case next.in("lux", "lx") && r.at(j+1).kind != numberToken, next.in("lux", "lx"):
		return quantity{kind: lux, v: n.v}, j + 1
	case next.in("fc", "footcandles", "footcandle"), next.in("foot") && r.at(j+1).in("candles", "candle"):
		end := j + 1
		if next.is("foot") {
			end++
		}
		return quantity{kind: lux, v: n.v * 10.764}, end // lm/ft² in lm/m²
	case next.in("ws", "wattseconds", "j", "joule", "joules") && n.v > 0:
		return quantity{kind: energy, v: n.v}, j + 1
	case next.in("watt", "watts") && r.at(j+1).in("second", "seconds", "sec"):
		return quantity{kind: energy, v: n.v}, j + 2
	case next.in("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "lb", "lbs", "pound", "pounds"):
		if kg, ok := units.Mass(n.v, next.text); ok {
			return quantity{kind: weight, v: float64(kg)}, j + 1
		}
	case next.is("%"):
		return quantity{kind: percent, v: n.v / 100}, j + 1
	case next.in("am", "pm") || next.in("oclock"):
		hours := n.v
		if next.is("pm") && hours < 12 {
			hours += 12
		}
		if hours < 24 {
			return quantity{kind: clock, v: hours * 60}, j + 1
		}
	case next.in("stop", "stops", "click", "clicks"):
		if r.at(j+1).in("nd") || r.at(j+1).in("filter") {
			end := j + 2
			if r.at(end).in("filter") {
				end++
			}
			return quantity{kind: filter, v: n.v}, end
		}
		return quantity{kind: stops, v: n.v}, j + 1
	case next.in("yrs", "yr", "yo", "years", "year") && n.v < 120:
		end := j + 1
		if r.at(end).in("old", "olds") {
			end++
		}
		return quantity{kind: age, v: n.v}, end
	case next.in("y") && next.glued && n.v < 120:
		end := j + 1
		if r.at(end).is("/") && r.at(end+1).is("o") {
			end += 2
		}
		return quantity{kind: age, v: n.v}, end
	case next.in("month", "months", "mo", "mth", "mths", "week", "weeks", "wk", "wks") && r.at(j+1).in("old", "baby", "olds"):
		years := n.v / 12
		if next.text[0] == 'w' {
			years = n.v / 52
		}
		return quantity{kind: age, v: years}, j + 2
	case next.in("min", "mins", "minute", "minutes", "minuten", "minutos"):
		return quantity{kind: longTime, v: n.v * 60}, j + 1
	case next.in("hr", "hrs", "hour", "hours"), next.is("h") && next.glued:
		return quantity{kind: longTime, v: n.v * 3600}, j + 1
	case next.in("s", "sec", "secs", "second", "seconds") && !r.at(j+1).is("/"):
		return quantity{kind: shortTime, v: n.v}, j + 1
	case next.is("x") && r.at(j+1).kind == wordToken:
		return quantity{kind: multiples, v: n.v}, j + 1
	case next.is("m") && !next.glued && r.at(j+1).kind == numberToken:
	}
	if unit, end := r.speedUnit(j); end > j && !(next.is("ms") && !next.glued) {
		if v, ok := units.Speed(n.v, unit); ok && v < 100 {
			return quantity{kind: speed, v: float64(v), unit: windStyle(unit)}, end
		}
		return quantity{kind: refused, text: "a wind of " + r.at(i).text}, end
	}
	if unit, end := r.temperatureUnit(j); end > j {
		if c, ok := units.Temperature(n.v, unit); ok && c >= -50 && c <= 60 {
			below := 1.0
			if r.at(end).in("below") {
				below, end = -1, end+1
				c *= below
			}
			return quantity{kind: temperature, v: c, unit: temperatureStyle(unit)}, end
		}
		return quantity{kind: refused, text: "a temperature of " + r.at(i).text}, end
	}
	if unit, end := r.lengthUnit(j); end > j {
		return r.lengthAt(n, unit, end)
	}
	if thingNouns[next.text] && next.kind == wordToken {
		return quantity{kind: frames, v: n.v}, j // the noun may mean more; it stays
	}
	if !n.word && n.v != math.Trunc(n.v) && isMarkedStop(n.v) && !(next.kind == wordToken && next.glued) {
		return quantity{kind: aperture, v: n.v}, j
	}
	if r.at(i-1).in("@", "at") && !n.word && isMarkedStop(n.v) && n.v >= 1 && n.v <= 22 && r.lensBefore(i-1) {
		return quantity{kind: aperture, v: n.v}, j
	}
	return quantity{kind: bareNumber, v: n.v}, j
}

// isMarkedStop reports whether lenses are marked so.
func isMarkedStop(v float64) bool {
	for _, mark := range []float64{1.2, 1.4, 1.8, 2.2, 2.5, 2.8, 3.2, 3.5, 4.5, 5.6, 6.3, 7.1, 2, 4, 8, 11, 16, 22} {
		if v == mark {
			return true
		}
	}
	return false
}

// lensBefore reports whether a lens, an ISO or a shutter stands right before i.
func (r *reader) lensBefore(i int) bool {
	if len(r.marks) == 0 {
		return false
	}
	last := r.marks[len(r.marks)-1]
	if last.word != nil || last.end < i-1 {
		return false
	}
	return last.q.kind == length && r.at(last.end-1).in("mm", "mil") || last.q.kind == iso || last.q.kind == shutter || last.q.kind == fraction
}

// lengthAt reads the rest of a length whose first unit ends at end: 7ft6,
// 4'6", 6 foot 2, 1m50.
func (r *reader) lengthAt(n numeral, unit string, end int) (quantity, int) {
	metres, ok := units.Length(n.v, unit)
	if !ok {
		return quantity{kind: refused, text: "a length of " + r.at(end-2).text + " " + unit}, end
	}
	style := styleOf(unit)
	next := r.at(end)
	switch {
	case style == units.Foot && (next.kind == numberToken && next.num < 12 && (next.glued || !r.at(end+1).is("/") && (r.at(end+1).in(`"`, "in", "inch", "inches") || unit != "'" && r.at(end+1).kind != wordToken && r.at(end+1).kind != numberToken))):
		inches, _ := units.Length(next.num, "in")
		metres += inches
		end++
		if r.at(end).in(`"`, "in", "inch", "inches") {
			end++
		}
	case unit == "m" && next.kind == numberToken && next.glued && next.num >= 10 && next.num < 100:
		metres += units.Metres(next.num / 100)
		end++
	case style == units.Foot && next.is("and") && r.at(end+1).is("a") && r.at(end+2).is("half"):
		half, _ := units.Length(0.5, unit)
		metres += half
		end += 3
	case unit == "m" && next.is("and") && r.at(end+1).is("a") && r.at(end+2).is("half"):
		metres += 0.5
		end += 3
	}
	return quantity{kind: length, v: float64(metres), unit: style}, end
}

// areaAt reads "60x90cm", `48"x32"`, "4 by 6 ft".
func (r *reader) areaAt(i int, n numeral) (quantity, int) {
	unit, j := r.lengthUnit(n.end)
	if !r.at(j).in("x", "by", "*") {
		return quantity{}, 0
	}
	second := r.at(j + 1)
	if second.kind != numberToken {
		return quantity{}, 0
	}
	unit2, end := r.lengthUnit(j + 2)
	if unit2 == "" {
		unit2 = unit
	}
	if unit == "" {
		unit = unit2
	}
	if unit == "" {
		if n.v < 20 || second.num < 20 || n.v > 400 || second.num > 400 {
			return quantity{}, 0
		}
		unit, unit2 = "cm", "cm" // "softbox 60x90": centimetres, no other unit gives a box
	}
	a, ok1 := units.Length(n.v, unit)
	b, ok2 := units.Length(second.num, unit2)
	if !ok1 || !ok2 {
		return quantity{}, 0
	}
	return quantity{kind: area, v: float64(max(a, b)), v2: float64(min(a, b)), unit: styleOf(unit)}, end
}

// fraction reads what a fraction is of.
func (r *reader) fraction(i int, n numeral) (quantity, int) {
	j := n.end
	if n.den == 0 || math.IsInf(n.v, 0) || n.v <= 0 {
		return quantity{kind: refused, text: r.at(i).text + "/" + r.at(i+2).text}, j
	}
	numerator := r.at(i).num
	next := r.at(j)
	if next.is("/") && r.at(j+1).kind == numberToken { // a date: 12/05/2025
		return quantity{kind: date, text: r.at(i).text + "/" + r.at(i+2).text + "/" + r.at(j+1).text}, j + 2
	}
	switch {
	case next.in("stop", "stops"):
		return quantity{kind: stops, v: n.v}, j + 1
	case next.in("of") && r.at(j+1).in("a") && r.at(j+2).in("stop"):
		return quantity{kind: stops, v: n.v}, j + 3
	case next.in("power", "pwr", "output"):
		return quantity{kind: power, v: n.v}, j + 1
	case next.in("s", "sec", "secs", "second", "seconds", "shutter") && !r.at(j+1).is("/"):
		return quantity{kind: shutter, v: n.v}, j + 1
	case next.in("sync"):
		return quantity{kind: sync, v: n.v}, j + 1
	case next.is("th") && next.glued:
		if r.at(j+1).in("power", "pwr") {
			return quantity{kind: power, v: n.v}, j + 2
		}
		if r.at(j+1).in("s", "sec", "second") || n.den > 64 {
			return quantity{kind: shutter, v: n.v}, r.secondsEnd(j + 1)
		}
		return quantity{kind: fraction, v: n.v, v2: n.den}, j + 1
	}
	if unit, end := r.lengthUnit(j); end > j && numerator < n.den {
		return r.lengthAt(n, unit, end)
	}
	if numerator != 1 {
		return quantity{kind: frames, v: n.v}, j
	}
	return quantity{kind: fraction, v: n.v, v2: n.den}, j
}

// clockAt reads times of day and dates; end is 0 where there is none.
func (r *reader) clockAt(i int, n numeral) (quantity, int) {
	if n.word {
		return quantity{}, 0
	}
	j := n.end
	t := r.at(i)
	if r.at(j).is(":") && r.at(j).glued && r.at(j+1).kind == numberToken && r.at(j+1).glued {
		minutes := r.at(j + 1)
		if len(minutes.text) == 2 && t.num < 25 && minutes.num < 60 {
			end := j + 2
			hours := t.num
			if r.at(end).is(":") && r.at(end+1).kind == numberToken {
				end += 2
			}
			if r.at(end).in("am", "pm") {
				if r.at(end).is("pm") && hours < 12 {
					hours += 12
				}
				end++
			}
			if r.at(end).in("h", "hrs", "z", "utc", "gmt") {
				end++
			}
			if hours < 24 {
				return quantity{kind: clock, v: hours*60 + minutes.num}, end
			}
		}
		return quantity{kind: ratio, v: t.num, v2: minutes.num}, j + 2
	}
	if r.at(j).is("to") && r.at(j+1).kind == numberToken && r.at(j+1).num == 1 && r.at(j+2).in("ratio") {
		return quantity{kind: ratio, v: t.num, v2: 1}, j + 3
	}
	// 2024-06-20
	if len(t.text) == 4 && t.num > 1900 && t.num < 2200 && r.at(j).is("-") && r.at(j+1).kind == numberToken && r.at(j+2).is("-") && r.at(j+3).kind == numberToken {
		return quantity{kind: date, text: t.text + "-" + r.at(j+1).text + "-" + r.at(j+3).text}, j + 4
	}
	// 21 dec 2024, 15th august
	k := j
	if r.at(k).in("st", "nd", "rd", "th") && r.at(k).glued {
		k++
	}
	if r.at(k).in("of") {
		k++
	}
	if month(r.at(k).text) > 0 && r.at(k).kind == wordToken && t.num >= 1 && t.num <= 31 {
		text := t.text + " " + r.at(k).text
		k++
		if y := r.at(k); y.kind == numberToken && len(y.text) == 4 {
			text, k = text+" "+y.text, k+1
		}
		return quantity{kind: date, text: text}, k
	}
	return quantity{}, 0
}

var monthNames = []string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}

// month returns 1 to 12, or 0. "may" and "mar" alone are too short a word to
// trust without a day before them, which the caller has seen.
func month(word string) int {
	if len(word) < 3 || len(word) > 9 {
		return 0
	}
	for k, name := range monthNames {
		if word == name || len(word) > 3 && word[:3] == name && fullMonths[k] == word || word == name+"t" {
			return k + 1
		}
	}
	return 0
}

var fullMonths = []string{"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"}

// coordinates reads "51.5N", "151.21E".
func (r *reader) coordinates(i int, n numeral) (quantity, int) {
	t := r.at(n.end)
	if !t.glued || n.word {
		return quantity{}, 0
	}
	end := n.end
	if t.is("°") {
		end++
		t = r.at(end)
	}
	switch t.text {
	case "n", "s":
		if n.v > 90 || t.is("s") && n.v == math.Trunc(n.v) && !r.eastFollows(end+1) || t.is("n") && !r.eastFollows(end+1) {
			return quantity{}, 0
		}
		v := n.v
		if t.is("s") {
			v = -v
		}
		return quantity{kind: latitude, v: v}, end + 1
	case "e", "w":
		if len(r.marks) == 0 || r.marks[len(r.marks)-1].q.kind != latitude || n.v > 180 {
			return quantity{}, 0
		}
		v := n.v
		if t.is("w") {
			v = -v
		}
		return quantity{kind: longitude, v: v}, end + 1
	}
	return quantity{}, 0
}

// eastFollows reports whether a longitude comes next.
func (r *reader) eastFollows(i int) bool {
	i = r.skip(i, ",")
	return r.at(i).kind == numberToken && (r.at(i+1).in("e", "w") || r.at(i+1).is("°"))
}
