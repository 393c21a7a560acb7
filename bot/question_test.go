package bot_test

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"panelhand/bot"
	"panelhand/bot/answer"
)

// TestCorpusNumbers asks every number of the open corpus, each turn in its
// thread: kind, name and value must hold, the last within the corpus's tolerance.
func TestCorpusNumbers(t *testing.T) {
	coach := houseCoach(t)
	asked := 0
	for _, c := range readCorpus(t, "corpus.jsonl") {
		if c.Group != "number" {
			continue
		}
		thread := new(bot.Thread)
		for _, turn := range c.Turns {
			a := coach.Answer(thread, bot.Message{Text: turn.Say})
			if !slices.Contains(turn.Kind, string(a.Kind)) {
				t.Errorf("%s %q: kind is %s, want one of %v", c.ID, turn.Say, a.Kind, turn.Kind)
			}
			for _, id := range turn.SafetyHas {
				if !slices.ContainsFunc(a.Safety, func(s answer.Caution) bool { return s.ID == id }) {
					t.Errorf("%s %q: no caution %s", c.ID, turn.Say, id)
				}
			}
			if turn.Result == nil {
				continue
			}
			asked++
			switch want := turn.Result; {
			case a.Result == nil || a.Result.Name != want.Name:
				t.Errorf("%s %q: result %+v, want %s", c.ID, turn.Say, a.Result, want.Name)
			case want.Value != nil && (a.Result.Value == nil || math.Abs(*a.Result.Value-*want.Value) > want.Tol):
				t.Errorf("%s %q: %s, want %g ± %g", c.ID, turn.Say, a.Result.Text, *want.Value, want.Tol)
			case a.Result.Text == "" || a.Headline == "" || len(a.Working) == 0 && a.Result.Value != nil:
				t.Errorf("%s %q: no words or no working", c.ID, turn.Say)
			}
		}
	}
	if asked < 60 {
		t.Errorf("only %d numbers asked", asked)
	}
	t.Logf("%d numbers asked", asked)
}

// The rules of thumb that a lead keeps in the head, asked as people ask.
// Source: trade handbook §8.1 and its drills Q1 to Q30, with their tolerances.
func TestNumbersOfTheTrade(t *testing.T) {
	coach := houseCoach(t)
	for _, c := range []struct {
		say, name    string
		want, within float64
		source       string
	}{
		{"how many stops from f2.8 to f5.6", "stops", -2, 0.1, "Q1"},
		{"EV13 at f4 1/200 iso100, how many stops over", "stops", 1.4, 0.05, "Q3"},
		{"gn 36, 1/4 power, 2 m, iso 200: what f", "aperture", 12.7, 0.3, "Q5"},
		{"gn 36 f8 3 m iso 100, what power", "flash_power", 0.444, 0.001, "Q6"},
		{"1 m panel moved from 1 m to 1.5 m, how many stops", "stops", -1, 0.02, "Q7, N2"},
		{"bare flash from 1.5 m to 3 m, how many stops", "stops", -2, 0.01, "Q8"},
		{"how far behind a 1.2 m panel to fill it at 35mm zoom", "flash_panel_m", 1.75, 0.01, "Q9, N3"},
		{"how many degrees is a 1 m panel at 2 m", "source_deg", 28, 0.5, "Q10"},
		{"ambient at -1, what flash?", "stops", -1, 0.01, "Q14, N12"},
		{"ambient at -2, how much flash", "stops", -0.42, 0.01, "Q14"},
		{"fill 1 stop under the key, what ratio", "ratio", 3, 0.01, "Q17, N9"},
		{"fill 1.5 stops under the key, what ratio", "ratio", 3.8, 0.05, "N9"},
		{"fill 3 stops under the key, what ratio", "ratio", 9, 0.01, "N9"},
		{"ratio 5:1, fill how far below", "stops", 2, 0.01, "Q18"},
		{"key at 1.5 m, wall 3 m behind, falloff in stops?", "stops", -3.2, 0.05, "Q21"},
		{"how many stops does hss cost at 1/1600, sync 1/200", "stops", -5, 0.05, "Q22, N16"},
		{"f2.8 with an nd8, what f does the flash see", "aperture", 8, 0.1, "Q23, N17"},
		{"depth of field 85mm f2.8 at 2m", "depth_m", 0.09, 0.0045, "Q24, N32"},
		{"depth of field 85mm f4 at 3m", "depth_m", 0.29, 0.005, "N32"},
		{"5500K flash with half cto, what kelvin", "cct_k", 3440, 5, "Q26, N36"},
		{"5500K flash with full cto, what kelvin", "cct_k", 2930, 10, "N36"},
		{"mired shift from 5500K to 3200K", "mired", 131, 0.5, "N37"},
		{"how many stops is nd64", "nd_stops", 6, 0.01, "N17"},
		{"slowest handheld shutter at 85mm", "shutter_s", 1.0 / 85, 1e-6, "N18"},
		{"400 lux is what ev", "ev100", 7.3, 0.05, "N46"},
		{"shutter for f8 in full sun at iso 100", "shutter_s", 1.0 / 500, 0.0001, "N45"},
		{"led 800 lux at 1 m, what ev at 0.7 m", "ev100", 9.4, 0.05, "Q30"},
		{"what ev is f8 1/250 iso 100", "ev100", 14, 0.05, "N21"},
		{"how many lux is ev 12", "lux", 10240, 1, "photometry handbook §1.1"},
		{"frame width of a 50mm at 4 m", "size_m", 2.9, 0.05, "N31"},
		{"group 2 m wide lit 15 degrees to the side, how far the light", "distance_m", 3, 0.05, "Q19, N28"},
	} {
		a := coach.Answer(new(bot.Thread), bot.Message{Text: c.say})
		if a.Result == nil || a.Result.Name != c.name || a.Result.Value == nil || math.Abs(*a.Result.Value-c.want) > c.within {
			t.Errorf("%q: %s, want %s %g ± %g (trade handbook %s)", c.say, a.Headline, c.name, c.want, c.within, c.source)
		}
	}
}

