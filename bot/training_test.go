package bot_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/bot/render"
	"panelhand/rules"
)

// A line of a training talk: what is said, the kind of answer and the mark; "?"
// for a question asked.
type trained struct {
	say  string
	kind answer.Kind
	mark string
}

// Talks of training, in which other things are said too. What answers a question
// by its wording is fixed by asking for one drill alone.
var trainings = map[string][]trained{
	"a question stays open until it is answered": {
		{"quiz me on even light", answer.KindDrill, "?"},
		{"zzkt fnarg", answer.KindUnsure, ""},
		{"what is a stop?", answer.KindMeaning, ""},
		{"7 m", answer.KindDrill, "not yet"},
		{"7 m", answer.KindUnsure, ""},
	},
	"a set-up between is the newer talk": {
		{"quiz me on row drop and rows", answer.KindDrill, "?"},
		{"open shade, flash + 40in panel", answer.KindSetup, ""},
		{"half a stop darker", answer.KindChange, ""},
		{"answer: 9 stops darker", answer.KindDrill, "half"},
	},
	"giving up": {
		{"test me on gels", answer.KindDrill, "?"},
		{"open shade, flash + 40in panel", answer.KindSetup, ""},
		{"dunno", answer.KindDrill, "not yet"},
	},
	"danger is danger while a question is open": {
		{"drill on reading light", answer.KindDrill, "?"},
		{"thunder over the harbour, panel is up", answer.KindSafety, ""},
		{"gusts of 70 km/h, flash on a stand", answer.KindSafety, ""},
		{"skip", answer.KindDrill, "not yet"},
	},
	"said otherwise": {
		{"quiz me on gels", answer.KindDrill, "?"},
		{"who can see my drill results?", answer.KindDrill, ""},
		{"no idea tbh", answer.KindDrill, "not yet"},
		{"what do i need to repeat?", answer.KindDrill, ""},
		{"what should i learn on my second day?", answer.KindDrill, ""},
		{"what is the pass mark for week one", answer.KindDrill, ""},
		{"what does closed fist mean", answer.KindDrill, ""},
		{"drill", answer.KindDrill, "?"},
		{"ok thats enough for now", answer.KindDrill, ""},
		{"whos sharing their week?", answer.KindDrill, ""},
	},
	"only stop passes a stop": {
		{"quiz me on power lines", answer.KindDrill, "?"},
		{"20 degrees", answer.KindDrill, "not yet"},
		{"quiz me on power lines", answer.KindDrill, "?"},
		{"stop, the wires", answer.KindDrill, "right"},
	},
	"next": {
		{"next", answer.KindUnsure, ""},
		{"drill day 3", answer.KindDrill, "?"},
		{"pass", answer.KindDrill, "not yet"},
		{"another one", answer.KindDrill, "?"},
	},
	"orders put as questions": {
		{"what do i learn the first week", answer.KindDrill, ""},
		{"first week day 5", answer.KindDrill, ""},
		{"pass mark?", answer.KindDrill, ""},
		{"what are the hand signals again", answer.KindDrill, ""},
		{"what does a fist mean", answer.KindDrill, ""},
		{"crossed forearms?", answer.KindDrill, ""},
		{"what do i do when lead says cord", answer.KindDrill, ""},
		{"what does a flat palm mean", answer.KindDrill, ""},
		{"the lead said lap what is that", answer.KindDrill, ""},
		{"what do i learn in the first week", answer.KindDrill, ""},
		{"show me the stops i have to know by heart", answer.KindDrill, ""},
		{"whats my score", answer.KindDrill, ""},
		{"how many right so far", answer.KindDrill, ""},
		{"im new here what should i know", answer.KindDrill, ""},
		{"which stops are absolute?", answer.KindDrill, ""},
		{"what does feather mean", answer.KindMeaning, ""}, // a word of the trade is explained as ever
		{"what are stops", answer.KindMeaning, ""},         // those of light
		{"fist", answer.KindUnsure, ""},
	},
	"a hint leaves the question open, an end does not": {
		{"quiz me on ratio", answer.KindDrill, "?"},
		{"give me a hint", answer.KindDrill, "?"},
		{"no clue sorry", answer.KindDrill, "not yet"},
		{"quiz me on thunder", answer.KindDrill, "?"},
		{"hint", answer.KindDrill, "?"},
		{"stop quizzing me", answer.KindDrill, ""}, // not the stop that was asked for
		{"stop", answer.KindUnsure, ""},
		{"enough", answer.KindDrill, ""},
	},
	"an order is not a drill": {
		{"day 2", answer.KindDrill, ""},
		{"day 9", answer.KindUnsure, ""},
		{"the call-outs card please", answer.KindDrill, ""},
		{"hand signals", answer.KindDrill, ""},
		{"my progress", answer.KindDrill, ""},
	},
}

