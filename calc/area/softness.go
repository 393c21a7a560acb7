package area

import (
	"math"

	"panelhand/calc/units"
)

// SourceAngle is the angle that a source of the given size fills as seen from
// distance, degrees: bigger is softer. The size is the lit patch, not the
// cloth.
//
// Size 1 mm to 100 m. Error: an argument out of range. Source: photometry
// handbook §7, trade handbook Model H.
func SourceAngle(size, distance units.Metres) (units.Degrees, error) {
	if err := units.First(units.Sizes.Check(float64(size)), lengths(distance)); err != nil {
		return 0, err
	}
	return degrees(2 * math.Atan(float64(size/distance)/2)), nil
}

// SizeFor is the size of a source that fills an angle (0.01 to 170 degrees) as
// seen from distance: SourceAngle solved for the size.
//
// Error and source as SourceAngle.
func SizeFor(angle units.Degrees, distance units.Metres) (units.Metres, error) {
	if err := units.First((units.Range{Quantity: "source angle", Unit: "degree", Low: 0.01, High: 170}).Check(float64(angle)), lengths(distance)); err != nil {
		return 0, err
	}
	return 2 * distance * units.Metres(math.Tan(float64(angle)*math.Pi/360)), nil
}

// SolidAngle is the same for a disc in steradians, 0 to 2π.
//
// Error and source as SourceAngle.
func SolidAngle(diameter, distance units.Metres) (float64, error) {
	if err := units.First(units.Sizes.Check(float64(diameter)), lengths(distance)); err != nil {
		return 0, err
	}
	r, d := float64(diameter)/2, float64(distance)
	h := math.Hypot(r, d)
	return 2 * math.Pi * r * r / (h * (h + d)), nil // 2π(1 − d/h) without its cancelled digits
}

// ShadowEdge is the width, in millimetres, over which a shadow fades on a plane
// the given depth behind the edge that casts it, the source of the given size
// being distance before that edge.
//
// Depth 0 to 10 km. Error: an argument out of range. Source: similar
// triangles; photometry handbook §7, from memory there.
func ShadowEdge(size, distance, depth units.Metres) (units.Millimetres, error) {
	depths := units.Range{Quantity: "depth", Unit: "m", Low: 0, High: units.Distances.High}
	if err := units.First(units.Sizes.Check(float64(size)), lengths(distance), depths.Check(float64(depth))); err != nil {
		return 0, err
	}
	return units.Millimetres(1000 * size * depth / distance), nil
}
