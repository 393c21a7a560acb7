package render

import (
	"strings"
	"testing"
	"unicode/utf8"

	"panelhand/bot/answer"
)

func TestTextKeepsToAPhone(t *testing.T) {
	long := strings.Repeat("word ", 50)
	sections := []answer.Section{
		{Part: answer.Lead, Lines: []string{"lead"}},
		{Part: answer.First, Lines: []string{"first"}},
		{Part: answer.Place, Lines: []string{long, long}},
		{Part: answer.Helper, Lines: []string{long, long}},
		{Part: answer.Check, Lines: []string{long, "check two"}},
		{Part: answer.Assume, Lines: []string{long}},
		{Part: answer.Careful, Lines: []string{"mind the edge", "mind the wind"}},
		{Part: answer.Ask, Lines: []string{"which light?"}},
	}
	got := Text(sections, Labels{answer.Careful: "Careful"})
	if n := utf8.RuneCountInString(got); n > MaxChars {
		t.Errorf("%d characters", n)
	}
	for _, keep := range []string{"lead", "first", "Careful: mind the edge", "mind the wind"} {
		if !strings.Contains(got, keep) {
			t.Errorf("%q is lost:\n%s", keep, got)
		}
	}
	if strings.Contains(got, "which light?") {
		t.Error("the question is what goes first, and it is still there")
	}
}

func TestTextShortensTheEndless(t *testing.T) {
	got := Text([]answer.Section{{Part: answer.Prose, Lines: []string{strings.Repeat("é", 5000)}}}, nil)
	if n := utf8.RuneCountInString(got); n != MaxChars {
		t.Errorf("%d characters, want %d", n, MaxChars)
	}
}

// TestShortIsWhatTextShows: the sections of Short, labelled, are Text's lines.
func TestShortIsWhatTextShows(t *testing.T) {
	long := strings.Repeat("word ", 40)
	sections := []answer.Section{
		{Part: answer.Lead, Lines: []string{"lead"}},
		{Part: answer.Place, Lines: []string{long, long, long, long, long}},
		{Part: answer.Helper, Lines: []string{"“hold”", long}},
		{Part: answer.Check, Lines: []string{long, "check two"}},
		{Part: answer.Careful, Lines: []string{"mind the edge"}},
		{Part: answer.Ask, Lines: []string{"which light?"}},
	}
	labels := Labels{answer.Careful: "Careful", answer.Place: "Place"}
	short := Short(sections, labels)
	if got, want := Text(short, labels), Text(sections, labels); got != want {
		t.Errorf("Short is laid out as\n%s\nwant\n%s", got, want)
	}
	if len(short) == len(sections) {
		t.Error("nothing was left out: this test looks at too little")
	}
}
