package flash

import (
	"math"

	"panelhand/calc/units"
)

var syncs = units.Range{Quantity: "sync time", Unit: "s", Low: 1.0 / 4000, High: 1.0 / 10}

// EntryLoss is what high-speed sync takes before the shutter shortens. One
// published manual table agrees (2.0 stops at 1/250); tutorials say 1.5 to
// 2.3. Bench your own. Source: the handbook's table of constants.
const EntryLoss units.Stops = 2

// Syncs reports whether a flash lights the whole frame at time t without
// high-speed sync, sync being the camera's shortest time that does. Marks that
// differ by less than a twentieth of a stop are the same time.
func Syncs(t, sync units.Seconds) (bool, error) {
	if err := units.First(units.Times.Check(float64(t)), syncs.Check(float64(sync))); err != nil {
		return false, err
	}
	return math.Log2(float64(t)/float64(sync)) > -0.05, nil
}

// HighSpeedLoss returns the stops of flash that high-speed sync costs at time
// t: 2 + log2(sync/t), and none at sync or slower, where it is not needed. In
// high-speed sync the shutter moves flash and ambient alike.
// Source: the handbook's table of constants, photometry handbook §3.5.
func HighSpeedLoss(t, sync units.Seconds) (units.Stops, error) {
	ok, err := Syncs(t, sync)
	if err != nil || ok {
		return 0, err
	}
	return EntryLoss + units.Stops(math.Log2(float64(sync)/float64(t))), nil
}

var (
	filterStops   = units.Range{Quantity: "filter", Unit: "stop", Low: 0, High: 24}
	filterFactors = units.Range{Quantity: "filter factor", Low: 1, High: 1 << 24}
	durations     = units.Range{Quantity: "flash duration", Unit: "s", Low: 1e-6, High: 1}
)

// FilterStops returns the stops of a grey filter by its factor (1..2^24): ND8
// takes 3. Source: trade handbook N17.
func FilterStops(factor float64) (units.Stops, error) {
	if err := filterFactors.Check(factor); err != nil {
		return 0, err
	}
	return units.Stops(math.Log2(factor)), nil
}

// SeenAperture returns the f-number that light has to serve behind a grey
// filter of so many stops (0..24): N·2^(nd/2). Source: trade handbook Q23.
func SeenAperture(n units.FNumber, nd units.Stops) (units.FNumber, error) {
	if err := units.First(units.Apertures.Check(float64(n)), filterStops.Check(float64(nd))); err != nil {
		return 0, err
	}
	return n * units.FNumber(math.Exp2(float64(nd)/2)), nil
}

// Freezing returns t0.1, the time that counts against motion, of a flash whose
// t0.5 is given (1e-6..1 s): 3.32 times it for a tail that dies exponentially.
// Data sheets often print t0.5 without saying so.
// Source: photometry handbook §3.7.
func Freezing(half units.Seconds) (units.Seconds, error) {
	if err := durations.Check(float64(half)); err != nil {
		return 0, err
	}
	return half * units.Seconds(math.Ln10/math.Ln2), nil
}

// CutOff returns how long a flash that is cut off at a power below full
// shines, from its t0.1 at full (1e-6..1 s): −τ·ln(1−p), τ = t0.1/ln 10. At full
// it is t0.1 itself. Under 1/32 real heads are slower than this, for the rise
// of the light takes its time. Source: photometry handbook §3.7.
func CutOff(full units.Seconds, p units.Fraction) (units.Seconds, error) {
	if err := units.First(durations.Check(float64(full)), units.Powers.Check(float64(p))); err != nil {
		return 0, err
	}
	cut := -float64(full) / math.Ln10 * math.Log1p(-float64(p))
	return units.Seconds(min(cut, float64(full))), nil
}
