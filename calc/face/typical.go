package face

import (
	"fmt"
	"math"

	"panelhand/calc/units"
)

// Reflectances. Source: photometry handbook §6.3 (urban 0.18 to 0.20, concrete
// 0.30); a room's floor and walls, common practice.
const (
	pavement = 0.2
	floor    = 0.3
	walls    = 0.3
)

// SunAndSky is a clear sky with the sun in it: the sun's beam and an even sky
// in the proportion of the daylight availability forms, in thousands of lux.
// Below 5° of height, where those end, the sun keeps its strength of 5°.
//
// up 0 to 90. Error: an angle out of range. Source: photometry handbook §5.2,
// from memory there; ±1 stop.
func SunAndSky(side, up units.Degrees) (sun Beam, sky Region, err error) {
	high := units.Range{Quantity: "sun's height", Unit: "degree", Low: 0, High: 90}
	if err := units.First(sides.Check(float64(side)), high.Check(float64(up))); err != nil {
		return Beam{}, Region{}, err
	}
	s := math.Sin(radians(max(up, 5)))
	return Beam{Place{Side: side, Up: up}, 128 * math.Exp(-0.21/s)}, Sky(0.8 + 15.5*math.Sqrt(s)), nil
}

// Sky is a whole even sky; level is what it puts on level ground.
func Sky(level float64) Region { return Region{Low: 0, High: 90, Level: level} }

// Overcast is a whole overcast sky; level is what it puts on level ground.
func Overcast(level float64) Region { return Region{Low: 0, High: 90, Level: level, Overcast: true} }

// Well is light from above only: even sky (or a glowing roof) higher than cut,
// walls below it that return reflectance of what it puts on them. cut 0 to 90.
func Well(cut units.Degrees, reflectance float64) []Source {
	top := Region{Low: cut, High: 90, Level: 1}
	return enclosed(top, Region{High: cut}, reflectance)
}

// Edge is light from one side: even sky from the horizon to high, width
// degrees of it about side; the cover's inside everywhere else above the
// horizon, returning reflectance of what falls on its far wall.
func Edge(side, high, width units.Degrees, reflectance float64) []Source {
	opening := Region{High: high, From: side - width/2, To: side + width/2, Level: 1}
	return enclosed(opening, Region{High: high, From: side + width/2, To: side + 360 - width/2}, reflectance)
}

// enclosed adds the walls that an opening lights. Light going about among the
// walls again is left out, and so is what they give the ground.
func enclosed(opening, wall Region, reflectance float64) []Source {
	if opening.check() != nil || shares.Check(reflectance) != nil {
		return []Source{opening} // Planes says what is wrong with it
	}
	s := opening.slice()
	side := (opening.From + opening.To) / 2
	wall.Level = reflectance * s.on(open(toward(side, 0)))
	return []Source{opening, wall}
}

// Room is what walls, ceiling and floor of a room give, alike from all round:
// share of what the lamp or window gives the face square on. A tenth is common
// practice for a furnished room, 0.02 for a dark stage.
func Room(share float64) Region { return Region{Low: -90, High: 90, Level: share} }

// A setting is what is usual for a kind of light: where it comes from when
// nobody says, and what there is.
type setting struct {
	side, up units.Degrees
	light    func(h heading) (Scene, error)
}

// A heading is where the light comes from.
type heading struct {
	side, up         units.Degrees
	overhead, beside bool // said, or usual for the kind
}

// settings are what Typical assumes.
var settings = map[string]setting{
	"sun":          {30, 45, sunlit(1, 1)},
	"low-sun":      {30, 8, sunlit(1, 1)},
	"dappled":      {30, 55, sunlit(0.5, 0.3)},
	"open-shade":   {0, 90, shade(45, 70, walls)},
	"overcast":     {0, 90, func(heading) (Scene, error) { return outdoors(Overcast(1)), nil }},
	"canopy":       {0, 20, canopy},
	"window":       {75, 10, window},
	"tungsten":     {0, 75, downlight},
	"led-indoor":   {0, 75, downlight},
	"fluorescent":  {0, 90, ceiling},
	"street-night": {20, 60, street},
	"dusk":         {0, 10, dusk},
	"stage":        {30, 45, stage},
}

