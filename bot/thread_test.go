package bot_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"panelhand/bot"
	"panelhand/bot/answer"
)

// TestThreadIsKept: a thread that a store had between two messages answers the
// next as one that never left.
func TestThreadIsKept(t *testing.T) {
	coach := houseCoach(t)
	says := []string{
		"trader under the steel canopy, flash thru 40in panel, f4", "forehead hot", "bg a stop darker, leave her face", "closer by 20 cm", "go back", "same but f5.6", "moody", "what was f again",
	}
	stays, leaves := new(bot.Thread), new(bot.Thread)
	for _, say := range says {
		data, err := json.Marshal(leaves)
		if err != nil {
			t.Fatal(err)
		}
		leaves = new(bot.Thread)
		if err := json.Unmarshal(data, leaves); err != nil {
			t.Fatal(err)
		}
		want, got := coach.Answer(stays, bot.Message{Text: say}), coach.Answer(leaves, bot.Message{Text: say})
		if got.Text != want.Text {
			t.Errorf("%q\nafter a store:\n%s\n\nwithout:\n%s", say, got.Text, want.Text)
		}
	}
}

// TestPowerAskedOrReported: "flash to 1/4" turns the dial and says where the
// face goes; "1/1 and still dark" tells what the flash is worth.
func TestPowerAskedOrReported(t *testing.T) {
	coach := houseCoach(t)
	say := func(say string) *answer.Answer {
		thread := new(bot.Thread)
		coach.Answer(thread, bot.Message{Text: "overcast on the quay, flash through 1m panel, two helpers, f5.6"})
		return coach.Answer(thread, bot.Message{Text: say})
	}
	for text, want := range map[string]struct {
		power   float64
		settled bool
	}{"flash to 1/2": {0.5, false}, "set the flash to 1/2": {0.5, false}, "power already 1/1": {1, true}} {
		a := say(text)
		power, _ := a.Numbers.Get("flash_power")
		face, _ := a.Numbers.Get("subject_stops")
		if power != want.power || (math.Abs(face) < 1.0/3) != want.settled {
			t.Errorf("%q: power %v, face %+.2f\n%s", text, power, face, a.Text)
		}
	}
}

// TestTooMuch: "too much" takes half of the last change back, and says so
// instead of the words that asked for it.
func TestTooMuch(t *testing.T) {
	coach, thread := houseCoach(t), new(bot.Thread)
	up := func(say string) float64 {
		a := coach.Answer(thread, bot.Message{Text: say})
		v, _ := a.Numbers.Get("key_up_deg")
		if say == "too much" && (strings.Contains(a.Text, "Down a hand") || len(a.Changed) == 0) {
			t.Errorf("%q:\n%s", say, a.Text)
		}
		return v
	}
	was := up("trader under the canopy, flash thru 40in panel, two helpers")
	down := up("her eyes are dead")
	if half := up("too much"); !(down < half && half < was) {
		t.Errorf("key from %v down to %v, then to %v", was, down, half)
	}
}

// TestUndoAndAsk: a message that takes the last change back and asks a number
// gets both, the number being that of the set-up which stands again.
func TestUndoAndAsk(t *testing.T) {
	coach := houseCoach(t)
	thread := new(bot.Thread)
	say := func(text string) *answer.Answer { return coach.Answer(thread, bot.Message{Text: text}) }
	first := say("open shade, flash + 40in panel, softer")
	changed := say("flash up one stop")
	if near(changed.Numbers.Map()["flash_power"], first.Numbers.Map()["flash_power"]) {
		t.Fatal("the change changed nothing, so undoing it would prove nothing")
	}
	both := say("undo that, and what power should the flash have")
	if got, want := both.Numbers.Map()["flash_power"], first.Numbers.Map()["flash_power"]; !near(got, want) {
		t.Errorf("after undo the power is %v, before the change it was %v", got, want)
	}
	prose := both.Sections[len(both.Sections)-1]
	if want := fmt.Sprintf("1/%g", 1/first.Numbers.Map()["flash_power"]); prose.Part != answer.Prose || !strings.Contains(strings.Join(prose.Lines, " "), want) {
		t.Errorf("the question's own line is %v, want %s in it", prose, want)
	}
	if again := say("undo"); again.Numbers != nil {
		t.Errorf("undone twice:\n%s", again.Text)
	}
}

