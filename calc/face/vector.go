package face

import (
	"math"

	"panelhand/calc/area"
	"panelhand/calc/units"
)

// vec is a place or a direction seen from the face: X to the lit side, Y up,
// Z toward the lens, metres.
type vec area.Point

func (a vec) dot(b vec) float64   { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }
func (a vec) plus(b vec) vec      { return vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }
func (a vec) minus(b vec) vec     { return vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }
func (a vec) times(k float64) vec { return vec{k * a.X, k * a.Y, k * a.Z} }
func (a vec) size() float64       { return math.Sqrt(a.dot(a)) }
func (a vec) unit() vec           { return a.times(1 / a.size()) }
func (a vec) cross(b vec) vec {
	return vec{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// across is some direction at right angles to the unit vector a, level where
// that is possible.
func (a vec) across() vec {
	if math.Hypot(a.X, a.Z) < 1e-9 {
		return vec{X: 1}
	}
	return vec{Y: 1}.cross(a).unit()
}

func radians(d units.Degrees) float64 { return float64(d) * math.Pi / 180 }

// toward is the direction that is side degrees round from the lens axis and up
// degrees above the eye line.
func toward(side, up units.Degrees) vec {
	ss, cs := math.Sincos(radians(side))
	su, cu := math.Sincos(radians(up))
	return vec{ss * cu, su, cs * cu}
}
