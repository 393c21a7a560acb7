package formula

import (
	"panelhand/calc/balance"
	"panelhand/calc/exposure"
	"panelhand/calc/units"
)

var exposureFormulas = []Formula{
	{"exposure_ev", []Arg{aperture, time, iso}, "EV", "light level, as EV at ISO 100, that settings are right for", "log2(N²/t) − log2(S/100)", "photometry handbook §1.1", three(exposure.EV100)},
	{"level", []Arg{ev, aperture, time, iso}, "stop", "how far a light level comes out over right exposure", "EV − log2(N²/t) + log2(S/100)", "trade handbook Q3", four(exposure.Level)},
	{"lux", []Arg{ev}, "lux", "illuminance of a light level", "2.5·2^EV", "ISO 2720:1974, photometry handbook §1.1", one(exposure.Lux)},
	{"ev_from_lux", []Arg{in("lux", units.Illuminances)}, "EV", "light level of an illuminance", "log2(lux/2.5)", "ISO 2720:1974, photometry handbook §1.1", one(exposure.FromLux)},
	{"settings_lux", []Arg{aperture, time, iso}, "lux", "illuminance that settings are right for", "250·N²/(t·S)", "ISO 2720:1974, photometry handbook §1.1", three(exposure.SettingsLux)},
	{"luminance", []Arg{ev}, "cd/m²", "luminance of the average subject at a light level", "0.125·2^EV", "ISO 2720:1974, photometry handbook §1.1", one(exposure.Luminance)},
	{"ev_from_luminance", []Arg{in("luminance", units.Luminances)}, "EV", "light level that a reflected meter reads", "log2(L/0.125)", "ISO 2720:1974, photometry handbook §1.1", one(exposure.FromLuminance)},
	{"metered_reflectance", []Arg{{"k", "", 5, 30}, {"c", "", 100, 600}}, "", "reflectance at which reflected and incident meters agree", "π·K/C", "photometry handbook §1.1", two(exposure.MeteredReflectance)},
	{"aperture_value", []Arg{aperture}, "stop", "aperture value", "2·log2(N)", "ASA PH2.5-1960, photometry handbook §1.1", one(exposure.Av)},
	{"time_value", []Arg{time}, "stop", "time value", "log2(1/t)", "ASA PH2.5-1960, photometry handbook §1.1", one(exposure.Tv)},
	{"speed_value", []Arg{iso}, "stop", "speed value", "log2(S/3.125)", "Exif 2.3 annex C, photometry handbook §1.1", one(exposure.Sv)},
	{"aperture_stops", []Arg{aperture.as("from"), aperture.as("to")}, "stop", "light gained from one f-number to another", "2·log2(N1/N2)", "trade handbook Q1", two(exposure.ApertureStops)},
	{"time_stops", []Arg{time.as("from"), time.as("to")}, "stop", "light gained from one time to another", "log2(t2/t1)", "trade handbook §0 model A", two(exposure.TimeStops)},
	{"iso_stops", []Arg{iso.as("from"), iso.as("to")}, "stop", "brightness gained from one ISO to another", "log2(S2/S1)", "trade handbook §0 model A", two(exposure.ISOStops)},
	{"magnitude", []Arg{{"stops", "stop", -40, 40}}, "stop", "stops, whichever way", "|s|", "definition", one(func(s units.Stops) (units.Stops, error) { return max(s, -s), nil })},
	{"time_for", []Arg{ev, level, aperture, iso}, "s", "time that puts a light level at a level", "N²·100/(S·2^(EV−level))", "trade handbook Q4", four(exposure.TimeFor)},
	{"aperture_for", []Arg{ev, level, time, iso}, "", "f-number that puts a light level at a level", "√(t·S/100·2^(EV−level))", "photometry handbook §1.1", four(exposure.ApertureFor)},
	{"iso_for", []Arg{ev, level, aperture, time}, "", "ISO that puts a light level at a level", "100·N²/(t·2^(EV−level))", "photometry handbook §1.1", four(exposure.ISOFor)},
	{"lux_at", []Arg{in("lux_1m", units.Illuminances), distance}, "lux", "illuminance of a small light from its figure at 1 m", "E/d²", "IES definition 9.1.1, trade handbook Q30", two(exposure.AtDistance)},
	{"distance_stops", []Arg{distance.as("from"), distance.as("to")}, "stop", "light of a small source gained from one distance to another", "2·log2(from/to)", "trade handbook Q8", two(exposure.DistanceStops)},
	{"exposure_needed", []Arg{aperture, iso}, "lx·s", "luminous exposure at the face that is right", "250·N²/S", "photometry handbook §3.2", two(exposure.Needed)},
	{"exposure_aperture", []Arg{in("exposure", units.Exposures), iso}, "", "f-number that a luminous exposure is right for", "√(H·S/250)", "photometry handbook §3.2", two(exposure.ApertureOf)},
	{"steady_exposure", []Arg{in("lux", units.Illuminances), time}, "lx·s", "luminous exposure of steady light", "E·t", "definition", two(exposure.Steady)},
	{"sensor_exposure", []Arg{in("luminance", units.Luminances), aperture, time}, "lx·s", "luminous exposure on the sensor", "0.652·L·t/N²", "ISO 12232:2006, photometry handbook §1.1", three(exposure.FocalPlane)},
	{"metered_exposure", []Arg{iso}, "lx·s", "luminous exposure on the sensor that a meter aims for", "0.652·12.5/S", "ISO 12232:2006, photometry handbook §1.1", one(exposure.Metered)},
}

