package bot_test

import (
	"encoding/json"
	"testing"

	"panelhand/bot"
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
