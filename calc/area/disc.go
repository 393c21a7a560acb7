package area

import (
	"math"

	"panelhand/calc/units"
)

// Disc is the configuration factor, 0 to 1, of a disc of the given diameter
// seen on its axis from distance, the element facing it.
//
// Both lengths 0.01 m to 10 km, else an error.
// Source: catalogue B-12; photometry handbook §4.1.
func Disc(diameter, distance units.Metres) (float64, error) {
	return DiscTilted(diameter, distance, 0)
}

// DiscTilted is the factor of a disc on whose axis the element lies, the
// element turned tilt degrees (0 to 180) away from facing it. While the whole
// disc stands above the element's plane this is the cosine law; beyond that
// the part below its horizon is cut off, and the cosine would go negative.
//
// Source: catalogue B-13; photometry handbook §4.1.
func DiscTilted(diameter, distance units.Metres, tilt units.Degrees) (float64, error) {
	if err := lengths(diameter, distance); err != nil {
		return 0, err
	}
	if err := tilts.Check(float64(tilt)); err != nil {
		return 0, err
	}
	r, d, θ := float64(diameter)/2, float64(distance), radians(tilt)
	horizon := math.Atan2(d, r)
	switch {
	case θ <= horizon:
		return unit(math.Cos(θ) * disc(r*r, d)), nil
	case θ >= math.Pi-horizon:
		return 0, nil
	}
	// cosα = −d/(r·tanθ), written so that a right angle needs no limit.
	cosα := -d * math.Cos(θ) / (r * math.Sin(θ))
	sinα := math.Sqrt(math.Max(0, 1-cosα*cosα))
	α := math.Acos(math.Max(-1, math.Min(1, cosα)))
	q := math.Hypot(r*cosα, d)
	f := (-r*d*math.Sin(θ)*sinα+r*r*math.Cos(θ)*α)/(math.Pi*(r*r+d*d)) +
		(d*math.Sin(θ)-r*math.Cos(θ)*cosα)/(math.Pi*q)*math.Atan2(r*sinα, q)
	return unit(f), nil
}

// DiscOffAxis is the factor of a disc for an element parallel to it and set
// off by the given length (to 10 km, either way) from its axis.
//
// Source: catalogue B-14; photometry handbook §4.1.
func DiscOffAxis(diameter, distance, off units.Metres) (float64, error) {
	if err := lengths(diameter, distance); err != nil {
		return 0, err
	}
	if err := offsets.Check(float64(off)); err != nil {
		return 0, err
	}
	return discOffAxis(float64(diameter)/2, float64(distance), float64(off)), nil
}

// discOffAxis is B-14 multiplied through by the offset squared, so that it
// runs into B-12 on the axis instead of dividing by nothing there.
func discOffAxis(r, d, off float64) float64 {
	z := off*off + d*d + r*r
	root := math.Sqrt(math.Max(0, z*z-4*r*r*off*off))
	// ½(1 − (z − 2r²)/root) loses its digits far away; this is the same number.
	return unit(2 * r * r * d * d / (root * (root + z - 2*r*r)))
}
