package day

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	_ "time/tzdata" // zones by name on any machine

	"panelhand/calc/units"
)

// A Date is a day of the calendar, wherever it is.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// On returns the date at a time of day, in minutes since midnight; minutes past
// the day's end are the next day's. Clocks that skip or repeat an hour are
// followed: 02:30 on a night without one is the moment the zone makes of it.
func (d Date) On(minutes int, zone *time.Location) time.Time {
	return time.Date(d.Year, d.Month, d.Day, 0, minutes, 0, 0, zone)
}

// Noon is a moment that lies within the date everywhere: noon in UTC.
func (d Date) noon() time.Time { return time.Date(d.Year, d.Month, d.Day, 12, 0, 0, 0, time.UTC) }

// Next is the date n days on.
func (d Date) next(n int) Date { return dateOf(d.noon().AddDate(0, 0, n)) }

func (d Date) String() string { return d.noon().Format("Mon 2 Jan 2006") }

func dateOf(t time.Time) Date {
	y, m, day := t.Date()
	return Date{y, m, day}
}

// Why a date cannot be told.
var (
	ErrNoDate  = errors.New("no date")
	ErrNoNow   = errors.New("a date counted from today, and nobody said what today is")
	ErrNotADay = errors.New("no day of the calendar")
)

// Resolve returns the date that a text means, seen from now in the zone: an
// ISO date, "21 june" with or without its year, day/month/year, a weekday, "today",
// "tomorrow", "day after tomorrow", "day before" any of these. guessed says that the year or the week was
// not said, and the next such date was taken. A zero now is unknown.
func Resolve(text string, now time.Time, zone *time.Location) (d Date, guessed bool, err error) {
	words := strings.Fields(strings.ToLower(text))
	if len(words) == 0 {
		return d, false, ErrNoDate
	}
	today := dateOf(now.In(zone))
	known := func(d Date, guessed bool) (Date, bool, error) {
		if now.IsZero() {
			return Date{}, false, ErrNoNow
		}
		return d, guessed, nil
	}
	switch text := strings.Join(words, " "); text {
	case "today", "tonight":
		return known(today, false)
	case "tomorrow":
		return known(today.next(1), false)
	case "day after tomorrow":
		return known(today.next(2), false)
	}
	if step := map[string]int{"before": -1, "after": 1}[words[min(1, len(words)-1)]]; step != 0 && words[0] == "day" { // "day before 25 oct"
		d, guessed, err = Resolve(strings.Join(words[2:], " "), now, zone)
		if err == nil {
			d = d.next(step)
		}
		return d, guessed, err
	}
	if at := slices.Index(weekdays, words[len(words)-1]); at >= 0 {
		ahead := (at - int(now.In(zone).Weekday()) + 7) % 7
		if words[0] == "next" && ahead == 0 {
			ahead = 7
		}
		return known(today.next(ahead), true)
	}
	d, year, err := calendar(words)
	if err != nil || year {
		return d, false, err
	}
	for d.Year = today.Year; d.Year <= today.Year+8; d.Year++ { // 29 February can be eight years off
		if d.valid() && !d.before(today) {
			return known(d, true)
		}
	}
	return Date{}, false, ErrNotADay
}

// calendar reads a date with or without its year.
func calendar(words []string) (d Date, year bool, err error) {
	number := func(s string) int {
		n, err := strconv.Atoi(s)
		if err != nil {
			return -1
		}
		return n
	}
	var parts []string
	switch {
	case len(words) == 1 && strings.Contains(words[0], "-"):
		if parts = strings.Split(words[0], "-"); len(parts) == 3 {
			d, year = Date{number(parts[0]), time.Month(number(parts[1])), number(parts[2])}, true
		}
	case len(words) == 1 && strings.ContainsAny(words[0], "/."): // day first, as most of the world writes
		parts = strings.FieldsFunc(words[0], func(r rune) bool { return r == '/' || r == '.' })
		if len(parts) == 2 {
			d = Date{Month: time.Month(number(parts[1])), Day: number(parts[0])}
		}
		if len(parts) == 3 {
			d, year = Date{number(parts[2]), time.Month(number(parts[1])), number(parts[0])}, true
			if d.Year < 100 {
				d.Year += 2000
			}
			if d.Month > 12 && d.Day <= 12 { // it can only be the month first
				d.Month, d.Day = time.Month(d.Day), int(d.Month)
			}
		}
	case len(words) >= 2 && len(words[1]) >= 3:
		d = Date{Month: time.Month(1 + slices.IndexFunc(months, func(m string) bool { return strings.HasPrefix(words[1], m) })), Day: number(words[0])}
		if len(words) > 2 {
			d.Year, year = number(words[2]), true
		}
	}
	leap := d
	if !year {
		leap.Year = 2024 // any day of any year
	}
	if !leap.valid() {
		return Date{}, false, ErrNotADay
	}
	return d, year, nil
}

func (d Date) valid() bool {
	return d.Month >= 1 && d.Month <= 12 && d.Day >= 1 && d.Year > 0 && dateOf(d.noon()) == d
}

func (d Date) before(e Date) bool { return d.noon().Before(e.noon()) }

var (
	weekdays = []string{"sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday"}
	months   = []string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}
)

// Minutes reads a time of day, "14:05", as minutes since midnight.
func Minutes(text string) (int, bool) {
	t, err := time.Parse("15:04", text)
	return 60*t.Hour() + t.Minute(), err == nil
}

// Zone returns a time zone by its name.
func Zone(name string) (*time.Location, error) {
	if name == "" || name == "Local" {
		return nil, fmt.Errorf("no time zone %q", name)
	}
	return time.LoadLocation(name)
}

// Offset returns the zone that an offset such as "+02:00" fixes.
func Offset(text string) (*time.Location, error) {
	t, err := time.Parse("-07:00", text)
	if err != nil {
		return nil, fmt.Errorf("no offset from UTC: %q", text)
	}
	_, seconds := t.Zone()
	return time.FixedZone("UTC"+text, seconds), nil
}

// SunZone is the zone whose clocks are nearest to the sun at a longitude: what is
// left to take where nobody said one. It knows no daylight saving.
func SunZone(lon units.Degrees) *time.Location {
	h := int((float64(lon) + 187.5) / 15)
	h -= 12
	return time.FixedZone(fmt.Sprintf("UTC%+d", h), h*3600)
}
