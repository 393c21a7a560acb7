package units_test

import (
	"errors"
	"math"
	"testing"

	"panelhand/calc/units"
)

func TestConversions(t *testing.T) {
	speed := func(v float64, u string) (float64, bool) { s, ok := units.Speed(v, u); return float64(s), ok }
	length := func(v float64, u string) (float64, bool) { m, ok := units.Length(v, u); return float64(m), ok }
	mass := func(v float64, u string) (float64, bool) { m, ok := units.Mass(v, u); return float64(m), ok }
	duration := func(v float64, u string) (float64, bool) { s, ok := units.Duration(v, u); return float64(s), ok }
	for _, c := range []struct {
		convert func(float64, string) (float64, bool)
		value   float64
		unit    string
		want    float64
	}{
		{length, 40, "in", 1.016}, {length, 40, `"`, 1.016}, {length, 6, "ft", 1.8288}, {length, 110, "cm", 1.1}, {length, 85, "MM", 0.085},
		{speed, 30, "km/h", 8.333333}, {speed, 40, "kph", 11.111111}, {speed, 28, "mph", 12.51712}, {speed, 10, "knots", 5.144444}, {speed, 4, "m/s", 4},
		// v = 0.836·B^1.5. Source: WMO code 1100, check values of photometry handbook §11.
		{speed, 3, "force", 4.3440}, {speed, 4, "beaufort", 6.6880}, {speed, 5, "bft", 9.3468}, {speed, 8, "Force", 18.9165},
		{units.Temperature, 91.4, "°F", 33}, {units.Temperature, -5, "C", -5},
		{mass, 10, "lb", 4.5359237}, {duration, 2, "min", 120},
	} {
		got, ok := c.convert(c.value, c.unit)
		if want := c.want; !ok || math.Abs(got-want) > 1e-4 {
			t.Errorf("%g %s is %g (%v), want %g", c.value, c.unit, got, ok, want)
		}
		if _, ok := c.convert(c.value, "furlong"); ok {
			t.Error("took furlongs")
		}
		for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
			if got, ok := c.convert(v, c.unit); ok {
				t.Errorf("took %g %s as %g", v, c.unit, got)
			}
		}
	}
	if _, ok := units.Speed(13, "force"); ok {
		t.Error("took force 13")
	}
	if _, ok := units.Length(-1, "m"); ok {
		t.Error("took a negative length")
	}
}

func TestForceInvertsSpeed(t *testing.T) {
	for b := range 13 {
		v, _ := units.Speed(float64(b), "force")
		if got := units.WindForce(v); math.Abs(got-float64(b)) > 1e-9 {
			t.Errorf("force %d comes back as %g", b, got)
		}
	}
}

// forms lists for one parser what it reads, and what it must not.
var forms = []struct {
	parse func(string) (float64, error)
	good  map[string]float64
	bad   []string // no value at all
	wild  []string // a value nobody's kit has
}{
	{func(s string) (float64, error) { n, err := units.ParseFNumber(s); return float64(n), err },
		map[string]float64{"f/2.8": 2.8, "ƒ2.8": 2.8, "ƒ/2.8": 2.8, "2.8": 2.8, "F8": 8, "f 5.6": 5.6, " f/11 ": 11},
		[]string{"", "f", "f/", "f/2.8.1", "fast", "1e3", "Inf", "nan", "0x10", "-4", "f/1_0"}, []string{"f/0", "f/1000"}},
	{func(s string) (float64, error) { v, err := units.ParseShutter(s); return float64(v), err },
		map[string]float64{"1/200": 0.005, "200th": 0.005, "1/200s": 0.005, "1/200th": 0.005, "1/200 sec": 0.005, "2s": 2, "0.5": 0.5, `2"`: 2, "2.5 seconds": 2.5, "1/1": 1},
		[]string{"", "s", "1/", "/200", "1/0", "0th", "1/200/2", "fast", "1/-2", "infs"}, []string{"0", "1/9999999", "99999"}},
	{func(s string) (float64, error) { v, err := units.ParseISO(s); return float64(v), err },
		map[string]float64{"ISO 400": 400, "iso400": 400, "100": 100},
		[]string{"", "iso", "iso-100", "lots"}, []string{"1", "99999999"}},
	{func(s string) (float64, error) { v, err := units.ParseKelvin(s); return float64(v), err },
		map[string]float64{"5600K": 5600, "5.6k": 5600, "3200 kelvin": 3200, "5500": 5500},
		[]string{"", "K", "warm"}, []string{"200K", "90000"}},
	{func(s string) (float64, error) { v, err := units.ParsePower(s); return float64(v), err },
		map[string]float64{
			"1/8": 0.125, "full": 1, "full power": 1, "half": 0.5, "1/4th": 0.25, "50%": 0.5, "0.25": 0.25, "1/1": 1,
			"1/8 -1": math.Exp2(-10.0 / 3), "1/8 −1 click": math.Exp2(-10.0 / 3), "1/2 -2 clicks": math.Exp2(-5.0 / 3), "1/4 +1 click": math.Exp2(-5.0 / 3), "full -1 stop": 0.5, "1/8-⅓": math.Exp2(-10.0 / 3),
			// both are 2^(−16/3). Source: photometry handbook §15, trap 16.
			"1/32 -0.3": math.Exp2(-16.0 / 3), "1/64 +0.7": math.Exp2(-16.0 / 3), "1/4 - 1/3": math.Exp2(-7.0 / 3), "1/8 +½": math.Exp2(-2.5),
		},
		[]string{"", "1/0", "lots", "1/8 -", "1/8 --1", "%", "1/8 -x", "/", "1/8 -99", "half half"}, []string{"2", "1/100000", "full +1", "0"}},
}

