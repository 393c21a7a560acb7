package exposure_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"panelhand/calc/exposure"
	"panelhand/calc/internal/figures"
	"panelhand/calc/units"
)

func n(v float64) units.FNumber { return units.FNumber(v) }
func s(v float64) units.Seconds { return units.Seconds(v) }
func iso(v float64) units.ISO   { return units.ISO(v) }
func out[T ~float64](v T, err error) (float64, error) {
	return float64(v), err
}

func ev100(a []float64) (float64, error) { return out(exposure.EV100(n(a[0]), s(a[1]), iso(a[2]))) }

func TestPublished(t *testing.T) {
	figures.Check(t, "published/exposure.csv", map[string][]figures.Method{
		"ev100": {ev100},
		"luminance": {func(a []float64) (float64, error) {
			ev, _ := ev100(a)
			return out(exposure.Luminance(units.EV(ev)))
		}},
		"lux": {func(a []float64) (float64, error) { return out(exposure.SettingsLux(n(a[0]), s(a[1]), iso(a[2]))) }},
		"tv":  {func(a []float64) (float64, error) { return out(exposure.Tv(s(a[0]))) }},
		"sv":  {func(a []float64) (float64, error) { return out(exposure.Sv(iso(a[0]))) }},
		"focal-plane": {func(a []float64) (float64, error) {
			return out(exposure.FocalPlane(units.Luminance(a[0]), n(a[1]), s(a[2])))
		}},
	})
}

// doublings counts by halving and doubling, without logarithms or powers: the
// second method for everything that is a number of stops.
func doublings(ratio float64) float64 {
	count := 0.0
	for ; ratio >= 2; ratio /= 2 {
		count++
	}
	for ; ratio < 1; ratio *= 2 {
		count--
	}
	for bit := 0.5; bit > 1e-12; bit /= 2 { // binary digits of the logarithm
		if ratio *= ratio; ratio >= 2 {
			ratio /= 2
			count += bit
		}
	}
	return count
}

// doubled is the inverse of doublings, by repeated square roots.
func doubled(stops float64) float64 {
	v := 1.0
	for ; stops >= 1; stops-- {
		v *= 2
	}
	for ; stops < 0; stops++ {
		v /= 2
	}
	for root := math.Sqrt2; stops > 1e-12; root = math.Sqrt(root) {
		if stops *= 2; stops >= 1 {
			v *= root
			stops--
		}
	}
	return v
}

