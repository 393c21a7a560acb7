package face

import (
	"fmt"
	"math"

	"panelhand/calc/area"
	"panelhand/calc/units"
)

// A Place is where a thing's centre is, seen from the face.
type Place struct {
	Side     units.Degrees // round from the lens axis, the lit side positive, −360 to 360; 180 is behind
	Up       units.Degrees // above the eye line, −90 to 90
	Distance units.Metres  // 0.01 m to 10 km; 0 is as far away as the sun
}

func (p Place) check(far bool) error {
	err := units.First(sides.Check(float64(p.Side)), heights.Check(float64(p.Up)))
	if far && p.Distance == 0 {
		return err
	}
	return units.First(err, units.Distances.Check(float64(p.Distance)))
}

func (p Place) direction() vec { return toward(p.Side, p.Up) }
func (p Place) point() vec     { return p.direction().times(float64(p.Distance)) }

// A Sheet is a flat thing near the face: a panel, a window, the front of a box.
// It is turned square to the face unless said otherwise.
type Sheet struct {
	At      Place
	Shape   area.Panel
	Halfway *Place // turned half-way between the face and this place, to return its light
	Upright bool   // stands upright and is turned to the face about the vertical only: a window
}

// Corners of a disc drawn as a polygon. It has the disc's area; its factor is
// within 0.3 % of the disc's where an element's horizon cuts it.
const (
	discCorners = 24
	maxCorners  = discCorners
)

// A surface is a sheet made ready: centre, the way it faces, its two axes.
type surface struct {
	centre, normal, u, v vec
	round                bool
	halfU, halfV         float64 // a disc's radius in both
	reach                float64 // no point of it is farther from the centre
	corners              []vec
}

func (s Sheet) place() (surface, error) {
	if err := units.First(s.At.check(false), s.Shape.Check()); err != nil {
		return surface{}, err
	}
	f := surface{centre: s.At.point(), round: s.Shape.Round}
	f.halfU, f.halfV = float64(s.Shape.Width)/2, float64(s.Shape.Height)/2
	if s.Shape.Round || s.Shape.Height == 0 {
		f.halfV = f.halfU
	}
	f.reach = math.Hypot(f.halfU, f.halfV)
	if f.round {
		f.reach = f.halfU
	}
	f.normal = s.At.direction().times(-1)
	if s.Halfway != nil {
		if err := s.Halfway.check(true); err != nil {
			return surface{}, err
		}
		other := s.Halfway.direction()
		if s.Halfway.Distance > 0 {
			other = s.Halfway.point().minus(f.centre)
			if other.size() < 0.01 {
				return surface{}, fmt.Errorf("a panel cannot be turned to what stands in it")
			}
			other = other.unit()
		}
		f.normal = f.normal.plus(other)
	}
	if s.Upright {
		f.normal.Y = 0
	}
	if f.normal.size() < 1e-3 {
		return surface{}, fmt.Errorf("that panel would be turned edge-on: its two directions lie opposite each other")
	}
	f.normal = f.normal.unit()
	f.u = f.normal.across()
	f.v = f.normal.cross(f.u)
	return f, nil
}

func (f *surface) at(u, v float64) vec { return f.centre.plus(f.u.times(u)).plus(f.v.times(v)) }

// outline is the surface's edge as a polygon.
func (f *surface) outline() []vec {
	if f.corners != nil {
		return f.corners
	}
	if !f.round {
		f.corners = []vec{f.at(-f.halfU, -f.halfV), f.at(f.halfU, -f.halfV), f.at(f.halfU, f.halfV), f.at(-f.halfU, f.halfV)}
		return f.corners
	}
	f.corners = make([]vec, discCorners)
	for i := range f.corners {
		f.corners[i] = f.at(f.halfU*ring[i][0], f.halfU*ring[i][1])
	}
	return f.corners
}

// ring is the polygon of a unit disc's area.
var ring = func() (r [discCorners][2]float64) {
	step := 2 * math.Pi / discCorners
	size := math.Sqrt(step / math.Sin(step))
	for i := range r {
		s, c := math.Sincos(step * float64(i))
		r[i] = [2]float64{size * c, size * s}
	}
	return r
}()

