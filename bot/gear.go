package bot

import (
	"math"

	"panelhand/calc/area"
	"panelhand/calc/colour"
	"panelhand/calc/flash"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// What a crew's kit is taken to be where nobody said. Source: the handbook's
// table of defaults.
const (
	housePanel       units.Metres      = 1.016 // 40 in, round
	houseUmbrella    units.Metres      = 1.0
	houseSoftbox     units.Metres      = 0.6
	houseLED         units.Lux         = 400 // at 1 m; trade handbook D36
	bareHead         units.Metres      = 0.06
	houseGuideZoom   units.Millimetres = 35
	houseLowestPower units.Fraction    = 1.0 / 128
)

// fabric is what one side of a folding panel does with light.
var fabric = map[string]float64{
	"translucent": area.TranslucentPasses,
	"white":       area.WhiteReturns,
	"silver":      area.SilverReturns,
	"gold":        area.GoldReturns,
	"black":       area.BlackReturns,
}

// panelOf is the panel, frame or modifier a light uses, and whether its size
// was said.
func panelOf(facts *fact.Set, kinds []string, house units.Metres) (p area.Panel, said bool) {
	for _, kind := range kinds {
		for _, item := range facts.Kit() {
			if item.Kind == kind && item.SizeM > 0 {
				return shape(item), true
			}
		}
	}
	return area.Panel{Round: true, Width: house, Height: house}, false
}

// shape takes a panel with one size as round, one with two as a frame.
func shape(item fact.Item) area.Panel {
	if item.Size2M > 0 {
		return area.Panel{Width: units.Metres(item.SizeM), Height: units.Metres(item.Size2M)}
	}
	return area.Panel{Round: true, Width: units.Metres(item.SizeM), Height: units.Metres(item.SizeM)}
}

// longest is the size by which a crew calls a panel.
func longest(p area.Panel) units.Metres { return max(p.Width, p.Height) }

// A head is the crew's flash: what it gives and what its dial can do.
type head struct {
	item  fact.Item
	guide func(units.Millimetres) (units.GuideNumber, error) // at a zoom setting
	count int
	loss  units.Stops // of the gel on it
	said  bool        // whether its guide number or energy was said
}

// headOf is the crew's flash or strobe. A gel in the kit is on the flash only
// where the set-up asks for one.
func headOf(facts *fact.Set, gel string) head {
	item, _ := facts.Item("flash", "strobe")
	h := head{item: item, count: max(1, facts.Count("flash")+facts.Count("strobe"))}
	at := houseGuideZoom
	if item.GuideMM > 0 {
		at = units.Millimetres(item.GuideMM)
	}
	gn, _ := flash.AssumedGuideNumber(at)
	switch {
	case item.GuideM > 0:
		gn, h.said = units.GuideNumber(item.GuideM), true
	case item.EnergyWs > 0:
		if e, err := energyGuide(units.WattSeconds(item.EnergyWs)); err == nil {
			gn, h.said = e, true
		}
	}
	h.guide = func(zoom units.Millimetres) (units.GuideNumber, error) { return flash.Zoomed(gn, at, zoom) }
	if g, ok := colour.LookupGel(gel); ok {
		h.loss = g.Loss
	}
	return h
}

// dial is the flash's power dial: thirds of a stop from the house's lowest
// power to full unless the kit list says otherwise.
func (h head) dial() units.Dial {
	lowest := houseLowestPower
	if h.item.LowestPower > 0 {
		lowest = units.Fraction(h.item.LowestPower)
	}
	if h.item.Clicks == 10 {
		const top = 10 // such dials read 10 at full
		return units.PowerTenths(top, units.Stops(-math.Log2(float64(lowest))))
	}
	return units.PowerThirds(lowest)
}

// energyGuide estimates a guide number from stored energy, for the beam of
// the house zoom. The spread is a stop either way, and the answer says so.
func energyGuide(w units.WattSeconds) (units.GuideNumber, error) {
	beam, err := flash.ZoomBeam(houseGuideZoom)
	if err != nil {
		return 0, err
	}
	const optics = 0.7 // photometry handbook §3.3, from memory there
	e, err := flash.FromEnergy(w, beam, optics)
	if err != nil {
		return 0, err
	}
	return e.Typical, nil
}

// gelFor is the gel that the key wears: the one said to be on the flash, else,
// where the set-up takes one, the crew's own or the one it names.
func gelFor(facts *fact.Set, light *rules.Light) string {
	if light == nil {
		return ""
	}
	if item, ok := facts.Item("flash", "strobe"); ok && item.Gel != "" {
		return item.Gel
	}
	if light.Gel == "" && !light.OwnGel {
		return ""
	}
	if item, ok := facts.Item("gel"); ok && item.Gel != "" {
		return item.Gel
	}
	return light.Gel
}
