package balance

import (
	"math"

	"panelhand/calc/flash"
	"panelhand/calc/units"
)

// Cost is what a setting costs, in parts that add up to Total. The unit is
// arbitrary: one is about what half a stop of background is worth. Nothing in
// it is published; it is the order of thinking of the trade handbook (§0, "the
// order of thinking, always"), put in numbers so that it can be argued with.
type Cost struct {
	Face     float64 // the face against right
	Look     float64 // ambient on the face and background against what is wanted
	Key      float64 // a flash that adds too little to be a key
	Depth    float64 // aperture against the wish
	Noise    float64 // ISO over base
	Blur     float64 // shutter slower than sync beside a flash
	Recharge float64 // seconds of recycling
	Place    float64 // distances and zoom against what suits the set-up
	Extras   float64 // grey filter, high-speed sync
	Change   float64 // dials moved from what the crew has set
}

// Total is the sum of the parts.
func (c Cost) Total() float64 {
	return c.Face + c.Look + c.Key + c.Depth + c.Noise + c.Blur + c.Recharge + c.Place + c.Extras + c.Change
}

// Tolerance is how far the face may be off, in stops, and still be right: half
// a click.
const Tolerance = 1.0 / 6

// The weights. Per stop² unless said. Every pull but the face's flattens out
// beyond two stops (see pull): a stop of exposure pulls by no more than 20 for
// the background, 20 for the ambient on the face and 8 for the aperture
// together, so the face's 120 has the last word.
const (
	faceWeight = 25.0  // within the tolerance: marks are rounded by up to 0.09 stop, and that is worth nothing
	faceMiss   = 120.0 // per stop beyond it

	// Ambient over the wish flattens the face and cannot be lit away; under it,
	// the flash makes up the level and only shape is lost.
	ambientOver, ambientUnder = 5.0, 1.0
	// A background too bright pulls the eye more than one too dark.
	backgroundOver, backgroundUnder = 5.0, 2.0

	// A flash set up as the key must be seen: for each part missing of its share
	// of a right exposure, a quarter or what the look leaves to it.
	keyWeight, keyShare = 8.0, 0.25

	apertureWeight = 2.0
	apertureFree   = 0.2 // toward f/4, the middle of most lenses, when nobody asked
	freeAperture   = 4.0

	isoLeft            = 0.2       // for leaving base at all
	isoStop, isoSquare = 0.4, 0.15 // over base; noise is seen from two stops on
	isoUnder           = 1.0       // per stop under base: headroom lost

	blurStop = 0.15 // per stop slower than sync with a flash: ghosts. Slowest is the limit, this breaks ties

	recycleSecond = 0.4

	subjectDouble    = 6.0 // per doubling² of panel (or tube) to face: framing and softness
	flashPanelDouble = 2.0 // per doubling² of flash to panel: the lit patch
	zoomDouble       = 3.0 // per doubling² of the zoom: the same
	placeMoved       = 0.1 // for leaving the place the set-up asks for at all

	filterFitted, filterStop = 0.8, 0.2 // a dim finder
	highSpeed                = 2.0      // power, heat; its light loss is counted where light is

	// Least change: a dial touched, and each of its clicks (a third of a stop,
	// or one step of a distance).
	changeDial, changeClick = 0.3, 0.12
)

// pull is a square that goes on straight beyond two stops: further off is only
// as much worse as the last stop was.
func pull(weight, off float64) float64 {
	off = math.Abs(off)
	if off > 2 {
		return weight * 4 * (off - 1)
	}
	return weight * off * off
}

func lookCost(level, want, over, under float64) float64 {
	if level > want {
		return pull(over, level-want)
	}
	return pull(under, level-want)
}

// backgroundCost is nothing without a flash: face and background then move
// together on every dial, so that a background that is off would only drag a
// right face after it.
func (s *Scene) backgroundCost(level float64) float64 {
	if s.Key == nil {
		return 0
	}
	return lookCost(level, float64(s.Want.Background), backgroundOver, backgroundUnder)
}

