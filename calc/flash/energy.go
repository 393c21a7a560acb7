package flash

import (
	"math"

	"panelhand/calc/units"
)

var (
	fullAngles = units.Range{Quantity: "beam angle", Unit: "degree", Low: 1, High: 360}
	solids     = units.Range{Quantity: "solid angle", Unit: "sr", Low: 1e-4, High: 4 * math.Pi}
	optics     = units.Range{Quantity: "share of the light that leaves the head", Low: 0.05, High: 1}
)

// Cone returns the solid angle in steradians of a round beam with a full angle
// in degrees (1..360): 2π(1−cos(θ/2)). Source: photometry handbook §3.3.
func Cone(full units.Degrees) (float64, error) {
	if err := fullAngles.Check(float64(full)); err != nil {
		return 0, err
	}
	return 2 * math.Pi * (1 - math.Cos(float64(full)/2*math.Pi/180)), nil
}

// ZoomBeam returns the solid angle in steradians that a zoom setting (8..300
// mm) names: the field of a 36 by 24 mm frame, 4·asin(sin(a/2)·sin(b/2)). Real
// heads spill further. Source: photometry handbook §3.3, §6.1.
func ZoomBeam(zoom units.Millimetres) (float64, error) {
	if err := zooms.Check(float64(zoom)); err != nil {
		return 0, err
	}
	half := func(side float64) float64 { return math.Sin(math.Atan(side / 2 / float64(zoom))) }
	return 4 * math.Asin(half(36)*half(24)), nil
}

// An Estimate is a guide number that is only known to within a spread.
type Estimate struct {
	Low, Typical, High units.GuideNumber
}

// Lumen-seconds that a flash tube gives for each watt-second stored; two
// published explanations span 15 to 50. Source: photometry handbook §3.3.
const (
	lowEfficacy, typicalEfficacy, highEfficacy = 15.0, 40.0, 50.0
)

// FromEnergy estimates a guide number from stored energy (1..10000 Ws), the
// beam's solid angle in steradians and the share of the light that leaves the
// head (0.6 to 0.8 for a zoom head, from memory): Q = share·η·W/Ω and
// GN = √(Q/2.5). Stored energy is not light: the spread is 1.7 stops wide, and
// "effective" or "equivalent" watt-seconds in advertisements are no energy at
// all. Source: photometry handbook §3.3.
func FromEnergy(w units.WattSeconds, steradians, share float64) (Estimate, error) {
	if err := units.First(units.Energies.Check(float64(w)), solids.Check(steradians), optics.Check(share)); err != nil {
		return Estimate{}, err
	}
	gn := func(efficacy float64) units.GuideNumber {
		return units.GuideNumber(math.Sqrt(share * efficacy * float64(w) / steradians / candelaSeconds))
	}
	return Estimate{Low: gn(lowEfficacy), Typical: gn(typicalEfficacy), High: gn(highEfficacy)}, nil
}

var (
	fullRecycles = units.Range{Quantity: "recycling at full power", Unit: "s", Low: 0.05, High: 60}
	fullFlashes  = units.Range{Quantity: "flashes at full power", Low: 1, High: 100000}
)

// What is assumed of a small flash. Source: the handbook's table of defaults.
const (
	AssumedRecycle units.Seconds = 2.5 // at full power
	AssumedFlashes float64       = 150 // of a charge, at full power
)

// shortestRecycle is the floor that electronics set; 0.05 to 0.2 s are met.
// Source: photometry handbook §3.7 (from memory).
const shortestRecycle = 0.1

// Recycle returns the wait between frames at a power, from the wait at full
// (0.05..60 s): proportional, never under 0.1 s.
// Source: photometry handbook §3.7 (from memory).
func Recycle(full units.Seconds, p units.Fraction) (units.Seconds, error) {
	if err := units.First(fullRecycles.Check(float64(full)), units.Powers.Check(float64(p))); err != nil {
		return 0, err
	}
	return max(full*units.Seconds(p), min(full, shortestRecycle)), nil
}

// housePace is the least time between two flashes: the house's one a second.
// Source: trade handbook §7.1(9), handbook README "flashes per second".
const housePace = 1

// Pace returns the wait between frames that the house keeps, from the time
// that the flash takes to be ready again.
func Pace(ready units.Seconds) units.Seconds { return max(ready, housePace) }

// Flashes returns how many flashes a charge gives at a power, from the number
// at full (1..100000): full/p, an upper bound, for standby and heat take their
// share; half of it in the cold. Source: photometry handbook §3.7, trade N40.
func Flashes(full float64, p units.Fraction) (float64, error) {
	if err := units.First(fullFlashes.Check(full), units.Powers.Check(float64(p))); err != nil {
		return 0, err
	}
	return full / float64(p), nil
}

// CellFlashes returns the flashes at full power that a set of cells can give:
// stored watt-hours (0.1..2000) times the share that reaches the tube (0..1,
// 0.6 is common) over the energy of a flash. Source: photometry handbook §3.7.
func CellFlashes(wattHours, share float64, w units.WattSeconds) (float64, error) {
	if err := units.First(
		units.Range{Quantity: "battery", Unit: "Wh", Low: 0.1, High: 2000}.Check(wattHours),
		units.Range{Quantity: "share that reaches the tube", Low: 0, High: 1}.Check(share),
		units.Energies.Check(float64(w)),
	); err != nil {
		return 0, err
	}
	return wattHours * 3600 * share / float64(w), nil
}
