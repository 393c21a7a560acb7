package area

import (
	"math"

	"panelhand/calc/units"
)

// Flash is a flash head at one zoom setting and power. Guide is its guide
// number in metres at ISO 100, full power, at that zoom.
type Flash struct {
	Guide units.GuideNumber
	Zoom  units.Millimetres
	Power units.Fraction
}

func (f Flash) check() error {
	return units.First(units.GuideNumbers.Check(float64(f.Guide)),
		units.Focals.Named("flash zoom").Check(float64(f.Zoom)), units.Powers.Check(float64(f.Power)))
}

// intensity is the flash's cd·s on its axis: C/100 = 2.5 of the guide number
// squared. Source: photometry handbook §3.2, C = 250.
func (f Flash) intensity() float64 {
	return 2.5 * float64(f.Guide) * float64(f.Guide) * float64(f.Power)
}

// Light is what a lit surface gives the face square to it.
type Light struct {
	Face    units.LuxSeconds // at the face
	Surface units.LuxSeconds // on the lit surface
	Factor  float64          // configuration factor of the lit patch, its own tilt left out
	Source  units.Metres     // diameter of the disc with the lit patch's area: softness goes by it
	Tilt    units.Stops      // lost to the surface's two cosines; 0 where it is square to both
}

// lit spreads exposure over a patch of which share comes on to the face.
func lit(onPatch, share float64, p patch, d, cosIn, cosOut float64) Light {
	f := p.factor(d)
	return Light{
		Face:    units.LuxSeconds(onPatch * cosIn * share * f * cosOut),
		Surface: units.LuxSeconds(onPatch * cosIn),
		Factor:  f,
		Source:  p.diameter(),
		Tilt:    units.Stops(math.Log2(cosIn * cosOut)),
	}
}

// Bare is the exposure that a flash with nothing on it gives a face at
// distance, on its axis, slower than or at sync.
//
// Error: an argument out of range. Source: photometry handbook §3.2.
func Bare(f Flash, distance units.Metres) (units.LuxSeconds, error) {
	if err := units.First(f.check(), units.Distances.Check(float64(distance))); err != nil {
		return 0, err
	}
	d := float64(distance)
	return units.LuxSeconds(f.intensity() / (d * d)), nil
}

// Through is the light of a flash behind a panel of cloth: flashPanel behind
// it, on its axis, the face panelFace before it. The source is the patch the
// beam lights, 36 × 24 mm over the zoom setting, clipped to the panel; what
// spills past is lost. pass is the share the cloth lets on, 0 to 1.
//
// Error: an argument out of range. Source: photometry handbook §6.2, trade
// handbook Model D; ±0.7 stop with unknown cloth.
func Through(f Flash, p Panel, pass float64, flashPanel, panelFace units.Metres) (Light, error) {
	if err := units.First(f.check(), p.Check(), shares.Check(pass), lengths(flashPanel, panelFace)); err != nil {
		return Light{}, err
	}
	a := float64(flashPanel)
	k := a / float64(f.Zoom)
	return lit(f.intensity()/(a*a), pass, p.clip(36*k, 24*k), float64(panelFace), 1, 1), nil
}

// Boxed is the light of a flash inside a softbox or umbrella: all of the beam
// ends on the cloth and is spread evenly over it, however near the flash. pass
// is what the cloth (all skins together) lets on, or an umbrella returns.
//
// Error: an argument out of range. Source: derived from the flux of the beam,
// photometry handbook §6.2 (energy check); trade handbook D61 finds an
// umbrella half a stop over a panel. A published "softbox loss" already holds
// this spreading: never add the two (trap 15).
func Boxed(f Flash, p Panel, pass float64, panelFace units.Metres) (Light, error) {
	if err := units.First(f.check(), p.Check(), shares.Check(pass), lengths(panelFace)); err != nil {
		return Light{}, err
	}
	flux := f.intensity() * 36 * 24 / (float64(f.Zoom) * float64(f.Zoom))
	return lit(flux/p.Area(), pass, p.whole(), float64(panelFace), 1, 1), nil
}

// Turn is what a panel turned half-way between a flash at the camera and the
// face makes of the path.
type Turn struct {
	FlashPanel units.Metres
	Cosine     float64 // at the panel, toward the flash and toward the face alike
}

