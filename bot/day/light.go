package day

import (
	"panelhand/calc/exposure"
	"panelhand/calc/sun"
	"panelhand/calc/units"
)

// How far the light can be from what is computed, in stops. Source: photometry
// handbook §2, §5.2 (a stop outdoors); low and sunken suns are less sure.
const (
	spread    = 1.0
	spreadLow = 1.5
)

// FaceEV returns the light on an upright face toward the camera and how sure it
// is, either way, for a kind of light outdoors and a height of the sun: sun and
// low-sun face the sun, overcast is under cloud, all others are open shade.
// Heights from −12°: below there is no light of the sky's to speak of.
func FaceEV(kind string, height units.Degrees) (units.EV, units.Stops, error) {
	light := sun.FaceInShade
	switch kind {
	case "sun", "low-sun":
		light = sun.FaceInSun
	case "overcast":
		light = sun.FaceUnderCloud
	}
	lux, err := light(height)
	if err != nil {
		return 0, 0, err
	}
	ev, err := exposure.FromLux(lux)
	if height < 5 {
		return ev, spreadLow, err
	}
	return ev, spread, err
}

// Kind is the light outdoors at a height of the sun, for a sky that is overcast
// or not: a choice of the fact light.kind.
func Kind(height units.Degrees, overcast bool) string {
	switch {
	case height < sun.Civil:
		return "street-night"
	case height < sun.Horizon:
		return "dusk"
	case overcast:
		return "overcast"
	case height < sun.LowSun:
		return "low-sun"
	}
	return "sun"
}

// compass names sixteen bearings.
var compass = []string{"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"}

// Bearing names an azimuth, clockwise from north.
func Bearing(azimuth units.Degrees) string {
	return compass[int(float64(azimuth)/22.5+0.5)%16]
}
