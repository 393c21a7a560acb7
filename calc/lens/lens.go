// Package lens holds what focal length, format and distance do: depth of
// field, blur by shake and by motion, and how much fits the frame.
//
// Thin symmetrical lens, magnification below 0.1, diffraction left out;
// distances are to the lens (photometry handbook §10). Convention: circle of
// confusion 0.030 mm on full frame, H = f²/(N·c) + f.
package lens

import (
	"math"

	"panelhand/calc/units"
)

// A Format is a sensor size. Width and Height are in mm; Circle is the blur on
// the sensor that still passes for sharp at normal viewing: halve it for large
// prints. Source: the handbook's table of constants, photometry handbook §10.
type Format struct {
	Name          string
	Width, Height units.Millimetres
	Circle        units.Millimetres
}

// Formats is every format the program knows, by the fact table's names.
var Formats = []Format{
	{"full-frame", 36, 24, 0.030},
	{"aps-c", 23.6, 15.6, 0.020},
	{"four-thirds", 17.3, 13, 0.015},
	{"medium-format", 43.8, 32.9, 0.036},
}

// LookupFormat finds a format by name.
func LookupFormat(name string) (Format, bool) {
	for _, f := range Formats {
		if f.Name == name {
			return f, true
		}
	}
	return Format{}, false
}

// Crop returns the format's crop factor: the diagonal of full frame over its
// own, 1.53 for APS-C.
func (f Format) Crop() float64 {
	return math.Hypot(36, 24) / math.Hypot(float64(f.Width), float64(f.Height))
}

var circles = units.Range{Quantity: "circle of confusion", Unit: "mm", Low: 0.001, High: 0.3}

// Hyperfocal returns the nearest focus that keeps infinity acceptably sharp:
// f²/(N·c) + f, c being the circle of confusion (0.001..0.3 mm).
// Source: photometry handbook §10.
func Hyperfocal(f units.Millimetres, n units.FNumber, c units.Millimetres) (units.Metres, error) {
	if err := units.First(units.Focals.Check(float64(f)), units.Apertures.Check(float64(n)), circles.Check(float64(c))); err != nil {
		return 0, err
	}
	return units.Metres(float64(f)*float64(f)/(float64(n)*float64(c))+float64(f)) / 1000, nil
}

// A Depth is where things are acceptably sharp. When Endless is set there is no
// far limit and Far is 0.
type Depth struct {
	Near, Far units.Metres
	Endless   bool
}

// Total returns far less near, 0 when endless.
func (d Depth) Total() units.Metres {
	if d.Endless {
		return 0
	}
	return d.Far - d.Near
}

// DepthOfField returns the limits of acceptable sharpness at focus distance s,
// which must be over twice the focal length: near s(H−f)/(H+s−2f), far
// s(H−f)/(H−s). Source: photometry handbook §10.
func DepthOfField(f units.Millimetres, n units.FNumber, c units.Millimetres, s units.Metres) (Depth, error) {
	h, err := Hyperfocal(f, n, c)
	if err := units.First(err, checkFocus(f, s)); err != nil {
		return Depth{}, err
	}
	fm := units.Metres(f) / 1000
	d := Depth{Near: s * (h - fm) / (h + s - 2*fm)}
	if s >= h {
		d.Endless = true
	} else {
		d.Far = s * (h - fm) / (h - s)
	}
	return d, nil
}

// checkFocus holds the focus distance to where the formulas hold: outside twice
// the focal length.
func checkFocus(f units.Millimetres, s units.Metres) error {
	if err := units.First(units.Focals.Check(float64(f)), units.Distances.Check(float64(s))); err != nil {
		return err
	}
	return units.Range{Quantity: "focus distance", Unit: "m", Low: 2 * float64(f) / 1000, High: units.Distances.High}.Check(float64(s))
}

// ApertureForDepth returns the f-number that makes the depth of field total
// metres deep (0.001..1000) at focus distance s: with u = s−f and D = total,
// N = f²·D/(c·u·(s + √(s²+D²))). Source: DepthOfField solved for N.
func ApertureForDepth(f units.Millimetres, c units.Millimetres, s, total units.Metres) (units.FNumber, error) {
	if err := units.First(checkFocus(f, s), circles.Check(float64(c)), (units.Range{Quantity: "depth of field", Unit: "m", Low: 0.001, High: 1000}).Check(float64(total))); err != nil {
		return 0, err
	}
	fm, cm := float64(f)/1000, float64(c)/1000
	sm, d := float64(s), float64(total)
	return units.FNumber(fm * fm * d / (cm * (sm - fm) * (sm + math.Hypot(sm, d)))), nil
}

