package sun_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"panelhand/calc/internal/figures"
	"panelhand/calc/sun"
	"panelhand/calc/units"
)

func at(unix float64) time.Time { return time.Unix(int64(unix), 0) }

func degree(v float64) units.Degrees { return units.Degrees(v) }

func TestPublished(t *testing.T) {
	coordinate := func(pick func(sun.Coordinates) units.Degrees) []figures.Method {
		return []figures.Method{func(a []float64) (float64, error) { return float64(pick(sun.Equatorial(a[0]))), nil }}
	}
	position := func(pick func(sun.Position) units.Degrees) []figures.Method {
		return []figures.Method{func(a []float64) (float64, error) {
			p, err := sun.Where(degree(a[1]), degree(a[2]), at(a[0]))
			return float64(pick(p)), err
		}}
	}
	crossing := func(f func(lat, lon units.Degrees, t time.Time, h units.Degrees) (time.Time, error)) []figures.Method {
		return []figures.Method{func(a []float64) (float64, error) {
			when, err := f(degree(a[1]), degree(a[2]), at(a[0]), sun.Horizon)
			return float64(when.Unix()), err
		}}
	}
	light := func(f func(units.Degrees) (units.Lux, error)) []figures.Method {
		return []figures.Method{func(a []float64) (float64, error) { lux, err := f(degree(a[0])); return float64(lux), err }}
	}
	figures.Check(t, "published/sun.csv", map[string][]figures.Method{
		"true-longitude":     coordinate(func(c sun.Coordinates) units.Degrees { return c.True }),
		"apparent-longitude": coordinate(func(c sun.Coordinates) units.Degrees { return c.Apparent }),
		"right-ascension":    coordinate(func(c sun.Coordinates) units.Degrees { return c.RightAscension }),
		"declination":        coordinate(func(c sun.Coordinates) units.Degrees { return c.Declination }),
		"elevation":          position(func(p sun.Position) units.Degrees { return p.Elevation }),
		"azimuth":            position(func(p sun.Position) units.Degrees { return p.Azimuth }),
		"rise":               crossing(sun.Rise),
		"set":                crossing(sun.Set),
		"clear-sun":          light(sun.ClearSun),
		"clear-sky":          light(sun.ClearSky),
		"overcast":           light(sun.Overcast),
	})
}

// How long the sun takes near midsummer's sunset, in minutes, to the horizon's
// own 0°. Source: trade handbook N34.
func TestLongEvenings(t *testing.T) {
	midsummer := time.Date(2024, 6, 21, 12, 0, 0, 0, time.UTC)
	for _, c := range []struct{ lat, from, to, minutes float64 }{{45, 6, 0, 40}, {55, 6, 0, 54}, {45, 0, -6, 43}, {55, 0, -6, 66}} {
		from, err1 := sun.Set(degree(c.lat), 0, midsummer, degree(c.from))
		to, err2 := sun.Set(degree(c.lat), 0, midsummer, degree(c.to))
		if got := to.Sub(from).Minutes(); err1 != nil || err2 != nil || math.Abs(got-c.minutes) > 0.6 {
			t.Errorf("at %g° from %g° to %g°: %.1f minutes (%v, %v), want %g", c.lat, c.from, c.to, got, err1, err2, c.minutes)
		}
	}
}

func TestDaysWithoutCrossing(t *testing.T) {
	june, december := time.Date(2024, 6, 21, 0, 0, 0, 0, time.UTC), time.Date(2024, 12, 21, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		name string
		lat  float64
		day  time.Time
		h    units.Degrees
		want error
	}{
		{"polar day", 69.65, june, sun.Horizon, sun.ErrAbove},
		{"polar night", 69.65, december, sun.Horizon, sun.ErrBelow},
		{"polar day in the south", -75, december, sun.Horizon, sun.ErrAbove},
		{"no civil night at 62 in June", 62, june, sun.Civil, sun.ErrAbove},
		{"never over 6 at 62 in December", 62, december, sun.LowSun, sun.ErrBelow},
	} {
		for _, f := range []func(lat, lon units.Degrees, t time.Time, h units.Degrees) (time.Time, error){sun.Rise, sun.Set} {
			if when, err := f(degree(c.lat), 18.96, c.day, c.h); !errors.Is(err, c.want) || !when.IsZero() {
				t.Errorf("%s: %v (%v), want %v", c.name, when, err, c.want)
			}
		}
	}
}

func TestRefused(t *testing.T) {
	now := time.Date(2024, 6, 21, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		lat, lon float64
		t        time.Time
	}{{91, 0, now}, {-90.1, 0, now}, {math.NaN(), 0, now}, {0, 181, now}, {0, math.Inf(1), now}, {0, 0, time.Date(2101, 1, 1, 0, 0, 0, 0, time.UTC)}, {0, 0, time.Time{}}} {
		var outside *units.RangeError
		if p, err := sun.Where(degree(c.lat), degree(c.lon), c.t); !errors.As(err, &outside) || p != (sun.Position{}) {
			t.Errorf("%v %v: %v (%v)", c.lat, c.lon, p, err)
		}
		if when, err := sun.Set(degree(c.lat), degree(c.lon), c.t, 0); !errors.As(err, &outside) || !when.IsZero() {
			t.Errorf("%v %v sets at %v (%v)", c.lat, c.lon, when, err)
		}
	}
	if _, err := sun.ClearSun(4); err == nil {
		t.Error("light of a sun at 4° is outside the source's range")
	}
}

// Anywhere, any day: a crossing is at its height, rise before noon, set behind
// it, and the sun is finite, north of the horizon's turn and below the zenith.
func TestEverywhere(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	crossed := 0
	for range 300 {
		lat, lon := degree(180*r.Float64()-90), degree(360*r.Float64()-180)
		day := time.Unix(int64(-2.2e9+r.Float64()*6.3e9), 0).UTC()
		if day.Year() < 1901 || day.Year() > 2099 {
			continue
		}
		p, err := sun.Where(lat, lon, day)
		if err != nil || !(p.Elevation >= -90 && p.Elevation <= 90 && p.Azimuth >= 0 && p.Azimuth < 360) {
			t.Fatalf("%v %v %v: %v (%v)", lat, lon, day, p, err)
		}
		noon, err := sun.Noon(lon, day)
		if err != nil {
			t.Fatal(err)
		}
		for h := units.Degrees(-18); h <= 60; h += 13 {
			rise, err1 := sun.Rise(lat, lon, day, h)
			set, err2 := sun.Set(lat, lon, day, h)
			if err1 == nil {
				crossed++
				if p, err := sun.Where(lat, lon, rise); err != nil || math.Abs(float64(p.Elevation-h)) > 1e-3 || !rise.Before(noon) {
					t.Errorf("%v %v rises through %v at %v, where it stands at %v", lat, lon, h, rise, p)
				}
			}
			if err2 == nil && !set.After(noon) {
				t.Errorf("%v %v sets at %v before noon %v", lat, lon, set, noon)
			}
		}
	}
	if crossed < 200 {
		t.Errorf("only %d crossings", crossed)
	}
}

func BenchmarkWhere(b *testing.B) {
	when := time.Date(2024, 6, 20, 12, 0, 0, 0, time.UTC)
	for b.Loop() {
		if _, err := sun.Where(51.5, 0, when); err != nil {
			b.Fatal(err)
		}
	}
}