// A question inside a thread is answered with the thread's numbers, and says
// so.
func TestQuestionsInAThread(t *testing.T) {
	coach := houseCoach(t)
	thread := new(bot.Thread)
	lit := coach.Answer(thread, bot.Message{Text: "station hall, one flash through a 1 m panel, want softer"})
	power, ok := lit.Numbers.Get("flash_power")
	if !ok {
		t.Fatal("no flash in the set-up")
	}
	for _, c := range []struct {
		say, name string
		want      float64
	}{
		{"what power was that", "flash_power", power},
		{"nd8 on, flash power?", "flash_power", 8 * power},
	} {
		a := coach.Answer(thread, bot.Message{Text: c.say})
		if a.Result == nil || a.Result.Name != c.name || a.Result.Value == nil || math.Abs(*a.Result.Value-c.want) > 1e-9 {
			t.Errorf("%q: %s (%+v), want %s %g", c.say, a.Headline, a.Result, c.name, c.want)
			continue
		}
		if len(a.Assumed) == 0 || !strings.Contains(a.Assumed[0].Why, "thread") {
			t.Errorf("%q does not say that the number is the thread's: %+v", c.say, a.Assumed)
		}
	}
}

// A question about a set-up that stands is reckoned from it: from the aperture
// it has to the one named, and with the modifier that it has.
func TestQuestionsAboutASetup(t *testing.T) {
	coach := houseCoach(t)
	disc := func(size, from, to float64) float64 { // photometry handbook §4.1, the face straight ahead
		r2 := size * size / 4
		return (r2 + to*to) / (r2 + from*from)
	}
	for _, c := range []struct {
		setup, say, name string
		want             func(n *answer.Numbers) float64
		text             string // what the answer says besides
		source           string
	}{
		{"dusk, 60cm softbox, one flash, helper", "what power if i go f4", "flash_power", func(n *answer.Numbers) float64 {
			return get(n, "flash_power") * math.Pow(4/get(n, "aperture"), 2)
		}, "from the daylight too", "light goes with the square of the f-number"},
		{"station hall, flash through a 1 m panel, helper", "which power at f8", "flash_power", func(n *answer.Numbers) float64 {
			return get(n, "flash_power") * math.Pow(8/get(n, "aperture"), 2)
		}, "less light from the daylight", "the same"},
		{"dusk, 60cm softbox, one flash, helper", "move panel to 2m what power", "flash_power", func(n *answer.Numbers) float64 {
			return get(n, "flash_power") * disc(0.6, get(n, "panel_subject_m"), 2)
		}, "60 cm", "disc rule, trade handbook Q7"},
		{"dusk, umbrella 110 cm, one flash, helper", "move it to 2.5 m, what power then", "flash_power", func(n *answer.Numbers) float64 {
			return get(n, "flash_power") * disc(1.1, get(n, "panel_subject_m"), 2.5)
		}, "", "disc rule"},
		{"dark hall, bare flash", "flash back to 4m, what power", "flash_power", func(n *answer.Numbers) float64 {
			return get(n, "flash_power") * math.Pow(4/get(n, "flash_subject_m"), 2)
		}, "inverse square", "inverse square"},
		{"dusk, 60cm softbox, one flash, helper", "whats the distance in feet", "distance_m", func(n *answer.Numbers) float64 { return get(n, "panel_subject_m") }, "3.5 ft", "1 m is 3.28 ft, to half a foot"},
		{"dark hall, bare flash", "how far was that in feet", "distance_m", func(n *answer.Numbers) float64 { return get(n, "flash_subject_m") }, "ft", "1 ft is 0.3048 m"},
		{"dark hall, bare flash", "what was the shutter", "shutter_s", func(n *answer.Numbers) float64 { return get(n, "shutter_s") }, "That was", "the set-up"},
		{"dark hall, bare flash", "what f was that", "aperture", func(n *answer.Numbers) float64 { return get(n, "aperture") }, "That was", "the set-up"},
	} {
		thread := new(bot.Thread)
		lit := coach.Answer(thread, bot.Message{Text: c.setup})
		if lit.Numbers == nil {
			t.Errorf("%q: no set-up", c.setup)
			continue
		}
		a := coach.Answer(thread, bot.Message{Text: c.say})
		want := c.want(lit.Numbers)
		if a.Result == nil || a.Result.Name != c.name || a.Result.Value == nil || math.Abs(*a.Result.Value-want) > 1e-6*want || !strings.Contains(a.Text, c.text) {
			t.Errorf("%q, %q: %s (%+v), want %s %g and %q (%s)", c.setup, c.say, a.Text, a.Result, c.name, want, c.text, c.source)
		}
	}
}

