package balance

import (
	"math"
	"slices"

	"panelhand/calc/units"
)

// What a Change turns.
const (
	Closer       = "closer"        // panel (or bare tube) to face, metres
	Farther      = "farther"       // the same, away
	WiderZoom    = "zoom"          // flash zoom, mm
	FlashNearer  = "flash-nearer"  // flash to panel, metres
	MoreISO      = "iso"           // ISO, up or down
	Aperture     = "aperture"      // f-number, either way
	Shutter      = "shutter"       // seconds, either way
	Power        = "power"         // fraction of full
	SecondFlash  = "second-flash"  // number of flashes
	Filter       = "filter"        // grey filter, stops
	NoFilter     = "no-filter"     // take it off
	BareFlash    = "bare"          // the flash without its cloth, metres to the face
	NoFlash      = "no-flash"      // ambient alone
	HighSpeed    = "high-speed"    // high-speed sync, seconds
	DarkerPlace  = "darker-place"  // face into darker light, EV
	DarkerBehind = "darker-behind" // another background, EV
)

// Change is one thing to change, all else staying as it is.
type Change struct {
	What   string
	Value  float64     // what it is changed to, in the unit that What names
	Stops  units.Stops // what it buys: how much nearer to right (or to the wish) that brings
	Enough bool        // it does it alone
}

// The nearest anything may be proposed or moved, metres: cloth to an eye, and a bare
// tube to one (the handbook's stricter rule for bare flash).
const (
	NearestCloth units.Metres = 0.4
	NearestTube  units.Metres = 1
)

// buys tries one dial at a time, past what was given, wished and limited (that
// is what has to give), and keeps what brings the face nearer to right. Where
// the face is over, the flash's power follows: less of everything may leave it
// something to do.
func (s *Scene) buys(sol *Solution) []Change {
	var out []Change
	was := float64(sol.Levels.Subject - s.Want.Face)
	under := was < 0
	// offer takes values in the order of growing change and stops at the first
	// that is enough.
	offer := func(what string, values []float64, with func(*Scene, *Settings, float64)) {
		best, found := Change{What: what}, false
		for _, v := range values {
			scene, set := *s, sol.Settings
			if s.Key != nil {
				key := *s.Key
				scene.Key = &key
			}
			with(&scene, &set, v)
			l, _, err := scene.rate(&set)
			if err == nil && !under && set.Flash && what != Power && what != Farther {
				// Less light of every kind: the flash's power follows to complete the face.
				// Its own distance says nothing with its power turned along.
				if need, e := Complete(l.Ambient - s.Want.Face); e == nil {
					set.Power = scene.Key.Powers.Nearest(set.Power.Value * math.Exp2(float64(need+s.Want.Face-l.Flash)))
					l, _, err = scene.rate(&set)
				}
			}
			if err != nil {
				continue
			}
			is := float64(l.Subject - s.Want.Face)
			if (is > Tolerance) == under && math.Abs(is) > Tolerance {
				continue // past right: too coarse
			}
			gain := units.Stops(math.Abs(was) - math.Abs(is))
			if gain < 0.05 || found && gain <= best.Stops {
				continue
			}
			best.Value, best.Stops, best.Enough, found = v, gain, math.Abs(is) <= Tolerance, true
			if best.Enough {
				break
			}
		}
		if found {
			out = append(out, best)
		}
	}
	set := sol.Settings
	if f := s.Key; f != nil {
		if f.Way != Wall {
			what, is, nearest := Closer, set.PanelSubject, NearestCloth
			if f.Way == Bare {
				is, nearest = set.FlashSubject, NearestTube
			}
			var to []float64
			if under {
				to = steps(is, nearest)
			} else {
				what, to = Farther, steps(is, 3*is)
			}
			offer(what, to, func(sc *Scene, x *Settings, v float64) { sc.place(x, x.FlashPanel, units.Metres(v)) })
		}
		offer(Power, marks(f.Powers, set.Power.Value, under), func(_ *Scene, x *Settings, v float64) { x.Power.Value = v })
		if under {
			if f.Way == Through {
				offer(FlashNearer, steps(set.FlashPanel, 0.3), func(_ *Scene, x *Settings, v float64) { x.FlashPanel = units.Metres(v) })
			}
			var zooms []float64
			for _, z := range f.Zooms {
				zooms = append(zooms, float64(z))
			}
			offer(WiderZoom, zooms, func(_ *Scene, x *Settings, v float64) { x.Zoom = units.Millimetres(v) })
			n := float64(max(f.Count, 1))
			offer(SecondFlash, []float64{n + 1, n + 2, n + 3}, func(sc *Scene, _ *Settings, v float64) { sc.Key.Count = int(v) })
			if f.Way != Bare {
				offer(BareFlash, []float64{float64(max(NearestTube, set.PanelSubject))}, func(sc *Scene, x *Settings, v float64) {
					sc.Key.Way = Bare
					sc.place(x, 0, units.Metres(v))
				})
			}
		} else {
			offer(NoFlash, []float64{0}, func(_ *Scene, x *Settings, _ float64) { x.Flash = false })
		}
	}
	c := s.Camera
	offer(MoreISO, marks(c.ISO, set.ISO.Value, under), func(_ *Scene, x *Settings, v float64) { x.ISO.Value = v })
	offer(Aperture, marks(c.Aperture, set.Aperture.Value, under), func(_ *Scene, x *Settings, v float64) { x.Aperture.Value = v })
	times := marks(c.Shutter, set.Shutter.Value, under)
	if s.Key != nil {
		times = slices.DeleteFunc(times, func(t float64) bool { return t*syncSlack < float64(c.Sync) })
	}
	offer(Shutter, times, func(_ *Scene, x *Settings, v float64) { x.Shutter.Value = v })
	if under && set.ND > 0 {
		offer(NoFilter, []float64{0}, func(_ *Scene, x *Settings, _ float64) { x.ND = 0 })
	}
	if !under {
		offer(Filter, []float64{1, 2, 3, 4, 6, 10}, func(_ *Scene, x *Settings, v float64) { x.ND = units.Stops(v) })
		if s.Key != nil {
			fast := slices.DeleteFunc(marks(c.Shutter, set.Shutter.Value, false), func(t float64) bool { return t*syncSlack >= float64(c.Sync) })
			offer(HighSpeed, fast, func(_ *Scene, x *Settings, v float64) { x.Shutter.Value, x.HSS = v, true })
		}
		var darker []float64
		for ev := float64(s.Ambient) - 0.5; ev >= float64(s.Ambient)-8; ev -= 0.5 {
			darker = append(darker, ev)
		}
		offer(DarkerPlace, darker, func(sc *Scene, _ *Settings, v float64) { sc.Ambient = units.EV(v) })
	}
	rank(out)
	return out
}

