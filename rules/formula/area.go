package formula

import (
	"panelhand/calc/area"
	"panelhand/calc/units"
)

func panel(size float64) area.Panel { return area.RoundPanel(units.Metres(size)) }

func head(guide, zoom, power float64) area.Flash {
	return area.Flash{Guide: units.GuideNumber(guide), Zoom: units.Millimetres(zoom), Power: units.Fraction(power)}
}

func face(l area.Light, err error) (float64, error) { return float64(l.Face), err }

var (
	width      = distance.as("width")
	rise       = distance.as("height")
	diameter   = distance.as("diameter")
	flashPanel = distance.as("flash_panel")
	panelFace  = distance.as("panel_face")
	cameraFace = distance.as("camera_face")
	offset     = Arg{"off", "m", -10000, 10000}
	acute      = Arg{"side", "degree", 0, 90}
	slant      = Arg{"in", "degree", 0, 85}
)

var areaFormulas = []Formula{
	{"disc_factor", []Arg{diameter, distance}, "", "share that a disc fills of what a face sees", "R²/(R²+d²)", "catalogue B-12, photometry handbook §4.1", two(area.Disc)},
	{"disc_factor_tilted", []Arg{diameter, distance, {"tilt", "degree", 0, 180}}, "", "the same, the face turned away", "cosθ·R²/(R²+d²), cut off at the face's horizon", "catalogue B-13, photometry handbook §4.1", three(area.DiscTilted)},
	{"disc_factor_off", []Arg{diameter, distance, offset}, "", "the same, off the disc's axis", "½·(1 − (Z − 2r²)/√(Z² − 4r²))", "catalogue B-14, photometry handbook §4.1", three(area.DiscOffAxis)},
	{"corner_factor", []Arg{width, rise, distance}, "", "share that a rectangle fills, one corner straight ahead", "B-3", "catalogue B-3, photometry handbook §4.2", three(area.Corner)},
	{"corner_factor_upright", []Arg{width, rise, distance}, "", "the same, the rectangle standing at right angles", "B-4", "catalogue B-4, photometry handbook §4.2", three(area.CornerUpright)},
	{"rectangle_factor", []Arg{width, rise, distance}, "", "share that a rectangle straight ahead fills", "4·B-3(w/2, h/2)", "catalogue B-3, photometry handbook §4.2", three(area.Rectangle)},
	{"rectangle_factor_off", []Arg{width, rise, distance, offset.as("right"), offset.as("up")}, "", "the same, off to the side and up", "corners of B-3 added and taken away", "catalogue B-3, photometry handbook §4.2", five(area.RectangleOff)},
	{"panel_area", []Arg{size}, "m²", "area of a round panel", "π·D²/4", "geometry", func(a []float64) (float64, error) { return panel(a[0]).Area(), panel(a[0]).Check() }},
	{"panel_factor", []Arg{size, distance}, "", "share that a round panel fills of what a face sees", "R²/(R²+d²)", "photometry handbook §4.1", func(a []float64) (float64, error) { return panel(a[0]).Factor(units.Metres(a[1])) }},
	{"panel_falloff", []Arg{size, distance.as("from"), distance.as("to")}, "stop", "light of a round panel at one distance against another", "log2((R²+from²)/(R²+to²))", "trade handbook Q7", func(a []float64) (float64, error) {
		return plain(area.FallOff(panel(a[0]), units.Metres(a[1]), units.Metres(a[2])))
	}},
	{"row_drop", []Arg{distance, distance.as("behind")}, "stop", "light on a row further back, from a small source", "−2·log2((d+r)/d)", "trade handbook Q20", two(area.RowDrop)},
	{"even_width", []Arg{size, distance, {"drop", "stop", 0.01, 10}}, "m", "width that a round panel lights to within a drop", "B-14 solved for the offset", "trade handbook Model I", func(a []float64) (float64, error) {
		return plain(area.EvenWidth(panel(a[0]), units.Metres(a[1]), units.Stops(a[2])))
	}},
	{"group_spread", []Arg{width, distance, acute}, "stop", "near end of a group against far end", "about 2.9·w·sin(side)/d", "trade handbook Model J", three(area.GroupSpread)},
	{"group_distance", []Arg{width, acute, {"spread", "stop", 0.05, 5}}, "m", "distance of a light that keeps a group even", "about 5.8·w·sin(side) for half a stop", "trade handbook Q19", three(area.GroupDistance)},
	{"light_height", []Arg{{"eyes", "m", 0, 10}, distance, up}, "m", "height of a light's centre above ground", "eyes + d·sin(up)", "trade handbook Q12", three(area.Height)},
	{"light_elevation", []Arg{{"reach", "m", 0.01, 10}, {"eyes", "m", 0.01, 10}, distance}, "degree", "height above the eye line that hands reach", "asin((reach − eyes)/d)", "trade handbook Q13", three(area.Elevation)},
	{"source_angle", []Arg{in("size", units.Sizes), distance}, "degree", "angle that a source fills: bigger is softer", "2·atan(D/2d)", "trade handbook Q10", two(area.SourceAngle)},
	{"source_size", []Arg{{"angle", "degree", 0.01, 170}, distance}, "m", "size of a source that fills an angle", "2·d·tan(δ/2)", "trade handbook Q10, solved for the size", two(area.SizeFor)},
	{"source_solid_angle", []Arg{in("size", units.Sizes), distance}, "sr", "the same as a solid angle", "2π(1 − cos(δ/2))", "photometry handbook §7", two(area.SolidAngle)},
	{"shadow_edge", []Arg{in("size", units.Sizes), distance, {"depth", "m", 0, 10}}, "mm", "width over which a shadow fades", "D·b/a", "photometry handbook §7", three(area.ShadowEdge)},
	{"beam_width", []Arg{focal.as("zoom"), distance}, "m", "width of what a flash lights", "36·d/zoom", "photometry handbook §6.1", two(func(z units.Millimetres, d units.Metres) (units.Metres, error) {
		w, _, err := area.Spot(z, d)
		return w, err
	})},
	{"beam_height", []Arg{focal.as("zoom"), distance}, "m", "height of what a flash lights", "24·d/zoom", "photometry handbook §6.1", two(func(z units.Millimetres, d units.Metres) (units.Metres, error) {
		_, h, err := area.Spot(z, d)
		return h, err
	})},
	{"fill_distance", []Arg{size, focal.as("zoom")}, "m", "flash to a round panel that its beam just covers", "D·zoom/24", "trade handbook Q9", func(a []float64) (float64, error) {
		return plain(area.FillDistance(panel(a[0]), units.Millimetres(a[1])))
	}},
	{"through_exposure", []Arg{guide, zoom, power, size, pass, flashPanel, panelFace}, "lx·s", "light on a face of a flash through a round panel", "2.5·GN²·p/a²·T·F(patch, b)", "photometry handbook §6.2", func(a []float64) (float64, error) {
		return face(area.Through(head(a[0], a[1], a[2]), panel(a[3]), a[4], units.Metres(a[5]), units.Metres(a[6])))
	}},
	{"bounce_exposure", []Arg{guide, zoom, power, size, returns, side, up, panelFace, cameraFace}, "lx·s", "light on a face of a flash at the camera off a round panel turned half-way", "2.5·GN²·p/a²·ρ·F(patch, b)·cos²", "trade handbook Model D", func(a []float64) (float64, error) {
		return face(area.Bounce(head(a[0], a[1], a[2]), panel(a[3]), a[4], units.Degrees(a[5]), units.Degrees(a[6]), units.Metres(a[7]), units.Metres(a[8])))
	}},
	{"boxed_exposure", []Arg{guide, zoom, power, size, pass, panelFace}, "lx·s", "light on a face of a flash inside a round box or umbrella", "2.5·GN²·p·Ω/A·T·F", "photometry handbook §6.2", func(a []float64) (float64, error) {
		return face(area.Boxed(head(a[0], a[1], a[2]), panel(a[3]), a[4], units.Metres(a[5])))
	}},
	{"wall_exposure", []Arg{guide, zoom, power, returns, distance.as("flash_wall"), distance.as("wall_face"), slant, slant.as("out")}, "lx·s", "light on a face of a flash off a wall", "2.5·GN²·p/a²·ρ·F·cos·cos", "trade handbook Model D", func(a []float64) (float64, error) {
		w := area.Wall{Flash: units.Metres(a[4]), Face: units.Metres(a[5]), In: units.Degrees(a[6]), Out: units.Degrees(a[7])}
		return face(w.Off(head(a[0], a[1], a[2]), a[3]))
	}},
	{"ceiling_exposure", []Arg{guide, zoom, power, returns, rise.as("rise"), distance.as("run"), {"share", "", 0, 1}}, "lx·s", "light on a face of a flash off a ceiling a rise above both, a run apart", "2.5·GN²·p/a²·ρ·F·cos·cos", "trade handbook D47", func(a []float64) (float64, error) {
		w, err := area.Ceiling(units.Metres(a[4]), units.Metres(a[5]), a[6])
		if err != nil {
			return 0, err
		}
		return face(w.Off(head(a[0], a[1], a[2]), a[3]))
	}},
	{"bounce_cosine", []Arg{side, up, panelFace, cameraFace}, "", "cosine at a panel turned half-way between lens and face", "cos of half the turn", "trade handbook Model D", four(func(s, u units.Degrees, b, c units.Metres) (units.Stops, error) {
		t, err := area.HalfWay(s, u, b, c)
		return units.Stops(t.Cosine), err
	})},
	{"scrim_stops", []Arg{size, pass, distance}, "stop", "face under a scrim against full sun", "0.8·T·R²/(R²+b²) + 0.2·(open sky + T of the covered)", "trade handbook N22", func(a []float64) (float64, error) {
		return plain(area.Scrim(panel(a[0]), a[1], units.Metres(a[2])))
	}},
	{"reflector_share", []Arg{size, returns, distance, level.as("fed")}, "", "light of a reflector on a face as a share of what it is measured against", "ρ·2^fed·F", "photometry handbook §6.3", func(a []float64) (float64, error) {
		return area.Reflector(panel(a[0]), a[1], units.Metres(a[2]), units.Stops(a[3]))
	}},
	{"sun_reflector_share", []Arg{size, returns, distance, {"sun", "degree", 0, 90}}, "", "light that a panel in the sun throws into a face with its back to it, as a share of the sunlit level", "ρ·F·cos·cos", "trade handbook N23", func(a []float64) (float64, error) {
		return area.SunReflector(panel(a[0]), a[1], units.Metres(a[2]), units.Degrees(a[3]))
	}},
	{"shadow_lift", []Arg{level.as("shadow"), {"share", "", 0, 1000}}, "stop", "how far a shadow rises when a share of the light is added", "log2(1 + share/2^shadow)", "photometry handbook §8", two(func(s units.Stops, share float64) (units.Stops, error) { return area.Lift(s, share) })},
	{"black_panel_stops", []Arg{size, {"returns", "", 0, 1}, distance}, "stop", "what a black panel takes from a cheek", "log2(1 − F·(1 − ρ))", "trade handbook D21", func(a []float64) (float64, error) {
		return plain(area.BlackPanel(panel(a[0]), a[1], units.Metres(a[2])))
	}},
}
