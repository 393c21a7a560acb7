package area

import (
	"math"

	"panelhand/calc/units"
)

// Corner is the configuration factor of a width × height rectangle parallel to
// the element, one of its corners straight ahead at distance.
//
// All lengths 0.01 m to 10 km. Source: catalogue B-3; photometry handbook §4.2.
func Corner(width, height, distance units.Metres) (float64, error) {
	if err := lengths(width, height, distance); err != nil {
		return 0, err
	}
	return unit(corner(float64(width), float64(height), float64(distance))), nil
}

// CornerUpright is the factor of a rectangle perpendicular to the element, one
// corner straight ahead in the element's own plane: width lies in that plane,
// height rises along the element's normal, distance is to the rectangle's
// plane.
//
// All lengths 0.01 m to 10 km. Source: catalogue B-4; photometry handbook §4.2,
// whose trap 33 tells how easily width and height are swapped.
func CornerUpright(width, height, distance units.Metres) (float64, error) {
	if err := lengths(width, height, distance); err != nil {
		return 0, err
	}
	x, y := float64(width)/float64(distance), float64(height)/float64(distance)
	ry := math.Sqrt(1 + y*y)
	return unit((math.Atan(x) - math.Atan(x/ry)/ry) / (2 * math.Pi)), nil
}

// Rectangle is the factor of a rectangle parallel to the element and centred
// straight ahead of it at distance.
//
// All lengths 0.01 m to 10 km. Source: four corners of catalogue B-3;
// photometry handbook §4.2.
func Rectangle(width, height, distance units.Metres) (float64, error) {
	if err := lengths(width, height, distance); err != nil {
		return 0, err
	}
	return unit(4 * corner(float64(width)/2, float64(height)/2, float64(distance))), nil
}

// RectangleOff is the factor of a rectangle parallel to the element whose
// centre is set off sideways by right and up (either sign, to 10 km).
//
// Source: B-3 corners added and taken away; photometry handbook §4.2.
func RectangleOff(width, height, distance, right, up units.Metres) (float64, error) {
	if err := lengths(width, height, distance); err != nil {
		return 0, err
	}
	for _, off := range []units.Metres{right, up} {
		if err := offsets.Check(float64(off)); err != nil {
			return 0, err
		}
	}
	x0, x1 := float64(right-width/2), float64(right+width/2)
	y0, y1 := float64(up-height/2), float64(up+height/2)
	// corner is odd in each edge, so signed corners add up wherever the
	// element's foot falls: inside, beside or across from the rectangle.
	d := float64(distance)
	return unit(corner(x1, y1, d) - corner(x0, y1, d) - corner(x1, y0, d) + corner(x0, y0, d)), nil
}