func TestDerived(t *testing.T) {
	figures.Check(t, "derived/exposure.csv", map[string][]figures.Method{
		"lux-of-ev": {
			func(a []float64) (float64, error) { return out(exposure.Lux(units.EV(a[0]))) },
			func(a []float64) (float64, error) { return 2.5 * doubled(a[0]), nil },
		},
		"luminance-of-ev": {
			func(a []float64) (float64, error) { return out(exposure.Luminance(units.EV(a[0]))) },
			func(a []float64) (float64, error) { return doubled(a[0] - 3), nil },
		},
		"ev100": {ev100, func(a []float64) (float64, error) { return doublings(a[0] * a[0] / a[1] * 100 / a[2]), nil }},
		"reflectance": {
			func(a []float64) (float64, error) { return exposure.MeteredReflectance(a[0], a[1]) },
			// a white Lambert surface in E lux has E/π cd/m²; at EV 0 the meters see K/100 and C/100
			func(a []float64) (float64, error) { return (a[0] / 100) / (a[1] / 100 / math.Pi), nil },
		},
		"ev-of-lux": {
			func(a []float64) (float64, error) { return out(exposure.FromLux(units.Lux(a[0]))) },
			func(a []float64) (float64, error) { return doublings(a[0] / 2.5), nil },
		},
		"needed": {
			func(a []float64) (float64, error) { return out(exposure.Needed(n(a[0]), iso(a[1]))) },
			// one second of the light the settings are right for
			func(a []float64) (float64, error) { return out(exposure.SettingsLux(n(a[0]), 1, iso(a[1]))) },
		},
		"level": {
			func(a []float64) (float64, error) {
				return out(exposure.Level(units.EV(a[0]), n(a[1]), s(a[2]), iso(a[3])))
			},
			// light received against light needed, in lx·s
			func(a []float64) (float64, error) {
				return doublings(2.5 * doubled(a[0]) * a[2] / (250 * a[1] * a[1] / a[3])), nil
			},
		},
		"time-for": {
			func(a []float64) (float64, error) {
				return out(exposure.TimeFor(units.EV(a[0]), units.Stops(a[1]), n(a[2]), iso(a[3])))
			},
			func(a []float64) (float64, error) {
				return 250 * a[2] * a[2] / a[3] / (2.5 * doubled(a[0]-a[1])), nil
			},
		},
		"aperture-stops": {
			func(a []float64) (float64, error) { return out(exposure.ApertureStops(n(a[0]), n(a[1]))) },
			func(a []float64) (float64, error) { return 2 * doublings(a[0]/a[1]), nil },
		},
		"time-stops": {
			func(a []float64) (float64, error) { return out(exposure.TimeStops(s(a[0]), s(a[1]))) },
			func(a []float64) (float64, error) { return doublings(a[1] / a[0]), nil },
		},
		"led-ev": {
			func(a []float64) (float64, error) {
				lux, err := exposure.AtDistance(units.Lux(a[0]), units.Metres(a[1]))
				if err != nil {
					return 0, err
				}
				return out(exposure.FromLux(lux))
			},
			func(a []float64) (float64, error) { return doublings(a[0]/2.5) - 2*doublings(a[1]), nil },
		},
	})
}