func near(x, y float64) bool { return math.Abs(x-y) <= 1e-9*math.Abs(y) }

// TestThreadKnowsItsOwn: what a lead types in a talk is answered from the set-up
// that stands: its distances, its numbers asked on, what was undone, a wall that
// differs, a cloud that comes over shade. Numbers: disc rule and hyperfocal of the
// trade handbook (Q7, Q24), the rest the thread's own.
func TestThreadKnowsItsOwn(t *testing.T) {
	coach := houseCoach(t)
	talk := func(says ...string) *answer.Answer {
		thread := new(bot.Thread)
		var a *answer.Answer
		for _, say := range says {
			a = coach.Answer(thread, bot.Message{Text: say})
		}
		return a
	}
	const shade = "open shade, one man, flash through 1m panel, 2 helpers"
	for _, c := range []struct {
		says   []string
		result string
		value  float64
	}{
		{[]string{shade, "how far is the panel?"}, "distance_m", 1.2},
		{[]string{shade, "softer", "undo", "redo", "how far is the panel?"}, "distance_m", 0.6},
		{[]string{shade, "softer", "how many does the panel cover at 1.5 m", "how far is the panel?"}, "distance_m", 0.6},
		{[]string{"85mm f2.8 at 2m, whats the dof", "and at f4"}, "depth_m", 0.127354},
		{[]string{"85mm f2.8 at 2m, whats the dof", "and at f4", "50mm?", "hyperfocal for that"}, "hyperfocal_m", 20.8833},
		{[]string{"how far back for a 1.2m panel at 35", "at 50?"}, "flash_panel_m", 2.5},
	} {
		a := talk(c.says...)
		if a.Result == nil || a.Result.Name != c.result || a.Result.Value == nil || math.Abs(*a.Result.Value-c.value) > 0.01*c.value {
			t.Errorf("%q: %s, want %s %v", c.says, a.Text, c.result, c.value)
		}
	}
	for _, c := range []struct {
		says []string
		path string
		want float64
	}{
		{[]string{"shade, flash thru panel at 1.2, two helpers"}, "panel_subject_m", 1.2},
		{[]string{"shade, f5.6, flash thru panel, panel at 1.4, two helpers"}, "panel_subject_m", 1.4},
		{[]string{"shade, flash through panel at 1.8, two helpers"}, "aperture", 1.8},
		{[]string{"station hall, led lamps, flash + 1m panel, helper, f4 1/160 iso 800", "bands in the pics", "light dropped a bit"}, "shutter_s", 1.0 / 100},
		{[]string{"station hall, led ceiling lamps, moody, flash through 1m panel, f4 1/200 iso 400", "next wall is 1 stop darker, hold the look"}, "shutter_s", 1.0 / 100},
	} {
		a := talk(c.says...)
		if v, _ := a.Numbers.Get(c.path); math.Abs(v-c.want) > 1e-6 {
			t.Errorf("%q: %s is %v, want %v\n%s", c.says, c.path, v, c.want, a.Text)
		}
	}
	if a := talk(shade, "sun went behind a cloud"); a.Rebuilt || !strings.Contains(a.Text, "Cloud") {
		t.Errorf("a cloud over shade rebuilds, or is not told:\n%s", a.Text)
	}
	if a := talk("sun, one man, translucent 1m panel, helper", "sun went behind a cloud"); !a.Rebuilt || !strings.Contains(a.Text, "Cloud") {
		t.Errorf("a cloud over sun leaves the scrim up, or is not told:\n%s", a.Text)
	}
	if a := talk("overcast, two flashes, 8 people two rows", "one flash died"); a.Facts.Count("flash") != 1 || a.Facts.Has("limits", "no-flash") {
		t.Errorf("one of two flashes died: %d left", a.Facts.Count("flash"))
	}
	if a := talk("overcast, one flash, one man", "the flash died"); a.Facts.Count("flash") != 0 {
		t.Errorf("the only flash died: %d left", a.Facts.Count("flash"))
	}
}
