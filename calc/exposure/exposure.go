// Package exposure relates camera settings, light levels and stops: EV at ISO
// 100, lux and luminance for a setting, and how far a setting is from right.
//
// Every level of light here is what a flat incident meter reads at the face
// unless a name says reflected. Conventions: reflected-light constant K 12.5
// and incident constant C 250, so lux = 2.5·2^EV (ISO 2720:1974 by way of
// photometry handbook §1.1).
package exposure

import (
	"math"

	"panelhand/calc/units"
)

// Calibration constants. Meters differ: K 14 reads 0.16 stop, C 340 (a dome)
// 0.44 stop apart from these.
const (
	K = 12.5 // reflected light, cd/m²·s·ISO
	C = 250  // incident light, flat receptor, lx·s·ISO
)

// Av returns the aperture value 2·log2(N) of an f-number in units.Apertures.
// Source: ASA PH2.5-1960, photometry handbook §1.1.
func Av(n units.FNumber) (units.Stops, error) {
	if err := units.Apertures.Check(float64(n)); err != nil {
		return 0, err
	}
	return units.Stops(2 * math.Log2(float64(n))), nil
}

// Tv returns the time value log2(1/t) of a time in units.Times.
// Source: ASA PH2.5-1960, photometry handbook §1.1.
func Tv(t units.Seconds) (units.Stops, error) {
	if err := units.Times.Check(float64(t)); err != nil {
		return 0, err
	}
	return units.Stops(-math.Log2(float64(t))), nil
}

// Sv returns the speed value log2(S/3.125) of an ISO in units.ISOs: 5 for ISO
// 100. Source: Exif 2.3 annex C, photometry handbook §1.1.
func Sv(iso units.ISO) (units.Stops, error) {
	if err := units.ISOs.Check(float64(iso)); err != nil {
		return 0, err
	}
	return units.Stops(math.Log2(float64(iso) / 3.125)), nil
}

func checkSettings(n units.FNumber, t units.Seconds, iso units.ISO) error {
	return units.First(units.Apertures.Check(float64(n)), units.Times.Check(float64(t)), units.ISOs.Check(float64(iso)))
}

// EV100 returns the light level, as EV at ISO 100, that the settings are right
// for: log2(N²/t) − log2(S/100). Raising ISO lowers it.
// Source: photometry handbook §1.1.
func EV100(n units.FNumber, t units.Seconds, iso units.ISO) (units.EV, error) {
	if err := checkSettings(n, t, iso); err != nil {
		return 0, err
	}
	return ev100(n, t, iso), nil
}

func ev100(n units.FNumber, t units.Seconds, iso units.ISO) units.EV {
	return units.EV(math.Log2(float64(n)*float64(n)/float64(t)) - math.Log2(float64(iso)/100))
}

// Level returns how far a light level ev comes out over (+) or under (−) right
// exposure at the settings. Source: trade handbook Q3.
func Level(ev units.EV, n units.FNumber, t units.Seconds, iso units.ISO) (units.Stops, error) {
	if err := units.First(units.EVs.Check(float64(ev)), checkSettings(n, t, iso)); err != nil {
		return 0, err
	}
	return units.Stops(ev - ev100(n, t, iso)), nil
}

// Lux returns the illuminance of a light level: 2.5·2^EV.
// Source: ISO 2720:1974, photometry handbook §1.1.
func Lux(ev units.EV) (units.Lux, error) {
	if err := units.EVs.Check(float64(ev)); err != nil {
		return 0, err
	}
	return units.Lux(C / 100.0 * math.Exp2(float64(ev))), nil
}

// FromLux returns the light level of an illuminance at the face, toward the
// camera: log2(lux/2.5). Source: as Lux.
func FromLux(lux units.Lux) (units.EV, error) {
	if err := units.Illuminances.Check(float64(lux)); err != nil {
		return 0, err
	}
	return units.EV(math.Log2(float64(lux) * 100 / C)), nil
}

// SettingsLux returns the illuminance that settings are right for, in lux:
// C·N²/(t·S). Source: ISO 2720:1974, photometry handbook §1.1.
func SettingsLux(n units.FNumber, t units.Seconds, iso units.ISO) (units.Lux, error) {
	if err := checkSettings(n, t, iso); err != nil {
		return 0, err
	}
	return units.Lux(C * float64(n) * float64(n) / (float64(t) * float64(iso))), nil
}

// Luminance returns the luminance of the average subject that a reflected
// meter would give this level for: 0.125·2^EV cd/m².
// Source: ISO 2720:1974, photometry handbook §1.1.
func Luminance(ev units.EV) (units.Luminance, error) {
	if err := units.EVs.Check(float64(ev)); err != nil {
		return 0, err
	}
	return units.Luminance(K / 100 * math.Exp2(float64(ev))), nil
}

