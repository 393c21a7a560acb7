package exposure

import (
	"math"

	"panelhand/calc/units"
)

// Needed returns the incident luminous exposure that is right at an aperture
// and ISO: C·N²/S, 40 lx·s at f/4 and ISO 100. Light of any kind adds up to
// it: flash in lx·s, steady light as lux times seconds.
// Source: ISO 2720:1974, photometry handbook §3.2.
func Needed(n units.FNumber, iso units.ISO) (units.LuxSeconds, error) {
	if err := units.First(units.Apertures.Check(float64(n)), units.ISOs.Check(float64(iso))); err != nil {
		return 0, err
	}
	return units.LuxSeconds(C * float64(n) * float64(n) / float64(iso)), nil
}

// ApertureOf returns the f-number that a luminous exposure at the face is
// right for: √(H·S/C). Source: photometry handbook §3.2.
func ApertureOf(h units.LuxSeconds, iso units.ISO) (units.FNumber, error) {
	if err := units.First(units.Exposures.Check(float64(h)), units.ISOs.Check(float64(iso))); err != nil {
		return 0, err
	}
	return units.FNumber(math.Sqrt(float64(h) * float64(iso) / C)), nil
}

// Steady returns the luminous exposure of steady light over a time: E·t.
// Source: definition.
func Steady(e units.Lux, t units.Seconds) (units.LuxSeconds, error) {
	if err := units.First(units.Illuminances.Check(float64(e)), units.Times.Check(float64(t))); err != nil {
		return 0, err
	}
	return units.LuxSeconds(float64(e) * float64(t)), nil
}

// lensFactor is q = (π/4)·T·fv·cos⁴θ of ISO 12232:2006 for transmittance T 0.9,
// vignetting fv 0.98 and 10° off axis: 0.652. Source: photometry handbook §1.1.
var lensFactor = math.Pi / 4 * 0.9 * 0.98 * math.Pow(math.Cos(10*math.Pi/180), 4)

// FocalPlane returns the luminous exposure on the sensor of a luminance:
// q·L·t/N². Source: ISO 12232:2006, photometry handbook §1.1.
func FocalPlane(l units.Luminance, n units.FNumber, t units.Seconds) (units.LuxSeconds, error) {
	if err := units.First(units.Luminances.Check(float64(l)), units.Apertures.Check(float64(n)), units.Times.Check(float64(t))); err != nil {
		return 0, err
	}
	return units.LuxSeconds(lensFactor * float64(l) * float64(t) / (float64(n) * float64(n))), nil
}

// Metered returns the mean luminous exposure on the sensor that a reflected
// meter aims for at an ISO: q·K/S, about 8/S. Source: as FocalPlane.
func Metered(iso units.ISO) (units.LuxSeconds, error) {
	if err := units.ISOs.Check(float64(iso)); err != nil {
		return 0, err
	}
	return units.LuxSeconds(lensFactor * K / float64(iso)), nil
}
