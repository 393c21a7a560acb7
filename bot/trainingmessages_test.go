package bot_test

import (
	"bufio"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/bot/channel"
	"panelhand/bot/drill"
	"panelhand/bot/memory"
)

// A drillLine is one message of testdata/drills.jsonl: one that asks a drill, or
// one typed while a drill waits for its answer.
type drillLine struct {
	Drill string             `json:"drill"` // that waits, with its numbers
	With  map[string]float64 `json:"with"`
	Say   string             `json:"say"`
	Kind  answer.Kind        `json:"kind"`  // of the answer; "any" of those that are none of training
	Mark  string             `json:"mark"`  // of the answer
	Opens bool               `json:"opens"` // a question is asked
	About string             `json:"about"` // a matter of the question asked
	Open  bool               `json:"open"`  // the question still waits
}

// drillsFloor is the share of those messages that must come out.
const drillsFloor = 0.97

func TestDrillMessages(t *testing.T) {
	coach, book := houseCoach(t), houseBook(t)
	file, err := os.Open(filepath.Join("..", "testdata", "drills.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	right, all := 0, 0
	for lines := bufio.NewScanner(file); lines.Scan(); {
		var line drillLine
		if err := json.Unmarshal(lines.Bytes(), &line); err != nil {
			t.Fatal(err)
		}
		all++
		thread := new(bot.Thread)
		if line.Drill != "" {
			open := drill.Question{Drill: line.Drill, Values: line.With}
			data, err := json.Marshal(map[string]any{"training": map[string]any{"open": open}})
			if err == nil {
				err = json.Unmarshal(data, thread)
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		a := coach.Answer(thread, bot.Message{Text: line.Say, Seed: uint64(all)})
		kept, err := json.Marshal(thread)
		if err != nil {
			t.Fatal(err)
		}
		var after struct {
			Training struct {
				Open *drill.Question `json:"open"`
			} `json:"training"`
		}
		if err := json.Unmarshal(kept, &after); err != nil {
			t.Fatal(err)
		}
		mark := ""
		if a.Drill != nil {
			if mark = a.Drill.Mark; a.Drill.Stop {
				mark = "stop " + mark
			}
		}
		kind := a.Kind
		if line.Kind == "any" && kind != answer.KindDrill {
			kind = "any"
		}
		open := after.Training.Open
		ok := kind == line.Kind && mark == line.Mark && (open != nil) == (line.Open || line.Opens)
		if ok && line.About != "" {
			d, _ := book.Drill(open.Drill)
			ok = slices.Contains(d.About, line.About)
		}
		if ok {
			right++
			continue
		}
		t.Logf("%s %q: %s %s, open %v; wanted %s %s", line.Drill, line.Say, a.Kind, mark, open != nil, line.Kind, line.Mark)
	}
	t.Logf("drills: %d of %d messages come out (%.1f %%)", right, all, 100*float64(right)/float64(all))
	if all < 80 || float64(right) < drillsFloor*float64(all) {
		t.Errorf("%d of %d come out", right, all)
	}
}

// Progress is kept by person, is theirs alone until they share it, and goes when
// they are forgotten.
func TestTrainingByPerson(t *testing.T) {
	store := memory.New()
	session := &bot.Session{
		Coach: ledBy(t, "Marit"), Store: store, Seed: 7,
		Clock: func() time.Time { return time.Date(2026, 6, 1, 9, 0, 0, 0, time.UTC) },
	}
	say := func(person, text string) *answer.Answer {
		t.Helper()
		a, err := session.Answer(context.Background(), channel.Message{Team: "tide", Thread: person, Person: person, Text: text})
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	holds := func(a *answer.Answer, want string) {
		t.Helper()
		if !strings.Contains(a.Text, want) {
			t.Errorf("%q is not in:\n%s", want, a.Text)
		}
	}
	say("Ines", "drill day 1")
	if a := say("Ines", "stop"); a.Drill == nil || a.Drill.Mark == "" {
		t.Fatalf("%+v", a.Drill)
	}
	holds(say("Ines", "my week"), "1 asked")
	holds(say("Oke", "my week"), "0 asked")
	holds(say("Marit", "team week"), "Nobody shares")
	holds(say("Ines", "share my week"), "The leads see your week")
	holds(say("Marit", "team week"), "Ines: Last seven days: 1 asked")
	holds(say("Oke", "team week"), "for the leads")
	holds(say("Ines", "keep my week private"), "Only you see this")
	holds(say("Marit", "team week"), "Nobody shares")
	if _, err := store.ForgetPerson(context.Background(), "tide", "Ines"); err != nil {
		t.Fatal(err)
	}
	holds(say("Ines", "my week"), "0 asked")
}
