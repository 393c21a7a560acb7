package hear

import "panelhand/calc/units"

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
// only where no place follows it, and never behind a power: "1/4 in umbrella".
func (r *reader) inches(i int) bool {
	if r.at(i-2).is("/") && r.at(i-1).kind == numberToken {
		return false
	}
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

func (r *reader) temperatureUnit(i int) (unit string, end int) {
	j := i
	if r.at(j).in("°") {
		j++
	} else if r.at(j).in("degrees", "degree", "deg", "degs") {
		j++
	}
	switch r.at(j).text {
	case "c", "celsius", "centigrade", "celcius":
		if j > i || r.at(j).glued || !r.at(j).is("c") || r.typed(j, j+1) == "C" && (j+1 == len(r.toks) || r.at(j+1).pauses()) {
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
	if r.turned(i, j) {
		return "", i
	}
	if r.at(j).in("at", "from") && r.at(j+1).kind == numberToken { // "53 degrees at 1 m"
		return "", i
	}
	// degrees alone: an angle where a direction or a width is spoken of
	for k := j; k < j+4; k++ {
		if r.at(k).in("side", "angle", "up", "down", "wide", "off", "to", "left", "right", "above", "seen", "from", "round", "turn", "tilt", "tilted", "apart", "camera", "axis", "latitude") {
			return "", i
		}
	}
	beside := true // a side is the angle's only within its own clause
	for k := i - 1; k >= i-4; k-- {
		beside = beside && !r.at(k).pauses()
		if beside && r.at(k).in("right", "left", "camera") || r.at(k).in("lower", "higher", "angle", "tilt", "turn", "turned", "az", "el", "elevation", "height", "up", "rotate", "raise", "azimuth", "look", "looks", "size", "fill", "fills", "see", "be", "source") {
			return "", i
		}
	}
	return "c", j
}

// turned reports whether degrees that stand from i to end, without a letter
// behind them, are an angle: a direction or a width is spoken of.
func (r *reader) turned(i, end int) bool {
	if r.at(i-2).in("left", "right") && !r.behind(end, 2, "today", "outside", "out", "heat") { // "camera right 35 deg"
		return true
	}
	for k := end; k < end+4; k++ {
		if r.at(k).in("side", "angle", "up", "down", "wide", "off", "to", "left", "right", "above", "seen", "from", "round", "around", "turn", "tilt", "tilted", "apart", "camera", "axis", "latitude", "lower", "higher") {
			return true
		}
	}
	for k := i - 7; k < i; k++ {
		if r.at(k).in("angle", "tilt", "tip", "turn", "turned", "swing", "az", "el", "elevation", "height", "up", "rotate", "raise", "azimuth", "feather", "chin") {
			return true
		}
	}
	return false
}

// turnAt returns the end of the degrees at i if they are those of a turn.
func (r *reader) turnAt(i int) (end int) {
	if !r.at(i).in("°", "degrees", "degree", "deg", "degs") || r.at(i+1).in("c", "f", "celsius", "fahrenheit", "n", "s", "e", "w", "north", "south", "'") || r.at(i+1).kind == numberToken || !r.turned(i, i+1) {
		return i
	}
	return i + 1
}

func temperatureStyle(unit string) units.Unit {
	if unit == "f" {
		return units.Fahrenheit
	}
	return units.Celsius
}

// measures reports whether a unit of length other than the millimetre stands
// at i: the number before it is a length, whatever name stands before that.
func (r *reader) measures(i int) bool {
	unit, _ := r.lengthUnit(i)
	return unit != "" && !r.at(i).in("mm", "mil")
}
