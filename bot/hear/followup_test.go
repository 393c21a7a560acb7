package hear

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"testing"

	"panelhand/rules/fact"
)

// A wish is one row of the follow-ups: what a crew says after a test frame,
// in the words of phones, and what must be heard in each of them. Rows F1–F66
// are those of the trade handbook, §4; the wordings are common practice.
type wish struct {
	Row     string                     `json:"row"`
	Wish    string                     `json:"wish"`
	Heard   map[string]json.RawMessage `json:"heard"`
	Amounts []struct {
		Value float64 `json:"value"`
		Unit  string  `json:"unit"`
	} `json:"amounts"`
	Say []string `json:"say"`
}

// A follow-up is typed in a thread where a flash and a panel are known.
func TestFollowUps(t *testing.T) {
	encoded, err := os.ReadFile("testdata/followups.json")
	if err != nil {
		t.Fatal(err)
	}
	var wishes []wish
	if err := json.Unmarshal(encoded, &wishes); err != nil {
		t.Fatal(err)
	}
	ear := house(t)
	known := ear.Read("open shade, 1 person, flash and 40in panel, 1 helper", nil).Facts
	messages, right := 0, 0
	for _, w := range wishes {
		for _, say := range w.Say {
			messages++
			reading := ear.Read(say, known)
			_, failed := turn{Heard: w.Heard}.judge(reading.Facts)
			for _, want := range w.Amounts {
				if !slices.ContainsFunc(reading.Amounts, func(a Amount) bool {
					return string(a.Unit) == want.Unit && (want.Value == 0 || near(a.Value, want.Value))
				}) {
					failed = append(failed, fmt.Sprintf("amounts are %v, want %v", reading.Amounts, want))
				}
			}
			if len(failed) == 0 {
				right++
				continue
			}
			t.Errorf("%s %q: %v; heard %v, unheard %v", w.Row, say, failed, fact.HeardJSON(reading.Facts), reading.Leftover)
		}
	}
	t.Logf("%d of %d follow-ups heard", right, messages)
}

// What a tired lead types in passing: settings, hands, places and kit in few
// words.
func TestCrewShorthand(t *testing.T) {
	ear := house(t)
	for _, c := range talks(t, "testdata/crew.jsonl") {
		reading := ear.Read(c.Turns[0].Say, nil)
		if _, failed := c.Turns[0].judge(reading.Facts); len(failed) > 0 {
			t.Errorf("%s %q: %v; unheard %v", c.ID, c.Turns[0].Say, failed, reading.Leftover)
		}
	}
}

// Messages around those that a lead of twenty years found misheard: ages,
// edges, limits of a dial, what happened to the light, who came and went. Each
// was written down with what a competent reader hears before the words were
// tuned to it.
func TestSecondReadingPhrasings(t *testing.T) {
	all := talks(t, "testdata/second.jsonl")
	total, right := score(t, house(t), all, t.Errorf)
	t.Logf("%d messages: %d of %d assertions", len(all), right, total)
}
