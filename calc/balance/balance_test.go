package balance_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"panelhand/calc/balance"
	"panelhand/calc/internal/figures"
	"panelhand/calc/units"
)

func TestPublished(t *testing.T) {
	of := func(c balance.Convention) []figures.Method {
		return []figures.Method{func(a []float64) (float64, error) {
			return balance.Ratio(units.Stops(math.Log2(a[0]/a[1])), c)
		}}
	}
	figures.Check(t, "published/balance.csv", map[string][]figures.Method{
		"ratio-sources": of(balance.Sources), "ratio-reaching": of(balance.Reaching),
	})
}

// The second method counts in lux·seconds.
func TestDerived(t *testing.T) {
	ratio := func(c balance.Convention) figures.Method {
		return func(a []float64) (float64, error) { return balance.Ratio(units.Stops(a[0]), c) }
	}
	// Tables 8.2 and 8.3, through the solver, everything but the power given.
	key := func(a []float64) (balance.Solution, error) {
		return balance.Solve(said(-8, -8, units.FNumber(a[1]), 1.0/200, 100, fixed(head(balance.Through), units.Metres(a[0]))))
	}
	// Guide number 28 at 24 mm, half passed by a cloth 1.0 m across that the beam fills.
	full := func(a []float64) float64 {
		return math.Log2(2.5 * 28 * 28 * 0.5 * 0.25 / (0.25 + a[0]*a[0]) / (2.5 * a[1] * a[1]))
	}
	figures.Check(t, "derived/balance.csv", map[string][]figures.Method{
		"together": {
			func(a []float64) (float64, error) {
				n, err := balance.Together(units.FNumber(a[0]), units.FNumber(a[1]))
				return float64(n), err
			},
			always(func(a []float64) float64 { return math.Sqrt((2.5*a[0]*a[0] + 2.5*a[1]*a[1]) / 2.5) }),
		},
		"raised": {
			func(a []float64) (float64, error) {
				l, err := balance.Total(0, units.Stops(-a[0]))
				return float64(l), err
			},
			always(func(a []float64) float64 { return math.Log2((40 + 40/math.Pow(2, a[0])) / 40) }),
		},
		"complete": {
			func(a []float64) (float64, error) {
				l, err := balance.Complete(units.Stops(a[0]))
				return float64(l), err
			},
			always(func(a []float64) float64 { return math.Log2((40 - 40*math.Pow(2, a[0])) / 40) }),
		},
		"ratio-sources":  {ratio(balance.Sources), always(func(a []float64) float64 { return math.Pow(2, a[0]) })},
		"ratio-reaching": {ratio(balance.Reaching), always(func(a []float64) float64 { return (100*math.Pow(2, a[0]) + 100) / 100 })},
		"contrast": {
			func(a []float64) (float64, error) {
				l, err := balance.Contrast(units.Stops(a[0]))
				return float64(l), err
			},
			always(func(a []float64) float64 { return math.Log2((100*math.Pow(2, a[0]) + 100) / 100) }),
		},
		"ambient-level": {
			func(a []float64) (float64, error) {
				sol, err := balance.Solve(said(units.EV(a[0]), units.EV(a[0]), units.FNumber(a[1]), 1.0/200, 100, nil))
				return float64(sol.Levels.Ambient), err
			},
			always(func(a []float64) float64 { return math.Log2(2.5 * math.Pow(2, a[0]) / 200 / (2.5 * a[1] * a[1])) }),
		},
		"start-power": {
			func(a []float64) (float64, error) {
				sol, err := key(a)
				return math.Log2(sol.Settings.Power.Value), err
			},
			always(func(a []float64) float64 { return min(0, -full(a)) }),
		},
		"short": {
			func(a []float64) (float64, error) {
				sol, err := key(a)
				return -float64(sol.Short), err
			},
			always(func(a []float64) float64 { return -full(a) }),
		},
	})
}

func always(f func([]float64) float64) figures.Method {
	return func(a []float64) (float64, error) { return f(a), nil }
}

func TestTooMuchLight(t *testing.T) {
	// Trade handbook Model F: flash at 0 over ambient −1 is 0.6 over, over ambient 0 is 1.0.
	near(t, "flash 0 on ambient −1", float64(must(balance.Total(-1, 0))(t)), 0.6, 0.02)
	near(t, "both at full", float64(must(balance.Total(0, 0))(t)), 1, 1e-12)
}

