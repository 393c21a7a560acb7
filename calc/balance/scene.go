package balance

import (
	"errors"
	"fmt"

	"panelhand/calc/area"
	"panelhand/calc/units"
)

// Scene is what the solver is asked: the light there is, what is wanted, what
// camera and flash can do, what is fixed already.
type Scene struct {
	Ambient    units.EV // light at the face, toward the camera
	Background units.EV // the background's own
	Want       Want
	Camera     Camera
	Key        *Flash    // nil: no flash, the ambient alone exposes the face
	Given      Given     // what stays as it is
	Now        *Settings // what the crew has set; nil: nothing yet. The answer stays near it
}

// Want is the picture wanted.
type Want struct {
	Face       units.Stops   // level of the lit side of the face; 0 is right, else what the crew asked for beside it
	Ambient    units.Stops   // level of the ambient on the face; counts with a flash only
	Background units.Stops   // level of the background
	Aperture   units.FNumber // wish; 0: free
	Widest     units.FNumber // never wider than this, for depth (groups); 0: as wide as the lens goes
	Slowest    units.Seconds // never slower, for shake and motion; 0: as slow as the dial goes
}

// Camera is what the camera has.
type Camera struct {
	ISO, Aperture, Shutter units.Dial
	BaseISO                units.ISO     // where noise is least; 0: ISO 100
	Sync                   units.Seconds // shortest time that lights the whole frame
	ND                     []units.Stops // grey filters at hand; one is fitted at most
}

// Way is how the key is used.
type Way int

const (
	Bare     Way = iota // nothing on it, FlashSubject away
	Through             // behind a panel, on its axis
	Bounce              // at the camera, off a panel turned half-way to the face
	Umbrella            // inside an umbrella: Panel is its mouth
	Softbox             // inside a box: Panel is its front, Pass what all its skins let on
	Wall                // off a wall or ceiling, by Path
)

// Reach is a length that hands can change.
type Reach struct {
	Best      units.Metres // where it should be
	Near, Far units.Metres // where it may be; 0: just Best
}

// Flash is the key.
type Flash struct {
	Way    Way
	Guide  func(zoom units.Millimetres) (units.GuideNumber, error) // at ISO 100, full power
	Count  int                                                     // flashes alike, side by side, at one power; 0 counts as 1
	Powers units.Dial
	HSS    bool        // has high-speed sync
	Loss   units.Stops // gel, cap, the crew's own calibration; below 0 is a gain

	Panel         area.Panel
	Pass          float64       // share the fabric passes or returns
	Side, Up      units.Degrees // the panel's place, for Bounce
	CameraSubject units.Metres  // for Bounce
	Path          area.Wall     // for Wall

	Zooms []units.Millimetres // settings it has, rising; at least one
	Zoom  units.Millimetres   // the one that suits the set-up; 0: the first

	FlashPanel   Reach // Through
	PanelSubject Reach // Through, Bounce, Umbrella, Softbox: cloth to near eye
	FlashSubject Reach // Bare: tube to near eye

	RecycleFull units.Seconds // wait after a full flash; 0: flash.AssumedRecycle
}

// Given is what was said and stays as said; 0 is free.
type Given struct {
	ISO          units.ISO
	Aperture     units.FNumber
	Shutter      units.Seconds
	Power        units.Fraction
	Zoom         units.Millimetres
	ND           units.Stops
	FlashPanel   units.Metres
	PanelSubject units.Metres
	FlashSubject units.Metres
}

// SyncError says that the shutter asked for is faster than the flash can
// follow.
type SyncError struct{ Shutter, Sync units.Seconds }

func (e *SyncError) Error() string {
	return fmt.Sprintf("%v is faster than the sync time %v: without high-speed sync a flash leaves part of the frame dark", e.Shutter, e.Sync)
}

var (
	errNoDial  = errors.New("the camera has no marks on one of its dials within what is allowed")
	errNoPower = errors.New("the flash has no power marks")
	errTooMany = fmt.Errorf("a dial has more marks than any has: %d on a camera, %d powers, %d zooms, %d filters at most",
		cameraMarks, powerMarks, zoomMarks, filterMarks-1)
	errNoGuide = errors.New("the flash has no guide number or no zoom setting")
)

func (s *Scene) check() error {
	if err := units.First(
		units.EVs.Named("ambient").Check(float64(s.Ambient)), units.EVs.Named("background").Check(float64(s.Background)),
		looks.Named("face wanted").Check(float64(s.Want.Face)), looks.Named("ambient wanted").Check(float64(s.Want.Ambient)), looks.Named("background wanted").Check(float64(s.Want.Background)),
	); err != nil {
		return err
	}
	g := s.Given
	var now Settings
	if s.Now != nil {
		now = *s.Now
	}
	for _, c := range [...]struct {
		v float64
		r units.Range
	}{
		{float64(s.Want.Aperture), units.Apertures}, {float64(s.Want.Widest), units.Apertures}, {float64(s.Want.Slowest), units.Times},
		{float64(s.Camera.BaseISO), units.ISOs}, {float64(g.ISO), units.ISOs}, {float64(g.Aperture), units.Apertures},
		{float64(g.Shutter), units.Times}, {float64(g.Power), units.Powers}, {float64(g.Zoom), units.Focals}, {float64(g.ND), filters},
		{float64(g.FlashPanel), units.Distances}, {float64(g.PanelSubject), units.Distances}, {float64(g.FlashSubject), units.Distances},
		{now.ISO.Value, units.ISOs}, {now.Aperture.Value, units.Apertures}, {now.Shutter.Value, units.Times}, {float64(now.ND), filters},
		{now.Power.Value, units.Powers}, {float64(now.Zoom), units.Focals}, {float64(now.FlashPanel), units.Distances},
		{float64(now.PanelSubject), units.Distances}, {float64(now.FlashSubject), units.Distances},
	} {
		if c.v == 0 {
			continue // free
		}
		if err := c.r.Check(c.v); err != nil {
			return err
		}
	}
	c := &s.Camera
	if max(c.ISO.Len(), c.Aperture.Len(), c.Shutter.Len()) > cameraMarks || len(c.ND) >= filterMarks {
		return errTooMany
	}
	for _, nd := range s.Camera.ND {
		if err := filters.Check(float64(nd)); err != nil {
			return err
		}
	}
	if s.Key == nil {
		return nil
	}
	f := s.Key
	if f.Zoom != 0 {
		if err := units.Focals.Named("flash zoom").Check(float64(f.Zoom)); err != nil {
			return err
		}
	}
	if f.Guide == nil || len(f.Zooms) == 0 && g.Zoom == 0 {
		return errNoGuide
	}
	if f.Powers.Len() == 0 {
		return errNoPower
	}
	if f.Powers.Len() > powerMarks || len(f.Zooms) > zoomMarks {
		return errTooMany
	}
	return units.First(units.Times.Named("sync time").Check(float64(s.Camera.Sync)), units.Losses.Check(float64(f.Loss)),
		counts.Check(float64(f.Count)), recycles.Check(float64(f.RecycleFull)))
}

var (
	looks    = units.Range{Quantity: "level", Unit: "stop", Low: -12, High: 12}
	filters  = units.Range{Quantity: "filter", Unit: "stop", Low: 0, High: 24}
	counts   = units.Range{Quantity: "number of flashes", Low: 0, High: 64}
	recycles = units.Range{Quantity: "recycling at full power", Unit: "s", Low: 0, High: 60}
)
