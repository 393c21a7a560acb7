// Package sun holds where the sun stands, when it rises, sets and leaves
// twilight, and how much light it gives at a height.
//
// Angles are in degrees, latitude north and longitude east positive, azimuth
// clockwise from north, elevation of the disc's centre without refraction. The
// time is always passed in; nothing here reads a clock. Good to 0.01° from 1900 to
// 2100 (0.02° of azimuth within 5° of the zenith) and to a minute for rise and set
// below 65° of latitude: weather moves refraction by more.
//
//	sun.go       position
//	crossing.go  rise, set, twilight, low sun
//	light.go     illuminance by height, by day
//	twilight.go  illuminance by height, twilight too
//	face.go      what of it falls on an upright face
package sun

import (
	"math"
	"time"

	"panelhand/calc/units"
)

// A Position is where the sun stands.
type Position struct {
	Elevation units.Degrees // of the centre over the horizon, without refraction
	Azimuth   units.Degrees // clockwise from north, 0 ≤ azimuth < 360
}

var (
	latitudes  = units.Range{Quantity: "latitude", Unit: "degree", Low: -90, High: 90}
	longitudes = units.Range{Quantity: "longitude", Unit: "degree", Low: -180, High: 180}
	years      = units.Range{Quantity: "year", Low: 1900, High: 2100}
)

func check(lat, lon units.Degrees, t time.Time) error {
	return units.First(latitudes.Check(float64(lat)), longitudes.Check(float64(lon)), years.Check(float64(t.UTC().Year())))
}

// Where returns where the sun stands at a time. A latitude outside ±90, a
// longitude outside ±180 and a year outside 1900..2100 are refused.
// Source: Meeus, Astronomical Algorithms, chapters 12, 13 and 25 (photometry
// handbook §12), less the sun's parallax.
func Where(lat, lon units.Degrees, t time.Time) (Position, error) {
	if err := check(lat, lon, t); err != nil {
		return Position{}, err
	}
	jd := julian(t)
	e := equatorial(jd)
	h := radians(hourAngle(jd, float64(lon), e.ra))
	phi, dec := radians(float64(lat)), radians(e.dec)
	up := math.Asin(clip(math.Sin(phi)*math.Sin(dec) + math.Cos(phi)*math.Cos(dec)*math.Cos(h)))
	south := math.Atan2(math.Sin(h), math.Cos(h)*math.Sin(phi)-math.Tan(dec)*math.Cos(phi))
	return Position{
		Elevation: units.Degrees(degrees(up) - parallax*math.Cos(up)),
		Azimuth:   units.Degrees(turn(degrees(south) + 180)),
	}, nil
}

// parallax is how much lower the sun stands for a place on the ground than for
// the earth's centre, at the horizon: 8.794″.
const parallax = 8.794 / 3600

// Coordinates are the sun's among the stars, in degrees.
type Coordinates struct {
	True           units.Degrees // longitude
	Apparent       units.Degrees // longitude, with aberration and nutation
	RightAscension units.Degrees
	Declination    units.Degrees
}

// Equatorial returns the sun's coordinates at a Julian Ephemeris Day.
// Source: Meeus, chapter 25, low accuracy (0.01°); his example 25.a is the test.
func Equatorial(jde float64) Coordinates {
	e := equatorial(jde)
	return Coordinates{units.Degrees(e.true), units.Degrees(e.apparent), units.Degrees(e.ra), units.Degrees(e.dec)}
}

type equator struct{ true, apparent, ra, dec float64 }

func equatorial(jde float64) equator {
	t := (jde - j2000) / 36525
	l0 := 280.46646 + t*(36000.76983+0.0003032*t)
	m := radians(357.52911 + t*(35999.05029-0.0001537*t))
	c := (1.914602-t*(0.004817+0.000014*t))*math.Sin(m) + (0.019993-0.000101*t)*math.Sin(2*m) + 0.000289*math.Sin(3*m)
	node := radians(125.04 - 1934.136*t)
	long := l0 + c
	apparent := long - 0.00569 - 0.00478*math.Sin(node)
	tilt := radians(23.43929111 - t*(0.013004167+t*(0.00000016389-0.00000050361*t)) + 0.00256*math.Cos(node))
	lambda := radians(apparent)
	return equator{
		true:     turn(long),
		apparent: turn(apparent),
		ra:       turn(degrees(math.Atan2(math.Cos(tilt)*math.Sin(lambda), math.Cos(lambda)))),
		dec:      degrees(math.Asin(math.Sin(tilt) * math.Sin(lambda))),
	}
}

// j2000 is the Julian Day of 2000 January 1, noon.
const j2000 = 2451545.0

// julian returns the Julian Day. Universal and dynamical time are taken as
// one: the 70 seconds between them are 0.0008° of the sun's way.
func julian(t time.Time) float64 {
	return 2440587.5 + float64(t.Unix())/86400 + float64(t.Nanosecond())/86400e9
}

// hourAngle returns how far the sun is past the meridian, −180..180.
// Source: Meeus, chapter 12 (sidereal time at Greenwich).
func hourAngle(jd, lon, ra float64) float64 {
	h := turn(280.46061837 + 360.98564736629*(jd-j2000) + lon - ra)
	if h > 180 {
		h -= 360
	}
	return h
}

func radians(d float64) float64 { return d * math.Pi / 180 }
func degrees(r float64) float64 { return r * 180 / math.Pi }
func clip(s float64) float64    { return math.Max(-1, math.Min(1, s)) }

// turn brings an angle into 0..360.
func turn(d float64) float64 {
	if d = math.Mod(d, 360); d < 0 {
		d += 360
	}
	if d >= 360 { // a tiny negative angle rounds up to a whole turn
		return 0
	}
	return d
}