// FocusForDepth returns how far off the focus lies that makes the depth of field
// total metres deep (0.001..1000): with u = s−f, h = H−f and D = total,
// u = h·(√(f² + D·(2h+D)) − f)/(2h+D). Source: DepthOfField solved for s.
func FocusForDepth(f units.Millimetres, n units.FNumber, c units.Millimetres, total units.Metres) (units.Metres, error) {
	h, err := Hyperfocal(f, n, c)
	if err := units.First(err, (units.Range{Quantity: "depth of field", Unit: "m", Low: 0.001, High: 1000}).Check(float64(total))); err != nil {
		return 0, err
	}
	fm, d := float64(f)/1000, float64(total)
	beyond := float64(h) - fm
	u := beyond * (math.Sqrt(fm*fm+d*(2*beyond+d)) - fm) / (2*beyond + d)
	s := units.Metres(u + fm)
	return s, checkFocus(f, s)
}

// ShakeTime returns the slowest time for steady hands: 1/(f·crop), crop in
// 0.3..10. Bodies and lenses that steady themselves claim 2 to 5 stops more;
// none of it helps against a sitter who moves.
// Source: photometry handbook §10 (rule of thumb, from memory).
func ShakeTime(f units.Millimetres, crop float64) (units.Seconds, error) {
	if err := units.First(units.Focals.Check(float64(f)), (units.Range{Quantity: "crop factor", Low: 0.3, High: 10}).Check(crop)); err != nil {
		return 0, err
	}
	return units.Seconds(1 / (float64(f) * crop)), nil
}

var speeds = units.Range{Quantity: "speed", Unit: "m/s", Low: 0.001, High: 100}

// MotionBlur returns how far an image smears on the sensor for a sitter who
// moves across the frame at v (0.001..100 m/s): v·t·f/(s−f).
// Source: photometry handbook §10.
func MotionBlur(v units.MetresPerSecond, t units.Seconds, f units.Millimetres, s units.Metres) (units.Millimetres, error) {
	if err := units.First(speeds.Check(float64(v)), units.Times.Check(float64(t)), checkFocus(f, s)); err != nil {
		return 0, err
	}
	return units.Millimetres(1000 * float64(v) * float64(t) * magnification(f, s)), nil
}

// FreezeTime returns the longest time that keeps the smear on the sensor to
// blur (0.001..10 mm). Source: MotionBlur solved for t.
func FreezeTime(v units.MetresPerSecond, f units.Millimetres, s units.Metres, blur units.Millimetres) (units.Seconds, error) {
	if err := units.First(speeds.Check(float64(v)), checkFocus(f, s), (units.Range{Quantity: "blur", Unit: "mm", Low: 0.001, High: 10}).Check(float64(blur))); err != nil {
		return 0, err
	}
	return units.Seconds(float64(blur) / 1000 / (float64(v) * magnification(f, s))), nil
}

// magnification needs a focus distance beyond the focal length.
func magnification(f units.Millimetres, s units.Metres) float64 {
	fm := float64(f) / 1000
	return fm / (float64(s) - fm)
}

var sides = units.Range{Quantity: "side of the sensor", Unit: "mm", Low: 1, High: 300}

// FrameWidth returns how much fits across a sensor side (1..300 mm) at distance
// s: side·s/f, 2.9 m for 36 mm and 50 mm at 4 m. A lens that moves out to focus
// shows less by the magnification, some 1 to 5 in a hundred for portraits.
// Source: trade handbook N31.
func FrameWidth(side, f units.Millimetres, s units.Metres) (units.Metres, error) {
	if err := units.First(sides.Check(float64(side)), checkFocus(f, s)); err != nil {
		return 0, err
	}
	return s * units.Metres(side/f), nil
}

// FieldOfView returns the full angle that a lens sees across a sensor side
// (1..300 mm), focused far away: 2·atan(side/2f).
// Source: photometry handbook §6.1.
func FieldOfView(side, f units.Millimetres) (units.Degrees, error) {
	if err := units.First(sides.Check(float64(side)), units.Focals.Check(float64(f))); err != nil {
		return 0, err
	}
	return units.Degrees(2 * math.Atan(float64(side/f)/2) * 180 / math.Pi), nil
}
