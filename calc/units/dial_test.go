package units_test

import (
	"fmt"
	"math"
	"testing"

	"panelhand/calc/internal/figures"
	"panelhand/calc/units"
)

func dials() map[string]units.Dial {
	return map[string]units.Dial{
		"apertures by third": units.ApertureThirds(),
		"apertures by half":  units.ApertureHalves(),
		"shutters by third":  units.ShutterThirds(),
		"shutters by half":   units.ShutterHalves(),
		"ISO":                units.ISOThirds(),
		"power by third":     units.PowerThirds(1.0 / 128),
		"power by tenth":     units.PowerTenths(10, 9),
	}
}

// exact returns what the mark with a nominal value stands for.
func exact(d units.Dial, nominal float64) (float64, error) {
	i, ok := d.Index(nominal)
	if !ok {
		return 0, fmt.Errorf("no mark %g", nominal)
	}
	return d.Exact(d.At(i)), nil
}

func TestPublishedDials(t *testing.T) {
	figures.Check(t, "published/dials.csv", map[string][]figures.Method{
		"exact-time": {func(a []float64) (float64, error) { return exact(units.ShutterThirds(), a[0]) }},
	})
}

func TestDerivedDials(t *testing.T) {
	// The second method walks from the dial's zero in steps of a root of two
	// and takes the step nearest to the mark.
	walk := func(nominal, zero, step float64) float64 {
		v, half := zero, math.Sqrt(step)
		for v*half < nominal {
			v *= step
		}
		for v > nominal*half {
			v /= step
		}
		return v
	}
	sixth, quarter, third := math.Exp2(1.0/6), math.Exp2(1.0/4), math.Exp2(1.0/3)
	both := func(d units.Dial, zero, step float64, under bool) []figures.Method {
		return []figures.Method{
			func(a []float64) (float64, error) {
				if !under {
					return exact(d, a[0])
				}
				v, err := exact(d, 1/a[0])
				return 1 / v, err
			},
			func(a []float64) (float64, error) { return walk(a[0], zero, step), nil },
		}
	}
	order := []units.Dial{units.ApertureThirds(), units.ShutterThirds(), units.ISOThirds(), units.ShutterHalves()}
	steps := []float64{2, 1, 1, 1} // light goes with the square of an f-number
	figures.Check(t, "derived/dials.csv", map[string][]figures.Method{
		"aperture-third": both(units.ApertureThirds(), 1, sixth, false),
		"aperture-half":  both(units.ApertureHalves(), 1, quarter, false),
		"time-third":     both(units.ShutterThirds(), 1, third, true),
		"long-third":     both(units.ShutterThirds(), 1, third, false),
		"iso-third":      both(units.ISOThirds(), 100, third, false),
		"worst-mark": {
			func(a []float64) (float64, error) {
				worst, d := 0.0, order[int(a[0])-1].Between(0.000124, 1e9)
				for _, m := range d.Marks() {
					// the table ends at f/32 and starts at f/1 and 1/8000
					if a[0] == 1 && (m.Value < 1 || m.Value > 32) {
						continue
					}
					worst = max(worst, math.Abs(steps[int(a[0])-1]*math.Log2(m.Value/d.Exact(m))))
				}
				return worst, nil
			},
			// the marks the handbook names as the worst
			func(a []float64) (float64, error) {
				return []float64{2 * math.Log2(math.Cbrt(2)/1.2), math.Log2(64.0 / 60), math.Log2(2539.8417 / 2500), math.Log2(8 * math.Sqrt2 / 10)}[int(a[0])-1], nil
			},
		},
	})
}