func get(n *answer.Numbers, key string) float64 {
	v, _ := n.Get(key)
	return v
}

// On a phone a number is what a dial or an eye can use, and the exact one is
// beside it in JSON. Rounded by hand.
func TestNumbersAreTold(t *testing.T) {
	coach := houseCoach(t)
	for _, c := range []struct {
		say, text string
		exact     float64
	}{
		{"family in 2 rows, which f", "f/7.1", 6.8},
		{"what ev is f7.1 1/160 iso 800", "EV 10", math.Log2(7.127 * 7.127 * 160 / 8)},
		{"how many stops from 1/125 to 1/200", "⅔ stop less light", -0.678},
		{"flash 5600 with half cto, what kelvin comes out", "3500 K", 3477.4},
		{"gn 36, f5.6 at 2.55 m iso 100, what power", "1/8 +1 click", 0.1573},
		{"ev 12 f8 1/250 iso?", "ISO 400", 390.6},
		{"frame width of a 35mm at 3 m", "3.1 m", 3.0857},
		{"0.8 m panel at 1.4 m, how many degrees", "32°", 31.89},
		{"gn 36 bare at 5 m, does it reach f8 iso 100", "⅓ stop short", -0.304},
		{"gn 36 bare at 3 m, will it reach f8 iso 100", "Yes", 1.17},
		{"is f2.8 to f4 one stop?", "Yes", -1.03},
		{"is f2.8 to f5.6 one stop?", "No", -2},
		{"is 1/60 fast enough at 135mm", "No", 1.0 / 135},
		{"is 1/200 fast enough at 85mm handheld", "Yes", 1.0 / 85},
	} {
		a := coach.Answer(new(bot.Thread), bot.Message{Text: c.say})
		if a.Result == nil || a.Result.Value == nil || math.Abs(*a.Result.Value-c.exact) > 0.01*math.Abs(c.exact) || !strings.Contains(a.Headline, c.text) {
			t.Errorf("%q: %q (%+v), want %q and %g", c.say, a.Headline, a.Result, c.text, c.exact)
		}
		for _, code := range []string{" * ", "**", " / ", "_"} {
			if strings.Contains(a.Text, code) {
				t.Errorf("%q shows an expression: %q", c.say, a.Text)
			}
		}
		if lines := strings.Count(a.Text, "\n") + 1; lines > 6 {
			t.Errorf("%q: %d lines", c.say, lines)
		}
	}
}

// What cannot be had is asked for, one thing.
func TestQuestionsAskBack(t *testing.T) {
	coach := houseCoach(t)
	for say, want := range map[string]string{
		"what power for f8 at 3 m":             "guide number",
		"what is the depth of field at f4":     "focal",
		"guide number of 36 at 1/16 power, f?": "how far",
		"sun height at 2024-06-20 12:00 utc?":  "latitude",
	} {
		a := coach.Answer(new(bot.Thread), bot.Message{Text: say})
		if a.Kind != "number" || a.Result != nil || !strings.Contains(strings.ToLower(a.AskBack), want) {
			t.Errorf("%q: %s, asks %q, want the %s", say, a.Kind, a.AskBack, want)
		}
	}
}

