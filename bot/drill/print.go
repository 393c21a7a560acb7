package drill

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"panelhand/calc/units"
	"panelhand/rules"
)

var hole = regexp.MustCompile(`(\^\()?\{([a-z0-9]+)\}`)

// filled is a text with its numbers put in. A number in an exponent, "2^({n})",
// stands there without its unit.
func filled(text string, deal rules.Deal) string {
	return hole.ReplaceAllStringFunc(text, func(found string) string {
		m := hole.FindStringSubmatch(found)
		v, ok := deal.Values[m[2]]
		if !ok {
			return found
		}
		if m[1] != "" {
			return m[1] + decimals(v, 2)
		}
		return printed(deal.Unit(m[2]), v)
	})
}

// printed writes a number of a drill. A dial's value that is no mark has the
// nearest mark beside it.
func printed(unit string, v float64) string {
	switch unit {
	case "level":
		if s := decimals(v, 1); s == "0" || v < 0 {
			return s + stopsWord(s)
		}
		return "+" + decimals(v, 1) + stopsWord(decimals(v, 1))
	case "stops":
		return decimals(v, 1) + stopsWord(decimals(v, 1))
	case "ev":
		return "EV " + decimals(v, 1)
	case "lux":
		return decimals(v, 0) + " lux"
	case "k":
		return decimals(v, 0) + " K"
	case "m", "kg", "m/s":
		return decimals(v, map[string]int{"m": 2, "kg": 1, "m/s": 1}[unit]) + " " + unit
	case "cm", "mm":
		return decimals(v, 1) + " " + unit
	case "m2":
		return decimals(v, 2) + " m²"
	case "deg":
		return decimals(v, 0) + "°"
	case "f-number":
		return beside(units.FNumber(v).String(), units.ApertureThirds().Nearest(v).Text)
	case "shutter":
		return beside(units.Seconds(v).String(), units.ShutterThirds().Nearest(v).Text)
	case "iso":
		return beside(units.ISO(v).String(), units.ISOThirds().Nearest(v).Text)
	case "power":
		if mark := units.Fraction(v).String(); math.Abs(3*math.Log2(v)-math.Round(3*math.Log2(v))) < 0.01 {
			return mark
		} else {
			return beside(decimals(v, 3), mark)
		}
	case "ratio":
		return decimals(v, 1) + ":1"
	case "percent":
		return decimals(v, 0) + " %"
	case "count":
		return decimals(v, 0)
	}
	return decimals(v, 0) + " " + unit // min, km/h, mired
}

func stopsWord(number string) string {
	if magnitude, err := strconv.ParseFloat(strings.Trim(number, "−"), 64); err == nil && magnitude > 0 && magnitude <= 1 {
		return " stop"
	}
	return " stops"
}

// beside adds the dial's mark to a value that is none.
func beside(exact, mark string) string {
	if exact == mark {
		return mark
	}
	return exact + " (" + mark + " on the dial)"
}

// decimals writes a number to so many places, without zeros at its end.
func decimals(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		s = "0"
	}
	return strings.Replace(s, "-", "−", 1)
}
