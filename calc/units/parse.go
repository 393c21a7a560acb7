package units

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// A SyntaxError says that a text is no value of the quantity asked for.
type SyntaxError struct {
	Quantity string // "aperture"
	Text     string // what was written
	Example  string // what would have been read
}

func (e *SyntaxError) Error() string {
	return fmt.Sprintf("%q is no %s; written like %s", e.Text, e.Quantity, e.Example)
}

// scale multiplies a value by what a unit is worth, if the unit is known and
// the result is a finite number that is not below zero.
func scale(value float64, unit string, worth map[string]float64) (float64, bool) {
	w, ok := worth[strings.ToLower(strings.TrimSpace(unit))]
	v := value * w
	return v, ok && v >= 0 && !math.IsInf(v, 1)
}

var lengthUnits = map[string]float64{
	"m": 1, "metre": 1, "metres": 1, "meter": 1, "meters": 1,
	"cm": 0.01, "centimetre": 0.01, "centimetres": 0.01, "centimeter": 0.01, "centimeters": 0.01,
	"mm": 0.001, "millimetre": 0.001, "millimetres": 0.001, "millimeter": 0.001, "millimeters": 0.001,
	"km": 1000, "kilometre": 1000, "kilometres": 1000, "kilometer": 1000, "kilometers": 1000,
	"in": metresPerInch, "inch": metresPerInch, "inches": metresPerInch, `"`: metresPerInch, "”": metresPerInch, "″": metresPerInch,
	"ft": metresPerFoot, "foot": metresPerFoot, "feet": metresPerFoot, "'": metresPerFoot, "’": metresPerFoot, "′": metresPerFoot,
	"yd": 0.9144, "yard": 0.9144, "yards": 0.9144,
}

// Length converts a length in a unit as people write it (m, cm, mm, in, ",
// inch, ft, ', feet, yd) to metres. It is false for an unknown unit and for
// what is no finite length.
func Length(value float64, unit string) (Metres, bool) {
	v, ok := scale(value, unit, lengthUnits)
	if !ok {
		return 0, false
	}
	return Metres(v), true
}

var speedUnits = map[string]float64{
	"m/s": 1, "ms": 1, "mps": 1, "m/sec": 1,
	"km/h": 1 / 3.6, "kmh": 1 / 3.6, "kph": 1 / 3.6, "kmph": 1 / 3.6, "km/hr": 1 / 3.6, "k/h": 1 / 3.6,
	"mph": mph, "mi/h": mph,
	"kn": knot, "kt": knot, "kts": knot, "knot": knot, "knots": knot,
}

// Speed converts a wind in m/s, km/h, mph, knots or force (beaufort, bft) to
// m/s. Force follows v = 0.836·B^1.5 (photometry handbook §11) and ends at 12.
func Speed(value float64, unit string) (MetresPerSecond, bool) {
	switch strings.ToLower(strings.TrimSpace(unit)) {
	case "force", "beaufort", "bft", "bf":
		if !(value >= 0 && value <= 12) {
			return 0, false
		}
		return MetresPerSecond(0.836 * math.Pow(value, 1.5)), true
	}
	v, ok := scale(value, unit, speedUnits)
	if !ok {
		return 0, false
	}
	return MetresPerSecond(v), true
}

// Temperature converts an air temperature to °C. It is false for an unknown
// unit and outside −90..70 °C, where nobody takes portraits.
func Temperature(value float64, unit string) (celsius float64, ok bool) {
	switch strings.ToLower(strings.Trim(unit, " °º")) {
	case "c", "celsius", "centigrade", "degc", "degrees", "degree", "deg":
		celsius = value
	case "f", "fahrenheit", "degf":
		celsius = (value - 32) * 5 / 9
	default:
		return 0, false
	}
	if !(celsius >= -90 && celsius <= 70) {
		return 0, false
	}
	return celsius, true
}

var massUnits = map[string]float64{
	"kg": 1, "kgs": 1, "kilo": 1, "kilos": 1, "kilogram": 1, "kilograms": 1,
	"g": 0.001, "gram": 0.001, "grams": 0.001,
	"lb": 0.45359237, "lbs": 0.45359237, "pound": 0.45359237, "pounds": 0.45359237,
}

// Mass converts kg, g or lb to kilograms.
func Mass(value float64, unit string) (Kilograms, bool) {
	v, ok := scale(value, unit, massUnits)
	if !ok {
		return 0, false
	}
	return Kilograms(v), true
}

var timeUnits = map[string]float64{
	"s": 1, "sec": 1, "secs": 1, "second": 1, "seconds": 1,
	"ms": 0.001, "min": 60, "mins": 60, "minute": 60, "minutes": 60, "h": 3600, "hour": 3600, "hours": 3600,
}

// Duration converts s, ms, min or h to seconds.
func Duration(value float64, unit string) (Seconds, bool) {
	v, ok := scale(value, unit, timeUnits)
	if !ok {
		return 0, false
	}
	return Seconds(v), true
}