// A moment is told as people read it, by which clock, with its date where it is
// another; the document has it in full. Sunsets by the low-precision formula of
// the Astronomical Almanac, which is not the program's.
func TestMomentsAreTold(t *testing.T) {
	coach := houseCoach(t)
	for say, want := range map[string][2]string{
		"what time does the sun set on 1 aug 2026, 38.7N 9.14W, Europe/Lisbon": {"Sunset on 1 Aug 2026: 20:47 (Europe/Lisbon).", "2026-08-01T20:47:00+01:00"},
		"sunset on 17 oct 2003 at lat 39.742476 lon -105.1786":                 {"00:19 on 18 Oct 2003 (UTC).", "2003-10-18T00:19:00Z"},
		"sunset on 21 june 2026 at 69.65N 18.96E":                              {"No sunset that day: the sun stays above", "No sunset"},
	} {
		a := coach.Answer(new(bot.Thread), bot.Message{Text: say})
		if a.Result == nil || !strings.Contains(a.Headline, want[0]) || !strings.Contains(a.Result.Text, want[1]) {
			t.Errorf("%q: %q (%+v), want %q", say, a.Headline, a.Result, want)
		}
	}
}

// What a formula refuses is told calmly: no number, no panic.
func TestQuestionsOutOfRange(t *testing.T) {
	coach := houseCoach(t)
	for say, want := range map[string]string{
		"50mm f8 full frame focused at 30 m, far limit":           "infinity",
		"sunset at lat 69.65 lon 18.96 on 2024-06-21":             "above",
		"when is sunrise at lat 69.65 lon 18.96 on 2024-12-21":    "below",
		"what kelvin is 5 mired":                                  "works from",
		"how many stops from f8 to f64 and 1e999 and 0/0 and 1/0": "",
	} {
		a := coach.Answer(new(bot.Thread), bot.Message{Text: say})
		data, err := json.Marshal(a)
		if err != nil || strings.Contains(string(data), "NaN") || strings.Contains(string(data), "Inf") {
			t.Errorf("%q: %v %s", say, err, data)
		}
		if want != "" && (a.Result == nil || a.Result.Value != nil || !strings.Contains(a.Headline, want)) {
			t.Errorf("%q: %q (%+v), want it to say %q", say, a.Headline, a.Result, want)
		}
	}
	if a := coach.Answer(new(bot.Thread), bot.Message{Text: "sun height at lat 91 lon 0 on 2024-06-20 12:00 utc"}); a.Result != nil && a.Result.Value != nil {
		t.Errorf("a sun at latitude 91: %s", a.Headline)
	}
}

func BenchmarkQuestion(b *testing.B) {
	coach := houseCoach(b)
	for b.Loop() {
		if a := coach.Answer(new(bot.Thread), bot.Message{Text: "power for f8 at 3 m gn 36"}); a.Result == nil {
			b.Fatal(a.Text)
		}
	}
}

func FuzzQuestion(f *testing.F) {
	coach := houseCoach(f)
	for _, say := range []string{
		"how many stops f5.6 to f2", "power for f8 at 3 m gn 36", "iso 100 to 640 is how many stops up", "which gel takes a 5500K flash to 3400K",
		"sun height at lat 51.5 lon 0 on 2024-06-20 12:00 utc", "hss or nd at f1.8", "60cm softbox at 1 m, angle?", "1m umbrella, 2 m, gust 1e9 m/s, ballast?",
		"f0 to f-1 stops?", "dof 1mm f0.5 at 0.001 m", "sunset lat -91 lon 999 on 31/31/9999", "mired of 0 K", "ratio 0:0?", "what what what ? ? ? iso iso",
	} {
		f.Add(say)
	}
	f.Fuzz(func(t *testing.T, say string) {
		a := coach.Answer(new(bot.Thread), bot.Message{Text: say})
		if _, err := json.Marshal(a); err != nil {
			t.Fatalf("%q: %v", say, err)
		}
		if a.Result != nil && a.Result.Value != nil && (math.IsNaN(*a.Result.Value) || math.IsInf(*a.Result.Value, 0)) {
			t.Fatalf("%q: %v", say, *a.Result.Value)
		}
		if lines := strings.Count(a.Text, "\n") + 1; a.Kind == "number" && lines > 14 {
			t.Fatalf("%q: %d lines", say, lines)
		}
	})
}
