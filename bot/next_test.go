package bot_test

import (
	"slices"
	"testing"
	"unicode/utf8"

	"panelhand/bot"
	"panelhand/bot/answer"
)

// TestNextIsHeardAndMade presses every follow-up that the corpus's answers offer:
// each must be heard as asked of the set-up that stands and move something or
// say what to do.
func TestNextIsHeardAndMade(t *testing.T) {
	long(t)
	coach := houseCoach(t)
	offered, labels := 0, map[string]int{}
	for _, c := range readCorpus(t, "corpus.jsonl") {
		for _, first := range c.Turns[:1] {
			thread := new(bot.Thread)
			a := coach.Answer(thread, bot.Message{Text: first.Say, Buttons: true})
			if a.Stops() && len(a.Next) > 0 {
				t.Errorf("%q is stopped and still offers %v", first.Say, a.Next)
			}
			for _, next := range a.Next {
				offered++
				labels[next.Label]++
				if labels[next.Label] > 8 {
					continue // pressed often enough
				}
				if n := utf8.RuneCountInString(next.Label); n == 0 || n > 24 {
					t.Errorf("the label %q has %d characters", next.Label, n)
				}
				fresh := new(bot.Thread)
				coach.Answer(fresh, bot.Message{Text: first.Say, Buttons: true})
				b := coach.Answer(fresh, bot.Message{Text: next.Say, Buttons: true})
				if b.Kind != answer.KindChange || len(b.Adjusted) == 0 {
					t.Errorf("%q offers %q, which answers %s: %s", first.Say, next.Say, b.Kind, b.Text)
				}
			}
		}
	}
	if offered < 200 || len(labels) < 20 {
		t.Errorf("only %d follow-ups of %d kinds were offered", offered, len(labels))
	}
	t.Logf("%d follow-ups of %d kinds", offered, len(labels))
}

// TestNextFits: what is offered depends on the answer.
func TestNextFits(t *testing.T) {
	coach := houseCoach(t)
	for _, c := range []struct {
		say       string
		has, lack string
	}{
		{"man with glasses under tube lights, flash and umbrella", "Less glare", "Hair blown out"},
		{"portrait under the market roof, flash + 40in panel, want softer", "Softer", "Less glare"},
		{"portrait under the market roof, flash + 40in panel, want harder light", "Face too dark", "Softer"},
		{"3 people in open shade, flash thru 1m panel, helper", "More in focus", "Blurrier background"},
	} {
		a := coach.Answer(new(bot.Thread), bot.Message{Text: c.say, Buttons: true})
		has := func(label string) bool {
			return slices.ContainsFunc(a.Next, func(n answer.Next) bool { return n.Label == label })
		}
		if !has(c.has) || has(c.lack) {
			t.Errorf("%q offers %v, want %q and not %q", c.say, a.Next, c.has, c.lack)
		}
	}
}
