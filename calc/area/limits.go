package area

import "panelhand/calc/units"

var (
	tilts   = units.Range{Quantity: "tilt", Unit: "degree", Low: 0, High: 180}
	offsets = units.Range{Quantity: "offset", Unit: "m", Low: -10000, High: 10000}
	shares  = units.Range{Quantity: "share of light", Low: 0, High: 1}
	heights = units.Range{Quantity: "height above the eye line", Unit: "degree", Low: -90, High: 90}
)

func lengths(all ...units.Metres) error {
	for _, l := range all {
		if err := units.Distances.Check(float64(l)); err != nil {
			return err
		}
	}
	return nil
}
