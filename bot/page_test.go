package bot_test

import (
	"strings"
	"testing"
	"time"

	"panelhand/bot"
	"panelhand/bot/channel"
	"panelhand/bot/memory"
)

// TestPage: what was said in the conversation is on the page, and what is
// settled there is felt in the conversation.
func TestPage(t *testing.T) {
	now := time.Date(2026, 5, 12, 17, 30, 0, 0, time.UTC)
	s := &bot.Session{Coach: houseCoach(t), Store: memory.New()}
	say := func(thread, text string) string {
		t.Helper()
		a, err := s.Answer(t.Context(), channel.Message{Team: "tide", Thread: thread, Text: text, Now: now})
		if err != nil {
			t.Fatal(err)
		}
		return a.Text
	}
	say("a", "our kit: two small flashes, a 1 m folding panel")
	say("a", "overhead light, want softer, have flash + panel")
	say("a", "save this as Harbour roof")
	say("a", "note for the station hall: no stands on the platform")
	page, err := s.Page(t.Context(), "tide", now)
	if err != nil {
		t.Fatal(err)
	}
	if len(page.Kit) != 2 || !strings.Contains(page.Kit[1], "1 m") || page.Feet {
		t.Errorf("the kit is told as %q", page.Kit)
	}
	if len(page.Setups) != 1 || page.Setups[0].Title != "Harbour roof" || !strings.Contains(page.Setups[0].Line, "f/") {
		t.Errorf("set-ups: %+v", page.Setups)
	}
	if len(page.Notes) != 1 || !strings.Contains(page.Notes[0], "no stands") {
		t.Errorf("notes: %q", page.Notes)
	}
	if later, _ := s.Page(t.Context(), "tide", now.Add(25*time.Hour)); len(later.Notes) != 0 {
		t.Errorf("yesterday's notes are today's: %q", later.Notes)
	}
	if other, _ := s.Page(t.Context(), "other", now); len(other.Kit)+len(other.Setups)+len(other.Notes) > 0 {
		t.Errorf("another team sees %+v", other)
	}

	feet := true
	if err := s.Settle(t.Context(), "tide", &feet, "Station hall"); err != nil {
		t.Fatal(err)
	}
	const ask = "overhead light, want softer, have flash + panel"
	if text := say("b", ask); !strings.Contains(text, " ft") {
		t.Errorf("lengths are in feet, yet it says\n%s", text)
	}
	if text := say("b", ask); !strings.Contains(text, "no stands on the platform") && !strings.Contains(say("c", ask), "no stands on the platform") {
		t.Errorf("the usual venue's rule is not told:\n%s", text)
	}
	say("b", "clear our kit list")
	if page, _ := s.Page(t.Context(), "tide", now); !page.Feet {
		t.Error("clearing the kit clears how lengths are told")
	}
}
