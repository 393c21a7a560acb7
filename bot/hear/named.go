package hear

import (
	"math"
	"strconv"

	"panelhand/calc/units"
)

// between skips the small words that stand between a name and its number.
func (r *reader) between(i int) int {
	for {
		t := r.at(i)
		if t.in("at", "of", "is", "to", "on", "already", "set", "now", "currently", "around", "about", "say", "says", "was", "up", "upto", "max", "only", "just", "stuck", "maxed", "capped", "limit", "speed", "reads", "be", "a", "the", "down", "~", "=", ":", "@", "for", "drag", "dragged", "forecast", "blowing", "roughly", "approx", "over", "into") {
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
		if r.at(j).num == 1 && !r.at(j).glued && r.at(j+1).is("/") && r.at(j+2).kind == numberToken { // "what f at 1/60"
			return q, i
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
		if r.at(j).in("no", "not", "never") && r.at(j+1).in("more", "higher", "over", "above") { // "iso no more than 800"
			if j += 2; r.at(j).is("than") {
				j++
			}
		} else if r.at(j).in("under", "below") {
			j++
		}
		if n, ok := r.numeral(j); ok && n.word && n.v >= 25 {
			return quantity{kind: iso, v: n.v}, n.end // "iso four hundred"
		}
		if n := r.at(j); n.kind == numberToken && !r.at(j+1).is("/") && !r.measures(j+1) {
			v, end := n.num, j+1
			if r.at(end).is("k") && r.at(end).glued {
				v, end = v*1000, end+1
			}
			if v == 1 || v == 2 || v == 4 || v == 8 || v == 16 { // the hundreds left out
				r.say("I took ISO " + n.text + " as " + strconv.Itoa(int(v)*100) + ".")
				v *= 100
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
		if r.at(j).is("at") {
			return q, i // "guide number at 70" asks for it, at a zoom
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
		if n := r.at(j); n.kind == numberToken && n.num >= 10 && n.num <= 250 && !r.measures(j+1) {
			end := j + 1
			if r.at(end).in("mm", "mil") {
				end++
			}
			return quantity{kind: zoom, v: n.num}, end
		}
	case "sync", "syncs", "xsync", "synch":
		if n, ok := next(i + 1); ok {
			if v, ok := asShutter(n); ok && v <= 1.0/15 {
				return quantity{kind: syncTime, v: v}, r.secondsEnd(n.end)
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
		if n, ok := next(i + 1); ok && n.v <= 12 && n.den == 0 && !r.measures(n.end) { // "her bf 2 m off", "wind force on 1 m"
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
		if n := r.at(j); n.kind == numberToken && n.num == math.Trunc(n.num) && n.num < 1000 && !r.at(j+1).is("/") && !(r.at(j+1).in(":", "-") && r.at(j+1).glued && r.at(j+2).kind == numberToken && r.at(j+2).glued) { // "hall 09:00-11:00" has no number
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
