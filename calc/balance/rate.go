package balance

import (
	"math"

	"panelhand/calc/area"
	"panelhand/calc/flash"
	"panelhand/calc/units"
)

// Rate is what settings give in a scene and what they cost, worked out from
// their printed values: the solver's own answer, or what a crew has set. Given,
// limits and ranges are not looked at.
//
// Error: a value out of range.
func Rate(s Scene, set Settings) (Levels, Cost, error) {
	if err := s.check(); err != nil {
		return Levels{}, Cost{}, err
	}
	return s.rate(&set)
}

func (s *Scene) rate(set *Settings) (Levels, Cost, error) {
	if err := units.First(units.ISOs.Check(set.ISO.Value), units.Apertures.Check(set.Aperture.Value),
		units.Times.Check(set.Shutter.Value), filters.Check(float64(set.ND))); err != nil {
		return Levels{}, Cost{}, err
	}
	iso, aperture, shutter := isoStops(set.ISO.Value), apertureStops(set.Aperture.Value), math.Log2(set.Shutter.Value)
	seen := iso + aperture - float64(set.ND)
	ambient := float64(s.Ambient) + seen + shutter
	l := Levels{
		Subject: units.Stops(ambient), Ambient: units.Stops(ambient),
		Background: units.Stops(float64(s.Background) + seen + shutter),
	}
	c := Cost{
		Look:   s.backgroundCost(float64(l.Background)),
		Depth:  s.apertureCost(aperture),
		Noise:  s.isoCost(iso),
		Blur:   s.blurCost(shutter),
		Extras: s.filterCost(set.ND),
	}
	if f := s.Key; f != nil && set.Flash {
		if err := units.Powers.Check(set.Power.Value); err != nil {
			return Levels{}, Cost{}, err
		}
		gn, err := f.Guide(set.Zoom)
		if err != nil {
			return Levels{}, Cost{}, err
		}
		subject := set.PanelSubject
		if f.Way == Bare {
			subject = set.FlashSubject
		}
		full, err := f.full(gn, set.Zoom, set.FlashPanel, subject)
		if err != nil {
			return Levels{}, Cost{}, err
		}
		loss, err := flash.HighSpeedLoss(units.Seconds(set.Shutter.Value), s.Camera.Sync)
		if err != nil {
			return Levels{}, Cost{}, err
		}
		fl := full + seen - float64(loss) + math.Log2(set.Power.Value)
		l.Flash = units.Stops(fl)
		l.Subject = units.Stops(math.Log2(math.Exp2(ambient) + math.Exp2(fl)))
		c.Look += lookCost(ambient, float64(s.Want.Ambient), ambientOver, ambientUnder)
		c.Key = keyCost(math.Exp2(fl), s.leastKey())
		c.Recharge = s.rechargeCost(set.Power.Value)
		c.Place = s.zoomCost(set.Zoom) + s.flashPanelCost(set.FlashPanel) + s.subjectCost(subject)
		if loss > 0 {
			c.Extras += highSpeed
		}
		c.Change += s.zoomChange(set.Zoom) + s.flashPanelChange(set.FlashPanel) + s.subjectChange(subject)
		if n := s.Now; n != nil && n.Flash && n.Power.Value > 0 {
			c.Change += moved(3 * math.Log2(set.Power.Value/n.Power.Value))
		}
	}
	c.Face = s.faceCost(float64(l.Subject))
	if n := s.Now; n != nil {
		for _, dial := range [...]struct {
			was   float64
			is    float64
			stops func(float64) float64
		}{{n.ISO.Value, iso, isoStops}, {n.Aperture.Value, aperture, apertureStops}, {n.Shutter.Value, shutter, math.Log2}} {
			if dial.was > 0 {
				c.Change += moved(3 * (dial.is - dial.stops(dial.was)))
			}
		}
		c.Change += moved(3 * float64(set.ND-n.ND))
	}
	return l, c, nil
}

// place writes the distances that the way of lighting uses.
func (s *Scene) place(set *Settings, flashPanel, subject units.Metres) {
	f := s.Key
	set.FlashPanel, set.PanelSubject, set.FlashSubject = 0, 0, 0
	switch f.Way {
	case Bare:
		set.FlashSubject = subject
	case Through:
		set.FlashPanel, set.PanelSubject = flashPanel, subject
	case Bounce:
		set.PanelSubject = subject
		if t, err := area.HalfWay(f.Side, f.Up, subject, f.CameraSubject); err == nil {
			set.FlashPanel = t.FlashPanel
		}
	case Umbrella, Softbox:
		set.PanelSubject = subject
	case Wall:
		set.FlashPanel, set.PanelSubject = f.Path.Flash, f.Path.Face
	}
}
