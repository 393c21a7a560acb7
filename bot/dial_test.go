package bot_test

import (
	"math"
	"strings"
	"testing"

	"panelhand/bot"
	"panelhand/bot/answer"
)

// A dial that is turned to a number stands at that number, whatever the words
// beside it would have done alone; one that was read off a frame goes on from it.
func TestTurnedToItsNumber(t *testing.T) {
	coach := houseCoach(t)
	for _, c := range []struct {
		say, key string
		want     float64
	}{
		{"zoom in to 70", "flash_zoom_mm", 70},
		{"at 35 zoom", "flash_zoom_mm", 35},
		{"panel closer to 70cm", "panel_subject_m", 0.7},
		{"pull the panel back to 2m", "panel_subject_m", 2},
		{"softer, panel in to 80cm", "panel_subject_m", 0.8},
		{"shutter slower to 1/60", "shutter_s", 1.0 / 60},
		{"bg brighter, 1/60", "shutter_s", 1.0 / 60},
		{"open up to f2.8", "aperture", 2.8},
		{"close down to f8", "aperture", 8},
		{"iso up to 800", "iso", 800},
		{"flash down to 1/32", "flash_power", 1.0 / 32},
		{"warmer, 6500k", "wb_k", 6500},
		{"bg too bright at 1/60", "shutter_s", 1.0 / 125}, // read off the frame: a stop faster than that
		{"in by a hand", "panel_subject_m", 1.2},          // from 1.3 m; a hand is 10 cm, a foot 30 (trade handbook §6)
		{"panel back two hands", "panel_subject_m", 1.5},
		{"come in a foot", "panel_subject_m", 1},
		{"panel twice as far", "panel_subject_m", 2.6},
		{"halve the distance", "panel_subject_m", 0.65},
		{"two clicks slower", "shutter_s", 1.0 / 125}, // from 1/200
		{"double the flash", "flash_power", 0.25},     // from 1/8: as many stops as the light is doubled
		{"half as much flash", "flash_power", 1.0 / 16},
		{"gun down a stop", "flash_power", 1.0 / 16},
	} {
		thread := new(bot.Thread)
		coach.Answer(thread, bot.Message{Text: "open shade, one woman, flash thru 40in panel, helper"})
		a := coach.Answer(thread, bot.Message{Text: c.say})
		if got, _ := a.Numbers.Get(c.key); math.Abs(math.Log2(got/c.want)) > 0.08 { // the marks are named to a tenth of a stop
			t.Errorf("%q: %s is %v, want %v\n%s", c.say, c.key, got, c.want, a.Text)
		}
	}
}

// A follow-up of which nothing could be used says so, and what it was.
func TestUnheardFollowUp(t *testing.T) {
	coach := houseCoach(t)
	thread := new(bot.Thread)
	coach.Answer(thread, bot.Message{Text: "station hall, lamps, one led, helper"})
	a := coach.Answer(thread, bot.Message{Text: "led at 70 then"})
	if len(a.Changed) > 0 || !strings.Contains(a.Text, "could not use: 70.") {
		t.Errorf("nothing was changed and nobody is told of the 70:\n%s", a.Text)
	}
}

// An LED stands where its crew says it stands, and lights by the inverse square.
func TestToldLED(t *testing.T) {
	coach := houseCoach(t)
	near := coach.Answer(new(bot.Thread), bot.Message{Text: "led at 60cm, dark hall, helper, f2.8 1/100"})
	far := coach.Answer(new(bot.Thread), bot.Message{Text: "led at 1.2m, dark hall, helper, f2.8 1/100"})
	for a, want := range map[*answer.Answer]float64{near: 0.6, far: 1.2} {
		if got, _ := a.Numbers.Get("led_subject_m"); got != want {
			t.Errorf("the LED is put at %v m, want %v", got, want)
		}
	}
	was, _ := near.Numbers.Get("iso")
	is, _ := far.Numbers.Get("iso")
	if is < 2*was || is > 4*was { // four times less from the LED, as much from the hall
		t.Errorf("ISO %v at twice ISO %v's distance", is, was)
	}
}

