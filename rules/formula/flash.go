package formula

import (
	"panelhand/calc/flash"
	"panelhand/calc/units"
)

const constants = "the handbook's table of constants"

var (
	loss   = Arg{"loss", "stop", -4, 20}
	energy = in("energy", units.Energies)
	solid  = Arg{"solid_angle", "sr", 1e-3, 12.566}
	share  = Arg{"share", "", 0.05, 1}
	sync   = Arg{"sync", "s", 1.0 / 4000, 1.0 / 10}
)

func estimate(pick func(flash.Estimate) units.GuideNumber) func([]float64) (float64, error) {
	return three(func(w units.WattSeconds, sr, share float64) (units.GuideNumber, error) {
		e, err := flash.FromEnergy(w, sr, share)
		return pick(e), err
	})
}

var flashFormulas = []Formula{
	{"guide_number_at", []Arg{zoom}, "m", "guide number assumed of a small flash at a zoom setting", "36 at 35 mm, log-log between settings", constants, one(flash.AssumedGuideNumber)},
	{"guide_number_zoomed", []Arg{guide, zoom.as("at"), zoom}, "m", "guide number at another zoom setting", "GN·table(zoom)/table(at)", "photometry handbook §3.4", three(flash.Zoomed)},
	{"guide_number_effective", []Arg{guide, iso, power, loss}, "m", "guide number at an ISO, a power and a loss", "GN·√(S/100·p)·2^(−loss/2)", "photometry handbook §3.1", four(flash.Effective)},
	{"guide_numbers_together", []Arg{guide.as("one"), guide.as("other")}, "m", "guide number of two flashes side by side", "√(GN1² + GN2²)", "photometry handbook §8", two(func(a, b units.GuideNumber) (units.GuideNumber, error) { return flash.Together(a, b) })},
	{"flash_exposure", []Arg{guide, power, distance}, "lx·s", "luminous exposure of a bare flash", "2.5·GN²·p/d²", "photometry handbook §3.2", three(flash.Exposure)},
	{"flash_aperture", []Arg{guide, power, distance, iso}, "", "f-number that a bare flash is right for", "GN·√(S/100)·√p/d", "trade handbook Q5", four(flash.Aperture)},
	{"flash_distance", []Arg{guide, power, aperture, iso}, "m", "distance at which a bare flash is right", "GN·√(S/100)·√p/N", "photometry handbook §3.1", four(flash.Distance)},
	{"power_needed", []Arg{guide, aperture, distance, iso, loss}, "of full", "fraction of full power that is right; above 1 the flash is short", "(N·d/GN)²·100/S·2^loss", "trade handbook Q6", five(flash.Power)},
	{"power_to_total", []Arg{level.as("full"), level.as("ambient"), level.as("total")}, "of full", "fraction of full power that adds up with the ambient to a total", "(2^total − 2^ambient)/2^full", "photometry handbook §8", three(flash.ToTotal)},
	{"cone", []Arg{{"angle", "degree", 1, 360}}, "sr", "solid angle of a round beam", "2π(1 − cos(θ/2))", "photometry handbook §3.3", one(flash.Cone)},
	{"zoom_beam", []Arg{zoom}, "sr", "solid angle that a zoom setting names", "4·asin(sin(a/2)·sin(b/2))", "photometry handbook §3.3", one(flash.ZoomBeam)},
	{"guide_from_energy", []Arg{energy, solid, share}, "m", "guide number guessed from stored energy, typical", "√(share·40·W/Ω/2.5)", "photometry handbook §3.3", estimate(func(e flash.Estimate) units.GuideNumber { return e.Typical })},
	{"guide_from_energy_low", []Arg{energy, solid, share}, "m", "the same, low end", "√(share·15·W/Ω/2.5)", "photometry handbook §3.3", estimate(func(e flash.Estimate) units.GuideNumber { return e.Low })},
	{"guide_from_energy_high", []Arg{energy, solid, share}, "m", "the same, high end", "√(share·50·W/Ω/2.5)", "photometry handbook §3.3", estimate(func(e flash.Estimate) units.GuideNumber { return e.High })},
	{"recycle", []Arg{{"full", "s", 0.05, 60}, power}, "s", "wait between flashes", "max(full·p, 0.1)", "photometry handbook §3.7 (from memory)", two(flash.Recycle)},
	{"flashes", []Arg{{"full", "", 1, 100000}, power}, "", "flashes of a charge, at most", "full/p", "photometry handbook §3.7", two(flash.Flashes)},
	{"cell_flashes", []Arg{{"battery", "Wh", 0.1, 2000}, {"share", "", 0, 1}, energy}, "", "flashes at full that cells can give", "Wh·3600·share/W", "photometry handbook §3.7", three(flash.CellFlashes)},
	{"high_speed_loss", []Arg{time, sync}, "stop", "flash lost to high-speed sync", "2 + log2(sync/t), 0 from sync on", constants, two(flash.HighSpeedLoss)},
	{"filter_stops", []Arg{{"factor", "", 1, 1 << 24}}, "stop", "stops of a grey filter by its factor", "log2(factor)", "trade handbook N17", one(flash.FilterStops)},
	{"seen_aperture", []Arg{aperture, {"filter", "stop", 0, 24}}, "", "f-number that light has to serve behind a grey filter", "N·2^(nd/2)", "trade handbook Q23", two(flash.SeenAperture)},
	{"freezing_time", []Arg{{"half", "s", 1e-6, 1}}, "s", "t0.1 of a flash from its t0.5", "3.32·t0.5", "photometry handbook §3.7", one(flash.Freezing)},
	{"cut_off_time", []Arg{{"full", "s", 1e-6, 1}, power}, "s", "how long a flash shines at a power", "−t0.1/ln 10·ln(1 − p)", "photometry handbook §3.7", two(flash.CutOff)},
	{"softbox_loss", []Arg{{"side", "m", 0.1, 2}}, "stop", "loss of a softbox by its longest side", "1 at 0.3 m to 3 at 0.7 m", "one bench test, photometry handbook §3.6", one(flash.SoftboxLoss)},
	{"passed_loss", []Arg{{"share", "", 1e-4, 1}}, "stop", "stops that a share passed or returned stands for", "−log2(T)", "definition", one(flash.PassedLoss)},
}
