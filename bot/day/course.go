package day

import (
	"errors"
	"math"
	"time"

	"panelhand/calc/sun"
	"panelhand/calc/units"
)

// Overhead is the height of the sun from which its light counts as overhead: an
// upright face gets a nose shadow to the lip (at 39° for a nose of 25 mm over a lip
// 20 mm below) and sockets in shadow. Trade handbook N6; the round figure is
// this program's own.
const Overhead units.Degrees = 40

// A Course is the way of the sun over one date at one place.
type Course struct {
	Date     Date
	Zone     *time.Location
	Lat, Lon units.Degrees

	shift time.Duration // by how much clocks run ahead of the computed ones, where a known sunset sets them
}

// New returns the course of a date. A latitude or longitude off the earth and a
// year outside 1900..2100 are refused.
func New(date Date, zone *time.Location, lat, lon units.Degrees) (*Course, error) {
	c := &Course{Date: date, Zone: zone, Lat: lat, Lon: lon}
	if _, err := sun.Where(lat, lon, date.noon()); err != nil {
		return nil, err
	}
	return c, nil
}

// Known returns the course of a date at a latitude of which only the clock's time
// of sunset is known, in minutes: the longitude and the zone follow from it.
func Known(date Date, lat units.Degrees, sunset int) (*Course, error) {
	c, err := New(date, time.UTC, lat, 0)
	if err != nil {
		return nil, err
	}
	set, err := c.Sets(sun.Horizon)
	if err != nil {
		return nil, err
	}
	c.shift = date.On(sunset, time.UTC).Sub(set)
	return c, nil
}

// At returns where the sun stands.
func (c *Course) At(t time.Time) (sun.Position, error) {
	return sun.Where(c.Lat, c.Lon, t.Add(-c.shift))
}

// day is a moment of whose UTC date the sun's middle lies on the course's date
// there: far from Greenwich, or with clocks far from the sun, the dates differ.
func (c *Course) day() time.Time {
	t := c.Date.noon()
	noon, err := sun.Noon(c.Lon, t)
	if err != nil {
		return t
	}
	switch on := dateOf(noon.Add(c.shift).In(c.Zone)); {
	case on.before(c.Date):
		return t.AddDate(0, 0, 1)
	case c.Date.before(on):
		return t.AddDate(0, 0, -1)
	}
	return t
}

// Noon returns when the sun stands highest.
func (c *Course) Noon() (time.Time, error) {
	t, err := sun.Noon(c.Lon, c.day())
	return c.local(t), err
}

// Rises returns when the sun comes up through a height, or sun.ErrAbove or
// sun.ErrBelow where it does not on this day.
func (c *Course) Rises(height units.Degrees) (time.Time, error) {
	t, err := sun.Rise(c.Lat, c.Lon, c.day(), height)
	return c.local(t), err
}

// Sets returns when the sun goes down through a height.
func (c *Course) Sets(height units.Degrees) (time.Time, error) {
	t, err := sun.Set(c.Lat, c.Lon, c.day(), height)
	return c.local(t), err
}

func (c *Course) local(t time.Time) time.Time {
	if t.IsZero() {
		return t
	}
	return t.Add(c.shift).In(c.Zone).Round(time.Second)
}

// NeverSets reports whether the sun stays over the horizon all day.
func (c *Course) NeverSets() bool {
	_, err := c.Sets(sun.Horizon)
	return errors.Is(err, sun.ErrAbove)
}

// NeverRises reports whether it stays under it.
func (c *Course) NeverRises() bool {
	_, err := c.Sets(sun.Horizon)
	return errors.Is(err, sun.ErrBelow)
}

// A Fall is a stretch of an evening in which the sun sinks from one height to
// another, and what light that costs.
type Fall struct {
	From, To   time.Time
	High, Low  units.Degrees
	Stops      units.Stops // of light lost on a face, a positive number
	Incomplete bool        // the day does not have all of it
}

// Minutes is how long it takes.
func (f Fall) Minutes() float64 { return f.To.Sub(f.From).Minutes() }

// LowSun is the evening's low sun, from 6° to sunset.
func (c *Course) LowSun() (Fall, error) { return c.fall(sun.LowSun, sun.Horizon) }

// Twilight is the evening's civil twilight, from sunset to −6°.
func (c *Course) Twilight() (Fall, error) { return c.fall(sun.Horizon, sun.Civil) }

func (c *Course) fall(high, low units.Degrees) (Fall, error) {
	f := Fall{High: high, Low: low}
	var err error
	if f.To, err = c.Sets(low); err != nil {
		return Fall{}, err
	}
	if f.From, err = c.Sets(high); errors.Is(err, sun.ErrBelow) {
		// It never stands so high: the stretch begins where it stands highest.
		f.Incomplete = true
		if f.From, err = c.Noon(); err == nil {
			var p sun.Position
			if p, err = c.At(f.From); err == nil {
				f.High = p.Elevation
			}
		}
	}
	if err != nil {
		return Fall{}, err
	}
	before, _, err1 := FaceEV("low-sun", f.High)
	after, _, err2 := FaceEV("low-sun", f.Low)
	if err := errors.Join(err1, err2); err != nil {
		return Fall{}, err
	}
	f.Stops = units.Stops(before - after)
	return f, nil
}

// A Span is the shortest and the longest that something takes over a year, in
// minutes.
type Span struct{ Least, Most float64 }

// Evenings returns how long low sun and civil twilight last at a latitude, over
// a year: what can be said where nobody said the date. Both are zero where the
// latitude has no evening with all of it.
func Evenings(lat units.Degrees) (low, twilight Span, err error) {
	for n := range 73 { // every fifth day
		c, err := New(Date{2025, time.January, 1}.next(5*n), time.UTC, lat, 0)
		if err != nil {
			return Span{}, Span{}, err
		}
		if f, err := c.LowSun(); err == nil && !f.Incomplete {
			low.widen(f.Minutes())
		}
		if f, err := c.Twilight(); err == nil && !f.Incomplete {
			twilight.widen(f.Minutes())
		}
	}
	return low, twilight, nil
}

func (s *Span) widen(v float64) {
	if s.Most == 0 {
		*s = Span{v, v}
		return
	}
	s.Least, s.Most = math.Min(s.Least, v), math.Max(s.Most, v)
}
