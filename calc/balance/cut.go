package balance

import (
	"panelhand/calc/flash"
	"panelhand/calc/units"
)

// Cut is what it takes to darken the ambient by some stops beyond sync, the
// face held by the flash: by a grey filter, or by high-speed sync.
type Cut struct {
	Filter, HighSpeed           units.Stops // more flash needed, stops
	FilterShort, HighSpeedShort units.Stops // what the flash lacks; 0 if it has it
}

// CutBy compares the two ways for a cut of so many stops (0 to 20) when the
// flash has headroom stops (−20 to 20) left below full. A filter needs the cut
// itself; high-speed sync its entry loss on top.
//
// Error: an argument out of range. Source: trade handbook 8.4; photometry
// handbook §3.5.
func CutBy(cut, headroom units.Stops) (Cut, error) {
	cuts := units.Range{Quantity: "cut", Unit: "stop", Low: 0, High: 20}
	rooms := units.Range{Quantity: "headroom of the flash", Unit: "stop", Low: -20, High: 20}
	if err := units.First(cuts.Check(float64(cut)), rooms.Check(float64(headroom))); err != nil {
		return Cut{}, err
	}
	c := Cut{Filter: cut, HighSpeed: cut}
	if cut > 0 {
		c.HighSpeed += flash.EntryLoss
	}
	c.FilterShort = max(0, c.Filter-headroom)
	c.HighSpeedShort = max(0, c.HighSpeed-headroom)
	return c, nil
}
