package area

import (
	"math"

	"panelhand/calc/units"
)

// FallOff is the light at distance to against the light at distance from, in
// stops, straight before an evenly lit panel. Near a panel this is much less
// than the square of the distance says.
//
// Error: an argument out of range. Source: trade handbook Model E, photometry
// handbook §4.3.
func FallOff(p Panel, from, to units.Metres) (units.Stops, error) {
	f0, err0 := p.Factor(from)
	f1, err1 := p.Factor(to)
	if err := units.First(err0, err1); err != nil {
		return 0, err
	}
	return units.Stops(math.Log2(f1 / f0)), nil
}

// RowDrop is the light on someone further behind the first row, in stops
// (below 0), from a small source at distance; it holds for panels beyond two
// diameters.
//
// Error: a length out of range. Source: trade handbook Q20, N39.
func RowDrop(distance, behind units.Metres) (units.Stops, error) {
	if err := lengths(distance, behind); err != nil {
		return 0, err
	}
	return units.Stops(-2 * math.Log2(float64((distance+behind)/distance))), nil
}

// EvenWidthRule is the width lit within half a stop for each metre of distance
// from a panel, as crews count it; the rest is margin for a hot centre.
// Source: trade handbook Model I.
const EvenWidthRule = 0.8

// EvenWidth is the width at distance across which an even panel's light, on
// faces looking along its axis, falls by no more than drop stops (0.01 to 10).
// At half a stop it is 0.9 to 1.0 of the distance. A panel that is not round
// counts as the disc of its area.
//
// Error: an argument out of range. Source: catalogue B-14 solved for the
// offset; trade handbook Model I.
func EvenWidth(p Panel, distance units.Metres, drop units.Stops) (units.Metres, error) {
	drops := units.Range{Quantity: "drop", Unit: "stop", Low: 0.01, High: 10}
	if err := units.First(p.Check(), lengths(distance), drops.Check(float64(drop))); err != nil {
		return 0, err
	}
	r, d := math.Sqrt(p.Area()/math.Pi), float64(distance)
	want := disc(r*r, d) * math.Exp2(-float64(drop))
	inside, outside := 0.0, r+d
	for discOffAxis(r, d, outside) > want {
		inside, outside = outside, 2*outside
	}
	for range 60 {
		middle := (inside + outside) / 2
		if discOffAxis(r, d, middle) > want {
			inside = middle
		} else {
			outside = middle
		}
	}
	return units.Metres(2 * inside), nil
}

// GroupSpread is the difference in stops between the near and the far end of a
// group of the given width, lit from distance by a small source side degrees
// (0 to 90) off the camera axis. About 2.9·width·sin(side)/distance.
//
// Error: an argument out of range, or a light standing within the group.
// Source: trade handbook Model J.
func GroupSpread(width, distance units.Metres, side units.Degrees) (units.Stops, error) {
	if err := units.First(lengths(width, distance), sides.Check(float64(side))); err != nil {
		return 0, err
	}
	x := float64(width) / 2 * math.Sin(radians(side))
	if err := (units.Range{Quantity: "distance of the light", Unit: "m", Low: 1.01 * x, High: units.Distances.High}).Check(float64(distance)); err != nil {
		return 0, err
	}
	return units.Stops(2 * math.Log2((float64(distance)+x)/(float64(distance)-x))), nil
}

// GroupDistance is how far a light must be for GroupSpread to be no more than
// spread stops (0.05 to 5). About 5.8·width·sin(side) for half a stop.
//
// Error: an argument out of range. Source: trade handbook Model J, N28.
func GroupDistance(width units.Metres, side units.Degrees, spread units.Stops) (units.Metres, error) {
	spreads := units.Range{Quantity: "spread", Unit: "stop", Low: 0.05, High: 5}
	if err := units.First(lengths(width), sides.Check(float64(side)), spreads.Check(float64(spread))); err != nil {
		return 0, err
	}
	k := math.Exp2(float64(spread) / 2)
	return width / 2 * units.Metres(math.Sin(radians(side))*(k+1)/(k-1)), nil
}

var sides = units.Range{Quantity: "angle off the camera axis", Unit: "degree", Low: 0, High: 90}

// Height is how high above the ground a light's centre stands when it is up
// degrees above the eye line at distance from eyes of the given height.
//
// up −90 to 90; eyes 0 to 10 m. Error: an argument out of range.
// Source: trade handbook Model K.
func Height(eyes, distance units.Metres, up units.Degrees) (units.Metres, error) {
	if err := units.First(stature.Check(float64(eyes)), lengths(distance), heights.Check(float64(up))); err != nil {
		return 0, err
	}
	return eyes + distance*units.Metres(math.Sin(radians(up))), nil
}

// Elevation is how far above the eye line, in degrees, a light is whose centre
// hands hold at reach above the ground.
//
// Error: an argument out of range, or a reach further above or below the eyes
// than the distance. Source: trade handbook Model K, Q13.
func Elevation(reach, eyes, distance units.Metres) (units.Degrees, error) {
	if err := units.First(stature.Named("reach").Check(float64(reach)), stature.Check(float64(eyes)), lengths(distance)); err != nil {
		return 0, err
	}
	rise := units.Range{Quantity: "height over the eyes", Unit: "m", Low: -float64(distance), High: float64(distance)}
	if err := rise.Check(float64(reach - eyes)); err != nil {
		return 0, err
	}
	return degrees(math.Asin(float64((reach - eyes) / distance))), nil
}

var stature = units.Range{Quantity: "eye height", Unit: "m", Low: 0, High: 10}