// Typical is the light that there usually is, by the contract's light.kind
// ("" where nobody said) and light.from. Its level is arbitrary: see Metered.
// Assumed is, all of it common practice drawn from trade handbook §3 and Model
// B, but the proportions of sun and sky, which are SunAndSky's:
//
//	sun, low-sun   beam, 30° to the side, at 45° and 8°, clear sky, pavement
//	dappled        half that beam on the mean, a third of the sky, leaves round
//	open-shade     sky above 45° between walls of 0.3; said to come from a side:
//	               a bay of 140°, sky up to 70°
//	overcast       the whole overcast sky, pavement
//	canopy         open all round up to 30°; overhead: as a well, 45°; from a
//	               side: an edge of 140°, sky up to 35°
//	window         1.2 × 1.5 m, 1.5 m away, at 75° to the side, in a room of a tenth
//	tungsten, led-indoor   one downlight 2 m off at 75°, a room of a tenth; its
//	               pool on the floor is too small to count
//	fluorescent    an even ceiling above 40°, walls of 0.5, floor 0.3
//	street-night   a lamp 4 m off at 60°, shop windows up to 20° at a third of it
//	dusk           even sky, three times as bright low on the side of the glow
//	stage          two beams at 45°, 30° and −40° round, the second half as bright
//
// "overhead" raises a beam to 70° and makes wells of shade and canopy; "front",
// "side" and "back" put the light 20°, 80° and 160° round; "below" is one beam
// from 30° under the eye line; "flat" is even light from everywhere.
//
// Error: a kind or direction that is not the contract's.
func Typical(kind string, from ...string) (Scene, error) {
	set, ok := settings[kind]
	if kind == "" {
		set, ok = setting{0, 90, shade(45, 70, walls)}, true
	}
	if !ok {
		return Scene{}, fmt.Errorf("no kind of light is called %q", kind)
	}
	h := heading{side: set.side, up: set.up}
	for _, f := range from {
		switch f {
		case "overhead":
			h.up, h.overhead = max(h.up, 70), true
		case "front":
			h.side, h.beside = 20, true
		case "side":
			h.side, h.beside = 80, true
		case "back":
			h.side, h.beside = 160, true
		case "below":
			h.up = -30
		case "flat":
			return Scene{Sources: []Source{Room(1)}}, nil
		default:
			return Scene{}, fmt.Errorf("light does not come from %q", f)
		}
	}
	if h.up < 0 { // whatever it is, all of it comes from under the face
		return Scene{Sources: []Source{Beam{Place{Side: h.side, Up: h.up}, 1}, Room(0.1)}}, nil
	}
	if h.beside && !h.overhead { // from a side means lower than a lamp overhead
		h.up = min(h.up, 45)
	}
	return set.light(h)
}

func outdoors(sources ...Source) Scene { return Scene{Sources: sources, Ground: pavement} }
func indoors(sources ...Source) Scene  { return Scene{Sources: sources, Ground: floor} }

func sunlit(ofSun, ofSky float64) func(heading) (Scene, error) {
	return func(h heading) (Scene, error) {
		sun, sky, err := SunAndSky(h.side, h.up)
		sun.Level *= ofSun
		sky.Level *= ofSky
		return outdoors(sun, sky), err
	}
}

// shade is a well, or a bay when the light is said to come from a side.
func shade(cut, high units.Degrees, reflectance float64) func(heading) (Scene, error) {
	return func(h heading) (Scene, error) {
		if h.beside && !h.overhead {
			return outdoors(Edge(h.side, high, 140, reflectance)...), nil
		}
		return outdoors(Well(cut, reflectance)...), nil
	}
}

func canopy(h heading) (Scene, error) {
	switch {
	case h.overhead:
		return outdoors(Well(45, walls)...), nil
	case h.beside:
		return outdoors(Edge(h.side, 35, 140, walls)...), nil
	}
	return outdoors(Region{High: 30, Level: 1}), nil
}

func window(h heading) (Scene, error) {
	w := Window(Place{h.side, h.up, 1.5}, 1.2, 1.5, 0)
	w.Upright = !h.overhead // a roof light faces down
	return indoors(w, Room(0.1)), nil
}

func downlight(h heading) (Scene, error) {
	return indoors(Beam{Place{h.side, h.up, 2}, 1}, Room(0.1)), nil
}

func ceiling(h heading) (Scene, error) {
	if h.beside && !h.overhead {
		return indoors(Edge(h.side, 60, 140, 0.5)...), nil
	}
	return indoors(Well(40, 0.5)...), nil
}

func street(h heading) (Scene, error) {
	return outdoors(Beam{Place{h.side, h.up, 4}, 1}, Region{High: 20, Level: 1.0 / 3}), nil
}

func dusk(h heading) (Scene, error) {
	return outdoors(Sky(1), Region{High: 30, From: h.side - 60, To: h.side + 60, Level: 2}), nil
}

func stage(h heading) (Scene, error) {
	return Scene{Sources: []Source{
		Beam{Place{Side: h.side, Up: h.up}, 1}, Beam{Place{Side: h.side - 70, Up: h.up}, 0.5}, Room(0.02),
	}}, nil
}