func TestDialsRiseAndFindTheirMarks(t *testing.T) {
	for name, d := range dials() {
		marks := d.Marks()
		for i, m := range marks {
			if got := d.Nearest(m.Value); got != m {
				t.Errorf("%s: nearest to %g is %v, want %v", name, m.Value, got, m)
			}
			if got := d.Nearest(d.Exact(m)); got != m {
				t.Errorf("%s: nearest to exact %g is %v, want %v", name, d.Exact(m), got, m)
			}
			if got, ok := d.Index(m.Value); !ok || got != i {
				t.Errorf("%s: index of %v is %d", name, m, got)
			}
			if d.NearestTicks(m.Ticks) != m {
				t.Errorf("%s: ticks %d do not find %v", name, m.Ticks, m)
			}
			if i > 0 && marks[i-1].Ticks >= m.Ticks {
				t.Errorf("%s: %v is no brighter than %v", name, m, marks[i-1])
			}
			// there and back again
			if up, ok := d.Turn(m.Value, 3); ok {
				if back, ok := d.Turn(up.Value, -3); !ok || back != m {
					t.Errorf("%s: three up from %v and three down is %v", name, m, back)
				}
			}
		}
	}
}

func TestDialEnds(t *testing.T) {
	d := units.ApertureThirds().Between(2.8, 16)
	if d.Len() != 16 || d.At(0).Text != "f/16" || d.At(d.Len()-1).Text != "f/2.8" {
		t.Errorf("f/2.8 to f/16 has %d marks, %v to %v", d.Len(), d.At(0), d.At(d.Len()-1))
	}
	if d.At(-5) != d.At(0) || d.At(99) != d.At(15) {
		t.Error("a dial does not stop at its ends")
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -3} {
		if m := d.Nearest(v); m.Text == "" {
			t.Errorf("nearest to %v is %v", v, m)
		}
	}
	if m := d.Nearest(0.95); m.Text != "f/2.8" {
		t.Errorf("nearest to f/0.95 on an f/2.8 lens is %v", m)
	}
	var none units.Dial
	if none.Len() != 0 || none.At(0) != (units.Mark{}) || none.Nearest(1) != (units.Mark{}) {
		t.Error("an empty dial is not empty")
	}
}

// The tick of 1/200 is 23 thirds, not log2 of 200. Source: photometry handbook
// §1.2.
func TestTicksAreExact(t *testing.T) {
	if m := units.ShutterThirds().Nearest(1.0 / 200); m.Ticks != -23*units.Click {
		t.Errorf("1/200 has %d ticks", m.Ticks)
	}
	// f/8 is 18 clicks, 1/125 21, ISO 400 6: EV 11 at ISO 100 exactly.
	sum := units.ApertureThirds().Nearest(8).Ticks + units.ShutterThirds().Nearest(1.0/125).Ticks + units.ISOThirds().Nearest(400).Ticks
	if -sum.Stops() != 11 {
		t.Errorf("f/8 1/125 ISO 400 is EV %g", -sum.Stops())
	}
}

func TestPowerDials(t *testing.T) {
	d := units.PowerThirds(1.0 / 128)
	if d.Len() != 22 || d.At(0).Text != "1/128" || d.At(21).Text != "full" {
		t.Errorf("1/128 to full: %d marks, %v to %v", d.Len(), d.At(0), d.At(21))
	}
	// 2^(−16/3) is 1/32 −1 click. Source: photometry handbook §8.1.
	if m := d.Nearest(0.02374596); m.Text != "1/32 −1 click" || math.Abs(m.Value-0.0248031) > 5e-8 {
		t.Errorf("0.0237 is %v", m)
	}
	tenths := units.PowerTenths(10, 9)
	if tenths.Len() != 91 || tenths.Nearest(0.5).Text != "9.0" || tenths.At(0).Text != "1.0" || tenths.At(90).Text != "10.0" {
		t.Errorf("tenths: %d marks, half is %v", tenths.Len(), tenths.Nearest(0.5))
	}
	for _, lowest := range []units.Fraction{0, -1, 2, units.Fraction(math.NaN())} {
		if units.PowerThirds(lowest).Len() < 1 {
			t.Errorf("a power dial down to %v is empty", float64(lowest))
		}
	}
}

func ExampleDial_Turn() {
	m, ok := units.ShutterThirds().Turn(1.0/200, 3) // a stop slower
	fmt.Println(m.Text, ok)
	// Output: 1/100 true
}

func ExampleFraction() {
	fmt.Println(units.Fraction(math.Exp2(-10.0 / 3)))
	// Output: 1/8 −1 click
}
