// Package balance mixes lights: ambient with flash, key with fill, and finds
// the dials that give a wanted look.
//
//	balance.go   adding lights; the flash that completes an ambient level
//	ratio.go     key and fill, both conventions
//	cut.go       the same cut by filter or by high-speed sync
//	scene.go     what the solver is asked
//	settings.go  what it answers; the dials it turns
//	key.go       the light of the key, by how it is used
//	cost.go      what makes one setting better than another
//	solver.go    the search
//	buys.go      what single change helps where no setting is right
//
// Levels are in stops against a right exposure: 0 is right, + is over. Lights
// add as light, never as stops. Sources: photometry handbook §8, trade
// handbook §0 Models A and F and §8.
package balance

import (
	"math"

	"panelhand/calc/units"
)

// Total is the level of several lights together, each level in stops (−40 to
// 40). Two alike make one stop more, not twice the stops.
//
// Error: a level out of range, or none given. Source: photometry handbook §8.
func Total(levels ...units.Stops) (units.Stops, error) {
	if len(levels) == 0 {
		return 0, errNoLight
	}
	sum := 0.0
	for _, l := range levels {
		if err := units.StopsRange.Check(float64(l)); err != nil {
			return 0, err
		}
		sum += math.Exp2(float64(l))
	}
	return units.Stops(math.Log2(sum)), nil
}

// Complete is the flash level that brings the face to right over an ambient
// level: log2(1 − 2^ambient). At −1 it is −1, half and half.
//
// Ambient −40 to under 0; from 0 on there is nothing left for the flash to do
// and that is an error. Source: trade handbook Model F, photometry handbook
// case 8e.
func Complete(ambient units.Stops) (units.Stops, error) {
	below := units.Range{Quantity: "ambient on the face", Unit: "stop", Low: units.StopsRange.Low, High: -1e-6}
	if err := below.Check(float64(ambient)); err != nil {
		return 0, err
	}
	return units.Stops(math.Log2(-math.Expm1(float64(ambient) * math.Ln2))), nil
}

// Trim is by how much the flash must change, in stops, for the face to stay
// right when the ambient on it goes from one level to another (both under 0):
// −0.6 when −2 becomes −1.
//
// Error: as Complete, for either. Source: the correction table of trade
// handbook §0, Q16.
func Trim(from, to units.Stops) (units.Stops, error) {
	was, err0 := Complete(from)
	is, err1 := Complete(to)
	if err := units.First(err0, err1); err != nil {
		return 0, err
	}
	return is - was, nil
}

// Together is the f-number that lights add up to which each alone are right
// for: the root of the sum of squares.
//
// Error: an f-number out of range, or none given. Source: photometry handbook
// §8.
func Together(each ...units.FNumber) (units.FNumber, error) {
	if len(each) == 0 {
		return 0, errNoLight
	}
	sum := 0.0
	for _, n := range each {
		if err := units.Apertures.Check(float64(n)); err != nil {
			return 0, err
		}
		sum += float64(n) * float64(n)
	}
	return units.FNumber(math.Sqrt(sum)), nil
}
