package bot_test

import (
	"strings"
	"testing"

	"panelhand/bot"
	"panelhand/calc/lens"
	"panelhand/calc/units"
)

// The frame holds those it is of: half a metre of shoulders each, in a row.
// Source: trade handbook N31 (frame width) and "a body = 0.5 m".
func TestFrameHoldsThePeople(t *testing.T) {
	coach := houseCoach(t)
	for _, c := range []struct {
		thread []string
		row    units.Metres
	}{
		{[]string{"couple, overcast, flash + 40in panel, one helper"}, 1},
		{[]string{"three people, overcast, one bare flash"}, 1.5},
		{[]string{"overcast, one bare flash", "now 3 people"}, 1.5},
		{[]string{"family of 6, 2 rows, umbrella 110cm, flash, overcast"}, 1.5},
	} {
		thread := new(bot.Thread)
		var numbers map[string]float64
		for _, say := range c.thread {
			numbers = coach.Answer(thread, bot.Message{Text: say}).Numbers.Map()
		}
		wide, err := lens.FrameWidth(36, units.Millimetres(numbers["focal_mm"]), units.Metres(numbers["camera_subject_m"]))
		if err != nil {
			t.Fatal(err)
		}
		if wide < c.row-1e-6 {
			t.Errorf("%q: the frame is %.2f m wide, the row %.2f m", c.thread, wide, c.row)
		}
		if flash, ok := numbers["flash_subject_m"]; ok && numbers["key_side_deg"] <= 15 && flash > numbers["camera_subject_m"]+1e-6 {
			t.Errorf("%q: flash %.2f m off over a camera %.2f m off", c.thread, flash, numbers["camera_subject_m"])
		}
	}
}

// A flash that does nothing is told, with what makes it count: two stops down
// are two f-numbers of the full row.
func TestIdleFlashIsTold(t *testing.T) {
	coach := houseCoach(t)
	for _, c := range []struct {
		say  string
		want string // "" where the flash works
	}{
		{"overcast, flash through the 1m panel, f2.8, 1/200, iso 100", "the flash adds nothing"},
		{"overcast, flash through the 1m panel", ""},
	} {
		got := coach.Answer(new(bot.Thread), bot.Message{Text: c.say})
		if told := strings.Contains(got.Text, "the flash adds nothing"); told != (c.want != "") {
			t.Errorf("%q: told %v:\n%s", c.say, told, got.Text)
		}
	}
}

// A phone has no dials, and an answer to one sets none.
func TestPhoneGetsNoDials(t *testing.T) {
	coach := houseCoach(t)
	for _, say := range []string{"phone only, child running", "only my phone, market roof, trader", "only my phone, window, white reflector"} {
		got := coach.Answer(new(bot.Thread), bot.Message{Text: say})
		if got.Setup == nil || strings.Contains(got.Text, "f/") || strings.Contains(got.Text, "ISO") {
			t.Errorf("%q:\n%s", say, got.Text)
		}
	}
}
