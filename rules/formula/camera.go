package formula

import (
	"errors"
	"math"

	"panelhand/calc/colour"
	"panelhand/calc/lens"
	"panelhand/calc/units"
)

var (
	kelvin = in("kelvin", units.Kelvins)
	part   = Arg{"lux", "lux", 0.0001, 1e7}
)

var colourFormulas = []Formula{
	{"mired", []Arg{kelvin}, "MK⁻¹", "mired of a colour temperature", "10⁶/K", "photometry handbook §9", one(colour.ToMired)},
	{"kelvin", []Arg{{"mired", "MK⁻¹", 40, 666}}, "K", "colour temperature of a mired", "10⁶/M", "photometry handbook §9", one(colour.ToKelvin)},
	{"mired_shift", []Arg{kelvin.as("from"), kelvin.as("to")}, "MK⁻¹", "shift from one colour temperature to another, + warmer", "10⁶/to − 10⁶/from", "photometry handbook §9", two(colour.Shift)},
	{"kelvin_after", []Arg{kelvin, in("shift", units.MiredShifts)}, "K", "colour temperature behind a gel", "10⁶/(10⁶/K + shift)", "trade handbook Q26", two(colour.After)},
	{"cast_left", []Arg{kelvin.as("light"), kelvin.as("white_balance")}, "MK⁻¹", "cast of a light under a white balance, + warm", "10⁶/light − 10⁶/wb", "photometry handbook §9", two(colour.Cast)},
	{"kelvin_mix", []Arg{kelvin.as("one"), part.as("one_lux"), kelvin.as("other"), part.as("other_lux")}, "K", "colour temperature of two lights on one place", "mired average by illuminance", "photometry handbook §9", four(func(a units.Kelvin, e units.Lux, b units.Kelvin, f units.Lux) (units.Kelvin, error) {
		return colour.Mix(colour.Part{Kelvin: a, Lux: e}, colour.Part{Kelvin: b, Lux: f})
	})},
	{"gel_left", []Arg{in("shift", units.MiredShifts)}, "MK⁻¹", "what the nearest gel leaves of a wanted shift", "shift − nearest gel", constants, one(func(wanted units.Mired) (units.Mired, error) {
		_, left, err := colour.Nearest(wanted)
		return left, err
	})},
}

var errEndless = errors.New("there is no far limit: it is sharp to infinity")

func depth(pick func(lens.Depth) (units.Metres, error)) func([]float64) (float64, error) {
	return four(func(f units.Millimetres, n units.FNumber, c units.Millimetres, s units.Metres) (units.Metres, error) {
		d, err := lens.DepthOfField(f, n, c, s)
		if err != nil {
			return 0, err
		}
		return pick(d)
	})
}

var (
	focus  = distance.as("focus")
	sensor = Arg{"sensor", "mm", 1, 300}
	speed  = Arg{"speed", "m/s", 0.001, 100}
)

var lensFormulas = []Formula{
	{"hyperfocal", []Arg{focal, aperture, circle}, "m", "nearest focus that keeps infinity sharp", "f²/(N·c) + f", "photometry handbook §10", three(lens.Hyperfocal)},
	{"depth_near", []Arg{focal, aperture, circle, focus}, "m", "near limit of sharpness", "s(H−f)/(H+s−2f)", "photometry handbook §10", depth(func(d lens.Depth) (units.Metres, error) { return d.Near, nil })},
	{"depth_far", []Arg{focal, aperture, circle, focus}, "m", "far limit of sharpness", "s(H−f)/(H−s)", "photometry handbook §10", depth(func(d lens.Depth) (units.Metres, error) {
		if d.Endless {
			return 0, errEndless
		}
		return d.Far, nil
	})},
	{"depth", []Arg{focal, aperture, circle, focus}, "m", "depth of field", "far − near", "photometry handbook §10", depth(func(d lens.Depth) (units.Metres, error) {
		if d.Endless {
			return 0, errEndless
		}
		return d.Total(), nil
	})},
	{"aperture_for_depth", []Arg{focal, circle, focus, {"depth", "m", 0.001, 1000}}, "", "f-number that makes a depth of field", "f²·D/(c·u·(s + √(s²+D²))), u = s − f", "photometry handbook §10, solved for N", four(lens.ApertureForDepth)},
	{"shake_time", []Arg{focal, {"crop", "", 0.3, 10}}, "s", "slowest time for steady hands", "1/(f·crop)", "photometry handbook §10 (from memory)", two(lens.ShakeTime)},
	{"motion_blur", []Arg{speed, time, focal, focus}, "mm", "smear on the sensor of a sitter who moves across", "v·t·f/(s − f)", "photometry handbook §10", four(lens.MotionBlur)},
	{"freeze_time", []Arg{speed, focal, focus, {"blur", "mm", 0.001, 10}}, "s", "longest time that keeps the smear to a limit", "b·(s − f)/(v·f)", "photometry handbook §10", four(lens.FreezeTime)},
	{"focus_for_depth", []Arg{focal, aperture, circle, {"depth", "m", 0.001, 1000}}, "m", "focus distance that makes a depth of field", "f + h·(√(f² + D(2h+D)) − f)/(2h+D), h = H − f", "photometry handbook §10, solved for s", four(lens.FocusForDepth)},
	{"frames_for_open_eyes", []Arg{{"people", "", 1, 500}, {"share", "", 1, 10}}, "", "frames until nobody blinks in one", "people/share + 3, rounded up", "trade handbook D72, common practice", func(a []float64) (float64, error) {
		return math.Ceil(a[0]/a[1]-1e-9) + 3, nil
	}},
	{"frame_width", []Arg{sensor, focal, focus}, "m", "how much fits across the frame", "side·s/f", "trade handbook N31", three(lens.FrameWidth)},
	{"field_of_view", []Arg{sensor, focal}, "degree", "full angle that a lens sees", "2·atan(side/2f)", "photometry handbook §6.1", two(lens.FieldOfView)},
}
