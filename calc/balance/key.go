package balance

import (
	"fmt"
	"math"

	"panelhand/calc/area"
	"panelhand/calc/units"
)

// At is the light of the key's one flash at full power, its Loss left out, with
// the flash and the panel where they are told to be. flashPanel counts for
// Through alone; subject is panel to face, or tube to face for Bare; Wall has
// its Path.
//
// Error: an argument out of range, or a guide number that is none.
func (f *Flash) At(zoom units.Millimetres, flashPanel, subject units.Metres) (area.Light, error) {
	if f.Guide == nil {
		return area.Light{}, errNoGuide
	}
	gn, err := f.Guide(zoom)
	if err != nil {
		return area.Light{}, err
	}
	return f.at(gn, zoom, flashPanel, subject)
}

func (f *Flash) at(gn units.GuideNumber, zoom units.Millimetres, flashPanel, subject units.Metres) (area.Light, error) {
	lamp := area.Flash{Guide: gn, Zoom: zoom, Power: 1}
	switch f.Way {
	case Bare:
		h, err := area.Bare(lamp, subject)
		return area.Light{Face: h}, err
	case Through:
		return area.Through(lamp, f.Panel, f.Pass, flashPanel, subject)
	case Bounce:
		return area.Bounce(lamp, f.Panel, f.Pass, f.Side, f.Up, subject, f.CameraSubject)
	case Umbrella, Softbox:
		return area.Boxed(lamp, f.Panel, f.Pass, subject)
	case Wall:
		return f.Path.Off(lamp, f.Pass)
	}
	return area.Light{}, fmt.Errorf("way of lighting %d is none", f.Way)
}

// full is the key at full power in stops against 2.5 lx·s, which is right for
// f/1 at ISO 100: all flashes, the loss taken off.
func (f *Flash) full(gn units.GuideNumber, zoom units.Millimetres, flashPanel, subject units.Metres) (float64, error) {
	l, err := f.at(gn, zoom, flashPanel, subject)
	if err != nil {
		return 0, err
	}
	if !(l.Face > 0) {
		return 0, fmt.Errorf("no light of the flash reaches the face: the fabric passes %g", f.Pass)
	}
	return math.Log2(float64(l.Face)*float64(max(f.Count, 1))/2.5) - float64(f.Loss), nil
}
