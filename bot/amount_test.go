package bot

import (
	"testing"

	"panelhand/calc/units"
	"panelhand/rules"
)

// TestAmountsArePrinted: every unit that a rule can give an amount is printed
// with it, to what a dial or an eye can use.
func TestAmountsArePrinted(t *testing.T) {
	want := map[string]struct {
		value float64
		text  string
	}{
		"level": {-0.64, "−⅔ stop"}, "stops": {-1.3, "1⅓ stops"}, "ev": {7.32, "EV 7.3"}, "lux": {400, "400 lux"}, "m": {1.2, "1.2 m"},
		"f-number": {12.8, "f/13"}, "iso": {3238, "ISO 3200"}, "shutter": {1.0 / 135, "1/125"}, "k": {3200, "3200 K"}, "deg": {22.6, "23°"},
		"power": {0.25, "1/4"}, "percent": {0.336, "35 %"},
	}
	for _, unit := range rules.AmountUnits {
		c, ok := want[unit]
		if _, known := quantities[unit]; !known || !ok {
			t.Errorf("%s is not printed", unit)
		}
		if got := printed(unit, c.value, units.Style{}); got != c.text {
			t.Errorf("%v %s prints %q, want %q", c.value, unit, got, c.text)
		}
	}
}
