package units_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"panelhand/calc/units"
)

func TestStrings(t *testing.T) {
	for _, c := range []struct {
		value fmt.Stringer
		want  string
	}{
		{units.Stops(0.678), "+⅔ stop"}, {units.Stops(-1.34), "−1⅓ stops"}, {units.Stops(1), "+1 stop"}, {units.Stops(-2.97), "−3 stops"}, {units.Stops(0.1), "0 stops"},
		{units.EV(10), "EV 10"}, {units.EV(10.345), "EV 10.3"}, {units.EV(-2), "EV −2"}, {units.EV(-0.01), "EV 0"},
		{units.FNumber(5.6), "f/5.6"}, {units.FNumber(4 * math.Sqrt2), "f/5.6"}, {units.FNumber(7.6), "f/7.6"}, {units.FNumber(11.19), "f/11.2"}, {units.FNumber(1.4), "f/1.4"}, {units.FNumber(4.8), "f/4.8"},
		{units.Seconds(1.0 / 200), "1/200"}, {units.Seconds(1.0 / 203.1873), "1/200"}, {units.Seconds(2.5), "2.5 s"}, {units.Seconds(0.3), "0.3 s"}, {units.Seconds(1.0 / 77), "1/77"}, {units.Seconds(1.0 / 45), "1/45"}, {units.Seconds(0), "0 s"},
		{units.ISO(100), "ISO 100"}, {units.ISO(12800), "ISO 12800"},
		{units.Metres(1.2), "1.2 m"}, {units.Metres(1.016), "1.02 m"}, {units.Metres(12.34), "12.3 m"},
		{units.Millimetres(85), "85 mm"}, {units.Millimetres(0.27909), "0.28 mm"},
		{units.Degrees(53.86), "54°"}, {units.Degrees(0.533), "0.5°"},
		{units.Kelvin(5600), "5600 K"}, {units.Kelvin(2962.336), "2960 K"}, {units.Mired(-137), "−137 mired"},
		{units.Lux(10240), "10200 lux"}, {units.Lux(2.5), "2.5 lux"}, {units.LuxSeconds(313.316), "313 lx·s"}, {units.Luminance(4096), "4100 cd/m²"},
		{units.Fraction(1), "full"}, {units.Fraction(0.125), "1/8"}, {units.Fraction(math.Exp2(-5.0 / 3)), "1/4 +1 click"}, {units.Fraction(0), "off"},
		{units.GuideNumber(36), "36 m"}, {units.WattSeconds(75), "75 Ws"}, {units.Kilograms(8.46), "8.5 kg"}, {units.Newtons(67.77), "68 N"}, {units.MetresPerSecond(8.333), "8.3 m/s"},
	} {
		if got := c.value.String(); got != c.want {
			t.Errorf("%T %v prints %q, want %q", c.value, got, got, c.want)
		}
	}
}

func TestStyles(t *testing.T) {
	for _, c := range []struct {
		style units.Style
		m     units.Metres
		want  string
	}{
		{units.Style{}, 1.234, "1.25 m"}, {units.Style{}, 0.37, "0.37 m"}, {units.Style{}, 27.3, "27 m"},
		{units.Style{Length: units.Centimetre}, 1.2, "120 cm"}, {units.Style{Length: units.Centimetre}, 0.37, "37 cm"},
		{units.Style{Length: units.Inch}, 1.2, "47 in"}, {units.Style{Length: units.Inch}, 0.05, "2 in"},
		{units.Style{Length: units.Foot}, 1.2, "4 ft"}, {units.Style{Length: units.Foot}, 1.4, "4.5 ft"}, {units.Style{Length: units.Foot}, 0.2, "8 in"}, {units.Style{Length: units.Foot}, 9.1, "30 ft"},
	} {
		if got := c.style.Metres(c.m); got != c.want {
			t.Errorf("%v in %q prints %q, want %q", float64(c.m), c.style.Length, got, c.want)
		}
	}
	for wind, want := range map[units.Unit]string{"": "29 km/h", units.MetrePerSecond: "8 m/s", units.MilePerHour: "18 mph", units.Knot: "16 kn", units.Force: "force 5"} {
		if got := (units.Style{Wind: wind}).Speed(8); got != want {
			t.Errorf("8 m/s in %q prints %q, want %q", wind, got, want)
		}
	}
	if got := (units.Style{Temperature: units.Fahrenheit}).Degrees(33); got != "91 °F" {
		t.Errorf("33 °C prints %q", got)
	}
	if got := (units.Style{}).Degrees(-5); got != "−5 °C" {
		t.Errorf("−5 °C prints %q", got)
	}
}

// Nothing prints as NaN, Inf or a power of ten, whatever it is.
func TestStringsStayPlain(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -1, 1e-12, 1e12, 1e300, -1e300, 5e-324} {
		for _, s := range []fmt.Stringer{
			units.Stops(v), units.EV(v), units.FNumber(v), units.Seconds(v), units.ISO(v), units.Metres(v), units.Millimetres(v), units.Degrees(v),
			units.Kelvin(v), units.Mired(v), units.Lux(v), units.LuxSeconds(v), units.Luminance(v), units.Fraction(v), units.GuideNumber(v),
			units.WattSeconds(v), units.Kilograms(v), units.Newtons(v), units.MetresPerSecond(v),
		} {
			text := s.String()
			if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") || strings.Contains(text, "e+") || strings.Contains(text, "-") {
				t.Errorf("%T of %g prints %q", s, v, text)
			}
		}
	}
}

func TestRangeErrorIsCalm(t *testing.T) {
	err := units.Kelvins.Check(900)
	if got, want := err.Error(), "colour temperature 900 K: this works from 1500 to 25000 K"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if err := units.Apertures.Check(math.NaN()); err == nil || strings.Contains(err.Error(), "NaN") {
		t.Errorf("NaN: %v", err)
	}
	if err := units.Apertures.Check(5.6); err != nil {
		t.Error(err)
	}
}

func TestStyleFollowsTheAsker(t *testing.T) {
	for unit, want := range map[string]units.Style{
		"inches": {Length: units.Inch}, `"`: {Length: units.Inch}, "Feet": {Length: units.Foot}, "yd": {Length: units.Foot}, "cm": {Length: units.Centimetre}, "m": {Length: units.Metre},
		"kph": {Wind: units.KilometrePerHour}, "mph": {Wind: units.MilePerHour}, "m/s": {Wind: units.MetrePerSecond}, "knots": {Wind: units.Knot}, "beaufort": {Wind: units.Force},
		"°F": {Temperature: units.Fahrenheit}, "celsius": {Temperature: units.Celsius}, "stops": {},
	} {
		if got := (units.Style{}).With(unit); got != want {
			t.Errorf("%q makes %+v, want %+v", unit, got, want)
		}
	}
	both := units.Style{Length: units.Inch}.With("mph")
	if both.Length != units.Inch || both.Wind != units.MilePerHour {
		t.Errorf("%+v", both)
	}
}