func TestTraining(t *testing.T) {
	coach := houseCoach(t)
	for name, talk := range trainings {
		t.Run(name, func(t *testing.T) {
			thread := new(bot.Thread)
			for _, line := range talk {
				a := coach.Answer(thread, bot.Message{Text: line.say})
				mark := ""
				if a.Drill != nil {
					if mark = a.Drill.Mark; mark == "" {
						mark = "?"
					} else if a.Drill.Of == "" {
						t.Errorf("%q: no working", line.say)
					}
				}
				if a.Kind != line.kind || mark != line.mark {
					t.Errorf("%q is %s %q, want %s %q\n%s", line.say, a.Kind, mark, line.kind, line.mark, a.Text)
				}
				if a.Text == "" || a.Headline == "" {
					t.Errorf("%q: an empty answer", line.say)
				}
				// what is open survives the store
				data, err := json.Marshal(thread)
				if err != nil {
					t.Fatal(err)
				}
				thread = new(bot.Thread)
				if err := json.Unmarshal(data, thread); err != nil {
					t.Fatal(err)
				}
			}
		})
	}
}

// TestTrainingLeavesNoFacts: neither a question nor an answer is heard as a scene.
func TestTrainingLeavesNoFacts(t *testing.T) {
	coach := houseCoach(t)
	thread := new(bot.Thread)
	coach.Answer(thread, bot.Message{Text: "open shade, 2 people"})
	for _, say := range []string{"give me a drill on flash power and distance", "1/8", "quiz me on wind", "stop"} {
		a := coach.Answer(thread, bot.Message{Text: say})
		if a.Kind != answer.KindDrill {
			t.Fatalf("%q is %s", say, a.Kind)
		}
		if a.Heard["kit"] != nil || a.Facts.Has("light.kind", "sun") || fmt.Sprint(a.Heard["subject"]) != "map[people:2]" {
			t.Errorf("after %q the thread knows %v", say, a.Heard)
		}
	}
}

// TestMissesComeBack: what was wrong is asked again when its time has come, and
// each person has a progress of their own.
func TestMissesComeBack(t *testing.T) {
	coach := houseCoach(t)
	thread := new(bot.Thread)
	now := time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC)
	say := func(person, text string, after time.Duration) *answer.Answer {
		now = now.Add(after)
		return coach.Answer(thread, bot.Message{Text: text, Person: person, Now: now})
	}
	say("Ines", "drill", 0)
	say("Ines", "pass", time.Second)
	missed := thread.Progress("Ines").Last
	say("Ines", "drill", time.Second)
	say("Ines", "pass", time.Second)
	say("Ines", "drill", 10*time.Second)
	say("Ines", "pass", time.Second)
	if again := thread.Progress("Ines").Last; again != missed {
		t.Errorf("%s was missed, %s came", missed, again)
	}
	if len(thread.Progress("Joao").Drills) != 0 {
		t.Error("another person's progress grew")
	}
	if a := say("Ines", "share my week", 0); !thread.Progress("Ines").Shared || a.Kind != answer.KindDrill {
		t.Error("sharing was not kept")
	}
	crew := coach.Answer(thread, bot.Message{Text: "crew week", Person: "Joao", Now: now, Lead: true})
	if !strings.Contains(crew.Text, "Ines: Last seven days: 3 asked") {
		t.Errorf("a lead reads %q", crew.Text)
	}
	if a := coach.Answer(thread, bot.Message{Text: "crew week", Person: "Joao", Now: now}); strings.Contains(a.Text, "Ines") {
		t.Error("one who leads nobody reads another's week")
	}
	say("Ines", "keep my week private", 0)
	if a := coach.Answer(thread, bot.Message{Text: "crew week", Now: now, Lead: true}); strings.Contains(a.Text, "Ines") {
		t.Error("a week taken back is still read")
	}
}

