package day_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"panelhand/bot/day"
	"panelhand/calc/sun"
	"panelhand/calc/units"
)

func degree(v float64) units.Degrees { return units.Degrees(v) }

func course(t testing.TB, date string, lat, lon float64, name string) *day.Course {
	t.Helper()
	d, _, err := day.Resolve(date, time.Time{}, time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	c, err := day.New(d, zone(t, name), degree(lat), degree(lon))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// The clock's times at which the sun passes −6°, −0.8333°, 6° and 40°, up and
// down, computed with a general-purpose ephemeris library (geometric height of the
// centre, sea level, no refraction; zones of the 2025 database). Days on which
// clocks change, both hemispheres, the equator, north of the polar circle, and a
// place whose clocks are a day ahead of its sun.
var wholeDays = []struct {
	name     string
	date     string
	lat, lon float64
	zone     string
	want     [8]string
}{
	{"midsummer at 52°", "2025-06-21", 52, 4, "Europe/Amsterdam", [8]string{"06-21 04:34:53", "06-21 05:23:48", "06-21 06:18:58", "06-21 10:08:29", "06-21 17:23:12", "06-21 21:12:43", "06-21 22:07:52", "06-21 22:56:48"}},
	{"clocks go forward", "2025-03-30", 38.7, -9.14, "Europe/Lisbon", [8]string{"03-30 06:57:32", "03-30 07:24:14", "03-30 07:59:17", "03-30 11:02:30", "03-30 16:19:43", "03-30 19:23:07", "03-30 19:58:14", "03-30 20:25:00"}},
	{"clocks go back", "2025-10-26", 38.7, -9.14, "Europe/Lisbon", [8]string{"10-26 06:29:57", "10-26 06:57:12", "10-26 07:34:09", "-", "-", "10-26 17:06:21", "10-26 17:43:17", "10-26 18:10:31"}},
	{"clocks go forward in the west", "2025-03-09", 40.7, -74, "America/New_York", [8]string{"03-09 06:49:36", "03-09 07:16:52", "03-09 07:53:14", "03-09 11:30:33", "03-09 14:42:40", "03-09 18:20:07", "03-09 18:56:32", "03-09 19:23:51"}},
	{"southern midsummer", "2025-12-21", -33.87, 151.21, "Australia/Sydney", [8]string{"12-21 05:11:35", "12-21 05:40:45", "12-21 06:17:38", "12-21 09:07:18", "12-21 16:38:58", "12-21 19:28:38", "12-21 20:05:31", "12-21 20:34:41"}},
	{"clocks go forward in the south", "2025-10-05", -33.87, 151.21, "Australia/Sydney", [8]string{"10-05 06:01:59", "10-05 06:27:05", "10-05 07:00:04", "10-05 09:48:19", "10-05 15:39:16", "10-05 18:27:41", "10-05 19:00:42", "10-05 19:25:52"}},
	{"equator", "2025-03-20", 0, 36.8, "Africa/Nairobi", [8]string{"03-20 06:16:16", "03-20 06:36:56", "03-20 07:04:16", "03-20 09:20:14", "03-20 16:00:08", "03-20 18:16:06", "03-20 18:43:26", "03-20 19:04:05"}},
	{"a zone of half hours", "2025-08-15", 28.6, 77.2, "Asia/Kolkata", [8]string{"08-15 05:25:43", "08-15 05:50:29", "08-15 06:22:40", "08-15 08:58:36", "08-15 15:52:35", "08-15 18:28:22", "08-15 19:00:29", "08-15 19:25:12"}},
	{"equinox north of the circle", "2025-03-20", 69.65, 18.96, "Europe/Oslo", [8]string{"03-20 04:42:40", "03-20 05:42:48", "03-20 07:02:08", "-", "-", "03-20 16:42:43", "03-20 18:02:26", "03-20 19:03:04"}},
	{"clocks a day ahead of the sun", "2025-06-21", 1.87, -157.4, "Pacific/Kiritimati", [8]string{"06-21 06:01:50", "06-21 06:24:24", "06-21 06:54:12", "06-21 09:24:49", "06-21 15:37:50", "06-21 18:08:27", "06-21 18:38:15", "06-21 19:00:49"}},
	{"winter at 52°", "2025-12-21", 52, 4, "Europe/Amsterdam", [8]string{"12-21 08:08:55", "12-21 08:49:54", "12-21 09:53:02", "-", "-", "12-21 15:31:18", "12-21 16:34:26", "12-21 17:15:25"}},
}

func TestWholeDays(t *testing.T) {
	for _, c := range wholeDays {
		t.Run(c.name, func(t *testing.T) {
			course := course(t, c.date, c.lat, c.lon, c.zone)
			for i, height := range []units.Degrees{sun.Civil, sun.Horizon, sun.LowSun, day.Overhead, day.Overhead, sun.LowSun, sun.Horizon, sun.Civil} {
				crosses := course.Rises
				if i >= 4 {
					crosses = course.Sets
				}
				got, err := crosses(height)
				if c.want[i] == "-" {
					if !errors.Is(err, sun.ErrBelow) {
						t.Errorf("%v°: %v (%v), want never", height, got, err)
					}
					continue
				}
				want, bad := time.ParseInLocation("2006-01-02 15:04:05", "2025-"+c.want[i], zone(t, c.zone))
				if bad != nil {
					t.Fatal(bad)
				}
				if err != nil || got.Sub(want).Abs() > 20*time.Second {
					t.Errorf("%v°: %v (%v), want %v", height, got, err, want)
				}
			}
		})
	}
}

// Polar day and night (photometry handbook §12 has the sun at 3.45° over 69.65°
// north at midnight of 21 June 2024).
func TestPolar(t *testing.T) {
	summer, winter := course(t, "2024-06-21", 69.65, 18.96, "Europe/Oslo"), course(t, "2024-12-21", 69.65, 18.96, "Europe/Oslo")
	if !summer.NeverSets() || summer.NeverRises() || winter.NeverSets() || !winter.NeverRises() {
		t.Error("69.65° north has midnight sun on 21 June and none on 21 December")
	}
	if f, err := summer.LowSun(); err == nil {
		t.Errorf("low sun before a sunset that is not: %+v", f)
	}
	slots, err := summer.Slots(day.Date{2024, 6, 21}.On(0, zone(t, "Europe/Oslo")), day.Date{2024, 6, 21}.On(24*60, zone(t, "Europe/Oslo")), 4)
	if err != nil || len(slots) != 4 {
		t.Fatal(slots, err)
	}
	for _, s := range slots {
		if s.Sun.Elevation < 0 {
			t.Errorf("sun at %v at %v", s.Sun.Elevation, s.From)
		}
	}
}

// An evening's minutes, from 6° to the horizon's own 0° and on to −6°, near
// midsummer. Source: trade handbook N34, doubts 18. The stretches here end at −0.8333°,
// so the sum of both is compared.
func TestFalls(t *testing.T) {
	for _, c := range []struct{ lat, minutes float64 }{{45, 40 + 43}, {55, 54 + 66}} {
		course := course(t, "2024-06-21", c.lat, 0, "UTC")
		low, err1 := course.LowSun()
		twilight, err2 := course.Twilight()
		if got := low.Minutes() + twilight.Minutes(); err1 != nil || err2 != nil || math.Abs(got-c.minutes) > 1.2 {
			t.Errorf("at %g° from 6° to −6°: %.1f min (%v, %v), want %g", c.lat, got, err1, err2, c.minutes)
		}
		// A stop for every 4 to 6 minutes of a clear twilight at 45° and equinox, slower
		// at 55° in June: 9 to 10 (trade handbook N35, doubts 19).
		if pace := twilight.Minutes() / float64(twilight.Stops); pace < 4 || pace > 10.5 {
			t.Errorf("at %g° a stop of twilight takes %.1f min", c.lat, pace)
		}
	}
	// In winter at 62° the sun never stands at 6°: what there is of low sun.
	low, err := course(t, "2024-12-21", 62, 10, "Europe/Oslo").LowSun()
	if err != nil || !low.Incomplete || low.High > 6 || low.Minutes() < 60 {
		t.Errorf("%+v (%v)", low, err)
	}
}

// A sunset that the crew knows sets the clocks: the rest of the evening is as
// long as where longitude and zone are known.
func TestKnownSunset(t *testing.T) {
	whole := course(t, "2025-06-21", 52, 4, "Europe/Amsterdam")
	d := day.Date{2025, 6, 21}
	known, err := day.Known(d, 52, 22*60+8)
	if err != nil {
		t.Fatal(err)
	}
	for _, height := range []units.Degrees{day.Overhead, sun.LowSun, sun.Horizon, sun.Civil} {
		a, err1 := whole.Sets(height)
		b, err2 := known.Sets(height)
		if err1 != nil || err2 != nil || math.Abs(float64(a.Hour()*60+a.Minute()-b.Hour()*60-b.Minute())) > 1 {
			t.Errorf("%v°: %v and %v (%v, %v)", height, a, b, err1, err2)
		}
		if p, err := known.At(b); err != nil || math.Abs(float64(p.Elevation-height)) > 0.01 {
			t.Errorf("at %v the sun stands at %v (%v), want %v", b, p.Elevation, err, height)
		}
	}
	if _, err := day.Known(d, 80, 22*60); !errors.Is(err, sun.ErrAbove) {
		t.Errorf("a sunset in the polar day: %v", err)
	}
	if _, err := day.Known(d, 91, 22*60); err == nil {
		t.Error("latitude 91")
	}
	// Doubts 18: at 52° the evening is 39 minutes by the equinox's rule and 48 in June,
	// from 6° to 0°; here it goes on to −0.8333°, 5 to 7 minutes more.
	low, _, err := day.Evenings(52)
	if err != nil || math.Abs(low.Least-44.5) > 1.5 || math.Abs(low.Most-55.5) > 8.5 {
		t.Errorf("low sun at 52°: %+v (%v)", low, err)
	}
}

func TestSlots(t *testing.T) {
	c := course(t, "2025-06-21", 52, 4, "Europe/Amsterdam")
	d, z := day.Date{2025, 6, 21}, zone(t, "Europe/Amsterdam")
	slots, err := c.Slots(d.On(14*60, z), d.On(18*60, z), 3)
	if err != nil || len(slots) != 3 || slots[0].To.Format("15:04") != "15:20" || !slots[2].To.Equal(d.On(18*60, z)) {
		t.Errorf("three spots from 14 to 18: %+v (%v)", slots, err)
	}
	slots, err = c.Slots(d.On(16*60, z), d.On(23*60, z), 0)
	if err != nil {
		t.Fatal(err)
	}
	var cuts []string
	for _, s := range slots {
		cuts = append(cuts, s.From.Format("15:04"))
	}
	want := []string{"16:00", "17:23", "21:13", "22:08"} // civil twilight ends within 15 minutes of the end
	if len(cuts) != len(want) {
		t.Fatalf("cut at %v, want %v", cuts, want)
	}
	for i := range want {
		if cuts[i] != want[i] {
			t.Errorf("cut at %v, want %v", cuts, want)
		}
	}
	// Whatever the window, slots follow each other without a gap.
	for minutes := 1; minutes < 1440; minutes += 37 {
		for spots := range 8 {
			slots, err := c.Slots(d.On(minutes, z), d.On(minutes+600, z), spots)
			if err != nil || !slots[0].From.Equal(d.On(minutes, z)) || !slots[len(slots)-1].To.Equal(d.On(minutes+600, z)) {
				t.Fatalf("%d spots from %d: %+v (%v)", spots, minutes, slots, err)
			}
			for i := 1; i < len(slots); i++ {
				if !slots[i].From.Equal(slots[i-1].To) || !slots[i].To.After(slots[i].From) {
					t.Errorf("%d spots from %d: %v to %v", spots, minutes, slots[i-1], slots[i])
				}
			}
		}
	}
}

func TestOffTheEarth(t *testing.T) {
	d := day.Date{2025, 6, 21}
	for _, at := range [][2]float64{{91, 0}, {-90.5, 0}, {0, 181}, {math.NaN(), 0}} {
		if c, err := day.New(d, time.UTC, degree(at[0]), degree(at[1])); err == nil {
			t.Errorf("%v: %+v", at, c)
		}
	}
	if _, err := day.New(day.Date{2101, 1, 1}, time.UTC, 0, 0); err == nil {
		t.Error("2101 is past the almanac")
	}
}

func TestBearings(t *testing.T) {
	for azimuth, want := range map[float64]string{0: "N", 11: "N", 12: "NNE", 90: "E", 215: "SW", 348: "NNW", 349: "N", 359.9: "N"} {
		if got := day.Bearing(degree(azimuth)); got != want {
			t.Errorf("%g° is %s, want %s", azimuth, got, want)
		}
	}
}
