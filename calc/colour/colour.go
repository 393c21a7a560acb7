// Package colour reckons with colour temperatures: mired shifts, the gels that
// make them, mixtures, and the cast a white balance leaves.
//
// Shifts are + for warmer. Everything holds for lights near daylight or
// glowing metal, 1500 to 25000 K; the green of tubes and cheap LEDs is a second
// number that no kelvin tells (photometry handbook §9).
package colour

import (
	"math"

	"panelhand/calc/units"
)

// Flash is the colour temperature assumed of a bare flash: published 5400 to
// 6000 K, and older or low-powered heads drift by 100 to 500 K.
// Source: the handbook's table of constants.
const Flash units.Kelvin = 5600

// Visible is the shift from which most people see a cast: 5 to 10 mired.
// Source: photometry handbook §9 (from memory).
const Visible units.Mired = 10

var mireds = units.Range{Quantity: "mired", Unit: "MK⁻¹", Low: 40, High: 1e6 / 1500}

// ToMired returns 10⁶/K for 1500..25000 K: 312.5 for 3200 K.
// Source: photometry handbook §9.
func ToMired(k units.Kelvin) (units.Mired, error) {
	if err := units.Kelvins.Check(float64(k)); err != nil {
		return 0, err
	}
	return units.Mired(1e6 / float64(k)), nil
}

// ToKelvin returns 10⁶/M for 40..667 mired. Source: photometry handbook §9.
func ToKelvin(m units.Mired) (units.Kelvin, error) {
	if err := mireds.Check(float64(m)); err != nil {
		return 0, err
	}
	return units.Kelvin(1e6 / float64(m)), nil
}

// Shift returns the mired shift that turns one colour temperature into another,
// + for warmer: 5600 to 3200 K is +133.9. Source: photometry handbook §9.
func Shift(from, to units.Kelvin) (units.Mired, error) {
	if err := units.First(units.Kelvins.Check(float64(from)), units.Kelvins.Check(float64(to))); err != nil {
		return 0, err
	}
	return units.Mired(1e6/float64(to) - 1e6/float64(from)), nil
}

// After returns the colour temperature of a light behind a gel of a shift:
// 10⁶/(10⁶/K + shift). A result outside 1500..25000 K is a RangeError.
// Source: photometry handbook §9.
func After(k units.Kelvin, shift units.Mired) (units.Kelvin, error) {
	m, err := ToMired(k)
	if err := units.First(err, units.MiredShifts.Check(float64(shift))); err != nil {
		return 0, err
	}
	m += shift
	if m <= 0 { // bluer than anything: say so in kelvin, the asker's unit
		return 0, units.Kelvins.Named("colour temperature behind the gel").Check(math.Inf(1))
	}
	k = units.Kelvin(1e6 / float64(m))
	if err := units.Kelvins.Named("colour temperature behind the gel").Check(float64(k)); err != nil {
		return 0, err
	}
	return k, nil
}

// Cast returns the cast that a light keeps under a white balance, + for warm:
// its mired less those of the white balance. A camera set to a higher kelvin
// than the light's makes a warmer picture.
// Source: photometry handbook §9.
func Cast(light, whiteBalance units.Kelvin) (units.Mired, error) { return Shift(whiteBalance, light) }

// A Part is one light of a mixture.
type Part struct {
	Kelvin units.Kelvin
	Lux    units.Lux // illuminance, or luminous exposure in lx·s in every part
}

// Mix returns the colour temperature of lights that fall on the same place: the
// average of their mired weighted by illuminance. Adding chromaticities
// properly differs by 5 mired at half and half of 5600 and 3200 K, less
// elsewhere. Needs at least one part with light.
// Source: photometry handbook §9 (first order).
func Mix(parts ...Part) (units.Kelvin, error) {
	var sum, weight float64
	for _, p := range parts {
		m, err := ToMired(p.Kelvin)
		if err := units.First(err, (units.Range{Quantity: "illuminance", Unit: "lux", High: 1e9}).Check(float64(p.Lux))); err != nil {
			return 0, err
		}
		sum += float64(m) * float64(p.Lux)
		weight += float64(p.Lux)
	}
	if weight <= 0 {
		return 0, units.Illuminances.Named("light of a mixture").Check(weight)
	}
	return units.Kelvin(1e6 * weight / sum), nil
}