// TestCardsAndDaysAreWhole: nothing of a card or a day is cut on a phone.
func TestCardsAndDaysAreWhole(t *testing.T) {
	book, coach := houseBook(t), houseCoach(t)
	whole := func(say string, parts ...string) {
		a := coach.Answer(new(bot.Thread), bot.Message{Text: say})
		if a.Kind != answer.KindDrill || strings.Count(a.Text, "\n") >= render.MaxLines || utf8.RuneCountInString(a.Text) > render.MaxChars {
			t.Errorf("%q is %s, %d characters", say, a.Kind, utf8.RuneCountInString(a.Text))
		}
		for _, p := range parts {
			if !strings.Contains(a.Text, p) {
				t.Errorf("%q does not show %q:\n%s", say, p, a.Text)
			}
		}
	}
	if len(book.Cards) < 2 || len(book.Days) != 7 {
		t.Fatalf("%d cards, %d days", len(book.Cards), len(book.Days))
	}
	for _, card := range book.Cards {
		var parts []string
		for _, call := range card.Lines {
			parts = append(parts, call.Call.Value+": "+call.Means.Value)
		}
		for _, say := range card.Say {
			whole(say, parts...)
		}
	}
	week := []string{}
	for _, d := range book.Days {
		week = append(week, d.Title.Value)
		parts := []string{d.Title.Value, strings.TrimSuffix(d.Pass.Value, ".")}
		for _, k := range d.Know {
			parts = append(parts, k.Value)
		}
		whole(fmt.Sprintf("day %d", d.Day), parts...)
	}
	whole("week", week...)
}

// TestStopDrillsAreStops: what only "stop" passes is stopped by the safety rules
// when a crew types it, by the caution that the drill names.
func TestStopDrillsAreStops(t *testing.T) {
	book, coach := houseBook(t), houseCoach(t)
	for _, d := range book.Drills {
		if d.Stop == nil || d.Answer != nil {
			continue
		}
		say := d.Ask.Value
		for _, draw := range d.Draws {
			say = strings.ReplaceAll(say, "{"+draw.Name+"}", fmt.Sprint(draw.Values[0], " ", draw.Unit))
		}
		a := coach.Answer(new(bot.Thread), bot.Message{Text: say})
		caution, ok := book.Caution(d.Stop.Caution)
		if !ok || !slices.ContainsFunc(a.Raised, func(r rules.Raised) bool { return r.Stop && r.ID == caution.Raises }) {
			t.Errorf("%s %q is not stopped for %s:\n%s", d.ID, say, d.Stop.Caution, a.Text)
		}
	}
}

// "Why" after a mark tells the working again, and after anything else is about
// that.
func TestWhyAfterAMark(t *testing.T) {
	coach, thread := houseCoach(t), new(bot.Thread)
	say := func(text string) *answer.Answer {
		return coach.Answer(thread, bot.Message{Text: text, Seed: 7})
	}
	say("drill")
	marked := say("no idea")
	if marked.Drill == nil || marked.Drill.Of == "" {
		t.Fatalf("nothing is marked:\n%s", marked.Text)
	}
	for _, why := range []string{"why?", "how come", "explain that please"} {
		if a := say(why); a.Kind != answer.KindDrill || !strings.Contains(a.Text, strings.SplitN(marked.Drill.Of, "\n", 2)[0]) {
			t.Errorf("%q: %s\n%s\nwant\n%s", why, a.Kind, a.Text, marked.Drill.Of)
		}
	}
	say("open shade, flash and panel")
	if a := say("why"); a.Kind == answer.KindDrill {
		t.Errorf("about the set-up: %s\n%s", a.Kind, a.Text)
	}
}