// Darken is what single change would bring the background of a solution that
// has it too bright nearer to what is wanted, the face kept right, best first.
// Empty where the background is no more than a third of a stop over.
//
// Each change but another background is solved anew, so what it says holds
// with everything else turned as well as can be. Error: as Solve.
func Darken(s Scene, sol Solution) ([]Change, error) {
	over := sol.Levels.Background - s.Want.Background
	if over <= 1.0/3 {
		return nil, nil
	}
	out := []Change{{What: DarkerBehind, Value: float64(s.Background) - float64(over), Stops: over, Enough: true}}
	try := func(what string, value func(Solution) float64, with func(*Scene)) error {
		scene := s
		if s.Key != nil {
			key := *s.Key
			scene.Key = &key
		}
		with(&scene)
		better, err := Solve(scene)
		if err != nil {
			return err
		}
		gain := sol.Levels.Background - better.Levels.Background
		if !better.Right || gain < 0.2 {
			return nil
		}
		left := better.Levels.Background - s.Want.Background
		out = append(out, Change{What: what, Value: value(better), Stops: gain, Enough: left <= 1.0/3})
		return nil
	}
	var err error
	if s.Key != nil {
		n := max(s.Key.Count, 1)
		err = units.First(err,
			try(SecondFlash, func(Solution) float64 { return float64(n + 1) }, func(x *Scene) { x.Key.Count = n + 1 }))
		if !s.Key.HSS && s.Given.Shutter == 0 {
			err = units.First(err, try(HighSpeed, func(b Solution) float64 { return b.Settings.Shutter.Value }, func(x *Scene) { x.Key.HSS = true }))
		}
		if s.Given.PanelSubject == 0 && s.Key.Way != Bare && s.Key.Way != Wall {
			err = units.First(err, try(Closer, func(b Solution) float64 { return float64(b.Settings.PanelSubject) }, func(x *Scene) {
				near := max(NearestCloth, x.Key.PanelSubject.Best/2)
				x.Key.PanelSubject = Reach{Best: near, Near: near, Far: near}
			}))
		}
		if s.Given.ND == 0 && len(s.Camera.ND) == 0 {
			err = units.First(err, try(Filter, func(b Solution) float64 { return float64(b.Settings.ND) }, func(x *Scene) { x.Camera.ND = []units.Stops{1, 2, 3, 6} }))
		}
		if s.Given.Aperture > 0 || s.Want.Aperture > 0 {
			err = units.First(err, try(Aperture, func(b Solution) float64 { return b.Settings.Aperture.Value }, func(x *Scene) { x.Given.Aperture, x.Want.Aperture = 0, 11 }))
		}
	}
	rank(out)
	return out, err
}

// rank puts what does it alone first, in the order proposed (the free and the
// quick before the costly), and after that what brings most.
func rank(all []Change) {
	slices.SortStableFunc(all, func(a, b Change) int {
		switch {
		case a.Enough != b.Enough:
			if a.Enough {
				return -1
			}
			return 1
		case a.Enough:
			return 0
		case a.Stops > b.Stops:
			return -1
		case a.Stops < b.Stops:
			return 1
		}
		return 0
	})
}

// marks are the values of a dial beyond one, away from it: more light or less.
func marks(d units.Dial, from float64, more bool) []float64 {
	var out []float64
	// Dials rise in light: find where from lies by light, not by value.
	at := 0
	for i := range d.Len() {
		if math.Abs(math.Log2(d.At(i).Value/from)) < math.Abs(math.Log2(d.At(at).Value/from)) {
			at = i
		}
	}
	by := -1
	if more {
		by = 1
	}
	for i := at + by; i >= 0 && i < d.Len(); i += by {
		out = append(out, d.At(i).Value)
	}
	return out
}

// steps are the marks of the distance grid from one length toward another.
func steps(from, to units.Metres) []float64 {
	var out []float64
	by := 1.0
	if to < from {
		by = -1
	}
	for i := math.Round(float64(from)/Step) + by; by*(i*Step-float64(to)) < 1e-9 && i > 0; i += by {
		out = append(out, i/stepsPerMetre)
	}
	return out
}