func (s *Scene) faceCost(level float64) float64 {
	off := math.Abs(level - float64(s.Want.Face))
	if off > Tolerance {
		return faceWeight*Tolerance*Tolerance + faceMiss*(off-Tolerance)
	}
	return faceWeight * off * off
}

// displaced is the cost of a length that is not what suits the set-up.
func displaced(weight, is, best float64) float64 {
	cost := pull(weight, math.Log2(is/best))
	if math.Abs(is-best) > 0.51*Step {
		cost += placeMoved
	}
	return cost
}

// leastKey is the share of a right exposure that the look leaves to the flash
// at least.
func (s *Scene) leastKey() float64 {
	return max(0, min(keyShare, math.Exp2(float64(s.Want.Face))-math.Exp2(float64(s.Want.Ambient))))
}

// keyCost is that of a flash which adds share of a right exposure.
func keyCost(share, least float64) float64 {
	if share >= least {
		return 0
	}
	return keyWeight * (1 - share/least)
}

// moved is the cost of a dial that stands so many clicks from where the crew
// has it; less than half a click is the same mark.
func moved(clicks float64) float64 {
	clicks = math.Abs(clicks)
	if clicks < 0.5 {
		return 0
	}
	return changeDial + changeClick*clicks
}

// The costs of one dial each, by what it lets through in stops. They are
// looked up by mark in the search.

func (s *Scene) isoCost(stops float64) float64 {
	if s.Camera.BaseISO > 0 {
		stops -= isoStops(float64(s.Camera.BaseISO))
	}
	switch {
	case math.Abs(stops) < 0.1:
		return 0
	case stops < 0:
		return isoUnder * -stops
	}
	return isoLeft + isoStop*stops + isoSquare*stops*stops
}

func (s *Scene) apertureCost(stops float64) float64 {
	if s.Want.Aperture > 0 {
		return pull(apertureWeight, stops-apertureStops(float64(s.Want.Aperture)))
	}
	return pull(apertureFree, stops-apertureStops(freeAperture))
}

func (s *Scene) blurCost(stops float64) float64 {
	if s.Key == nil {
		return 0
	}
	return blurStop * max(0, stops-math.Log2(float64(s.Camera.Sync)))
}

func (s *Scene) filterCost(nd units.Stops) float64 {
	if nd == 0 || nd == s.Given.ND {
		return 0
	}
	return filterFitted + filterStop*float64(nd)
}

func (s *Scene) rechargeCost(power float64) float64 {
	full := s.Key.RecycleFull
	if full == 0 {
		full = flash.AssumedRecycle
	}
	return recycleSecond * float64(full) * power
}

func (s *Scene) zoomCost(z units.Millimetres) float64 {
	return displaced(zoomDouble, float64(z), float64(s.suitedZoom()))
}

// suitedZoom is the zoom setting the set-up asks for.
func (s *Scene) suitedZoom() units.Millimetres {
	switch {
	case s.Key.Zoom > 0:
		return s.Key.Zoom
	case len(s.Key.Zooms) > 0:
		return s.Key.Zooms[0]
	}
	return s.Given.Zoom
}

func (s *Scene) flashPanelCost(m units.Metres) float64 {
	if s.Key.Way != Through || s.Given.FlashPanel > 0 {
		return 0
	}
	return displaced(flashPanelDouble, float64(m), float64(s.Key.FlashPanel.Best))
}

func (s *Scene) subjectCost(m units.Metres) float64 {
	best, given := s.Key.subject(), s.Given.PanelSubject
	if s.Key.Way == Bare {
		given = s.Given.FlashSubject
	}
	if s.Key.Way == Wall || given > 0 {
		return 0
	}
	return displaced(subjectDouble, float64(m), float64(best.Best))
}

// subject is the reach of what lights the face.
func (f *Flash) subject() Reach {
	if f.Way == Bare {
		return f.FlashSubject
	}
	return f.PanelSubject
}