func TestTrim(t *testing.T) {
	// The correction table of trade handbook §0: shutter one stop slower.
	for ambient, want := range map[float64]float64{-3: -0.2, -2.5: -0.35, -2: -0.6, -1.5: -1.1} {
		near(t, fmt.Sprintf("from %g", ambient), float64(must(balance.Trim(units.Stops(ambient), units.Stops(ambient+1)))(t)), want, 0.06)
	}
	if _, err := balance.Trim(-1, 0); err == nil {
		t.Error("from −1 the flash vanishes: no trim exists")
	}
}

func TestKeyOverFill(t *testing.T) {
	for _, c := range []balance.Convention{balance.Sources, balance.Reaching} {
		for d := units.Stops(-3); d <= 5; d += 0.25 {
			near(t, "there and back", float64(must(balance.KeyOverFill(must(balance.Ratio(d, c))(t), c))(t)), float64(d), 1e-12)
		}
	}
	// Trade handbook Q18: 5:1 is a fill 2 below.
	near(t, "5:1", float64(must(balance.KeyOverFill(5, balance.Reaching))(t)), 2, 1e-12)
	if _, err := balance.KeyOverFill(1, balance.Reaching); err == nil {
		t.Error("1:1 with the fill reaching both has no key")
	}
}

func TestFilterOrHighSpeedSync(t *testing.T) {
	// Trade handbook 8.4: from f/2.8 1/200 with 2.9 stops left.
	for _, c := range [][3]float64{{1, 0, 0.1}, {2, 0, 1.1}, {3, 0.1, 2.1}, {4, 1.1, 3.1}} {
		cut := must(balance.CutBy(units.Stops(c[0]), 2.9))(t)
		near(t, "filter short", float64(cut.FilterShort), c[1], 1e-9)
		near(t, "high-speed short", float64(cut.HighSpeedShort), c[2], 1e-9)
		// With ambient −1 on the face each has one stop more.
		more := must(balance.CutBy(units.Stops(c[0]), 3.9))(t)
		near(t, "one stop more", float64(more.HighSpeedShort), math.Max(0, c[2]-1), 1e-9)
	}
}

func TestLightsCommute(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	for range 2000 {
		a, b, c := units.Stops(20*rng.Float64()-10), units.Stops(20*rng.Float64()-10), units.Stops(20*rng.Float64()-10)
		x, y := must(balance.Total(a, b, c))(t), must(balance.Total(c, a, b))(t)
		near(t, "order", float64(x), float64(y), 1e-12)
		near(t, "grouping", float64(must(balance.Total(must(balance.Total(a, b))(t), c))(t)), float64(x), 1e-12)
		if x < max(a, b, c) {
			t.Fatalf("%v, %v and %v make %v: less than the strongest", a, b, c, x)
		}
		amb := -units.Stops(0.01 + 8*rng.Float64())
		near(t, "completed", float64(must(balance.Total(amb, must(balance.Complete(amb))(t)))(t)), 0, 1e-12)
	}
}

func TestOutOfRangeIsAnError(t *testing.T) {
	nan := units.Stops(math.NaN())
	for name, err := range map[string]error{
		"no lights":      second(balance.Total()),
		"NaN light":      second(balance.Total(0, nan)),
		"no f-numbers":   second(balance.Together()),
		"f/0":            second(balance.Together(0)),
		"ambient 0":      second(balance.Complete(0)),
		"ambient NaN":    second(balance.Complete(nan)),
		"ratio of NaN":   second(balance.Ratio(nan, balance.Sources)),
		"ratio infinite": second(balance.KeyOverFill(math.Inf(1), balance.Sources)),
		"negative cut":   second(balance.CutBy(-1, 2)),
	} {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func ExampleComplete() {
	// Photometry handbook 8e: ambient −1, −1.5, −2 want −1.000000, −0.629397,
	// −0.415037 from the flash.
	for _, ambient := range []units.Stops{-1, -1.5, -2} {
		flash, err := balance.Complete(ambient)
		if err != nil {
			panic(err)
		}
		fmt.Printf("%.6f\n", float64(flash))
	}
	// Output:
	// -1.000000
	// -0.629397
	// -0.415037
}