var balanceFormulas = []Formula{
	{"total_level", []Arg{level.as("one"), level.as("other")}, "stop", "level of two lights together", "log2(2^a + 2^b)", "photometry handbook §8", two(func(a, b units.Stops) (units.Stops, error) { return balance.Total(a, b) })},
	{"flash_completes", []Arg{{"ambient", "stop", -20, -0.001}}, "stop", "flash level that brings the face to right over an ambient level", "log2(1 − 2^a)", "trade handbook Q14", one(balance.Complete)},
	{"flash_trim", []Arg{{"from", "stop", -20, -0.001}, {"to", "stop", -20, -0.001}}, "stop", "change of flash that keeps the face right when the ambient on it moves", "log2((1 − 2^to)/(1 − 2^from))", "trade handbook Q16", two(balance.Trim)},
	{"apertures_together", []Arg{aperture.as("one"), aperture.as("other")}, "", "f-number that two lights add up to", "√(N1² + N2²)", "photometry handbook §8", two(func(a, b units.FNumber) (units.FNumber, error) { return balance.Together(a, b) })},
	{"lighting_ratio", []Arg{{"key_over_fill", "stop", -20, 20}}, "", "lit side to shadow side, the fill reaching both", "1 + 2^s", "trade handbook Q17", one(func(s units.Stops) (units.Stops, error) {
		n, err := balance.Ratio(s, balance.Reaching)
		return units.Stops(n), err
	})},
	{"source_ratio", []Arg{{"key_over_fill", "stop", -20, 20}}, "", "key to fill, each measured alone", "2^s", "photometry handbook §8", one(func(s units.Stops) (units.Stops, error) {
		n, err := balance.Ratio(s, balance.Sources)
		return units.Stops(n), err
	})},
	{"key_over_fill", []Arg{{"ratio", "", 1.001, 1e6}}, "stop", "stops of key over fill for lit side to shadow side n:1", "log2(n − 1)", "trade handbook Q18", one(func(n float64) (units.Stops, error) { return balance.KeyOverFill(n, balance.Reaching) })},
	{"key_over_fill_alone", []Arg{{"ratio", "", 1e-6, 1e6}}, "stop", "stops of key over fill for sources n:1", "log2(n)", "photometry handbook §8", one(func(n float64) (units.Stops, error) { return balance.KeyOverFill(n, balance.Sources) })},
	{"face_contrast", []Arg{{"key_over_fill", "stop", -20, 20}}, "stop", "lit side against shadow side, the fill reaching both", "log2(1 + 2^s)", "photometry handbook §8", one(balance.Contrast)},
	{"filter_short", []Arg{{"cut", "stop", 0, 20}, {"headroom", "stop", -20, 20}}, "stop", "what the flash lacks when a grey filter darkens the ambient", "max(0, cut − headroom)", "trade handbook §8.4", two(func(cut, room units.Stops) (units.Stops, error) {
		c, err := balance.CutBy(cut, room)
		return c.FilterShort, err
	})},
	{"high_speed_short", []Arg{{"cut", "stop", 0, 20}, {"headroom", "stop", -20, 20}}, "stop", "what the flash lacks when high-speed sync darkens the ambient", "max(0, 2 + cut − headroom)", "trade handbook §8.4", two(func(cut, room units.Stops) (units.Stops, error) {
		c, err := balance.CutBy(cut, room)
		return c.HighSpeedShort, err
	})},
}
