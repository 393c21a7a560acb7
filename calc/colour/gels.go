package colour

import (
	"math"

	"panelhand/calc/units"
)

// A Gel is a colour filter for a lamp. Makers' gels of one name differ (a half
// CTO is +81 or +109 mired): the mired is what counts.
type Gel struct {
	Name  string // as facts name it: "half-cto"
	Label string // as people say it: "half CTO"
	Shift units.Mired
	Loss  units.Stops // ±⅓ stop
	Green bool        // moves toward green, not along kelvin
}

// Gels is one maker's series. CTO are oranges, CTB blues. Full CTO is published
// as +159; the other shifts and all losses are from memory, ±⅓ stop.
// Source: the handbook's table of constants, photometry handbook §9.
var Gels = []Gel{
	{"full-cto", "full CTO", 159, 1, false},
	{"three-quarter-cto", "¾ CTO", 124, 0.75, false},
	{"half-cto", "½ CTO", 109, 0.5, false},
	{"quarter-cto", "¼ CTO", 64, 0.25, false},
	{"eighth-cto", "⅛ CTO", 26, 0.2, false},
	{"full-ctb", "full CTB", -137, 1.5, false},
	{"half-ctb", "½ CTB", -78, 1, false},
	{"quarter-ctb", "¼ CTB", -35, 0.5, false},
	{"eighth-ctb", "⅛ CTB", -18, 0.3, false},
	{"plus-green", "full plus-green", 0, 0.5, true},
	{"half-plus-green", "half plus-green", 0, 0.3, true},
}

// LookupGel finds a gel by name.
func LookupGel(name string) (Gel, bool) {
	for _, g := range Gels {
		if g.Name == name {
			return g, true
		}
	}
	return Gel{}, false
}

// Nearest returns the gel whose shift is nearest to the one wanted (−600..600
// mired) and what is left over, + where the light stays too cool by so much.
// When no gel comes nearer than bare light it is the zero Gel.
func Nearest(wanted units.Mired) (Gel, units.Mired, error) {
	if err := units.MiredShifts.Check(float64(wanted)); err != nil {
		return Gel{}, 0, err
	}
	best := Gel{}
	for _, g := range Gels {
		if !g.Green && math.Abs(float64(wanted-g.Shift)) < math.Abs(float64(wanted-best.Shift)) {
			best = g
		}
	}
	return best, wanted - best.Shift, nil
}

// Stack returns the shift and the loss of gels on top of each other; both add.
// Source: photometry handbook §9.
func Stack(gels ...Gel) (units.Mired, units.Stops) {
	var shift units.Mired
	var loss units.Stops
	for _, g := range gels {
		shift, loss = shift+g.Shift, loss+g.Loss
	}
	return shift, loss
}