// HalfWay is how far a flash at the lens stands from a panel that is side
// degrees round from the lens axis and up degrees above the eye line, panelFace
// from a face that is cameraFace from the lens, and the cosine of half the
// angle the light turns through there.
//
// side −180 to 180, up −90 to 90. Error: an argument out of range, or a panel
// on the line between lens and face's far side where the light would not turn.
// Source: trade handbook Model D (BOUNCE).
func HalfWay(side, up units.Degrees, panelFace, cameraFace units.Metres) (Turn, error) {
	if err := units.First(units.Angles.Named("key to the side").Check(float64(side)), heights.Check(float64(up)), lengths(panelFace, cameraFace)); err != nil {
		return Turn{}, err
	}
	b, c := float64(panelFace), float64(cameraFace)
	axis := math.Cos(radians(side)) * math.Cos(radians(up)) // cosine at the face between panel and lens
	a2 := b*b + c*c - 2*b*c*axis
	a := math.Sqrt(math.Max(0, a2))
	if err := units.Distances.Named("flash to panel").Check(a); err != nil {
		return Turn{}, err
	}
	turn := (b - c*axis) / a // cosine at the panel between flash and face
	return Turn{units.Metres(a), math.Sqrt(unit((1 + turn) / 2))}, nil
}

// Bounce is the light of a flash at the camera off a panel turned half-way to
// the face; side, up, panelFace and cameraFace as in HalfWay. returns is the
// share the fabric gives back, 0 to 1. Both cosines of the tilt are paid; the
// beam lies longer across the tilted cloth by one of them.
//
// Error: as HalfWay, or another argument out of range, or a panel turned so
// far that it stands edge-on (a cosine under 0.05). Source: trade handbook
// Model D; it assumes matte cloth and the tilt mostly sideways.
func Bounce(f Flash, p Panel, returns float64, side, up units.Degrees, panelFace, cameraFace units.Metres) (Light, error) {
	if err := units.First(f.check(), p.Check(), shares.Check(returns)); err != nil {
		return Light{}, err
	}
	t, err := HalfWay(side, up, panelFace, cameraFace)
	if err != nil {
		return Light{}, err
	}
	if err := cosines.Check(t.Cosine); err != nil {
		return Light{}, err
	}
	a := float64(t.FlashPanel)
	k := a / float64(f.Zoom)
	return lit(f.intensity()/(a*a), returns, p.clip(36*k/t.Cosine, 24*k), float64(panelFace), t.Cosine, t.Cosine), nil
}

var cosines = units.Range{Quantity: "cosine of the panel's tilt", Low: 0.05, High: 1}

// Wall is the path of a flash's light off a wall or ceiling with no edge.
type Wall struct {
	Flash units.Metres  // flash to the bright patch
	Face  units.Metres  // bright patch to face
	In    units.Degrees // from the wall's normal to the flash, 0 to 85
	Out   units.Degrees // from the wall's normal to the face, 0 to 85
}

// Off is the light of a flash off the wall; returns is the share the paint
// gives back, 0 to 1.
//
// Error: an argument out of range. Source: the bounce of trade handbook Model D
// with an unbounded surface; N26 and D47 put a 2.5 m ceiling 2 to 3 stops
// under the bare flash.
func (w Wall) Off(f Flash, returns float64) (Light, error) {
	slant := units.Range{Quantity: "angle at the wall", Unit: "degree", Low: 0, High: 85}
	if err := units.First(f.check(), shares.Check(returns), lengths(w.Flash, w.Face), slant.Check(float64(w.In)), slant.Check(float64(w.Out))); err != nil {
		return Light{}, err
	}
	a := float64(w.Flash)
	in, out := math.Cos(radians(w.In)), math.Cos(radians(w.Out))
	k := a / float64(f.Zoom)
	width, height := 36*k/in, 24*k
	return lit(f.intensity()/(a*a), returns, patch{area: width * height}, float64(w.Face), in, out), nil
}

// Ceiling is the path off a flat ceiling (or, lying down, a wall) that stands
// rise above flash and face alike, the two run apart; the flash is aimed at a
// point the given share of the way along, 0 to 1. A third of the way lights
// the face from the front and high enough (trade handbook D47).
//
// Error: a length out of range, a share outside 0..1, or a path so flat that
// it only grazes the ceiling (over 85°).
func Ceiling(rise, run units.Metres, share float64) (Wall, error) {
	if err := units.First(lengths(rise, run), shares.Named("aim along the ceiling").Check(share)); err != nil {
		return Wall{}, err
	}
	h, x, y := float64(rise), float64(run)*share, float64(run)*(1-share)
	w := Wall{
		Flash: units.Metres(math.Hypot(h, x)), In: degrees(math.Atan2(x, h)),
		Face: units.Metres(math.Hypot(h, y)), Out: degrees(math.Atan2(y, h)),
	}
	slant := units.Range{Quantity: "angle at the ceiling", Unit: "degree", Low: 0, High: 85}
	return w, units.First(slant.Check(float64(w.In)), slant.Check(float64(w.Out)))
}
