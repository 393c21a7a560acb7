package bot_test

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/bot/channel"
	disk "panelhand/bot/folder"
	"panelhand/rules"
	"panelhand/rules/playbook"
	"panelhand/rules/source"
)

const tideCrew = `owner: Ines
leads: [Ines, Bo]
assistants: [Tam]
`

// newTeam is a crew with a folder of its own.
func newTeam(t testing.TB) (*crew, string) {
	t.Helper()
	dir := t.TempDir()
	put(t, dir, "crew.yaml", tideCrew)
	c := newCrew(t)
	shelf, news, err := bot.NewShelf(playbook.Files, os.DirFS(dir))
	if err != nil || news != "" {
		t.Fatal(news, err)
	}
	shelf.Keeper = disk.Open(context.Background(), dir)
	c.session.Shelf, c.person = shelf, "Ines"
	return c, dir
}

func put(t testing.TB, dir, name, text string) {
	t.Helper()
	path := filepath.Join(dir, filepath.FromSlash(name))
	if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, []byte(text), 0o644)); err != nil {
		t.Fatal(err)
	}
}

// as speaks as somebody else of the crew, in a talk of their own.
func (c *crew) as(person, text string) *answer.Answer {
	c.t.Helper()
	was, thread := c.person, c.thread
	defer func() { c.person, c.thread = was, thread }()
	c.person, c.thread = person, person
	return c.say(text)
}

func says(t *testing.T, a *answer.Answer, want ...string) {
	t.Helper()
	for _, w := range want {
		if !strings.Contains(a.Text, w) {
			t.Errorf("%q is not in:\n%s", w, a.Text)
		}
	}
}

const hallMessage = "station hall, lamps overhead, flash thru 1m panel, one helper, want softer"

// A set-up that worked becomes a rule by two leads, answers from then on, is
// changed, and is taken back step by step.
func TestRuleFromTheChannel(t *testing.T) {
	c, dir := newTeam(t)
	house := c.as("Rosa", hallMessage).Setup
	says(t, c.say("make this a rule called Hall North"), "no set-up in this talk")
	c.say(hallMessage)
	stood := c.say("panel 20 cm closer")
	made := c.say("make this a rule called Hall North because it held for a whole evening")
	says(t, made, "Draft 1", "“Hall North”", "nothing is live yet", `wants("softer")`, "Tried on: “"+hallMessage, "Because: it held", "approve draft 1")
	if len(made.Record.Found) != 2 {
		t.Errorf("the files are not shown: %v", made.Record.Found)
	}
	says(t, c.say("approve draft 1"), "two leads")
	says(t, c.as("Tam", "approve draft 1"), "for the team's leads")
	says(t, c.as("Tam", "make this a rule"), "for the team's leads")
	says(t, c.as("Tam", "drafts"), "Draft 1: “Hall North”, Ines")
	says(t, c.as("Bo", "show draft 1"), "Hall North", "Tried on", "approve draft 1")
	if now := c.as("Rosa2", hallMessage).Setup; now.ID != house.ID {
		t.Errorf("a draft answers before it is approved: %s", now.ID)
	}
	says(t, c.as("Bo", "approve"), "“Hall North” is a rule now")

	a := c.as("Rosa3", hallMessage)
	if a.Setup.ID != "ours-hall-north" || a.Setup.Title != "Hall North" || !strings.Contains(a.Setup.Source, "Ines") || !strings.Contains(a.Setup.Source, "held for a whole evening") {
		t.Errorf("the rule does not answer as it should: %+v", a.Setup)
	}
	for _, key := range []string{"panel_subject_m", "ambient_stops"} {
		was, _ := stood.Numbers.Get(key)
		is, _ := a.Numbers.Get(key)
		if is < was-0.35 || is > was+0.35 {
			t.Errorf("%s is %g and stood at %g", key, is, was)
		}
	}
	for _, name := range []string{"from-channel/setups/ours-hall-north.yaml", "from-channel/setups/ours-hall-north.cases.yaml"} {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			t.Error(err)
		}
	}
	if left, _ := c.session.Store.Drafts(context.Background(), "tide"); len(left) > 0 {
		t.Errorf("the draft still waits: %v", left)
	}
	says(t, c.as("Bo", "approve draft 1"), "No draft 1 waits")

	// A second version, in a talk about the first.
	c.thread = "later"
	c.say(hallMessage)
	c.say("panel 20 cm closer")
	says(t, c.say("make this a rule called hall north: nearer is rounder"), "takes the place of your rule", "Draft 2")
	says(t, c.as("Bo", "ok approve draft 2"), "is a rule now")
	says(t, c.say("history of Hall North"), "nearer is rounder", "held for a whole evening", "Ines", "approved by Bo", "12 May 2026")
	says(t, c.say("what changed in hall north"), "- key:", "+ key:")
	says(t, c.as("Tam", "revert hall north"), "for the team's leads")
	says(t, c.as("Bo", "revert hall north"), "back as it stood on 12 May 2026")
	says(t, c.say("history of hall north"), "put back")
	if now := c.as("Rosa4", hallMessage); now.Setup.ID != "ours-hall-north" || now.Setup.Title != "Hall North" {
		t.Errorf("put back is %+v", now.Setup)
	}
}

