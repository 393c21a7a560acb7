package day_test

import (
	"math"
	"testing"

	"panelhand/bot/day"
	"panelhand/calc/stand"
	"panelhand/calc/units"
)

// Trade handbook §1 and N40: 300 frames at 1/4 are 75 full flashes, a small set
// gives 150, the cold halves it.
func TestBudget(t *testing.T) {
	for _, c := range []struct {
		frames, power float64
		cold          bool
		full          float64
		sets          int
	}{
		{300, 1. / 4, false, 75, 1},
		{300, 1. / 4, true, 75, 1},
		{300, 1. / 2, false, 150, 1}, // just one
		{300, 1. / 2, true, 150, 2},
		{301, 1. / 2, false, 150.5, 2},
		{400, 1. / 4, false, 100, 1},
		{600, 1, false, 600, 4},
		{1, 1. / 128, false, 1. / 128, 1},
	} {
		got, err := day.Budget(c.frames, units.Fraction(c.power), 150, c.cold)
		if err != nil || math.Abs(got.Full-c.full) > 1e-9 || got.Sets != c.sets {
			t.Errorf("%g frames at %g, cold %v: %+v (%v), want %g and %d", c.frames, c.power, c.cold, got, err, c.full, c.sets)
		}
	}
	for _, bad := range [][2]float64{{0, 1}, {-3, 1}, {10, 0}, {10, 2}, {math.NaN(), 1}, {math.Inf(1), 1}} {
		if got, err := day.Budget(bad[0], units.Fraction(bad[1]), 150, false); err == nil {
			t.Errorf("%v: %+v", bad, got)
		}
	}
}

// The stand and the disc of the photometry handbook's worked table (§11): at 5.5
// m/s 23.65636 kg balance with a factor of 1.5, stand and kit counted. Near
// people the factor is 2, and no modifier outdoors has less than 10 kg.
func TestForecast(t *testing.T) {
	worked := stand.Stand{Weight: 5, Feet: 0.5, Legs: 3, Height: 2.2}
	disc, bare := stand.Sail{Area: 0.81073197, Drag: 1.17}, stand.Sail{Area: 0.012, Drag: 1.17}
	w, err := day.Forecast(0, 5.5, worked, disc, bare, false)
	if err != nil || math.Abs(float64(w.Ballast)-18.65636) > 1e-4 || w.BallastBare != 10 || math.Abs(float64(w.Mean)-5.5/1.5) > 1e-9 || w.Force != 3 {
		t.Errorf("gusts of 5.5 m/s: %+v (%v)", w, err)
	}
	// §11: at 8.0 m/s 33.36654 kg just balance.
	w, err = day.Forecast(8/1.5, 0, worked, disc, bare, true)
	if err != nil || math.Abs(float64(w.Ballast)-(2*33.36654-5)) > 1e-4 || math.Abs(float64(w.Gust)-8) > 1e-9 {
		t.Errorf("a mean of 5.33 m/s near people: %+v (%v)", w, err)
	}
	// With its ballast it stands 1.41 times the gust, so it comes down at the house
	// limit or at the gust it was weighted for, whichever is lower.
	if math.Abs(float64(w.TakeDown)-8) > 1e-6 {
		t.Errorf("comes down at %v", w.TakeDown)
	}
	for _, bad := range [][2]float64{{-1, 0}, {61, 0}, {0, 91}, {math.NaN(), 0}} {
		if w, err := day.Forecast(units.MetresPerSecond(bad[0]), units.MetresPerSecond(bad[1]), worked, disc, bare, false); err == nil {
			t.Errorf("%v: %+v", bad, w)
		}
	}
}

func TestKind(t *testing.T) {
	for _, c := range []struct {
		height   float64
		overcast bool
		want     string
	}{{50, false, "sun"}, {50, true, "overcast"}, {5, false, "low-sun"}, {5, true, "overcast"}, {-0.8, false, "low-sun"}, {-3, true, "dusk"}, {-7, false, "street-night"}} {
		if got := day.Kind(degree(c.height), c.overcast); got != c.want {
			t.Errorf("at %g°, overcast %v: %s, want %s", c.height, c.overcast, got, c.want)
		}
	}
}