// FromLuminance returns the level that a reflected meter reads off a
// luminance: log2(L/0.125). Source: as Luminance.
func FromLuminance(l units.Luminance) (units.EV, error) {
	if err := units.Luminances.Check(float64(l)); err != nil {
		return 0, err
	}
	return units.EV(math.Log2(float64(l) * 100 / K)), nil
}

// MeteredReflectance returns the reflectance 0..1 at which a reflected meter
// with constant k (cd/m²·s·ISO, 5..30) and an incident meter with constant c
// (lx·s·ISO, 100..600) agree: π·k/c, 0.157 for 12.5 and 250.
// Source: photometry handbook §1.1.
func MeteredReflectance(k, c float64) (float64, error) {
	if err := units.First(
		units.Range{Quantity: "reflected constant", Low: 5, High: 30}.Check(k),
		units.Range{Quantity: "incident constant", Low: 100, High: 600}.Check(c),
	); err != nil {
		return 0, err
	}
	return math.Pi * k / c, nil
}

// ApertureStops returns the change of light from one f-number to another, +
// for more: f/5.6 to f/2 is +2.97. Source: trade handbook Q1.
func ApertureStops(from, to units.FNumber) (units.Stops, error) {
	if err := units.First(units.Apertures.Check(float64(from)), units.Apertures.Check(float64(to))); err != nil {
		return 0, err
	}
	return units.Stops(2 * math.Log2(float64(from)/float64(to))), nil
}

// TimeStops returns the change of light from one exposure time to another, +
// for more: 1/125 to 1/200 is −0.68. Source: trade handbook §0 model A.
func TimeStops(from, to units.Seconds) (units.Stops, error) {
	if err := units.First(units.Times.Check(float64(from)), units.Times.Check(float64(to))); err != nil {
		return 0, err
	}
	return units.Stops(math.Log2(float64(to) / float64(from))), nil
}

// ISOStops returns the change of brightness from one ISO to another, + for
// brighter. Source: trade handbook §0 model A.
func ISOStops(from, to units.ISO) (units.Stops, error) {
	if err := units.First(units.ISOs.Check(float64(from)), units.ISOs.Check(float64(to))); err != nil {
		return 0, err
	}
	return units.Stops(math.Log2(float64(to) / float64(from))), nil
}

// TimeFor returns the exposure time that puts light level ev at level (0 is
// right, + over): N²·100/(S·2^(ev−level)). Source: trade handbook Q4. The
// result may lie off any dial; snap it to one.
func TimeFor(ev units.EV, level units.Stops, n units.FNumber, iso units.ISO) (units.Seconds, error) {
	if err := units.First(units.EVs.Check(float64(ev)), units.StopsRange.Check(float64(level)), units.Apertures.Check(float64(n)), units.ISOs.Check(float64(iso))); err != nil {
		return 0, err
	}
	return units.Seconds(float64(n) * float64(n) * 100 / (float64(iso) * math.Exp2(float64(ev)-float64(level)))), nil
}

// ApertureFor returns the f-number that puts light level ev at level (0 is
// right, + over) for a time and an ISO. Source: EV100 solved for N.
func ApertureFor(ev units.EV, level units.Stops, t units.Seconds, iso units.ISO) (units.FNumber, error) {
	if err := units.First(units.EVs.Check(float64(ev)), units.StopsRange.Check(float64(level)), units.Times.Check(float64(t)), units.ISOs.Check(float64(iso))); err != nil {
		return 0, err
	}
	return units.FNumber(math.Sqrt(float64(t) * float64(iso) / 100 * math.Exp2(float64(ev)-float64(level)))), nil
}

// ISOFor returns the ISO that puts light level ev at level (0 is right, +
// over) for an aperture and a time. Source: EV100 solved for S.
func ISOFor(ev units.EV, level units.Stops, n units.FNumber, t units.Seconds) (units.ISO, error) {
	if err := units.First(units.EVs.Check(float64(ev)), units.StopsRange.Check(float64(level)), units.Apertures.Check(float64(n)), units.Times.Check(float64(t))); err != nil {
		return 0, err
	}
	return units.ISO(100 * float64(n) * float64(n) / (float64(t) * math.Exp2(float64(ev)-float64(level)))), nil
}

// AtDistance returns the illuminance of a small light at d metres from its
// figure at 1 m, by inverse square. Good to 0.02 stop from five times the
// light's size. Source: IES definition 9.1.1, trade handbook Q30.
func AtDistance(at1m units.Lux, d units.Metres) (units.Lux, error) {
	if err := units.First(units.Illuminances.Check(float64(at1m)), units.Distances.Check(float64(d))); err != nil {
		return 0, err
	}
	return at1m / units.Lux(d*d), nil
}

// DistanceStops returns the light of a small source gained by moving it from
// one distance to another: 2·log2(from/to). Range and source as AtDistance.
func DistanceStops(from, to units.Metres) (units.Stops, error) {
	if err := units.First(units.Distances.Check(float64(from)), units.Distances.Check(float64(to))); err != nil {
		return 0, err
	}
	return units.Stops(2 * math.Log2(float64(from/to))), nil
}