// A rule's first version, taken back, leaves the house's answer; its history
// stays.
func TestRuleTakenBack(t *testing.T) {
	c, _ := newTeam(t)
	house := c.as("Rosa", hallMessage).Setup.ID
	c.say(hallMessage)
	c.say("make this a rule called Hall North")
	c.as("Bo", "approve draft 1")
	says(t, c.as("Bo", "roll back hall north"), "no rule any more")
	if now := c.as("Rosa2", hallMessage).Setup.ID; now != house {
		t.Errorf("%s answers, want the house's %s", now, house)
	}
	says(t, c.say("versions of hall north"), "put back", "approved by Bo")
	if a := c.say("history of the fish hall"); a.Kind == answer.KindRecord && strings.Contains(a.Text, "What was done") {
		t.Errorf("a rule that never was has a history:\n%s", a.Text)
	}
}

// What cannot be a rule is said so, and what waits still waits.
func TestDraftsRefused(t *testing.T) {
	t.Run("no folder", func(t *testing.T) {
		c := newCrew(t)
		c.say(hallMessage)
		says(t, c.say("make this a rule"), "no team folder")
		says(t, c.say("approve draft 1"), "no team folder")
	})
	t.Run("a stop in the talk", func(t *testing.T) {
		c, _ := newTeam(t)
		c.say(hallMessage)
		if a := c.say("thunder overhead now"); !a.Stops() {
			t.Fatalf("nothing stops:\n%s", a.Text)
		}
		says(t, c.say("make this a rule called storm"), "holds a stop")
		says(t, c.say("drafts"), "No draft waits")
	})
	t.Run("numbers", func(t *testing.T) {
		c, _ := newTeam(t)
		says(t, c.say("approve"), "No draft waits")
		says(t, c.say("approve draft 99999999999999999999"), "No draft 9999")
		c.say(hallMessage)
		says(t, c.say("make this a rule called "+strings.Repeat("long ", 60)), "too long for a name")
		c.say("make this a rule called one")
		c.say("make this a rule called two")
		says(t, c.as("Bo", "approve"), "by its number", "“one”", "“two”")
		says(t, c.as("Bo", "turn down draft 1: too near the rail"), "dropped: “one”", "too near the rail")
		says(t, c.as("Bo", "draft 1"), "No draft 1 waits")
		says(t, c.as("Tam", "drop draft 2"), "for the team's leads")
		says(t, c.say("withdraw draft 2"), "dropped: “two”")
	})
	t.Run("a folder that vanishes", func(t *testing.T) {
		c, dir := newTeam(t)
		c.say(hallMessage)
		c.say("make this a rule called Hall North")
		if err := os.RemoveAll(dir); err != nil {
			t.Fatal(err)
		}
		a, err := c.session.Answer(context.Background(), channel.Message{Team: "tide", Thread: "Bo", Person: "Bo", Text: "approve draft 1"})
		if err == nil || !strings.Contains(a.Text, "cannot be read") {
			t.Errorf("%v\n%s", err, a.Text)
		}
		says(t, c.as("Bo", "drafts"), "Draft 1")
	})
	t.Run("a folder that is broken meanwhile", func(t *testing.T) {
		c, dir := newTeam(t)
		c.say(hallMessage)
		c.say("make this a rule called Hall North")
		put(t, dir, "words/own.yaml", "- word: x\n  meens: {}\n")
		says(t, c.as("Bo", "approve draft 1"), "does not hold", "is missing")
		says(t, c.as("Bo", "drafts"), "Draft 1")
		put(t, dir, "words/own.yaml", netShed)
		says(t, c.as("Bo", "approve draft 1"), "is a rule now")
	})
	t.Run("a name that the folder has by hand", func(t *testing.T) {
		c, dir := newTeam(t)
		c.say(hallMessage)
		c.say("make this a rule called Hall North")
		drafts, err := c.session.Store.Drafts(context.Background(), "tide")
		if err != nil {
			t.Fatal(err)
		}
		for name, text := range drafts[0].Files {
			put(t, dir, strings.Replace(name, "from-channel/", "", 1), text)
		}
		says(t, c.as("Bo", "approve draft 1"), "does not hold", "ours-hall-north")
	})
}

// Two leads approve at once: one of them does it, and it is done once.
func TestApprovedAtOnce(t *testing.T) {
	c, _ := newTeam(t)
	c.say(hallMessage)
	c.say("make this a rule called Hall North")
	put := make([]string, 4)
	var talking sync.WaitGroup
	for i := range put {
		talking.Go(func() {
			a, err := c.session.Answer(context.Background(), channel.Message{Team: "tide", Thread: strings.Repeat("x", i+1), Person: "Bo", Text: "approve draft 1"})
			if err != nil {
				t.Error(err)
				return
			}
			put[i] = a.Text
		})
	}
	talking.Wait()
	done := 0
	for _, text := range put {
		if strings.Contains(text, "is a rule now") {
			done++
		} else if !strings.Contains(text, "No draft 1 waits") {
			t.Errorf("neither done nor decided:\n%s", text)
		}
	}
	versions, err := c.session.Shelf.Keeper.Versions(context.Background(), "from-channel/setups/ours-hall-north.yaml")
	if err != nil || done != 1 || len(versions) != 1 {
		t.Errorf("%d did it, %d versions, %v", done, len(versions), err)
	}
}

