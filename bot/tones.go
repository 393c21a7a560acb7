package bot

import (
	"panelhand/calc/units"
	"panelhand/rules"
)

// tones is the picture wanted of one set-up: levels in stops against right,
// and what the dials should keep to.
type tones struct {
	ambient, background units.Stops
	face                units.Stops // of the face against right
	ratio               float64
	aperture            float64 // wish; 0 free
	widest              float64 // never wider; 0 free
	slowest, fastest    float64 // s; 0 free
	isoMax              float64
	warm                units.Kelvin // to add to the white balance
}

// tones starts from the look that was asked for, or from natural; a set-up's
// own levels count where no look was asked; then each shift that holds moves
// them.
func (c *Coach) tones(setup *rules.Setup, here *situation) tones {
	t := tones{isoMax: 1e6}
	word, asked := here.facts.Get("look")
	name := "natural"
	if asked {
		name = word.Text
	}
	if look, ok := c.book.Look(name); ok {
		t.ambient, t.background, t.ratio = units.Stops(look.Ambient), units.Stops(look.Background), look.Ratio
	}
	if own := setup.Look; own != nil && !asked {
		if own.Ambient != nil {
			t.ambient = units.Stops(*own.Ambient)
		}
		if own.Background != nil {
			t.background = units.Stops(*own.Background)
		}
		if own.Ratio != nil {
			t.ratio = *own.Ratio
		}
	}
	if setup.Camera != nil {
		t.aperture = setup.Camera.Aperture
		t.slowest = setup.Camera.ShutterS
	}
	if most, ok := here.facts.Number("camera.iso_max"); ok {
		t.isoMax = most
	}
	for _, s := range here.shifts {
		t.ambient += units.Stops(s.Ambient)
		t.background += units.Stops(s.Background)
		t.face += units.Stops(s.Face)
		t.warm += units.Kelvin(s.WBK)
		for _, limit := range []struct {
			of      *float64
			shifted float64
		}{{&t.ratio, s.Ratio}, {&t.aperture, s.Aperture}, {&t.widest, s.Widest}, {&t.slowest, s.SlowestS}, {&t.fastest, s.FastestS}, {&t.isoMax, s.ISOMax}} {
			if limit.shifted > 0 {
				*limit.of = limit.shifted
			}
		}
	}
	return t
}
