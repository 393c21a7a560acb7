package face

import (
	"math"

	"panelhand/calc/area"
	"panelhand/calc/units"
)

// The kit, by the numbers a set-up has. A level is in stops against the
// scene's reference, on an element at the face turned square to the light: what
// package area's Light.Face is against a right exposure. Ranges are checked by
// Planes.

func linear(level units.Stops) float64 { return math.Exp2(float64(level)) }

// Through is a lit panel turned square to the face: cloth with a flash behind
// it, a box, an umbrella, a wall's lit patch. size is the diameter of the disc
// with the lit patch's area (area.Light.Source).
func Through(at Place, size units.Metres, level units.Stops) Patch {
	return Patch{Sheet{At: at, Shape: area.RoundPanel(size)}, linear(level)}
}

// Bounce is a panel that a flash at the lens lights, turned half-way between
// lens and face: seen from the face it is narrower. camera is lens to face.
func Bounce(at Place, size, camera units.Metres, level units.Stops) Patch {
	return Patch{Sheet{At: at, Shape: area.RoundPanel(size), Halfway: &Place{Distance: camera}}, linear(level)}
}

// Bare is a flash or lamp with nothing on it: a point.
func Bare(at Place, level units.Stops) Beam { return Beam{at, linear(level)} }

// LED is a flat lamp of width × height, turned square to the face.
func LED(at Place, width, height units.Metres, level units.Stops) Patch {
	return Patch{Sheet{At: at, Shape: area.Panel{Width: width, Height: height}}, linear(level)}
}

// Window is an upright opening of width × height that faces the sitter. Its
// sky is taken for even.
func Window(at Place, width, height units.Metres, level units.Stops) Patch {
	return Patch{Sheet{At: at, Shape: area.Panel{Width: width, Height: height}, Upright: true}, linear(level)}
}

// White, Silver and Gold are the sides of a round panel, turned square to the
// face. They return what lights them in the scene. Silver is what it is on its
// mirror line; off it, it gives less than white. Source: package area's fabrics.
func White(at Place, size units.Metres) Reflector { return round(at, size, area.WhiteReturns) }
func Silver(at Place, size units.Metres) Reflector {
	return round(at, size, area.WhiteReturns*linear(area.SilverMirror))
}
func Gold(at Place, size units.Metres) Reflector { return round(at, size, area.GoldReturns) }

func round(at Place, size units.Metres, returns float64) Reflector {
	return Reflector{Sheet{At: at, Shape: area.RoundPanel(size)}, returns}
}

// TurnedTo is the panel turned half-way between the face and the light it is
// to return.
func (r Reflector) TurnedTo(light Place) Reflector {
	r.Halfway = &light
	return r
}

// Black is a black panel, square to the face: it hides what is behind it.
func Black(at Place, size units.Metres) Cover {
	return Cover{Sheet{At: at, Shape: area.RoundPanel(size)}, area.BlackReturns}
}

// Scrim is cloth held square between the sun (any beam) and the face, distance
// from the face: the sun comes through it as a panel does, and the sky behind
// it is weakened. Use it with the beam it is given, which it stops.
//
// pass 0 to 1. Error: an argument out of range. Source: as area.Scrim.
func Scrim(sun Beam, cloth area.Panel, pass float64, distance units.Metres) ([]Source, error) {
	f, err := cloth.Factor(distance)
	if err := units.First(err, sun.check(), shares.Check(pass)); err != nil {
		return nil, err
	}
	s := Sheet{At: Place{sun.At.Side, sun.At.Up, distance}, Shape: cloth}
	return []Source{Cover{s, pass}, Patch{s, pass * f * sun.Level}}, nil
}
