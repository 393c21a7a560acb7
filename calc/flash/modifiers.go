package flash

import (
	"math"

	"panelhand/calc/units"
)

// A Modifier is what a thing in front of a flash takes on the beam's axis, in
// stops against the bare head over the same path.
//
// These losses mix what cloth swallows with a wider spread. Where package area
// computes the spread, feed it the cloth's transmittance, never these.
type Modifier struct {
	Name               string
	Typical, Low, High units.Stops
	Source             string
}

const (
	benchTest  = "one bench test with a flash meter, 2010 (photometry handbook §3.6)"
	bounceTest = "one direct against bounced test (photometry handbook §3.6)"
	gaffers    = "a gaffer's published list of losses (photometry handbook §3.6)"
	fromMemory = "from memory (photometry handbook §3.6)"
)

// Modifiers is every modifier with a known loss. Ranges are from memory where
// the typical value comes from one test.
var Modifiers = []Modifier{
	{"quarter-frost", 1. / 3, 1. / 4, 1. / 2, gaffers},
	{"opal", 0.5, 0.5, 0.5, gaffers},
	{"half-white-diffusion", 0.75, 0.75, 0.75, gaffers},
	{"china-silk", 1, 1, 1, gaffers},
	{"full-white-diffusion", 1.5, 1.5, 1.5, gaffers},
	{"artificial-silk", 5. / 3, 5. / 3, 5. / 3, gaffers},
	{"muslin", 2, 2, 2, gaffers},
	{"full-grid-cloth", 2.5, 2.5, 2.5, gaffers},
	{"translucent-panel", 1, 0.8, 2, fromMemory},
	{"shoot-through-umbrella", 2, 1.5, 2.5, benchTest},
	{"bounce-umbrella", 2, 1, 2.5, benchTest},
	{"small-softbox", 1, 1, 1, benchTest},
	{"softbox", 3, 1.5, 3, benchTest},
	{"ceiling", 2, 2, 4, bounceTest},
	{"bounce-card", 2.8, 1, 2.8, bounceTest},
	{"grid", 0.75, 0.5, 1, fromMemory},
}

// LookupModifier finds a modifier by name.
func LookupModifier(name string) (Modifier, bool) {
	for _, m := range Modifiers {
		if m.Name == name {
			return m, true
		}
	}
	return Modifier{}, false
}

// SoftboxLoss returns the loss of a softbox by its longest side (0.1..2 m): 1
// stop for a small one with one cloth, 3 for 0.7 m (28 in) with two, straight
// between 0.3 and 0.7 m. Two points of one bench test: ±1 stop.
// Source: photometry handbook §3.6; the size of the small box is from memory.
func SoftboxLoss(side units.Metres) (units.Stops, error) {
	if err := (units.Range{Quantity: "softbox", Unit: "m", Low: 0.1, High: 2}).Check(float64(side)); err != nil {
		return 0, err
	}
	share := min(max(float64((side-0.3)/0.4), 0), 1)
	return units.Stops(1 + 2*share), nil
}

// PassedLoss returns the stops that a share of light passed or returned stands
// for: −log2(T), 1 stop for 0.5, T in 0.0001..1. Source: definition.
func PassedLoss(share float64) (units.Stops, error) {
	if err := (units.Range{Quantity: "share of light passed", Low: 1e-4, High: 1}).Check(share); err != nil {
		return 0, err
	}
	return units.Stops(-math.Log2(share)), nil
}
