// Package face computes the light on the planes of a head: its top, forehead,
// cheeks, an eye socket under its brow, under the nose and under the chin.
//
//	face.go      Scene, Planes, Levels: the calculation
//	head.go      the planes: where they look and what shades them
//	source.go    what gives, returns or takes light
//	region.go    sky, walls, ground: parts of the far surroundings
//	sheet.go     panels and windows: flat things near the face
//	contour.go   a sheet that a brow cuts
//	kit.go       the kit by the geometry a set-up is given in
//	typical.go   the light that is there, by its kind and where it comes from
//
// Everything is relative: a level of 1 is whatever the caller's reference is,
// and levels add as light. A side is degrees round from the lens axis, positive
// toward the lit cheek; up is degrees above the eye line.
//
// What the head does: a plane that looks away gets nothing, a source half below
// its horizon gives its upper half, the brow takes what stands above its
// cut-off, the nose and the neck likewise. What panels do: each returns the sky,
// the sun and the other lamps and panels that light it, once.
//
// What is left out: the planes stand at one point, so a panel nearer than half
// a metre differs from plane to plane by more than is said here; the head's
// shadow on a panel; light going twice between panels, or from skin to skin;
// fall-off inside a hot patch. ±0.3 stop against a meter is honest for these,
// besides the fabric's own ±0.7.
//
// Sources: photometry handbook §4 to §6 (factors, skies, brow), trade handbook
// §2 and Models D to K (practice).
package face

import (
	"fmt"
	"math"

	"panelhand/calc/units"
)

// A Scene is all the light there is and the head it falls on.
type Scene struct {
	Sources []Source
	Ground  float64       // reflectance of the ground, 0 to 1; it gets what level ground gets from regions and far beams
	Brow    units.Degrees // what the brow cuts off is higher than this, 1 to 90; 0 is DefaultBrow
	Chin    units.Degrees // raised (or, below 0, lowered) by, −60 to 60
	Turn    units.Degrees // nose turned to the lit side by, −180 to 180
}

// Levels is the light on each plane, by the plane's number, against the
// scene's reference. None is below 0.
type Levels [planes]float64

var (
	sides   = units.Range{Quantity: "angle to the side", Unit: "degree", Low: -360, High: 360}
	ends    = units.Range{Quantity: "end of a part of the surroundings", Unit: "degree", Low: -720, High: 720}
	heights = units.Range{Quantity: "height above the eye line", Unit: "degree", Low: -90, High: 90}
	shares  = units.Range{Quantity: "share of light", Low: 0, High: 1}
	levels  = units.Range{Quantity: "level of light", Low: 0, High: 1e6}
	brows   = units.Range{Quantity: "brow's cut-off", Unit: "degree", Low: 1, High: 90}
	chins   = units.Range{Quantity: "raised chin", Unit: "degree", Low: -60, High: 60}
)

func (s Scene) check() error {
	if err := units.First(shares.Named("ground's reflectance").Check(s.Ground), brows.Check(float64(s.brow())),
		chins.Check(float64(s.Chin)), units.Angles.Named("turned head").Check(float64(s.Turn))); err != nil {
		return err
	}
	for _, source := range s.Sources {
		if source == nil {
			return fmt.Errorf("one of the lights is missing")
		}
		if err := source.check(); err != nil {
			return err
		}
	}
	return nil
}

func (s Scene) brow() units.Degrees {
	if s.Brow == 0 {
		return DefaultBrow
	}
	return s.Brow
}

// Planes is the light on every plane of the head in the scene.
//
// Error: anything in the scene out of range (*units.RangeError), or a panel
// turned edge-on. Accuracy: closed forms, but for regions that a leaning
// plane's horizon or brow crosses (0.001 of the region's level), discs drawn as
// polygons where a brow cuts them or, turned aside, a horizon (0.3 %), panels
// that light panels (1 %), and the brightness behind a cover, a mean over it
// (3 % of what it takes).
func Planes(s Scene) (Levels, error) {
	if err := s.check(); err != nil {
		return Levels{}, err
	}
	l, err := s.place()
	if err != nil {
		return Levels{}, err
	}
	var out Levels
	for p, v := range views(s.Chin, s.Turn, s.brow()) {
		out[p] = l.on(v)
	}
	return out, nil
}

// placed is a scene made ready for many planes.
type placed struct {
	regions []Region
	sliced  []sliced
	beams   []Beam
	emits   []emitter
	covers  []cover
}

// An emitter is a surface and the light it sends out, lux against the
// reference: what an element would get that saw nothing else.
type emitter struct {
	surface
	exitance float64
}

