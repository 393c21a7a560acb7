package bot_test

import (
	"fmt"
	"math"
	"testing"

	"panelhand/bot"
	"panelhand/bot/answer"
)

// Whatever stands and whatever is said of its frame, nothing goes the wrong way:
// what is asked for moves towards it or not at all, and what was to stay stays
// (trade handbook §4, the columns "change" and "side effects").
func TestFollowUpsGoTheRightWay(t *testing.T) {
	coach := houseCoach(t)
	type numbers = *answer.Numbers
	type rule func(was, is numbers) string
	get := func(n numbers, key string) float64 { v, _ := n.Get(key); return v }
	// goes wants a number to move with the sign, or to stay. What a click rounds
	// away is no move.
	goes := func(key string, sign float64) rule {
		return func(was, is numbers) string {
			if d := get(is, key) - get(was, key); d*sign < -0.15 {
				return fmt.Sprintf("%s goes by %.2f", key, d)
			}
			return ""
		}
	}
	// stays wants a level to stay within a click, where there is a flash to hold
	// it with: without one the dials move face and background together.
	stays := func(key string) rule {
		return func(was, is numbers) string {
			if d := get(is, key) - get(was, key); math.Abs(d) > 0.34 && get(was, "flash_power") > 0 {
				return fmt.Sprintf("%s goes by %.2f", key, d)
			}
			return ""
		}
	}
	// light wants more light on the face, or less: of the flash where there is one.
	// What a flash gives after a complaint is what its frame showed, so its dials tell.
	light := func(sign float64) rule {
		given := func(n numbers) float64 {
			stops := -2*math.Log2(get(n, "aperture")) + math.Log2(get(n, "iso"))
			if power := get(n, "flash_power"); power > 0 {
				off := max(get(n, "panel_subject_m"), get(n, "flash_subject_m"), 0.01)
				return stops + math.Log2(power) - 2*math.Log2(off)
			}
			return stops + math.Log2(get(n, "shutter_s"))
		}
		return func(was, is numbers) string {
			if d := given(is) - given(was); d*sign < -0.1 {
				return fmt.Sprintf("its light goes by %.2f", d)
			}
			return ""
		}
	}
	flash := func(sign float64) rule { // where one stands
		return func(was, is numbers) string {
			if get(was, "flash_power") == 0 {
				return ""
			}
			return light(sign)(was, is)
		}
	}
	face, background := stays("subject_stops"), stays("background_stops")
	checks := map[string][]rule{
		"face too dark": {light(1)}, "face too bright": {light(-1)}, "her face is half a stop under": {light(1)},
		"face too dark but background is right": {light(1), background}, "face too bright, bg fine": {light(-1), background},
		"flash a bit strong": {light(-1)}, "flash too weak": {light(1)},
		"bg darker": {goes("background_stops", -1), face}, "background down a stop": {goes("background_stops", -1), face}, "background is blown out": {goes("background_stops", -1), face},
		"bg brighter":                {goes("background_stops", 1), face},
		"everything a stop too dark": {goes("background_stops", 1)}, "everything a stop too bright": {goes("background_stops", -1)},
		"softer": {goes("source_deg", 1), face}, "harder light": {goes("source_deg", -1), face},
		"more shape": {goes("key_fill_stops", 1), face}, "flatter": {goes("key_fill_stops", -1), face},
		"warmer": {goes("wb_k", 1)}, "cooler": {goes("wb_k", -1)},
		"more depth": {goes("aperture", 1), face}, "shallower": {goes("aperture", -1), face}, "less noise": {goes("iso", -1), face},
		"dark eye sockets": {face}, "eyes dead": {face}, "squinting": {face}, "hot forehead": {face}, "glare in the glasses": {face}, "two shadows": {face},
		"looks flashy": {face}, "nose shadow too long": {face}, "shadow under chin": {face}, "shiny skin": {face}, "bands in the pics": {face},
		"black band at the bottom": {face}, "hands are blurred": {face},
		// in everyday words: comparatives, shares and multiples, slang of the trade
		"a tad brighter on the face": {light(1)}, "brighter": {light(1)}, "a click darker": {light(-1)}, "faces half a stop shy": {light(1)}, "he is half a stop over": {light(-1)},
		"her face is cooked": {light(-1)}, "face is mud": {light(1)}, "gun down a stop": {flash(-1)}, "double the flash": {flash(1)}, "half as much flash": {flash(-1)},
		"knock a third off the flash": {flash(-1)}, "street behind a stop darker, her as she is": {goes("background_stops", -1), face}, "behind them a stop brighter": {goes("background_stops", 1), face},
		"background half as bright": {goes("background_stops", -1), face}, "background twice as bright": {goes("background_stops", 1), face}, "what is behind her reads black": {goes("background_stops", 1), face},
		"back there reads black, lift it one stop and leave him alone": {goes("background_stops", 1), goes("key_up_deg", 0), stays("key_up_deg"), face}, "more mood": {goes("background_stops", -1), face},
		"less mood": {goes("key_fill_stops", -1), face}, "a touch gentler": {goes("source_deg", 1), face}, "warm it a tad": {goes("wb_k", 1)}, "cool it a touch": {goes("wb_k", -1)}, "colder please": {goes("wb_k", -1)},
		"two clicks slower": {goes("shutter_s", 1)}, "a click faster": {goes("shutter_s", -1)}, "in by a hand": {goes("panel_subject_m", -1), goes("flash_subject_m", -1), face}, "out a hand": {goes("panel_subject_m", 1), goes("flash_subject_m", 1), face},
		"panel twice as far": {goes("panel_subject_m", 1), face}, "halve the distance": {goes("panel_subject_m", -1), goes("flash_subject_m", -1), face}, "down a hand": {goes("key_up_deg", -1), face}, "up a hand": {goes("key_up_deg", 1), face},
		"double shadow under the nose": {face, stays("key_up_deg")}, "brows throw shadows into the eyes": {goes("key_up_deg", -1), face}, "warm her, not what is behind": {stays("background_stops")},
	}
	moved := 0
	for _, first := range []string{
		"overhead light, want softer, have flash + 40in panel", "noon sun, one guy, no kit", "sun behind her, white reflector, helper", "sun behind her, flash through 1m panel, helper",
		"open shade, one woman, no flash, white panel, helper", "open shade, flash bounced off white panel", "window, one man, no flash, white panel", "dusk, one woman, led",
		"dusk, couple, flash through panel, two helpers", "station hall, tungsten lamps, no flash", "station hall, flash with full cto, panel, helper",
		"overcast, couple, umbrella and flash on a stand with 10kg", "under an awning, flash through 1m panel, helper", "midday sun, flash, umbrella, helper", "midday sun, bare flash",
		"night street, flash, softbox 60cm, helper", "group of 8 in shade, two flashes, stands with weights", "harbour market stall, roof, white panel only, helper",
		"dappled trees, translucent panel, helper", "noon sun, translucent 1m panel, helper", "window behind her, flash, white panel, helper", "led ceiling hall, flash into the wall",
	} {
		for say, rules := range checks {
			thread := new(bot.Thread)
			was := coach.Answer(thread, bot.Message{Text: first})
			a := coach.Answer(thread, bot.Message{Text: say})
			if was.Numbers == nil || a.Numbers == nil {
				t.Errorf("%q, %q: no numbers", first, say)
				continue
			}
			if len(a.Changed) > 0 {
				moved++
			}
			for _, rule := range rules {
				if wrong := rule(was.Numbers, a.Numbers); wrong != "" {
					t.Errorf("%q, %q: %s (%v)\n%s", first, say, wrong, a.Adjusted, a.Text)
				}
			}
		}
	}
	if moved < 400 {
		t.Errorf("only %d of the follow-ups moved anything", moved)
	}
}