// number reads plain decimals only: no signs, powers of ten, hexadecimals,
// "inf" or "nan", all of which strconv takes.
func number(s string) (float64, bool) {
	if len(s) == 0 || len(s) > 18 || strings.Trim(s, "0123456789.") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

// ratio reads "1/200", "5" or "0.5".
func ratio(s string) (float64, bool) {
	over, under, found := strings.Cut(s, "/")
	if !found {
		return number(s)
	}
	a, ok1 := number(strings.TrimSpace(over))
	b, ok2 := number(strings.TrimSpace(under))
	if !ok1 || !ok2 || b == 0 {
		return 0, false
	}
	return a / b, true
}

// What people may mean on a dial; formulas reach wider.
var (
	writtenApertures = Range{"aperture", "", 0.5, 128}
	writtenTimes     = Range{"shutter", "s", 1.0 / 64000, 3600}
	writtenISOs      = Range{"ISO", "", 6, 819200}
	writtenPowers    = Range{"flash power", "of full", 1.0 / 8192, 1}
)

// ParseFNumber reads "f/2.8", "ƒ2.8", "f 2.8", "F2.8" or "2.8". A text that is
// none is a *SyntaxError, an f-number nobody has a *RangeError.
func ParseFNumber(text string) (FNumber, error) {
	s := strings.ToLower(strings.TrimSpace(text))
	if rest, ok := strings.CutPrefix(s, "f"); ok {
		s = rest
	} else if rest, ok := strings.CutPrefix(s, "ƒ"); ok {
		s = rest
	}
	n, ok := number(strings.TrimLeft(s, "/ "))
	if !ok {
		return 0, &SyntaxError{"aperture", text, "f/2.8"}
	}
	if err := writtenApertures.Check(n); err != nil {
		return 0, err
	}
	return FNumber(n), nil
}

// ParseShutter reads "1/200", "1/200s", "1/200 sec", "200th", "2s", `2"`, "0.5".
// A bare number is seconds.
func ParseShutter(text string) (Seconds, error) {
	s := strings.ToLower(strings.TrimSpace(text))
	under := false
	for _, tail := range []string{"seconds", "second", "secs", "sec", "s", `"`, "″", "”"} {
		if rest, ok := strings.CutSuffix(s, tail); ok {
			s = strings.TrimSpace(rest)
			break
		}
	}
	for _, tail := range []string{"ths", "th", "nd", "st", "rd"} {
		if rest, ok := strings.CutSuffix(s, tail); ok {
			s, under = strings.TrimSpace(rest), true
			break
		}
	}
	v, ok := ratio(s)
	if ok && under && !strings.Contains(s, "/") {
		v, ok = 1/v, v > 0
	}
	if !ok {
		return 0, &SyntaxError{"shutter", text, "1/200"}
	}
	if err := writtenTimes.Check(v); err != nil {
		return 0, err
	}
	return Seconds(v), nil
}

// ParseISO reads "ISO 400", "iso400" or "400".
func ParseISO(text string) (ISO, error) {
	s := strings.TrimPrefix(strings.ToLower(strings.TrimSpace(text)), "iso")
	v, ok := number(strings.TrimSpace(s))
	if !ok {
		return 0, &SyntaxError{"ISO", text, "ISO 400"}
	}
	if err := writtenISOs.Check(v); err != nil {
		return 0, err
	}
	return ISO(v), nil
}

// ParseKelvin reads "5600K", "5600 kelvin", "5.6k" or "5600".
func ParseKelvin(text string) (Kelvin, error) {
	s := strings.ToLower(strings.TrimSpace(text))
	s, named := strings.CutSuffix(s, "kelvin")
	if !named {
		s = strings.TrimSuffix(s, "k")
	}
	v, ok := number(strings.TrimSpace(s))
	if !ok {
		return 0, &SyntaxError{"colour temperature", text, "5600 K"}
	}
	if v < 100 { // 5.6k is thousands
		v *= 1000
	}
	if err := Kelvins.Check(v); err != nil {
		return 0, err
	}
	return Kelvin(v), nil
}

var (
	powerWords = map[string]float64{"full": 1, "half": 1. / 2, "quarter": 1. / 4, "eighth": 1. / 8, "sixteenth": 1. / 16}
	powerForm  = regexp.MustCompile(`^([a-z]+|[0-9./]+%?)(?:th|nd)?(?:\s+power)?(?:\s*([-−+])\s*([0-9./]+|[⅓⅔½])\s*(clicks?|stops?|ev)?)?$`)
)

// ParsePower reads a flash power: "1/8", "1/8th", "full", "half", "50%", "0.125",
// with an offset: "1/8 -1", "1/8 −1 click" (whole numbers are clicks, thirds of a
// stop), "1/32 -0.3", "1/64 +0.7", "1/8 -⅓", "full -1 stop" (fractions are stops;
// 0.3 and 0.7 mean thirds).
func ParsePower(text string) (Fraction, error) {
	bad := &SyntaxError{"flash power", text, "1/8 or 1/8 -1"}
	m := powerForm.FindStringSubmatch(strings.ToLower(strings.TrimSpace(text)))
	if m == nil {
		return 0, bad
	}
	p, ok := powerWords[m[1]]
	if !ok {
		s, percent := strings.CutSuffix(m[1], "%")
		if p, ok = ratio(s); percent {
			p /= 100
		}
	}
	if !ok {
		return 0, bad
	}
	if m[2] != "" {
		stops, ok := offset(m[3], m[4])
		if !ok {
			return 0, bad
		}
		if m[2] != "+" {
			stops = -stops
		}
		p *= math.Exp2(stops)
	}
	if err := writtenPowers.Check(p); err != nil {
		return 0, err
	}
	return Fraction(p), nil
}

// offset reads how far a power stands off its named fraction, in stops.
func offset(s, unit string) (float64, bool) {
	switch s {
	case "⅓", "0.3", ".3":
		return 1. / 3, true
	case "⅔", "0.7", ".7":
		return 2. / 3, true
	case "½":
		return 0.5, true
	}
	v, ok := ratio(s)
	if !ok || v > 16 {
		return 0, false
	}
	whole := !strings.ContainsAny(s, "./")
	if strings.HasPrefix(unit, "click") || whole && unit == "" {
		return v / 3, true
	}
	return v, true
}
