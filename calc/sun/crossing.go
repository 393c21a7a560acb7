package sun

import (
	"errors"
	"time"

	"panelhand/calc/units"
)

// Heights of the sun's centre at which the light changes. Rise and set count
// 34′ of refraction and 16′ of radius. Twilight's limit is the published one;
// LowSun is this program's own: the trade's "golden hour" has no standard.
// Source: photometry handbook §12.
const (
	Horizon units.Degrees = -0.8333
	Civil   units.Degrees = -6
	LowSun  units.Degrees = 6
)

// Why the sun does not cross a height on a day.
var (
	ErrAbove = errors.New("the sun stays above that height all day")
	ErrBelow = errors.New("the sun stays below that height all day")
)

var heights = units.Range{Quantity: "height of the sun", Unit: "degree", Low: -90, High: 90}

// Noon returns when the sun stands highest on the UTC date of t, at a
// longitude: the middle of the day that people there call by that date.
func Noon(lon units.Degrees, t time.Time) (time.Time, error) {
	if err := check(0, lon, t); err != nil {
		return time.Time{}, err
	}
	noon := time.Date(t.UTC().Year(), t.UTC().Month(), t.UTC().Day(), 12, 0, 0, 0, time.UTC).Add(-hours(float64(lon) / 15))
	for range 2 { // the clock's noon is up to 17 minutes off the sun's
		jd := julian(noon)
		noon = noon.Add(-hours(hourAngle(jd, float64(lon), equatorial(jd).ra) / 15))
	}
	return noon, nil
}

// Rise returns when the sun comes up through a height in the morning of the
// day that Noon names, and ErrAbove or ErrBelow where it does not.
func Rise(lat, lon units.Degrees, t time.Time, height units.Degrees) (time.Time, error) {
	return crossing(lat, lon, t, height, -12*time.Hour)
}

// Set returns when the sun goes down through a height in the evening.
func Set(lat, lon units.Degrees, t time.Time, height units.Degrees) (time.Time, error) {
	return crossing(lat, lon, t, height, 12*time.Hour)
}

// crossing halves the time between the sun's highest and its lowest until the
// height is found to a tenth of a second. It needs no formula for the hour angle,
// so that it holds in the far north too.
func crossing(lat, lon units.Degrees, t time.Time, height units.Degrees, half time.Duration) (time.Time, error) {
	if err := units.First(check(lat, lon, t), heights.Check(float64(height))); err != nil {
		return time.Time{}, err
	}
	noon, err := Noon(lon, t)
	if err != nil {
		return time.Time{}, err
	}
	up := func(at time.Time) bool {
		p, err := Where(lat, lon, at)
		return err == nil && p.Elevation > height
	}
	high, low := noon, noon.Add(half)
	switch {
	case !up(high):
		return time.Time{}, ErrBelow
	case up(low):
		return time.Time{}, ErrAbove
	}
	for high.Sub(low).Abs() > 100*time.Millisecond {
		if middle := high.Add(low.Sub(high) / 2); up(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	return low, nil
}

func hours(h float64) time.Duration { return time.Duration(h * float64(time.Hour)) }