func TestParse(t *testing.T) {
	for _, f := range forms {
		for text, want := range f.good {
			if got, err := f.parse(text); err != nil || math.Abs(got-want) > 1e-12 {
				t.Errorf("%q is %g (%v), want %g", text, got, err, want)
			}
		}
		for _, text := range f.bad {
			var syntax *units.SyntaxError
			if got, err := f.parse(text); !errors.As(err, &syntax) {
				t.Errorf("%q is %g (%v), want a SyntaxError", text, got, err)
			}
		}
		for _, text := range f.wild {
			var outside *units.RangeError
			if got, err := f.parse(text); !errors.As(err, &outside) {
				t.Errorf("%q is %g (%v), want a RangeError", text, got, err)
			}
		}
	}
}

// Every mark's text reads back as the mark.
func TestMarksReadBack(t *testing.T) {
	for name, parse := range map[string]func(string) (float64, error){
		"apertures by third": forms[0].parse, "apertures by half": forms[0].parse, "shutters by third": forms[1].parse,
		"shutters by half": forms[1].parse, "ISO": forms[2].parse, "power by third": forms[4].parse,
	} {
		for _, m := range dials()[name].Marks() {
			if got, err := parse(m.Text); err != nil || math.Abs(got/m.Value-1) > 1e-9 {
				t.Errorf("%s: %q reads as %g (%v), want %g", name, m.Text, got, err, m.Value)
			}
		}
	}
}

func fuzz(f *testing.F, which int) {
	for text := range forms[which].good {
		f.Add(text)
	}
	for _, text := range append(forms[which].bad, forms[which].wild...) {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		v, err := forms[which].parse(text)
		if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
			t.Errorf("%q reads as %g", text, v)
		}
		if (err == nil) != (v > 0) {
			t.Errorf("%q is %g with error %v", text, v, err)
		}
	})
}

func FuzzParseFNumber(f *testing.F) { fuzz(f, 0) }
func FuzzParseShutter(f *testing.F) { fuzz(f, 1) }
func FuzzParseISO(f *testing.F)     { fuzz(f, 2) }
func FuzzParseKelvin(f *testing.F)  { fuzz(f, 3) }
func FuzzParsePower(f *testing.F)   { fuzz(f, 4) }

func FuzzUnits(f *testing.F) {
	f.Add(40.0, "in")
	f.Add(3.0, "force")
	f.Add(math.Inf(1), "m")
	f.Fuzz(func(t *testing.T, v float64, unit string) {
		m, _ := units.Length(v, unit)
		s, _ := units.Speed(v, unit)
		c, _ := units.Temperature(v, unit)
		for _, got := range []float64{float64(m), float64(s), c} {
			if math.IsNaN(got) || math.IsInf(got, 0) {
				t.Errorf("%g %q gives %g", v, unit, got)
			}
		}
	})
}