// A complaint about a frame says nothing of the light: where only the camera is
// turned for it, the light that is there goes up or down by what was turned and by
// nothing else (handbook §0, model A).
func TestComplaintsLeaveTheLight(t *testing.T) {
	coach := houseCoach(t)
	turned := 0
	for _, first := range []string{
		"noon sun, one guy, no kit", "sun behind her, white reflector", "open shade, one woman, no flash, white panel", "window, one man, no flash",
		"dusk, one woman, led", "station hall, tungsten lamps, no flash", "overcast, couple", "under an awning, flash through 1m panel, helper", "midday sun, flash, umbrella, helper",
	} {
		for _, say := range []string{"face too dark", "face too bright", "background too dark", "background too bright", "everything too bright", "she squints", "eyes dark", "noisy", "blurry, shake i think", "too flat", "too cold"} {
			thread := new(bot.Thread)
			was := coach.Answer(thread, bot.Message{Text: first}).Numbers
			a := coach.Answer(thread, bot.Message{Text: say})
			if was == nil || a.Numbers == nil || a.Rebuilt || len(a.Changed) == 0 {
				continue
			}
			stops := 0.0
			moved := false
			for _, c := range a.Changed {
				if c.Stops == nil || c.Name == "flash_power" {
					moved = moved || c.Name != "flash_power"
					continue
				}
				stops += *c.Stops
			}
			if moved {
				continue
			}
			turned++
			for _, key := range []string{"ambient_stops", "background_stops"} {
				from, _ := was.Get(key)
				to, _ := a.Numbers.Get(key)
				if math.Abs(to-from-stops) > 0.01 {
					t.Errorf("%q, %q: %s goes from %.2f to %.2f with %.2f turned\n%s", first, say, key, from, to, stops, a.Text)
				}
			}
		}
	}
	if turned < 30 {
		t.Errorf("only %d of the complaints turned the camera", turned)
	}
}

// What was changed goes back the way it came: in part, whole, or all of it; what
// was only supposed can be had after all; and what the crew set stays set.
func TestBackAndAgain(t *testing.T) {
	coach := houseCoach(t)
	said := "overcast, one woman, flash through 40in panel, two helpers, f5.6 1/160 iso100"
	free := "overcast, one woman, flash through 40in panel, two helpers"
	first := func(say, key string) float64 {
		v, _ := coach.Answer(new(bot.Thread), bot.Message{Text: say}).Numbers.Get(key)
		return v
	}
	power := first(said, "flash_power")
	for _, c := range []struct {
		talk []string
		key  string
		low  float64
		high float64
	}{
		{[]string{said, "flash up a stop", "bit less"}, "flash_power", power * 1.2, power * 1.8},
		{[]string{said, "flash down a stop", "bit less"}, "flash_power", power * 0.55, power * 0.85},
		{[]string{said, "flash up a stop", "take it back"}, "flash_power", power * 0.99, power * 1.01},
		{[]string{said, "flash up a stop", "nah"}, "flash_power", power * 0.99, power * 1.01},
		{[]string{said, "flash up a stop", "iso 200", "wb 5000", "back to the first set-up"}, "flash_power", power * 0.99, power * 1.01},
		{[]string{said, "flash up a stop", "iso 200", "undo everything"}, "iso", 100, 100},
		{[]string{free, "iso 200", "wb 5000"}, "iso", 200, 200},
		{[]string{said, "iso 200"}, "shutter_s", 0.99 / 160, 1.02 / 160},
		{[]string{free, "what if iso 400", "do that"}, "iso", 400, 400},
		{[]string{free, "what would iso 400 do", "flash up a stop"}, "iso", 100, 100},
	} {
		thread := new(bot.Thread)
		var got float64
		for _, say := range c.talk {
			a := coach.Answer(thread, bot.Message{Text: say})
			got, _ = a.Numbers.Get(c.key)
		}
		if got < c.low || got > c.high {
			t.Errorf("%q: %s is %v, want %v to %v", c.talk, c.key, got, c.low, c.high)
		}
	}
}

// A question moves no dial, whatever number it names.
func TestQuestionsMoveNothing(t *testing.T) {
	coach := houseCoach(t)
	for _, say := range []string{
		"max range at f8", "reach at f8 iso 400 full power", "recycle at full", "wait between pops flat out", "guide number at 50 mm zoom", "guide number at 70", "nd for f2", "which gel for tungsten",
		"where is the sun in 20 min", "sun in 20 min", "when does the sun go", "minutes to sunset", "how dark is the background", "how dark is the shadow side", "how soft is the light", "how long till it is dark",
		"how long will the batteries last", "how wide is the beam at 35 mm from 4 m", "ratio?", "dof", "how bright is the face",
	} {
		thread := new(bot.Thread)
		was := coach.Answer(thread, bot.Message{Text: "hall EV 7, one man, bare flash 2 m off at 35mm zoom, f5.6 iso 400 1/100"}).Numbers
		a := coach.Answer(thread, bot.Message{Text: say})
		now := coach.Answer(thread, bot.Message{Text: "keep it"}).Numbers
		for _, key := range []string{"iso", "aperture", "shutter_s", "flash_power", "flash_zoom_mm", "flash_subject_m", "key_up_deg", "wb_k"} {
			from, _ := was.Get(key)
			if to, _ := now.Get(key); from != to {
				t.Errorf("%q moves %s from %v to %v\n%s", say, key, from, to, a.Text)
			}
		}
		if a.Kind != "number" {
			t.Errorf("%q is answered as %s", say, a.Kind)
		}
	}
}
