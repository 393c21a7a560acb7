// Package area computes the light of sources that are not points: panels,
// the patch a flash lights on them, walls, ceilings, openings of sky.
//
//	disc.go       discs: on axis, tilted, off axis
//	rectangle.go  rectangles, parallel and perpendicular
//	polygon.go    any polygon from any plane: the contour sum
//	panel.go      a folding panel and the patch a beam lights on it
//	flash.go      flash through, off and inside a fabric, off a wall
//	daylight.go   scrim, reflector and black panel
//	reach.go      fall-off, evenness, height
//	softness.go   source angle, shadow edges
//
// The number everything rests on is the configuration factor F: the share, in
// [0, 1], that a source fills of what a flat element of skin sees, each
// direction weighted by its cosine. A source of even luminance L puts π·L·F
// lux on the element; a fabric lit by H lux·seconds which passes T of it puts
// T·H·F there. So near a panel light does not fall with the square of the
// distance: it falls as F does.
//
// Sources: the photometry handbook, §4 to §7 (the formulas and their catalogue
// numbers), and the trade handbook, Models D to K (how crews use them). All of
// it holds for evenly lit, evenly scattering cloth; a real panel with a hot
// centre differs, and ±0.7 stop is honest until a crew has calibrated.
package area

import (
	"math"

	"panelhand/calc/units"
)

// disc is the factor of a disc of radius² r2 on its axis at distance d:
// catalogue B-12.
func disc(r2, d float64) float64 { return r2 / (r2 + d*d) }

// corner is the factor of an a × b rectangle at distance d whose corner is
// straight ahead: catalogue B-3.
func corner(a, b, d float64) float64 {
	x, y := a/d, b/d
	rx, ry := math.Sqrt(1+x*x), math.Sqrt(1+y*y)
	return (x/rx*math.Atan(y/rx) + y/ry*math.Atan(x/ry)) / (2 * math.Pi)
}

func radians(d units.Degrees) float64 { return float64(d) * math.Pi / 180 }
func degrees(r float64) units.Degrees { return units.Degrees(r * 180 / math.Pi) }

// unit clamps what is a share by its nature and left [0, 1] by rounding only.
func unit(x float64) float64 { return math.Max(0, math.Min(1, x)) }
