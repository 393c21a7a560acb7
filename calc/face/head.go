package face

import (
	"fmt"
	"math"

	"panelhand/calc/units"
)

// A Plane is a flat piece of the head, or the meter held before it.
type Plane int

// The planes. The lit side is the side that positive angles are on.
const (
	Receptor    Plane = iota // a flat meter at the face, upright, toward the lens: what light.ev100 means
	Crown                    // top of the head
	Forehead                 // leans back
	LitCheek                 // between nose and ear, on the key's side
	ShadowCheek              // the same on the other side
	Socket                   // the eye under its brow
	UnderNose                // nostrils and upper lip, under the tip of the nose
	UnderChin                // jaw to throat, before the neck
	planes
)

// Planes of the head in the order of the constants, the receptor left out.
var Head = []Plane{Crown, Forehead, LitCheek, ShadowCheek, Socket, UnderNose, UnderChin}

// A facet is how a plane stands on a head that looks straight into the lens:
// the direction it looks, and what shades it. A shade takes every direction
// within shaded degrees of the pole side, up: the brow's is everything higher
// than its cut-off, the neck's everything behind.
type facet struct {
	name             string
	side, up         units.Degrees
	poleSide, poleUp units.Degrees
	shaded           units.Degrees // 0: nothing shades it
}

// Angles of the planes: common practice (the planes that drawing and sculpture
// simplify a head to), within 10°; a real face is a range round each.
// The tip of the nose stands out 2.5 cm over a lip 2 cm below it (trade
// handbook N6); half-way down, light from above 22° is cut off.
var facets = [planes]facet{
	Receptor:    {name: "meter at the face"},
	Crown:       {name: "top of the head", up: 90},
	Forehead:    {name: "forehead", up: 25},
	LitCheek:    {name: "lit cheek", side: 45},
	ShadowCheek: {name: "shadow cheek", side: -45},
	Socket:      {name: "eye socket", poleUp: 90}, // shaded by Scene.Brow
	UnderNose:   {name: "under the nose", up: -45, poleUp: 90, shaded: 90 - noseCutOff},
	UnderChin:   {name: "under the chin", up: -70, poleSide: 180, shaded: 90},
}

// The brow and the nose cut off light from higher than these elevations above
// where the face looks. Source: photometry handbook §5.3, brow 40 to 60 for
// most adults; deep-set eyes and spectacles about 40; a brim, pulled down,
// about 20 (derived from trade handbook D88, whose key comes in at 10 to 20).
const (
	DefaultBrow units.Degrees = 50
	DeepSetBrow units.Degrees = 40
	BrimBrow    units.Degrees = 20

	noseCutOff units.Degrees = 22
)

// String is the plane in plain words: "eye socket".
func (p Plane) String() string {
	if p < 0 || p >= planes {
		return fmt.Sprintf("plane %d", int(p))
	}
	return facets[p].name
}

// A view is what a flat element sees: the half of space round its normal, less
// the cap of directions w with pole·w > cap. A cap of 1 or more shades nothing.
type view struct {
	normal, pole vec
	cap          float64
}

func open(normal vec) view { return view{normal: normal, cap: 1} }

// sees says whether light from the direction w reaches the element.
func (v view) sees(w vec) bool { return v.normal.dot(w) > 0 && (v.cap >= 1 || v.pole.dot(w) <= v.cap) }

// views are those of the planes of a head with its chin raised and its nose
// turned to the lit side. The meter stays as it is.
func views(chin, turn, brow units.Degrees) [planes]view {
	var all [planes]view
	for p := range facets {
		f := facets[p]
		if Plane(p) == Socket {
			f.shaded = 90 - brow
		}
		if Plane(p) == Receptor {
			all[p] = open(toward(0, 0))
			continue
		}
		v := open(nod(toward(f.side, f.up), chin, turn))
		if f.shaded > 0 {
			v.pole, v.cap = nod(toward(f.poleSide, f.poleUp), chin, turn), math.Cos(radians(f.shaded))
		}
		if f.shaded == 90 {
			v.cap = 0 // cos 90° is not exactly nothing
		}
		all[p] = v
	}
	return all
}

// nod raises the chin, then turns the nose to the lit side.
func nod(w vec, chin, turn units.Degrees) vec {
	s, c := math.Sincos(radians(chin))
	w = vec{w.X, w.Y*c + w.Z*s, w.Z*c - w.Y*s}
	s, c = math.Sincos(radians(turn))
	return vec{w.X*c + w.Z*s, w.Y, w.Z*c - w.X*s}
}
