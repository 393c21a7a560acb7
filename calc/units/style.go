package units

import "math"

// A Unit is a unit as people write it.
type Unit string

// The units a Style may name. The empty Unit is the first of its row.
const (
	Metre      Unit = "m"
	Centimetre Unit = "cm"
	Inch       Unit = "in"
	Foot       Unit = "ft"

	KilometrePerHour Unit = "km/h"
	MetrePerSecond   Unit = "m/s"
	MilePerHour      Unit = "mph"
	Knot             Unit = "kn"
	Force            Unit = "force" // wind force by the published 0 to 12 scale

	Celsius    Unit = "°C"
	Fahrenheit Unit = "°F"
)

const (
	metresPerInch = 0.0254 // exact, by definition
	metresPerFoot = 0.3048 // exact
	mph           = 0.44704
	knot          = 1852.0 / 3600
)

// A Style is how one asker writes quantities; answers come back in it. The
// zero Style is metres, km/h and °C.
type Style struct {
	Length      Unit
	Wind        Unit
	Temperature Unit
}

// Metres prints a length as a hand can set it: to 5 cm above half a metre and
// 1 cm below, to the inch up to four feet, to half a foot ("4 ft", never feet
// and inches).
func (s Style) Metres(m Metres) string {
	v := float64(m)
	switch s.Length {
	case Centimetre:
		if math.Abs(v) >= 2 { // nobody paces 305 cm
			return Style{}.Metres(m)
		}
		return decimals(100*settable(v), 0) + " cm"
	case Inch:
		in := v / metresPerInch
		if math.Abs(in) > 48 { // nobody paces 63 inches
			return Style{Length: Foot}.Metres(m)
		}
		if math.Abs(in) < 3 {
			return decimals(toNearest(in, 0.5), 1) + " in"
		}
		return decimals(in, 0) + " in"
	case Foot:
		ft := v / metresPerFoot
		switch {
		case math.Abs(ft) < 1:
			return Style{Length: Inch}.Metres(m)
		case math.Abs(ft) < 10:
			return decimals(toNearest(ft, 0.5), 1) + " ft"
		}
		return decimals(ft, 0) + " ft"
	}
	return decimals(settable(v), 2) + " m"
}

// settable rounds a length in metres to what a crew can place.
func settable(v float64) float64 {
	switch a := math.Abs(v); {
	case a <= 0.5:
		return toNearest(v, 0.01)
	case a < 10:
		return toNearest(v, 0.05)
	case a < 20:
		return toNearest(v, 0.5)
	}
	return toNearest(v, 1)
}

func toNearest(v, step float64) float64 { return math.Round(v/step) * step }

// Speed prints a wind: whole km/h, mph and knots, half m/s, whole force.
func (s Style) Speed(v MetresPerSecond) string {
	switch s.Wind {
	case MetrePerSecond:
		return decimals(toNearest(float64(v), 0.5), 1) + " m/s"
	case MilePerHour:
		return decimals(float64(v)/mph, 0) + " mph"
	case Knot:
		return decimals(float64(v)/knot, 0) + " kn"
	case Force:
		return "force " + decimals(WindForce(v), 0)
	}
	return decimals(float64(v)*3.6, 0) + " km/h"
}

// Degrees prints an air temperature given in °C: "33 °C", "91 °F".
func (s Style) Degrees(celsius float64) string {
	if s.Temperature == Fahrenheit {
		return decimals(celsius*9/5+32, 0) + " °F"
	}
	return decimals(celsius, 0) + " °C"
}

// WindForce returns the force 0 to 12 of a wind 10 m above ground, from
// v = 0.836·B^1.5 m/s (WMO code 1100 as given in photometry handbook §11);
// not rounded, held to 0..12.
func WindForce(v MetresPerSecond) float64 {
	if !(v > 0) {
		return 0
	}
	return min(math.Pow(float64(v)/0.836, 2.0/3), 12)
}

// With returns the style after its asker wrote a unit, in any spelling that
// Length, Speed or Temperature read: "inches" makes lengths inches. Another
// word changes nothing.
func (s Style) With(unit string) Style {
	if worth, ok := Length(1, unit); ok {
		switch worth {
		case 1, 1000:
			s.Length = Metre
		case 0.01, 0.001:
			s.Length = Centimetre
		case metresPerInch:
			s.Length = Inch
		default: // feet and yards
			s.Length = Foot
		}
		return s
	}
	if worth, ok := Speed(1, unit); ok {
		switch worth {
		case 1:
			s.Wind = MetrePerSecond
		case 1 / 3.6:
			s.Wind = KilometrePerHour
		case mph:
			s.Wind = MilePerHour
		case knot:
			s.Wind = Knot
		default:
			s.Wind = Force
		}
		return s
	}
	switch at0, ok := Temperature(0, unit); {
	case ok && at0 == 0:
		s.Temperature = Celsius
	case ok:
		s.Temperature = Fahrenheit
	}
	return s
}
