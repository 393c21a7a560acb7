package day

import (
	"slices"
	"time"

	"panelhand/calc/sun"
	"panelhand/calc/units"
)

// A Slot is a stretch of the day planned by itself, with the sun as it stands
// in its middle.
type Slot struct {
	From, To time.Time
	Sun      sun.Position
}

// A Stretch is when pictures are made without a long break.
type Stretch struct{ From, To time.Time }

// InOrder sorts a day's stretches, and makes one of those that overlap.
func InOrder(all []Stretch) []Stretch {
	all = slices.Clone(all)
	slices.SortFunc(all, func(a, b Stretch) int { return a.From.Compare(b.From) })
	var out []Stretch
	for _, s := range all {
		if last := len(out) - 1; last >= 0 && s.From.Before(out[last].To) {
			if s.To.After(out[last].To) {
				out[last].To = s.To
			}
			continue
		}
		out = append(out, s)
	}
	return out
}

// Share gives each stretch its part of a number of spots: at least one, and the
// next to the one that has the most time for each. Zero spots are zero for all.
func Share(spots int, parts []Stretch) []int {
	shares := make([]int, len(parts))
	if spots <= 0 {
		return shares
	}
	for n := 0; n < spots || slices.Contains(shares, 0); n++ {
		most := 0
		for i, s := range parts {
			each := func(i int, s Stretch) float64 { return s.To.Sub(s.From).Hours() / (float64(shares[i]) + 1e-9) }
			if each(i, s) > each(most, parts[most]) {
				most = i
			}
		}
		shares[most]++
	}
	return shares
}

// Bounds of the slots of one day.
const (
	MostSlots = 24
	mostParts = 6                // where the sun divides the day
	shortest  = 15 * time.Minute // a part that is shorter goes to its neighbour
)

// Slots divides a stretch of the day: into as many equal slots as there are
// spots, or, where nobody said how many, where the light changes: at 40°, 6°,
// sunset and the end of civil twilight.
func (c *Course) Slots(from, to time.Time, spots int) ([]Slot, error) {
	cuts := []time.Time{from, to}
	if spots > 0 {
		spots = min(spots, MostSlots)
		for n := 1; n < spots; n++ {
			cuts = append(cuts, from.Add(to.Sub(from)*time.Duration(n)/time.Duration(spots)).Round(time.Minute))
		}
	} else {
		cuts = append(cuts, c.changes(from, to)...)
	}
	slices.SortFunc(cuts, time.Time.Compare)
	var slots []Slot
	for i := range cuts[1:] {
		s := Slot{From: cuts[i], To: cuts[i+1]}
		var err error
		if s.Sun, err = c.At(s.From.Add(s.To.Sub(s.From) / 2)); err != nil {
			return nil, err
		}
		slots = append(slots, s)
	}
	return slots, nil
}

// changes are the moments at which the light changes, those too near to the one
// before left out.
func (c *Course) changes(from, to time.Time) []time.Time {
	var all []time.Time
	for _, height := range []units.Degrees{Overhead, sun.LowSun, sun.Horizon, sun.Civil} {
		for _, crosses := range []func(units.Degrees) (time.Time, error){c.Rises, c.Sets} {
			if t, err := crosses(height); err == nil {
				all = append(all, t.Round(time.Minute))
			}
		}
	}
	slices.SortFunc(all, time.Time.Compare)
	last := from
	var kept []time.Time
	for _, t := range all {
		if t.Sub(last) >= shortest && to.Sub(t) >= shortest && len(kept) < mostParts-1 {
			kept, last = append(kept, t), t
		}
	}
	return kept
}