// factor is the share, 0 to 1, that the surface's face fills of what an element
// at from sees. Nothing where only its back is seen.
//
// Closed forms throughout: the light vector where nothing cuts the surface off,
// B-13 for a disc that the element's horizon cuts and that is turned square to
// it, the contour sum for everything else.
func (f *surface) factor(from vec, v view) float64 {
	away := f.centre.minus(from)
	h := -f.normal.dot(away)
	if h <= 1e-9 {
		return 0
	}
	d := away.size()
	w := away.times(1 / d)
	// Half the angle of a cone that holds all of the surface; near by, none does.
	cone := math.Pi
	if f.reach < d {
		cone = math.Asin(f.reach / d)
	}
	above := math.Asin(math.Max(-1, math.Min(1, v.normal.dot(w))))
	if above <= -cone {
		return 0
	}
	clear := above >= cone
	capped := false
	if v.cap < 1 {
		off := math.Acos(math.Max(-1, math.Min(1, v.pole.dot(w)))) - math.Acos(v.cap)
		if off <= -cone {
			return 0
		}
		capped = off < cone
	}
	if clear && !capped {
		return math.Max(0, math.Min(1, v.normal.dot(f.vector(away, h))))
	}
	if f.round && !capped && h > d*(1-1e-12) { // on the disc's axis: B-13, exact
		tilt := units.Degrees(math.Acos(math.Max(-1, math.Min(1, v.normal.dot(w)))) * 180 / math.Pi)
		if exact, err := area.DiscTilted(units.Metres(2*f.halfU), units.Metres(d), tilt); err == nil {
			return exact
		}
	}
	corners := f.outline()
	if from != (vec{}) {
		moved := make([]vec, len(corners))
		for i, c := range corners {
			moved[i] = c.minus(from)
		}
		corners = moved
	}
	all := polygon(v.normal, corners)
	if capped {
		all -= v.within(corners)
	}
	return math.Max(0, all)
}

// polygon is area.Polygon, whose errors (corners at the element, no normal)
// cannot arise for a surface that the element stands before.
func polygon(normal vec, corners []vec) float64 {
	var room [maxCorners]area.Point
	points := room[:len(corners)]
	for i, c := range corners {
		points[i] = area.Point(c)
	}
	f, err := area.Polygon(area.Point(normal), points...)
	if err != nil {
		return 0
	}
	return f
}

// vector is the surface's light vector for an element the vector away from its
// centre and h before it: its product with any normal that sees the whole
// surface is the factor.
//
// Source: of a disc, catalogue B-14 (the part along its axis) and B-16 (the
// part across it; from memory, checked by integration); of a rectangle, the
// contour sum.
func (f *surface) vector(away vec, h float64) vec {
	if !f.round {
		sum := vec{}
		corners := [4]vec{
			away.plus(f.u.times(-f.halfU)).plus(f.v.times(-f.halfV)), away.plus(f.u.times(f.halfU)).plus(f.v.times(-f.halfV)),
			away.plus(f.u.times(f.halfU)).plus(f.v.times(f.halfV)), away.plus(f.u.times(-f.halfU)).plus(f.v.times(f.halfV)),
		}
		for i, p := range corners {
			q := corners[(i+1)%4]
			c := p.cross(q)
			if s := c.size(); s > 0 {
				sum = sum.plus(c.times(math.Atan2(s, p.dot(q)) / s))
			}
		}
		sum = sum.times(1 / (2 * math.Pi))
		if sum.dot(away) < 0 {
			return sum.times(-1)
		}
		return sum
	}
	r2 := f.halfU * f.halfU
	sideways := away.plus(f.normal.times(h)) // from the element's foot to the centre, in the disc's plane
	a2 := sideways.dot(sideways)
	z := a2 + h*h + r2
	root := math.Sqrt(math.Max(0, z*z-4*r2*a2))
	// B-14 and B-16 with their differences written out, so that nothing cancels.
	axial := 2 * r2 * h * h / (root * (root + z - 2*r2))
	radial := 2 * r2 * h / (root * (z + root)) // over the offset
	return f.normal.times(-axial).plus(sideways.times(radial))
}

// A spot is a point of a surface with its share of the area.
type spot struct{ u, v, share float64 }

// Degree-5 rules over a unit disc and a square of half-side 1: enough for the
// mean light on a panel, within 1 % unless another panel is nearer than its size.
// Source: seven points on a disc (from memory: centre ¼, six at √(2/3)), three
// by three Gauss points on a square.
var discSpots, squareSpots = func() (d, q []spot) {
	d = append(d, spot{0, 0, 0.25})
	for i := range 6 {
		s, c := math.Sincos(float64(i) * math.Pi / 3)
		d = append(d, spot{math.Sqrt(2.0/3) * c, math.Sqrt(2.0/3) * s, 0.125})
	}
	x, w := []float64{-math.Sqrt(0.6), 0, math.Sqrt(0.6)}, []float64{5.0 / 18, 8.0 / 18, 5.0 / 18}
	for i := range x {
		for j := range x {
			q = append(q, spot{x[i], x[j], w[i] * w[j]})
		}
	}
	return d, q
}()

func (f *surface) spots() []spot {
	if f.round {
		return discSpots
	}
	return squareSpots
}
