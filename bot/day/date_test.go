package day_test

import (
	"errors"
	"testing"
	"time"

	"panelhand/bot/day"
)

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := day.Zone(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

func TestResolve(t *testing.T) {
	lisbon := zone(t, "Europe/Lisbon")
	now := time.Date(2026, 4, 30, 22, 30, 0, 0, time.UTC) // a Thursday; 23:30 in Lisbon
	for _, c := range []struct {
		text    string
		want    day.Date
		guessed bool
		err     error
	}{
		{"2026-05-02", day.Date{2026, 5, 2}, false, nil},
		{"21 dec 2024", day.Date{2024, 12, 21}, false, nil},
		{"12/5/2025", day.Date{2025, 5, 12}, false, nil},
		{"1/6/26", day.Date{2026, 6, 1}, false, nil},
		{"21 june", day.Date{2026, 6, 21}, true, nil},
		{"30 april", day.Date{2026, 4, 30}, true, nil}, // today is the next such date
		{"29 april", day.Date{2027, 4, 29}, true, nil}, // yesterday is not
		{"29 feb", day.Date{2028, 2, 29}, true, nil},   // the next leap year's
		{"thursday", day.Date{2026, 4, 30}, true, nil}, // today
		{"next thursday", day.Date{2026, 5, 7}, true, nil},
		{"saturday", day.Date{2026, 5, 2}, true, nil},
		{"next saturday", day.Date{2026, 5, 2}, true, nil},
		{"Today", day.Date{2026, 4, 30}, false, nil},
		{"tomorrow", day.Date{2026, 5, 1}, false, nil},
		{"day after tomorrow", day.Date{2026, 5, 2}, false, nil},
		{"31/10", day.Date{2026, 10, 31}, true, nil},
		{"10/31/2026", day.Date{2026, 10, 31}, false, nil},
		{"31.10.2027", day.Date{2027, 10, 31}, false, nil},
		{"day before 1 may 2026", day.Date{2026, 4, 30}, false, nil},
		{"day after saturday", day.Date{2026, 5, 3}, true, nil},
		{"day before day before 2 jan 2027", day.Date{2026, 12, 31}, false, nil},
		{"day before 30 feb", day.Date{}, false, day.ErrNotADay},
		{"day before", day.Date{}, false, day.ErrNoDate},
		{"31/13", day.Date{}, false, day.ErrNotADay},
		{"2026-02-29", day.Date{}, false, day.ErrNotADay},
		{"31 june", day.Date{}, false, day.ErrNotADay},
		{"2026-13-01", day.Date{}, false, day.ErrNotADay},
		{"someday", day.Date{}, false, day.ErrNotADay},
		{" ", day.Date{}, false, day.ErrNoDate},
	} {
		got, guessed, err := day.Resolve(c.text, now, lisbon)
		if got != c.want || guessed != c.guessed || !errors.Is(err, c.err) {
			t.Errorf("%q is %v (%v, %v), want %v (%v, %v)", c.text, got, guessed, err, c.want, c.guessed, c.err)
		}
	}
	// The same moment is the next day in Auckland.
	if got, _, err := day.Resolve("tomorrow", now, zone(t, "Pacific/Auckland")); got != (day.Date{2026, 5, 2}) {
		t.Errorf("tomorrow in Auckland is %v (%v)", got, err)
	}
	for _, text := range []string{"saturday", "tomorrow", "21 june"} {
		if got, _, err := day.Resolve(text, time.Time{}, lisbon); !errors.Is(err, day.ErrNoNow) || got != (day.Date{}) {
			t.Errorf("%q without a now is %v (%v)", text, got, err)
		}
	}
	if got, _, err := day.Resolve("2026-05-02", time.Time{}, lisbon); err != nil || got.Day != 2 {
		t.Errorf("a whole date needs no now: %v (%v)", got, err)
	}
}

// Clocks that skip an hour and that repeat one: the European rule, forward at
// 01:00 UTC on the last Sunday of March, back on that of October.
func TestClocksChange(t *testing.T) {
	lisbon := zone(t, "Europe/Lisbon")
	for _, c := range []struct {
		date        day.Date
		before, day time.Duration
	}{
		{day.Date{2025, 3, 30}, 0, 23 * time.Hour},
		{day.Date{2025, 10, 26}, time.Hour, 25 * time.Hour},
		{day.Date{2025, 6, 21}, time.Hour, 24 * time.Hour},
	} {
		midnight, next := c.date.On(0, lisbon), c.date.On(24*60, lisbon)
		if got := next.Sub(midnight); got != c.day {
			t.Errorf("%v lasts %v, want %v", c.date, got, c.day)
		}
		if _, offset := midnight.Zone(); time.Duration(offset)*time.Second != c.before {
			t.Errorf("%v begins %d s from UTC", c.date, offset)
		}
	}
}

func TestZones(t *testing.T) {
	for lon, want := range map[float64]string{0: "UTC+0", -8.6: "UTC-1", 7.4: "UTC+0", 7.6: "UTC+1", 151.21: "UTC+10", -179: "UTC-12", 180: "UTC+12"} {
		if got := day.SunZone(degree(lon)).String(); got != want {
			t.Errorf("clocks at %g° are %s, want %s", lon, got, want)
		}
	}
	at := time.Date(2026, 5, 2, 12, 0, 0, 0, time.UTC)
	if z, err := day.Offset("-03:30"); err != nil || at.In(z).Format("15:04") != "08:30" {
		t.Errorf("−03:30 is %v (%v)", z, err)
	}
	for _, bad := range []string{"", "Local", "Mars/Crater", "../etc/passwd"} {
		if z, err := day.Zone(bad); err == nil {
			t.Errorf("%q is %v", bad, z)
		}
	}
	if _, err := day.Offset("noon"); err == nil {
		t.Error("noon is no offset")
	}
}

func FuzzResolve(f *testing.F) {
	for _, s := range []string{"21 june", "2026-05-02", "1/6/26", "next sunday", "29 feb", "- -", "0/0/0", "99999999999999999999 may"} {
		f.Add(s)
	}
	now := time.Date(2026, 4, 30, 12, 0, 0, 0, time.UTC)
	f.Fuzz(func(t *testing.T, text string) {
		d, _, err := day.Resolve(text, now, time.UTC)
		if err == nil && d.On(0, time.UTC).Day() != d.Day {
			t.Errorf("%q is %v", text, d)
		}
	})
}
