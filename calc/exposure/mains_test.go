package exposure_test

import (
	"testing"

	"panelhand/calc/exposure"
	"panelhand/calc/units"
)

// TestOffBands: the times are the trade handbook's (N48): 1/100 and 1/50 where
// the mains runs at 50 Hz, 1/125 and 1/60 at 60 Hz.
func TestOffBands(t *testing.T) {
	for from, want := range map[units.Seconds]units.Seconds{
		1.0 / 160: 1.0 / 100, 1.0 / 1000: 1.0 / 100, // no beat at all
		1.0 / 60: 1.0 / 50, 1.0 / 125: 1.0 / 100, // right at 60 Hz, so it is 50
		1.0 / 100: 1.0 / 125, 1.0 / 50: 1.0 / 60,
		1.0 / 8: 1.0 / 50,
	} {
		if got := exposure.OffBands(from); got != want {
			t.Errorf("from %v s: %v, want %v", from, got, want)
		}
	}
}
