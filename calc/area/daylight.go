package area

import (
	"math"

	"panelhand/calc/units"
)

// How a clear day's light on a surface square to the sun divides. Source: the
// handbook's scrim row (0.8 and 0.2); photometry handbook §2 has 105,000 of
// 125,000 lux from the sun alone.
const (
	sunShare = 0.8
	skyShare = 0.2
)

// Scrim is the light on a face under a cloth held square between it and the
// sun, in stops against full sun (below 0): the sun comes through the cloth as
// a panel does, the sky past its ring and, weakened, through it.
//
// pass 0 to 1. Error: an argument out of range. Source: the handbook's scrim
// row (1.5 stops down at half a diameter, 2 at one), trade handbook N22.
func Scrim(p Panel, pass float64, distance units.Metres) (units.Stops, error) {
	f, err := p.Factor(distance)
	if err := units.First(err, shares.Check(pass)); err != nil {
		return 0, err
	}
	return units.Stops(math.Log2(sunShare*pass*f + skyShare*(1-f+pass*f))), nil
}

// Reflector is the light that a panel fed by something else brings on to the
// face, as a share of the light it is measured against: fed is how many stops
// the light on the panel is over that (below 0 if under). Silver on its mirror
// line: add SilverMirror to white's stops.
//
// returns 0 to 1. Error: an argument out of range. Source: photometry handbook
// §6.3, diffuse reflector fill.
func Reflector(p Panel, returns float64, distance units.Metres, fed units.Stops) (share float64, err error) {
	f, err := p.Factor(distance)
	if err := units.First(err, shares.Check(returns), units.StopsRange.Check(float64(fed))); err != nil {
		return 0, err
	}
	return returns * f * math.Exp2(float64(fed)), nil
}

// SunReflector is the light that a panel in the sun throws into the shadow side
// of a face with its back to that sun, as a share of the sunlit level. The
// panel is turned half-way between the face before it and the sun, sunHeight
// degrees (0 to 90) up: the two cosines of that are 0.93 of the light at 30°,
// 0.75 at 60°.
//
// Error: an argument out of range. Source: doubts 9 (0.64, 0.58, 0.51 before
// the panel's factor at 30°, 45°, 60°); trade handbook N23.
func SunReflector(p Panel, returns float64, distance units.Metres, sunHeight units.Degrees) (share float64, err error) {
	if err := (units.Range{Quantity: "sun's height", Unit: "degree", Low: 0, High: 90}).Check(float64(sunHeight)); err != nil {
		return 0, err
	}
	half := math.Cos(radians(sunHeight) / 2)
	return Reflector(p, returns, distance, units.Stops(math.Log2(sunShare*half*half)))
}

// OpenSkyFeeds is how much brighter a panel at the edge of the shade is lit
// than the face within it, in stops, when nobody metered: the panel sees the
// open side straight on. Common practice; chosen so that a white panel 0.6 to
// 0.8 of its size away gives the +0.3 to +0.7 of trade handbook D02.
const OpenSkyFeeds units.Stops = 0.5

// Lift is how many stops a plane of the face at level shadow (stops against
// any reference) rises when share of that reference's light is added.
//
// Error: shadow beyond ±40 stops, share outside 0..1000.
func Lift(shadow units.Stops, share float64) (units.Stops, error) {
	added := units.Range{Quantity: "added light", Low: 0, High: 1000}
	if err := units.First(units.StopsRange.Check(float64(shadow)), added.Check(share)); err != nil {
		return 0, err
	}
	return units.Stops(math.Log2(1 + share*math.Exp2(-float64(shadow)))), nil
}

// BlackPanel is what a black panel beside a cheek takes from it in stops
// (below 0), all around being evenly bright: what it covers returns only
// returns of its light.
//
// returns 0 to 1 (BlackReturns). Error: an argument out of range. Source:
// derived from the factor; trade handbook D21 and F3 give 0.5 to 1 stop as
// common practice.
func BlackPanel(p Panel, returns float64, distance units.Metres) (units.Stops, error) {
	f, err := p.Factor(distance)
	if err := units.First(err, shares.Check(returns)); err != nil {
		return 0, err
	}
	left := 1 - f + returns*f
	if left < 1e-6 { // cloth on the skin
		left = 1e-6
	}
	return units.Stops(math.Log2(left)), nil
}