// What somebody found wrong becomes a case to mend, and is still answered as
// the follow-up that it is.
func TestWrongAnswersBecomeCases(t *testing.T) {
	c, dir := newTeam(t)
	if a := c.say("that was wrong"); a.Kind == answer.KindRecord {
		t.Errorf("there was no answer to be wrong:\n%s", a.Text)
	}
	c.say(hallMessage)
	says(t, c.say("that was wrong"), "Kept as draft 1")
	a := c.say("that's wrong: her forehead is hot")
	if a.Kind != answer.KindChange {
		t.Errorf("the complaint is not answered: %s\n%s", a.Kind, a.Text)
	}
	says(t, a, "Kept as draft 2")
	says(t, c.as("Bo", "draft 2"), "wrong answer to “"+hallMessage, "her forehead is hot")
	says(t, c.as("Bo", "approve draft 2"), "A case to mend now")
	says(t, c.as("Ines", "approve draft 1"), "A case to mend now") // one lead is enough
	data, err := fs.ReadFile(os.DirFS(dir), rules.ToMend)
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(data), "mend:"); n != 2 || !strings.Contains(string(data), "her forehead is hot") {
		t.Errorf("the cases are\n%s", data)
	}
	if news := c.session.Shelf.Refresh(); news != "" {
		t.Errorf("the folder is not well: %s", news)
	}
}

// Set-ups of every sort, as they stand after follow-ups, become rules that get
// their own message and light the face as it was lit.
func TestEverySortBecomesARule(t *testing.T) {
	talks := [][]string{
		{"overhead light, want softer, have flash + 40in panel", "a bit brighter"},
		{"sun behind her, white reflector, no flash", "closer by 20 cm"},
		{"flash in umbrella, overcast, helper", "background a stop darker"},
		{"flash bare, dusk", "warmer"},
		{"midday sun, panel, no flash, scrim over her"},
		{"low white ceiling, flash, wall bounce", "softer"},
		{"tungsten lamps, flash with half cto thru panel", "panel 10 cm closer"},
		{"flash in 60cm softbox on stand 10kg, 1m panel, overcast", "feather it", "shadow side too dark, fill it"},
		{"couple, awning, flash thru 1m panel, 2 helpers", "bit less flash"},
	}
	if testing.Short() {
		talks = talks[:3]
	}
	c, _ := newTeam(t)
	for _, talk := range talks {
		c.thread = talk[0]
		var stood *answer.Answer
		for _, say := range talk {
			if a := c.say(say); a.Numbers != nil {
				stood = a
			}
		}
		made := c.say("make this a rule called The One")
		if !strings.Contains(made.Text, "nothing is live yet") {
			t.Errorf("%q: no draft:\n%s", talk, made.Text)
			continue
		}
		if n := strings.Count(made.Text, "\n") + 1; n > 14 || len([]rune(made.Text)) > 1200 {
			t.Errorf("%d lines, %d characters:\n%s", n, len([]rune(made.Text)), made.Text)
		}
		files := fstest.MapFS{}
		for _, f := range made.Record.Found {
			files[f.Title] = &fstest.MapFile{Data: []byte(f.Text)}
		}
		book, problems := rules.LoadOver(playbook.Files, files)
		if source.Errors(problems) > 0 {
			t.Fatal(source.Format(problems, 5))
		}
		tried := regexp.MustCompile(`Tried on: “(.*)”`).FindStringSubmatch(made.Text)
		a := bot.New(book).Answer(new(bot.Thread), bot.Message{Text: tried[1]})
		if a.Setup == nil || a.Setup.ID != "ours-the-one" {
			t.Errorf("%q: %q gets %+v", talk, tried[1], a.Setup)
			continue
		}
		was, now := stood.Numbers.Map()["subject_stops"], a.Numbers.Map()["subject_stops"]
		if now < was-0.5 || now > was+0.5 {
			t.Errorf("%q: the face lies at %+.2f and lay at %+.2f", talk, now, was)
		}
	}
}

// A draft that was kept before a restart is approved after it.
func TestDraftsOutliveTheProgram(t *testing.T) {
	c, dir := newTeam(t)
	c.say(hallMessage)
	c.say("make this a rule called Hall North")
	again, _ := newTeam(t)
	again.session.Store = c.session.Store
	shelf, _, err := bot.NewShelf(playbook.Files, os.DirFS(dir))
	if err != nil {
		t.Fatal(err)
	}
	shelf.Keeper = disk.Open(context.Background(), dir)
	again.session.Shelf = shelf
	says(t, again.as("Bo", "approve draft 1"), "is a rule now")
	if again.as("Rosa", hallMessage).Setup.ID != "ours-hall-north" {
		t.Error("the rule does not answer")
	}
}
