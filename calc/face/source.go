package face

import (
	"math"

	"panelhand/calc/units"
)

// A Source is a Region, Beam, Patch, Reflector or Cover. Only a Cover ever
// makes a plane darker.
type Source interface {
	check() error
	scaled(k float64) Source
}

// A Beam comes from one point: the sun (no distance), a bare lamp or flash.
// Level is the light on an element at the face turned square to it.
type Beam struct {
	At    Place
	Level float64 // 0 to 1e6
}

// A Patch is a sheet that shines evenly: a window, a lit panel, the front of a
// box. Level is the light on an element at the face turned square to its centre.
type Patch struct {
	Sheet
	Level float64 // 0 to 1e6
}

// A Reflector is a sheet that returns the share Returns of the light on its
// face, evenly in all directions.
type Reflector struct {
	Sheet
	Returns float64 // 0 to 2: silver on its mirror line returns more than all, elsewhere less
}

// A Cover is a sheet that hides sky, walls and ground behind it, all but the
// share Pass, and stops beams: a black panel, a hand, a cloth overhead.
type Cover struct {
	Sheet
	Pass float64 // 0 to 1
}

func (r Region) scaled(k float64) Source    { r.Level *= k; return r }
func (b Beam) scaled(k float64) Source      { b.Level *= k; return b }
func (p Patch) scaled(k float64) Source     { p.Level *= k; return p }
func (r Reflector) scaled(_ float64) Source { return r }
func (c Cover) scaled(_ float64) Source     { return c }

var returns = units.Range{Quantity: "share of light returned", Low: 0, High: 2}

func (b Beam) check() error { return units.First(b.At.check(true), levels.Check(b.Level)) }
func (p Patch) check() error {
	return units.First(p.At.check(false), p.Shape.Check(), levels.Check(p.Level))
}
func (r Reflector) check() error {
	return units.First(r.At.check(false), r.Shape.Check(), returns.Check(r.Returns))
}
func (c Cover) check() error {
	return units.First(c.At.check(false), c.Shape.Check(), shares.Check(c.Pass))
}

// at is the beam's light on an element at a place other than the face.
func (b Beam) at(place, normal vec) float64 {
	w := b.At.direction()
	if b.At.Distance == 0 {
		return b.Level * math.Max(0, normal.dot(w))
	}
	d := b.At.point().minus(place)
	r2 := math.Max(d.dot(d), 1e-4) // no nearer than the formulas' centimetre
	face := float64(b.At.Distance)
	return b.Level * face * face / r2 * math.Max(0, normal.dot(d)/math.Sqrt(r2))
}

func (p Patch) emitter() (emitter, error) {
	f, err := p.Sheet.place()
	if err != nil {
		return emitter{}, err
	}
	square := f.factor(vec{}, open(p.At.direction()))
	if square <= 0 {
		return emitter{}, units.Range{Quantity: "share of its light that the panel sends to the face", Low: 1e-12, High: 1}.Check(square)
	}
	return emitter{f, p.Level / square}, nil
}

// A cover is a Cover made ready: points over it and what they hide.
type cover struct {
	surface
	points []hidden
	light  []float64 // hidden light, point after point, for each region
}

type hidden struct {
	w      vec
	weight float64 // of the point's part of the whole
}

// Points of a cover: rings and rays of a disc, rows and columns of a rectangle.
const coverRings, coverRays = 4, 12

func (c Cover) cover(regions []Region) (cover, error) {
	f, err := c.Sheet.place()
	if err != nil {
		return cover{}, err
	}
	if f.normal.dot(f.centre) > 0 { // it hides from both sides
		f.normal, f.v = f.normal.times(-1), f.v.times(-1)
	}
	out := cover{surface: f, points: make([]hidden, 0, coverRings*coverRays)}
	for i := range coverRings {
		for j := range coverRays {
			a, b := (float64(i)+0.5)/coverRings, (float64(j)+0.5)/coverRays
			p := f.at(f.halfU*(2*a-1), f.halfV*(2*b-1))
			if f.round { // equal areas
				s, c := math.Sincos(2 * math.Pi * b)
				r := f.halfU * math.Sqrt(a)
				p = f.at(r*c, r*s)
			}
			d := p.size()
			h := hidden{w: p.times(1 / d)}
			h.weight = math.Abs(f.normal.dot(h.w)) / (d * d)
			for _, r := range regions {
				light := 0.0
				if r.covers(h.w) {
					light = (1 - c.Pass) * r.Level * r.luminance(h.w.Y)
				}
				out.light = append(out.light, light)
			}
			out.points = append(out.points, h)
		}
	}
	return out, nil
}

// takes lowers what an element gets of each region by what the cover hides:
// its factor, closed, times the mean brightness behind it.
func (c *cover) takes(v view, regions []float64) {
	all, share := 0.0, c.factor(vec{}, v)
	if share == 0 {
		return
	}
	lost := make([]float64, len(regions))
	for i, p := range c.points {
		if v.sees(p.w) {
			q := p.weight * v.normal.dot(p.w)
			all += q
			for r := range lost {
				lost[r] += q * c.light[i*len(lost)+r]
			}
		}
	}
	if all == 0 {
		return
	}
	for r := range regions {
		regions[r] = math.Max(0, regions[r]-share*lost[r]/all)
	}
}

// crosses says whether the cover stands in the line of sight w within reach
// metres (0: however far).
func (c *cover) crosses(w vec, reach float64) bool {
	toward := c.normal.dot(w)
	if toward == 0 {
		return false
	}
	t := c.normal.dot(c.centre) / toward
	if t <= 0 || reach > 0 && t > reach {
		return false
	}
	off := w.times(t).minus(c.centre)
	u, v := off.dot(c.u), off.dot(c.v)
	if c.round {
		return u*u+v*v <= c.halfU*c.halfU
	}
	return math.Abs(u) <= c.halfU && math.Abs(v) <= c.halfV
}
