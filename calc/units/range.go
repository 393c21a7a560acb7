package units

import (
	"fmt"
	"math"
)

// A RangeError says that a value lies outside what a formula or a dial works
// for. NaN and the infinities lie outside everything.
type RangeError struct {
	Quantity  string // what it is, in words: "aperture"
	Value     float64
	Low, High float64
	Unit      string // empty where there is none
}

func (e *RangeError) Error() string {
	unit := e.Unit
	if unit != "" {
		unit = " " + unit
	}
	if math.IsNaN(e.Value) || math.IsInf(e.Value, 0) {
		return fmt.Sprintf("%s: that is not a number; this works from %s to %s%s", e.Quantity, significant(e.Low, 6), significant(e.High, 6), unit)
	}
	return fmt.Sprintf("%s %s%s: this works from %s to %s%s", e.Quantity, significant(e.Value, 6), unit, significant(e.Low, 6), significant(e.High, 6), unit)
}

// A Range is what a quantity may be for a formula of calc, both ends included.
type Range struct {
	Quantity  string
	Unit      string
	Low, High float64
}

// Check returns nil for a value inside the range and a *RangeError otherwise.
func (r Range) Check(v float64) error {
	if v >= r.Low && v <= r.High { // false for NaN
		return nil
	}
	return &RangeError{Quantity: r.Quantity, Value: v, Low: r.Low, High: r.High, Unit: r.Unit}
}

// Named returns the same range under a narrower name ("flash to panel").
func (r Range) Named(quantity string) Range { r.Quantity = quantity; return r }

// First returns the first error that is not nil: formulas check their
// arguments in one line with it.
func First(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// What formulas work for. The ends are wider than any kit so that computed
// values pass too; what a person may have meant is narrower and is the fact
// table's business.
var (
	Apertures    = Range{"aperture", "", 0.5, 512}
	Times        = Range{"exposure time", "s", 1e-6, 3600}
	ISOs         = Range{"ISO", "", 3, 1e6}
	EVs          = Range{"EV at ISO 100", "EV", -12, 28}
	Illuminances = Range{"illuminance", "lux", 1e-4, 1e7}
	Luminances   = Range{"luminance", "cd/m²", 1e-5, 1e7}
	Exposures    = Range{"luminous exposure", "lx·s", 1e-9, 1e9}
	Distances    = Range{"distance", "m", 0.01, 10000}
	Sizes        = Range{"size", "m", 0.001, 100}
	Focals       = Range{"focal length", "mm", 1, 3000}
	GuideNumbers = Range{"guide number", "m", 0.1, 1000}
	Powers       = Range{"flash power", "of full", 1.0 / 65536, 1}
	StopsRange   = Range{"stops", "stop", -40, 40}
	Losses       = Range{"loss", "stop", -4, 40} // a loss below 0 is a gain: a calibration may find one
	Kelvins      = Range{"colour temperature", "K", 1500, 25000}
	MiredShifts  = Range{"mired shift", "MK⁻¹", -600, 600}
	Winds        = Range{"wind", "m/s", 0, 90}
	Energies     = Range{"stored energy", "Ws", 1, 10000}
	Angles       = Range{"angle", "degree", -180, 180}
)
