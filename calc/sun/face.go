package sun

import (
	"math"

	"panelhand/calc/units"
)

// What an upright face gets of an open sky and of grey ground. The shares are
// of the sky's light on level ground. Source: photometry handbook §5.1.
const (
	evenShare        = 0.5          // of an even sky
	overcastShare    = 0.3961770778 // of an overcast sky, dark at the horizon
	groundShare      = 0.2 * 0.5    // ground that returns a fifth, seen by half the face
	lowest           = 5            // the daylight forms of light.go end here
	overcastTwilight = 0.1          // of a clear twilight (published: 40 of 400 lx at sunset)
)

// FaceInSun returns the light on an upright face turned to the sun under a clear
// sky: the sun's own, half the sky's and the ground's. h from −18 to 90°; below
// 5° the sun fades with the air it passes and the sky as Level does, and from
// sunset on there is only sky. A stop either way, more below 5°.
// Source: photometry handbook §5.1, §5.2; below 5° derived.
func FaceInSun(h units.Degrees) (units.Lux, error) {
	if err := dayHeights.Check(float64(h)); err != nil {
		return 0, err
	}
	s, c := math.Sincos(radians(float64(h)))
	direct, sky := beam(h), clearSky(h)
	return units.Lux(direct*c + evenShare*sky + groundShare*(direct*max(s, 0)+sky)), nil
}

// FaceInShade returns the light on an upright face in open shade on a clear
// day: half the sky and its light off the ground. Range, error and source as
// FaceInSun.
func FaceInShade(h units.Degrees) (units.Lux, error) {
	if err := dayHeights.Check(float64(h)); err != nil {
		return 0, err
	}
	return units.Lux((evenShare + groundShare) * clearSky(h)), nil
}

// FaceUnderCloud returns the light on an upright face under an overcast sky.
// Range, error and source as FaceInSun.
func FaceUnderCloud(h units.Degrees) (units.Lux, error) {
	if err := dayHeights.Check(float64(h)); err != nil {
		return 0, err
	}
	return units.Lux((overcastShare + groundShare) * overcast(h)), nil
}

// beam is the sun's own light on what faces it.
func beam(h units.Degrees) float64 {
	switch {
	case h < Horizon:
		return 0
	case h < lowest:
		lux, _ := ClearSun(lowest)
		return float64(lux) * math.Exp(-0.21*(airMass(h)-airMass(lowest)))
	}
	lux, _ := ClearSun(h)
	return float64(lux)
}

// clearSky goes down from its lowest published height as Level does.
func clearSky(h units.Degrees) float64 {
	if h < lowest {
		lux, _ := ClearSky(lowest)
		return float64(lux) * level(h) / level(lowest)
	}
	lux, _ := ClearSky(h)
	return float64(lux)
}

// overcast goes from its lowest published height to a tenth of a clear twilight
// at sunset, by equal ratios.
func overcast(h units.Degrees) float64 {
	switch {
	case h < Horizon:
		return overcastTwilight * level(h)
	case h < lowest:
		top, _ := Overcast(lowest)
		share := float64((lowest - h) / (lowest - Horizon))
		return math.Pow(float64(top), 1-share) * math.Pow(overcastTwilight*level(Horizon), share)
	}
	lux, _ := Overcast(h)
	return float64(lux)
}
