package bot_test

import (
	"strings"
	"testing"

	"panelhand/bot"
)

// A stop holds through a talk until its cause is told to be gone, and only
// then: a wish, a question or a promise lifts nothing.
func TestStopsLift(t *testing.T) {
	const (
		child  = "overcast, boy of 8 with his mum, flash and 40in panel, helper > mum went to the car > "
		gusts  = "overcast, one woman, flash through 40in panel, two helpers > gusting 50 > "
		ill    = "window, one woman who is light-sensitive, flash > "
		unsure = "window, boy of 8, forms not signed, flash > "
	)
	c := houseCoach(t)
	for talk, stopped := range map[string]bool{
		child + "mum is back":                             false,
		child + "she returned":                            false,
		child + "he is back":                              true,
		child + "she is back":                             false,
		child + "his teacher is here, mum named her":      false,
		child + "boy has gone, now an adult man":          false,
		child + "boy has gone, now his sister of 6":       true,
		child + "is mum back?":                            true,
		child + "we wait until mum is back":               true,
		child + "mum will be back in 5":                   true,
		child + "his coach is here":                       true,
		child + "a bit softer":                            true,
		gusts + "panel is folded, bare flash in hand":     false,
		gusts + "all folded":                              false,
		gusts + "we moved into the lee, calm here":        false,
		gusts + "we moved into the lee":                   false,
		gusts + "we moved into the lee > moved to a pier": true,
		gusts + "we moved into the lee > gusting 50 here": true,
		gusts + "no flash then, just daylight":            false,
		gusts + "no flash":                                true,
		gusts + "is it calmer in the lee?":                true,
		gusts + "panel folded in half":                    true,
		gusts + "dont fold the panel":                     true,
		child + "boy left a bit":                          true,
		gusts + "helper holds the panel tight":            true,
		ill + "what can we do with a white hoop then":     false,
		ill + "at lowest power then":                      true,
		ill + "what can we do with the flash":             true,
		ill + "what can we do with less power":            true,
		unsure + "forms are signed now":                   false,
		unsure + "mum is back":                            true,
	} {
		thread := &bot.Thread{}
		var last string
		for _, text := range strings.Split(talk, " > ") {
			last = c.Answer(thread, bot.Message{Text: text}).Text
		}
		if got := strings.HasPrefix(last, "STOP"); got != stopped {
			t.Errorf("%s\nstopped: %v\n%s", talk, got, last)
		}
	}
}
