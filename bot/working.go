package bot

import (
	"fmt"
	"math"

	"panelhand/bot/answer"
	"panelhand/calc/balance"
	"panelhand/calc/units"
)

// work writes down how the numbers came about: each formula with its numbers
// put in and its source, in the order in which a photographer thinks.
func (s *staging) work() {
	set, levels := s.solution.Settings, s.solution.Levels
	n, t, iso := set.Aperture.Value, set.Shutter.Value, set.ISO.Value
	add := func(name string, value float64, unit, source, formula string, args ...any) {
		s.working = append(s.working, answer.Working{Name: name, Formula: fmt.Sprintf(formula, args...), Value: sig(value), Unit: unit, Source: source})
	}
	filter := ""
	if set.ND > 0 {
		filter = fmt.Sprintf(" − %.3g", float64(set.ND))
	}
	add("ambient_stops", float64(levels.Ambient), "stop", "photometry handbook §1.1",
		"EV − log2(N²/t) + log2(ISO/100): %.4g − log2(%.3g²/%.4g) + log2(%.5g/100)%s", float64(s.scene.Ambient), n, t, iso, filter)
	if f := s.scene.Key; f != nil {
		if lit, err := f.At(set.Zoom, set.FlashPanel, s.keyDistance()); err == nil {
			loss, _ := s.numbers.Get("flash_loss_stops")
			h := float64(lit.Face) * set.Power.Value * math.Exp2(-loss-float64(set.ND))
			s.workFlash(add, lit.Factor, float64(lit.Surface), float64(lit.Tilt), h, loss)
			add("flash_stops", float64(levels.Flash), "stop", "photometry handbook §3.2",
				"log2(H·ISO/(250·N²)): log2(%.4g·%.5g/(250·%.3g²))", h, iso, n)
			add("subject_stops", float64(levels.Subject), "stop", "photometry handbook §8",
				"log2(2^ambient + 2^flash): log2(2^%.3g + 2^%.3g)", float64(levels.Ambient), float64(levels.Flash))
		}
	}
	add("background_stops", float64(levels.Background), "stop", "photometry handbook §1.1",
		"EV − log2(N²/t) + log2(ISO/100): %.4g − log2(%.3g²/%.4g) + log2(%.5g/100)%s", float64(s.scene.Background), n, t, iso, filter)
}

func (s *staging) keyDistance() units.Metres {
	set := s.solution.Settings
	if s.scene.Key.Way == balance.Bare {
		return set.FlashSubject
	}
	return set.PanelSubject
}

func (s *staging) workFlash(add func(string, float64, string, string, string, ...any), factor, surface, tilt, h, loss float64) {
	f, set := s.scene.Key, s.solution.Settings
	gn, _ := s.numbers.Get("flash_gn_m")
	switch f.Way {
	case balance.Bare:
		add("flash at the face", h, "lx·s", "photometry handbook §3.2",
			"H = 2.5·GN²·p/d²·2^−loss: 2.5·%.4g²·%.4g/%.3g²·2^−%.3g", gn, set.Power.Value, float64(set.FlashSubject), loss)
	case balance.Through, balance.Bounce:
		add("flash on the panel", surface*set.Power.Value, "lx·s", "photometry handbook §6.2",
			"H = 2.5·GN²·p/a²: 2.5·%.4g²·%.4g/%.3g²", gn, set.Power.Value, float64(set.FlashPanel))
		add("flash at the face", h, "lx·s", "photometry handbook §6.2",
			"H·T·F·2^−(tilt+loss): %.4g·%.3g·%.4g·2^−%.3g", surface*set.Power.Value, f.Pass, factor, math.Abs(tilt)+loss)
	default:
		add("flash at the face", h, "lx·s", "photometry handbook §6.2",
			"surface·returned·F·2^−(tilt+loss): %.4g·%.3g·%.4g·2^−%.3g", surface*set.Power.Value, f.Pass, factor, math.Abs(tilt)+loss)
	}
}

// sig rounds to six significant digits, once, for reading.
func sig(v float64) float64 {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	scale := math.Pow(10, 5-math.Floor(math.Log10(math.Abs(v))))
	return math.Round(v*scale) / scale
}