func TestOutsideIsRefused(t *testing.T) {
	nan := math.NaN()
	for i, err := range []error{
		second(exposure.Av(0)), second(exposure.Tv(0)), second(exposure.Sv(-1)), second(exposure.EV100(n(nan), 1, 100)), second(exposure.Level(99, 4, 1, 100)),
		second(exposure.Lux(units.EV(math.Inf(1)))), second(exposure.FromLux(0)), second(exposure.SettingsLux(4, 0, 100)), second(exposure.Luminance(units.EV(nan))),
		second(exposure.FromLuminance(-1)), second(exposure.MeteredReflectance(0, 250)), second(exposure.ApertureStops(0, 4)), second(exposure.TimeStops(1, 0)), second(exposure.ISOStops(0, 100)),
		second(exposure.TimeFor(12, 0, 0, 100)), second(exposure.ApertureFor(12, 0, 0, 100)), second(exposure.ISOFor(12, 0, 0, 1)), second(exposure.AtDistance(100, 0)),
		second(exposure.Needed(0, 100)), second(exposure.ApertureOf(0, 100)), second(exposure.Steady(100, 0)), second(exposure.FocalPlane(0, 4, 1)), second(exposure.Metered(0)),
	} {
		var outside *units.RangeError
		if !errors.As(err, &outside) {
			t.Errorf("%d: %v is no RangeError", i, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// Clicks that cancel leave the exposure alone; solving for a dial and putting
// the result back gives the level asked for.
func TestClicksCancel(t *testing.T) {
	start := exposure.Settings{Aperture: units.ApertureThirds().Nearest(8), Shutter: units.ShutterThirds().Nearest(1.0 / 125), ISO: units.ISOThirds().Nearest(400)}
	if start.EV100() != 11 {
		t.Errorf("f/8 1/125 ISO 400 is EV %v by its marks", float64(start.EV100()))
	}
	all := start.Equivalents(units.ApertureThirds(), units.ShutterThirds())
	if len(all) < 30 {
		t.Errorf("only %d equivalents", len(all))
	}
	for _, e := range all {
		if e.Ticks() != start.Ticks() || e.EV100() != 11 {
			t.Errorf("%v is not equal to f/8 1/125", e)
		}
		// nominal numbers stay within a quarter of a stop of the exact ones
		if ev, err := exposure.EV100(n(e.Aperture.Value), s(e.Shutter.Value), iso(e.ISO.Value)); err != nil || math.Abs(float64(ev)-11) > 0.25 {
			t.Errorf("%v is EV %v as read", e, ev)
		}
	}
	if got := len(start.Equivalents(units.ApertureHalves(), units.ShutterThirds())); got == 0 || got >= len(all) {
		t.Errorf("half-stop apertures have %d partners among third-stop times", got)
	}
}

func TestSolvedDialsAreRight(t *testing.T) {
	for _, ev := range []units.EV{-2, 7, 12.3, 15} {
		for _, level := range []units.Stops{-2, 0, 0.7} {
			tt, err1 := exposure.TimeFor(ev, level, 5.6, 400)
			nn, err2 := exposure.ApertureFor(ev, level, 1.0/60, 400)
			ii, err3 := exposure.ISOFor(ev, level, 5.6, 1.0/60)
			if err := units.First(err1, err2, err3); err != nil {
				t.Fatal(err)
			}
			a := ev - evOf(5.6, tt, 400)
			b := ev - evOf(nn, 1.0/60, 400)
			c := ev - evOf(5.6, 1.0/60, ii)
			for _, got := range []units.EV{a, b, c} {
				if math.Abs(float64(got)-float64(level)) > 1e-9 {
					t.Errorf("EV %v comes out at %v, want %v", float64(ev), float64(got), float64(level))
				}
			}
		}
	}
}

// evOf is EV100 without its range, for settings no camera has.
func evOf(n units.FNumber, t units.Seconds, iso units.ISO) units.EV {
	return units.EV(math.Log2(float64(n*n) / float64(t) * 100 / float64(iso)))
}

func TestInverses(t *testing.T) {
	for ev := units.EV(-6); ev <= 16; ev += 0.7 {
		lux, _ := exposure.Lux(ev)
		back, err := exposure.FromLux(lux)
		l, _ := exposure.Luminance(ev)
		back2, err2 := exposure.FromLuminance(l)
		if err != nil || err2 != nil || math.Abs(float64(back-ev)) > 1e-9 || math.Abs(float64(back2-ev)) > 1e-9 {
			t.Errorf("EV %v comes back as %v and %v", float64(ev), back, back2)
		}
	}
	for _, f := range []units.FNumber{1.4, 4, 11} {
		h, _ := exposure.Needed(f, 200)
		if back, _ := exposure.ApertureOf(h, 200); math.Abs(float64(back-f)) > 1e-9 {
			t.Errorf("%v comes back as %v", f, back)
		}
	}
}

// A meter aims at about 8/S lx·s on the sensor. Source: older ANSI text as
// quoted in photometry handbook §1.1 (8.125/S with q 0.65).
func TestMeteredIsEightOverISO(t *testing.T) {
	h, err := exposure.Metered(100)
	if err != nil || math.Abs(float64(h)-0.08125) > 0.0005 {
		t.Errorf("metered exposure at ISO 100 is %v (%v)", float64(h), err)
	}
}

// The published check of the sunny-16 rule: f/16 at 1/100 and ISO 100.
// Source: public units data file, photographic section.
func ExampleEV100() {
	ev, err := exposure.EV100(16, 1.0/100, 100)
	fmt.Printf("%.8f %v\n", float64(ev), err)
	// Output: 14.64385619 <nil>
}

// A cloudy background at f/4, 1/200, ISO 100. Source: trade handbook §8.3.
func ExampleLevel() {
	over, _ := exposure.Level(13, 4, 1.0/200, 100)
	fmt.Printf("%+.1f, that is %v\n", float64(over), over)
	// Output: +1.4, that is +1⅓ stops
}
