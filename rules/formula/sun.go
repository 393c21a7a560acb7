package formula

import (
	"math"
	clock "time"

	"panelhand/calc/sun"
	"panelhand/calc/units"
)

const almanac = "Meeus, Astronomical Algorithms, chapters 12, 13 and 25 (photometry handbook §12)"

var (
	lat       = Arg{"lat", "degree", -90, 90}
	lon       = Arg{"lon", "degree", -180, 180}
	instant   = Arg{"unix", "s", -2208988800, 4133980799} // 1900 to 2100, seconds since 1970 UTC
	sunHeight = Arg{"sun", "degree", 5, 90}
	crossed   = Arg{"height", "degree", -90, 90}
	dayHeight = Arg{"sun", "degree", -18, 90}
)

const (
	twilightSource = "Janiczek and DeYoung 1987 (from memory)"
	faceSource     = "photometry handbook §5.1, §5.2; below 5° derived"
)

func moment(seconds float64) clock.Time {
	whole, part := math.Modf(seconds)
	return clock.Unix(int64(whole), int64(part*1e9))
}

func position(pick func(sun.Position) units.Degrees) func([]float64) (float64, error) {
	return func(a []float64) (float64, error) {
		p, err := sun.Where(units.Degrees(a[0]), units.Degrees(a[1]), moment(a[2]))
		return float64(pick(p)), err
	}
}

func crossing(f func(lat, lon units.Degrees, t clock.Time, height units.Degrees) (clock.Time, error)) func([]float64) (float64, error) {
	return func(a []float64) (float64, error) {
		at, err := f(units.Degrees(a[0]), units.Degrees(a[1]), moment(a[2]), units.Degrees(a[3]))
		if err != nil {
			return 0, err
		}
		return float64(at.UnixMilli()) / 1000, nil
	}
}

var sunFormulas = []Formula{
	{"sun_elevation", []Arg{lat, lon, instant}, "degree", "height of the sun's centre, without refraction", "asin(sin φ·sin δ + cos φ·cos δ·cos H) − parallax", almanac, position(func(p sun.Position) units.Degrees { return p.Elevation })},
	{"sun_azimuth", []Arg{lat, lon, instant}, "degree", "bearing of the sun, clockwise from north", "180° + atan2(sin H, cos H·sin φ − tan δ·cos φ)", almanac, position(func(p sun.Position) units.Degrees { return p.Azimuth })},
	{"sun_noon", []Arg{lon, instant}, "s", "when the sun stands highest on a day, in seconds since 1970 UTC", "H = 0", almanac, func(a []float64) (float64, error) {
		at, err := sun.Noon(units.Degrees(a[0]), moment(a[1]))
		if err != nil {
			return 0, err
		}
		return float64(at.UnixMilli()) / 1000, nil
	}},
	{"sun_rise", []Arg{lat, lon, instant, crossed}, "s", "when the sun comes up through a height, in seconds since 1970 UTC; −0.8333° is sunrise", "the sun's height = that height, before noon", almanac, crossing(sun.Rise)},
	{"sun_set", []Arg{lat, lon, instant, crossed}, "s", "when the sun goes down through a height, in seconds since 1970 UTC; −0.8333° is sunset, −6° the end of civil twilight", "the sun's height = that height, after noon", almanac, crossing(sun.Set)},
	{"sun_lux", []Arg{sunHeight}, "lux", "a clear sun's light on what faces it, the sky left out", "128 klx·exp(−0.21/sin h)", "photometry handbook §5.2 (from memory), scatter a stop", one(sun.ClearSun)},
	{"clear_sky_lux", []Arg{sunHeight}, "lux", "a clear sky's light on level ground, the sun left out", "0.8 + 15.5·√sin h klx", "photometry handbook §5.2 (from memory), scatter a stop", one(sun.ClearSky)},
	{"overcast_lux", []Arg{sunHeight}, "lux", "an overcast sky's light on level ground", "0.3 + 21·sin h klx", "photometry handbook §5.2 (from memory), scatter a stop", one(sun.Overcast)},
	{"daylight_level", []Arg{dayHeight}, "lux", "a clear day's light on level ground, twilight too", "10^(cubic in h/90)", twilightSource, one(sun.Level)},
	{"air_mass", []Arg{{"sun", "degree", -1, 90}}, "", "how many times the zenith's air the sun's light passes", "1/(sin h + 0.50572·(h + 6.07995)^−1.6364)", "photometry handbook §5.2", one(sun.AirMass)},
	{"face_in_sun_lux", []Arg{dayHeight}, "lux", "light on an upright face turned to a clear sun", "sun·cos h + ½·sky + 0.1·(sun·sin h + sky)", faceSource, one(sun.FaceInSun)},
	{"face_in_shade_lux", []Arg{dayHeight}, "lux", "light on an upright face in open shade on a clear day", "0.6·sky", faceSource, one(sun.FaceInShade)},
	{"face_under_cloud_lux", []Arg{dayHeight}, "lux", "light on an upright face under an overcast sky", "(0.396 + 0.1)·sky", faceSource, one(sun.FaceUnderCloud)},
}
