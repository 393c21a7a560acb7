package face

import "math"

// within is the configuration factor of the part of a polygon that lies inside
// the view's cap, for the view's normal. The contour sum holds on any closed
// curve on the sphere of directions: along a polygon's edge it is the angle
// times n·m, along the rim of a cap it is an integral of sines. Each edge makes
// a triangle with the pole; inside the cap the edge bounds it, outside the rim
// does, and the sides at the pole cancel between neighbours.
//
// Closed form. Source: derived from the contour (Lambert) sum of photometry
// handbook §4.2; checked against area integration in the tests.
func (v view) within(corners []vec) float64 {
	// Cut to the pole's side too, where all of the cap is: round the far pole
	// the rim would be counted once more.
	var room, roomier [maxCorners + 2]vec
	seen := inFront(v.normal, corners, room[:0])
	seen = inFront(v.pole, seen, roomier[:0])
	if len(seen) < 3 {
		return 0
	}
	e1 := v.pole.across()
	r := rim{pole: v.pole, e1: e1, e2: v.pole.cross(e1), k: v.cap, s: math.Sqrt(1 - v.cap*v.cap), normal: v.normal}
	sum := 0.0
	for i := range seen {
		seen[i] = seen[i].unit()
	}
	for i, a := range seen {
		b := seen[(i+1)%len(seen)]
		m := a.cross(b)
		size := m.size()
		if size == 0 {
			continue
		}
		m = m.times(1 / size)
		whole := math.Atan2(size, a.dot(b))
		ahead := m.cross(a) // along the edge
		at := func(t float64) vec { s, c := math.Sincos(t); return a.times(c).plus(ahead.times(s)) }
		in, out := inside(v.pole.dot(a), v.pole.dot(ahead), v.cap, whole)
		if in >= out {
			sum += r.along(a, b)
			continue
		}
		sum += (out - in) * v.normal.dot(m)
		if in > 0 {
			sum += r.along(a, at(in))
		}
		if out < whole {
			sum += r.along(at(out), b)
		}
	}
	return math.Abs(sum) / (2 * math.Pi)
}

// inside is the part of 0..whole (under π) where a·cos t + b·sin t exceeds k ≥ 0.
// At most one stretch, for two lie half a turn or more apart.
func inside(a, b, k, whole float64) (from, to float64) {
	top := math.Hypot(a, b)
	if top <= k {
		return 0, 0
	}
	middle, half := math.Atan2(b, a), math.Acos(k/top)
	if middle+half < 0 {
		middle += 2 * math.Pi
	}
	return math.Max(0, middle-half), math.Min(whole, middle+half)
}

// A rim is the edge of a cap: directions at angle acos k from its pole.
type rim struct {
	pole, e1, e2, normal vec
	k, s                 float64
}

// along is the contour integral along the rim from below a to below b.
func (r rim) along(a, b vec) float64 {
	from := math.Atan2(a.dot(r.e2), a.dot(r.e1))
	turn := math.Remainder(math.Atan2(b.dot(r.e2), b.dot(r.e1))-from, 2*math.Pi)
	s0, c0 := math.Sincos(from)
	s1, c1 := math.Sincos(from + turn)
	return r.s * (r.s*turn*r.normal.dot(r.pole) - r.k*((s1-s0)*r.normal.dot(r.e1)-(c1-c0)*r.normal.dot(r.e2)))
}

// inFront cuts a polygon at the plane before which n looks; it appends to kept.
func inFront(n vec, corners, kept []vec) []vec {
	for i, p := range corners {
		q := corners[(i+1)%len(corners)]
		hp, hq := n.dot(p), n.dot(q)
		if hp >= 0 {
			kept = append(kept, p)
		}
		if (hp < 0) != (hq < 0) {
			kept = append(kept, p.plus(q.minus(p).times(hp/(hp-hq))))
		}
	}
	return kept
}
