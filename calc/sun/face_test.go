package sun_test

import (
	"math"
	"testing"

	"panelhand/calc/exposure"
	"panelhand/calc/sun"
	"panelhand/calc/units"
)

type faceLight func(units.Degrees) (units.Lux, error)

func ev(t *testing.T, f faceLight, h float64) float64 {
	t.Helper()
	lux, err := f(degree(h))
	if err != nil {
		t.Fatal(err)
	}
	v, err := exposure.FromLux(lux)
	if err != nil {
		t.Fatal(err)
	}
	return float64(v)
}

// Light on level ground in twilight. Sources: 400 lx at sunset, 3.4 lx at the end
// of civil twilight, 0.008 lx at that of nautical twilight (published tables of
// orders of illuminance; the last from memory); and the daylight forms of 1984 at
// 30° and 60° (photometry handbook §5.2), a second formula for the same.
func TestLevel(t *testing.T) {
	for _, c := range []struct{ h, lux, stops float64 }{
		{-0.8333, 400, 0.3}, {-6, 3.4, 0.05}, {-12, 0.008, 0.1},
		{30, 84102*0.5 + 11760.2, 0.3}, {60, 100438.3*0.8660254 + 15224.4, 0.3},
	} {
		lux, err := sun.Level(degree(c.h))
		if off := math.Log2(float64(lux) / c.lux); err != nil || math.Abs(off) > c.stops {
			t.Errorf("at %g°: %.4g lx (%v), want %g within %g stop", c.h, lux, err, c.lux, c.stops)
		}
	}
}

// Photometry handbook §5.2, checked there.
func TestAirMass(t *testing.T) {
	for h, want := range map[float64]float64{30: 1.994293, 45: 1.412595, 10: 5.586036} {
		if got, err := sun.AirMass(degree(h)); err != nil || math.Abs(got-want) > 5e-7 {
			t.Errorf("air mass at %g°: %.7g (%v), want %g", h, got, err, want)
		}
	}
}

// Published exposure values (ANSI PH2.7, photometry handbook §2) with their
// spread: full sun 15, open shade 12, heavy overcast 12, just before sunset 12 to 14.
// The last digits are the handbook's own worked case, §5.2.
func TestFaces(t *testing.T) {
	for _, c := range []struct {
		name          string
		f             faceLight
		h, ev, within float64
	}{
		{"full sun at 45°", sun.FaceInSun, 45, 15, 0.5},
		{"full sun at 30°", sun.FaceInSun, 30, 15, 0.5},
		{"open shade at 45°", sun.FaceInShade, 45, 12, 0.5},
		{"open shade at 30°", sun.FaceInShade, 30, 12, 0.75},
		{"overcast at 60°", sun.FaceUnderCloud, 60, 11.8412, 5e-5},
		{"just before sunset, sun at 5°", sun.FaceInSun, 5, 13, 1},
		{"dusk, the house's own", sun.FaceInShade, -0.8333, 7, 1},
	} {
		if got := ev(t, c.f, c.h); math.Abs(got-c.ev) > c.within {
			t.Errorf("%s: EV %.4f, want %g within %g", c.name, got, c.ev, c.within)
		}
	}
}

// The light falls with the sun, without a jump where one formula takes over
// from another. (Above 40° less of a high sun falls on an upright face.)
func TestFacesFallWithTheSun(t *testing.T) {
	for name, f := range map[string]faceLight{"sun": sun.FaceInSun, "shade": sun.FaceInShade, "cloud": sun.FaceUnderCloud} {
		last := ev(t, f, 30)
		for h := 29.95; h >= -12; h -= 0.05 {
			now := ev(t, f, h)
			if step := last - now; step < -0.02 || step > 0.35 {
				t.Errorf("%s from %.2f° to %.2f°: %+.3f stop", name, h+0.05, h, -step)
			}
			last = now
		}
	}
	for _, f := range []faceLight{sun.FaceInSun, sun.FaceInShade, sun.FaceUnderCloud, sun.Level} {
		for _, h := range []float64{-18.1, 91, math.NaN()} {
			if lux, err := f(degree(h)); err == nil || lux != 0 {
				t.Errorf("light at %g°: %v", h, lux)
			}
		}
	}
	if _, err := sun.AirMass(-2); err == nil {
		t.Error("an air mass below the horizon")
	}
}
