package area

import "panelhand/calc/units"

// What fabrics pass or return of the light on them, as shares. Assumed until a
// crew calibrates: ±0.7 stop. Source: trade handbook N24 and the handbook's
// own table of conventions; thin unlined white sleeves may return only 0.7
// (doubts 4).
const (
	TranslucentPasses = 0.5
	WhiteReturns      = 0.85
	SilverReturns     = 0.9 // in all directions together
	GoldReturns       = 0.7
	BlackReturns      = 0.03
	PaintReturns      = 0.8 // white wall or ceiling; photometry handbook §6.3, from memory there
)

// SilverMirror is what silver gives over white on its mirror line; a hand's
// breadth off that line it gives less than white. Source: trade handbook N24.
const SilverMirror units.Stops = 0.8