func (s Scene) place() (*placed, error) {
	l := &placed{}
	var covers []Cover
	var reflectors []Reflector
	for _, source := range s.Sources {
		switch source := source.(type) {
		case Region:
			l.regions = append(l.regions, source)
		case Beam:
			l.beams = append(l.beams, source)
		case Patch:
			e, err := source.emitter()
			if err != nil {
				return nil, err
			}
			l.emits = append(l.emits, e)
		case Reflector:
			reflectors = append(reflectors, source)
		case Cover:
			covers = append(covers, source)
		}
	}
	for _, r := range l.regions {
		l.sliced = append(l.sliced, r.slice())
	}
	if ground := s.Ground * l.onGround(); ground > 0 {
		r := Region{Low: -90, High: 0, Level: ground}
		l.regions, l.sliced = append(l.regions, r), append(l.sliced, r.slice())
	}
	keys := len(l.emits) // reflectors return lamps and lit panels, not each other
	for _, r := range reflectors {
		surface, err := r.Sheet.place()
		if err != nil {
			return nil, err
		}
		l.emits = append(l.emits, emitter{surface, r.Returns * l.onSurface(&surface, l.emits[:keys])})
	}
	for _, c := range covers {
		cover, err := c.cover(l.regions)
		if err != nil {
			return nil, err
		}
		l.covers = append(l.covers, cover)
	}
	return l, nil
}

// onGround is the light on open level ground.
func (l *placed) onGround() float64 {
	sum, v := 0.0, open(vec{Y: 1})
	for i := range l.sliced {
		sum += l.sliced[i].on(v)
	}
	for _, b := range l.beams {
		if b.At.Distance == 0 {
			sum += b.Level * math.Max(0, b.At.direction().Y)
		}
	}
	return sum
}

// onSurface is the mean light on a panel: the surroundings, lamps, and the lit
// panels it faces.
func (l *placed) onSurface(f *surface, emits []emitter) float64 {
	v := open(f.normal)
	sum := 0.0
	for i := range l.sliced {
		sum += l.sliced[i].on(v)
	}
	for _, b := range l.beams {
		sum += b.at(f.centre, f.normal)
	}
	for i := range emits {
		sum += emits[i].exitance * exchange(f, &emits[i].surface)
	}
	return sum
}

// exchange is the share of what surface a sees that b fills, its mean over a.
func exchange(a, b *surface) float64 {
	mean := 0.0
	for _, s := range a.spots() {
		mean += s.share * b.factor(a.at(s.u*a.halfU, s.v*a.halfV), open(a.normal))
	}
	return mean
}

// on is the light on an element at the face.
func (l *placed) on(v view) float64 {
	var room [8]float64
	around := room[:0]
	for i := range l.sliced {
		around = append(around, l.sliced[i].on(v))
	}
	for i := range l.covers {
		l.covers[i].takes(v, around)
	}
	sum := 0.0
	for _, e := range around {
		sum += e
	}
	for _, b := range l.beams {
		if w := b.At.direction(); v.sees(w) && !l.covered(b, w) {
			sum += b.Level * v.normal.dot(w)
		}
	}
	for i := range l.emits {
		sum += l.emits[i].exitance * l.emits[i].factor(vec{}, v)
	}
	return sum
}

func (l *placed) covered(b Beam, w vec) bool {
	for i := range l.covers {
		if l.covers[i].crosses(w, float64(b.At.Distance)) {
			return true
		}
	}
	return false
}

// darkest is how far under another plane one is said to be at most: stray
// light, and what skin throws on skin, leave nothing darker. Common practice.
const darkest units.Stops = 10

// Against is plane a's light against plane b's in stops, at most ±10.
//
// Error: no such plane, or neither has any light.
func (l Levels) Against(a, b Plane) (units.Stops, error) {
	if a < 0 || a >= planes || b < 0 || b >= planes {
		return 0, fmt.Errorf("no such plane of the head: %v, %v", a, b)
	}
	if l[a] <= 0 && l[b] <= 0 {
		return 0, fmt.Errorf("%v and %v get no light at all", a, b)
	}
	return max(-darkest, min(darkest, units.Stops(math.Log2(l[a])-math.Log2(l[b])))), nil
}

// Plus is the light of two scenes on the same head together.
func (l Levels) Plus(m Levels) Levels {
	for p := range l {
		l[p] += m[p]
	}
	return l
}

// Metered is the same scene with all its sources raised or lowered alike, so
// that a meter at the face, toward the lens, reads level stops over the
// reference. Panels that return or take light keep their shares.
//
// Error: as Planes, level beyond ±40 stops, or no light on the meter.
func (s Scene) Metered(level units.Stops) (Scene, error) {
	err := units.StopsRange.Check(float64(level))
	if err != nil {
		return Scene{}, err
	}
	l, err := Planes(s)
	if err != nil {
		return Scene{}, err
	}
	if l[Receptor] <= 0 {
		return Scene{}, fmt.Errorf("no light comes to the face from the lens's side: there is nothing to meter")
	}
	k := math.Exp2(float64(level)) / l[Receptor]
	scaled := make([]Source, len(s.Sources))
	for i, source := range s.Sources {
		scaled[i] = source.scaled(k)
	}
	s.Sources = scaled
	return s, s.check()
}

// With is the scene with more sources in it; s is not changed.
func (s Scene) With(more ...Source) Scene {
	s.Sources = append(s.Sources[:len(s.Sources):len(s.Sources)], more...)
	return s
}
