package area

import (
	"math"

	"panelhand/calc/units"
)

// Panel is a folding panel, a frame of cloth, or the front of a box or
// umbrella. A round one has Width for its diameter and no Height; a square one
// may leave Height 0.
type Panel struct {
	Round         bool
	Width, Height units.Metres
}

// RoundPanel is a round panel of this diameter.
func RoundPanel(diameter units.Metres) Panel { return Panel{Round: true, Width: diameter} }

// Check returns a *units.RangeError for a panel smaller than 1 cm or larger
// than 100 m, and nil otherwise.
func (p Panel) Check() error {
	size := units.Sizes.Named("panel size")
	if p.Height == 0 {
		return size.Check(float64(p.Width))
	}
	return units.First(size.Check(float64(p.Width)), size.Check(float64(p.Height)))
}

// sides are the panel's width and height; a round one has both.
func (p Panel) sides() (w, h float64) {
	if p.Round || p.Height == 0 {
		return float64(p.Width), float64(p.Width)
	}
	return float64(p.Width), float64(p.Height)
}

// Area is the panel's area in m². Round and square panels of one size differ
// by 27 %. Source: plane geometry; photometry handbook trap 41.
func (p Panel) Area() float64 {
	w, h := p.sides()
	if p.Round {
		return math.Pi / 4 * w * h
	}
	return w * h
}

// Factor is the panel's configuration factor, evenly lit all over, for a face
// on its axis at distance and turned square to it.
//
// Error: a panel or distance out of range.
func (p Panel) Factor(distance units.Metres) (float64, error) {
	if err := units.First(p.Check(), units.Distances.Check(float64(distance))); err != nil {
		return 0, err
	}
	return p.whole().factor(float64(distance)), nil
}

// patch is the lit part of a panel: an exact rectangle, or, where a round
// panel cut the beam's rectangle, its area alone.
type patch struct {
	area          float64 // m²
	width, height float64 // m; 0 where it is no rectangle
}

func (p Panel) whole() patch {
	if p.Round {
		return patch{area: p.Area()}
	}
	w, h := p.sides()
	return patch{w * h, w, h}
}

// clip is what a centred beam of width × height metres lights of the panel.
func (p Panel) clip(width, height float64) patch {
	w, h := p.sides()
	if !p.Round {
		w, h = math.Min(w, width), math.Min(h, height)
		return patch{w * h, w, h}
	}
	r := w / 2
	x, y := width/2, height/2
	if x*x+y*y <= r*r {
		return patch{width * height, width, height}
	}
	return patch{area: 4 * quarter(math.Min(x, r), math.Min(y, r), r)}
}

// quarter is the area that the rectangle 0..x, 0..y shares with a disc of
// radius r about its corner, the far corner lying outside; x, y ≤ r. Left of
// t the rectangle's top edge bounds it, right of t the arc.
func quarter(x, y, r float64) float64 {
	t := math.Sqrt(math.Max(0, r*r-y*y))
	under := func(x float64) float64 {
		return (x*math.Sqrt(math.Max(0, r*r-x*x)) + r*r*math.Asin(math.Min(1, x/r))) / 2
	}
	return y*t + under(x) - under(t)
}

// factor is the patch's configuration factor on its axis. The equal-area disc
// for a clipped rectangle is the handbook's rule (README of the handbook);
// it is exact for a disc and within 0.02 stop for a beam cut by a hoop.
func (p patch) factor(d float64) float64 {
	if p.width > 0 {
		return unit(4 * corner(p.width/2, p.height/2, d))
	}
	return disc(p.area/math.Pi, d)
}

// diameter is that of the disc of equal area, metres: the size that softness
// goes by.
func (p patch) diameter() units.Metres { return units.Metres(2 * math.Sqrt(p.area/math.Pi)) }

// Spot is the width and height, in metres, of what a flash lights at distance
// when its zoom is set to a focal length: the frame of that lens.
//
// Zoom 1 to 3000 mm, distance 0.01 m to 10 km, else an error. Real beams are a
// little wider and fade at the edge. Source: photometry handbook §6.1.
func Spot(zoom units.Millimetres, distance units.Metres) (width, height units.Metres, err error) {
	if err := units.First(units.Focals.Check(float64(zoom)), units.Distances.Check(float64(distance))); err != nil {
		return 0, 0, err
	}
	k := float64(distance) / float64(zoom)
	return units.Metres(36 * k), units.Metres(24 * k), nil
}

// FillDistance is how far behind a panel a flash must be for the short side of
// its beam to cover the panel's short side (a round one's diameter): nearer
// leaves a hot patch and a smaller source.
//
// Error: panel or zoom out of range. Source: trade handbook Model G,
// photometry handbook §6.1.
func FillDistance(p Panel, zoom units.Millimetres) (units.Metres, error) {
	if err := units.First(p.Check(), units.Focals.Check(float64(zoom))); err != nil {
		return 0, err
	}
	w, h := p.sides()
	return units.Metres(math.Min(w, h) * float64(zoom) / 24), nil
}
