package area

import (
	"fmt"
	"math"
)

// Point is a place, or a direction, as seen from the element, metres. Which
// way the axes run is the caller's business; they must be at right angles.
type Point struct{ X, Y, Z float64 }

func (p Point) dot(q Point) float64 { return p.X*q.X + p.Y*q.Y + p.Z*q.Z }
func (p Point) cross(q Point) Point {
	return Point{p.Y*q.Z - p.Z*q.Y, p.Z*q.X - p.X*q.Z, p.X*q.Y - p.Y*q.X}
}
func (p Point) size() float64         { return math.Sqrt(p.dot(p)) }
func (p Point) times(k float64) Point { return Point{k * p.X, k * p.Y, k * p.Z} }
func (p Point) plus(q Point) Point    { return Point{p.X + q.X, p.Y + q.Y, p.Z + q.Z} }
func (p Point) finite() bool          { return !math.IsNaN(p.size()) && !math.IsInf(p.size(), 0) }
func toward(from, to Point, share float64) Point {
	return from.plus(to.plus(from.times(-1)).times(share))
}

// Polygon is the configuration factor, 0 to 1, of a flat polygon with these
// corners, in order round its edge, for an element at the origin whose face
// looks along normal (of any length). What lies behind the element's plane is
// cut off first. It is the workhorse: any panel, window or patch, at any tilt.
//
// Three corners or more, none of them at the origin, all finite, else an error.
// Source: the contour (Lambert) sum; photometry handbook §4.2, from memory
// there, checked against B-3, B-4 and area integration in the tests.
func Polygon(normal Point, corners ...Point) (float64, error) {
	if len(corners) < 3 {
		return 0, fmt.Errorf("a polygon needs three corners, not %d", len(corners))
	}
	if n := normal.size(); !normal.finite() || n == 0 {
		return 0, fmt.Errorf("the way the element looks has no direction: %v", normal)
	}
	for _, c := range corners {
		if !c.finite() || c.size() == 0 {
			return 0, fmt.Errorf("a corner must lie somewhere away from the element, not at %v", c)
		}
	}
	n := normal.times(1 / normal.size())
	seen := inFront(n, corners)
	sum := 0.0
	for i, p := range seen {
		q := seen[(i+1)%len(seen)]
		c := p.cross(q)
		s := c.size()
		if s == 0 {
			continue // two corners in one line of sight: an edge seen end on
		}
		sum += math.Atan2(s, p.dot(q)) * n.dot(c) / s
	}
	return unit(math.Abs(sum) / (2 * math.Pi)), nil
}

// inFront cuts the polygon at the element's plane and keeps what is before it.
func inFront(n Point, corners []Point) []Point {
	kept := make([]Point, 0, len(corners)+1)
	for i, p := range corners {
		q := corners[(i+1)%len(corners)]
		hp, hq := n.dot(p), n.dot(q)
		if hp >= 0 {
			kept = append(kept, p)
		}
		if (hp < 0) != (hq < 0) {
			kept = append(kept, toward(p, q, hp/(hp-hq)))
		}
	}
	return kept
}
