package bot_test

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/bot/render"
)

// A sweep of what crews say: every light with every bag and every limit.
var (
	sweepLights = []string{"", "midday sun", "sun behind her", "dappled light under a tree", "open shade", "overcast", "market awning", "window", "tungsten lamps", "fluorescent tubes", "led ceiling lamps", "street at night", "dusk", "golden hour", "stage lights"}
	sweepKits   = []string{"", "no kit", "white reflector", "40in panel", "one flash", "flash + 40in panel", "flash through 40in panel", "flash + 43in umbrella", "flash in a 60cm softbox, stand", "one led", "2 flashes + 1m panel", "led and white reflector"}
	sweepLimits = []string{"", "no flash", "no stands", "no helper", "windy", "2 people", "softer, f4", "f8 iso 400", "moody", "group of 7"}
)

func sweep(f func(message string)) {
	for _, light := range sweepLights {
		for _, kit := range sweepKits {
			for _, limit := range sweepLimits {
				var parts []string
				for _, p := range []string{light, kit, limit} {
					if p != "" {
						parts = append(parts, p)
					}
				}
				f(strings.Join(parts, ", "))
			}
		}
	}
}

// TestNumbersAddUp recomputes each answer's exposure from its printed marks
// by the published relation EV100 = log2(N²/t) − log2(S/100), and the face as
// light added to light; nothing of the program's own arithmetic is used.
func TestNumbersAddUp(t *testing.T) {
	long(t)
	coach := houseCoach(t)
	lit, checked := 0, 0
	sweep(func(message string) {
		a := coach.Answer(new(bot.Thread), bot.Message{Text: message})
		if a.Numbers == nil {
			return
		}
		checked++
		n := a.Numbers.Map()
		taken := math.Log2(n["aperture"]*n["aperture"]/n["shutter_s"]) - math.Log2(n["iso"]/100) + n["nd_stops"]
		near := func(what string, got, want float64) {
			if math.Abs(got-want) > 1e-6 {
				t.Errorf("%q: %s is %v, its marks say %v", message, what, got, want)
			}
		}
		near("ambient_stops", n["ambient_stops"], n["ambient_ev100"]-taken)
		near("background_stops", n["background_stops"], n["background_ev100"]-taken)
		subject := math.Exp2(n["ambient_stops"])
		if power, ok := n["flash_power"]; ok {
			lit++
			subject += math.Exp2(n["flash_stops"])
			if n["shutter_s"] < 1.0/200-1e-9 {
				t.Errorf("%q: %v s is faster than sync", message, n["shutter_s"])
			}
			if power < 1.0/128-1e-9 || power > 1 {
				t.Errorf("%q: the flash has no power %v", message, power)
			}
		}
		near("subject_stops", n["subject_stops"], math.Log2(subject))
	})
	if checked < 1000 || lit < 200 {
		t.Errorf("only %d answers with numbers, %d of them lit", checked, lit)
	}
}

// flashWays are the techniques that fire a flash.
var flashWays = []string{"through", "bounce", "umbrella", "softbox", "wall", "bare"}

// TestAnswersKeepTheirPromises holds every answer of the sweep to the phone's
// size and to what was forbidden.
func TestAnswersKeepTheirPromises(t *testing.T) {
	long(t)
	coach := houseCoach(t)
	sweep(func(message string) {
		if message == "" {
			return
		}
		a := coach.Answer(new(bot.Thread), bot.Message{Text: message})
		if lines := strings.Count(a.Text, "\n") + 1; lines > render.MaxLines {
			t.Errorf("%q: %d lines", message, lines)
		}
		if chars := utf8.RuneCountInString(a.Text); chars > render.MaxChars {
			t.Errorf("%q: %d characters", message, chars)
		}
		data, err := json.Marshal(a)
		if err != nil {
			t.Fatalf("%q: %v", message, err)
		}
		for _, bad := range []string{"NaN", "Inf", "{", "}"} {
			if strings.Contains(a.Text, bad) {
				t.Errorf("%q: the text holds %q:\n%s", message, bad, a.Text)
			}
		}
		if strings.Contains(string(data), ":null") {
			t.Errorf("%q: the JSON holds null", message)
		}
		if a.Setup == nil {
			if a.Kind == answer.KindSetup {
				t.Errorf("%q: a set-up without one", message)
			}
			return
		}
		if strings.Contains(message, "no flash") {
			for _, way := range flashWays {
				if slices.Contains(a.Setup.Technique, way) {
					t.Errorf("%q: %s fires a flash (%s)", message, way, a.Setup.ID)
				}
			}
		}
	})
}

// TestSameMessageSameAnswer: nothing of a clock, a map's order or an earlier
// message shows in an answer.
func TestSameMessageSameAnswer(t *testing.T) {
	coach, other := houseCoach(t), houseCoach(t)
	const message = "overhead light, want softer, have 2 flashes + 40in panel, windy, 2 people"
	want, err := json.Marshal(coach.Answer(new(bot.Thread), bot.Message{Text: message, Full: true}))
	if err != nil {
		t.Fatal(err)
	}
	for range 20 {
		other.Answer(new(bot.Thread), bot.Message{Text: "dusk, one flash"})
		got, err := json.Marshal(other.Answer(new(bot.Thread), bot.Message{Text: message, Full: true}))
		if err != nil {
			t.Fatal(err)
		}
		if string(got) != string(want) {
			t.Fatalf("two answers to one message:\n%s\n%s", got, want)
		}
	}
}

func FuzzAnswer(f *testing.F) {
	coach := houseCoach(f)
	sweep(func(message string) {
		if len(message)%17 == 0 {
			f.Add(message)
		}
	})
	f.Add("f/0, ISO 0, 1/0, -3 m, 900 people, a 500 m panel, gn 0, 0 flashes, wind 1e309")
	f.Fuzz(func(t *testing.T, message string) {
		thread := new(bot.Thread)
		for range 2 {
			a := coach.Answer(thread, bot.Message{Text: message, Full: true})
			if _, err := json.Marshal(a); err != nil {
				t.Fatalf("%q: %v", message, err)
			}
			if a.Text == "" {
				t.Fatalf("%q: no text", message)
			}
			if strings.Contains(a.Text, "NaN") || strings.Contains(a.Text, "+Inf") {
				t.Fatalf("%q: %s", message, a.Text)
			}
		}
	})
}

func BenchmarkAnswer(b *testing.B) {
	coach := houseCoach(b)
	for _, message := range []string{
		"overhead light, want softer, have flash + 40in panel",
		"no stands allowed, windy, 2 people",
		"sun behind her, face too dark, one white reflector, no flash",
	} {
		b.Run(message[:12], func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				coach.Answer(new(bot.Thread), bot.Message{Text: message})
			}
		})
	}
}
