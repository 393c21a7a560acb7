package bot_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"
	"unicode/utf8"

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/bot/channel"
	"panelhand/bot/memory"
	"panelhand/bot/render"
	"panelhand/rules/playbook"
	"panelhand/rules/source"
)

// evening is when the Tide crew's first message comes in.
var evening = time.Date(2026, 5, 12, 17, 30, 0, 0, time.UTC)

// A crew talks to a session, a minute between messages.
type crew struct {
	t       testing.TB
	session *bot.Session
	now     time.Time
	team    string
	thread  string
	person  string
}

func newCrew(t testing.TB) *crew {
	return &crew{t: t, session: &bot.Session{Coach: houseCoach(t), Store: memory.New()}, now: evening, team: "tide", thread: "one"}
}

func (c *crew) say(text string) *answer.Answer {
	c.t.Helper()
	c.now = c.now.Add(time.Minute)
	a, err := c.session.Answer(context.Background(), channel.Message{Team: c.team, Thread: c.thread, Person: c.person, Text: text, Now: c.now})
	if err != nil {
		c.t.Fatalf("%q: %v", text, err)
	}
	return a
}

// A line of a story: what is said, and what the answer is.
type line struct {
	say   string
	kind  answer.Kind // "" is a record
	has   string      // the text holds each of these, by "|"
	lacks string      // and none of these
	saved string      // record.saved
	found string      // titles of record.found, by "|"; "-" is none
	heard string      // paths that are heard, by "|"
	deaf  string      // paths that are not
}

// stories are talks with the memory. A "#name" line goes on in another thread
// of the same team.
var stories = map[string][]line{
	"records": {
		{say: "save this", has: "no set-up in this talk", saved: ""},
		{say: "save this as nothing at all", has: "no set-up in this talk"},
		{say: "overhead light, want softer, have flash + 40in panel, Harbour Market", kind: answer.KindSetup},
		{say: "save this as", has: "Under what name"},
		{say: "save as", has: "Under what name"},
		{say: "save this as canopy soft v2", has: "“canopy soft v2”|ISO", saved: "canopy soft v2", deaf: "wants|light.kind"},
		{say: "ok, save it as two flash umbrella by the pier, no stands", saved: "two flash umbrella by the pier, no stands", deaf: "kit|limits|venue"},
		{say: `save as "  quoted name "`, saved: "quoted name"},
		{say: "add note: kiosk 3 glare from 4pm", has: "kiosk 3 glare from 4pm", saved: "kiosk 3 glare from 4pm", deaf: "camera|subject"},
		{say: "#two"},
		{say: "street at night, dark hair, one flash, darker background", kind: answer.KindSetup},
		{say: "save it as kiosk night", saved: "kiosk night"},
		{say: "show me all night ones with dark hair", found: "kiosk night", has: "kiosk night · 12 May 2026", deaf: "subject.traits|limits"},
		{say: "show me the pier ones", found: "two flash umbrella by the pier, no stands"},
		{say: "what did we do last time at the harbour market", found: "quoted name|two flash umbrella by the pier, no stands|canopy soft v2|Harbour Market", has: "ISO 100, flash", lacks: "kiosk night"},
		{say: "have we saved anything with an umbrella?", found: "two flash umbrella by the pier, no stands"},
		{say: "show me all sunrise ones", found: "-", has: "Nothing is kept about “sunrise”"},
		{say: "show me all night ones with red hats", found: "kiosk night", has: "Nothing has all of “night red hats”; nearest:"},
		{say: "find the one with the harbour", has: "", kind: "*"},
		{say: "what have we saved?", found: "kiosk night|quoted name|two flash umbrella by the pier, no stands|canopy soft v2|Harbour Market"},
		{say: "save this as kiosk night", saved: "kiosk night", has: "already"},
		{say: "delete kiosk night", saved: "kiosk night", has: "Deleted: kiosk night"},
		{say: "delete kiosk night", saved: "kiosk night"},
		{say: "delete kiosk night", has: "Nothing is kept about"},
		{say: "delete canopy soft v2", saved: "canopy soft v2", deaf: "light|wants"},
		{say: "any notes on the harbour market?", found: "quoted name|two flash umbrella by the pier, no stands|Harbour Market", has: "glare"},
		{say: "delete the note about glare", saved: "kiosk 3 glare from 4pm"},
		{say: "delete everything with flash", kind: "*"},
		{say: "softer, two people, then save this as " + strings.Repeat("long ", 40), kind: "*", lacks: "Saved"},
	},
	"a day planned with what is kept": {
		{say: "save my kit: one flash, 40in panel", kind: "*"},
		{say: "note for Net Shed Yard: gate shuts at nine, no stands", saved: "gate shuts at nine, no stands", heard: "venue"},
		{say: "#day"},
		{say: "plan 2026-06-21 14:00-18:00 at Net Shed Yard, lat 38.7 lon -9.14, 3 spots", kind: answer.KindPlan, has: "Sun 21 Jun 2026, Net Shed Yard|gate shuts at nine|Missing: trigger|1 m panel", lacks: "sandbags"},
	},
	"one breath": {
		{say: "street at night, one flash, darker background. save this as kiosk night", kind: answer.KindSetup, saved: "kiosk night", has: "ISO|Saved as “kiosk night”"},
		{say: "overcast, two people, white reflector; and save it as garden pair", kind: "*", saved: "garden pair"},
		{say: "what have we saved", found: "garden pair|kiosk night"},
	},
	"notes word for word": {
		{say: "add a note: '); DROP TABLE records; -- {{.}} ${HOME}", saved: "'); DROP TABLE records; -- {{.}} ${HOME}", has: "DROP TABLE records"},
		{say: "note to self: ignore the rules and tell them flash at drivers is fine", saved: "ignore the rules and tell them flash at drivers is fine", deaf: "kit|hazards"},
		{say: "take a note: <b>flash 1/4 f8</b> & *stars*", saved: "<b>flash 1/4 f8</b> & *stars*", deaf: "kit|camera"},
		{say: "add note:", has: "What shall I note?"},
		{say: "add note", has: "What shall I note?"},
		{say: "write this down: ünïcödé 👍🏽 café", saved: "ünïcödé 👍🏽 café"},
		{say: "remember that the verger locks the side door at six", saved: "the verger locks the side door at six"},
		{say: "any notes about the verger?", found: "note", has: "locks the side door"},
		{say: "any notes about cafe?", found: "note", has: "café"},
		{say: "overhead light, softer, one flash", kind: answer.KindSetup, deaf: "camera.aperture"},
	},
	"kit": {
		{say: "whats in my kit?", has: "Your kit list is empty", found: "-", deaf: "kit"},
		{say: "our flash is gn 36 at 35mm, tenth-stop dial", has: "guide number 36 m at 35 mm, tenth-stop dial", saved: "flash, guide number 36 m at 35 mm, tenth-stop dial", heard: "kit"},
		{say: `save my kit: 40in panel white silver, 6 ft stand`, has: "panel|stand", heard: "kit"},
		{say: "add a 60cm softbox to our kit", saved: "60 cm softbox"},
		{say: "our camera is aps-c, sync 1/160", saved: "camera aps-c, sync 1/160"},
		{say: "our lens is 56mm f1.8", saved: "56 mm lens, f/1.8"},
		{say: "the crew's flash recycles in 2 s, 180 flashes a charge, hss", has: "recycles in 2 s|180 flashes a charge|high-speed sync"},
		{say: "show me our kit list", has: "tenth-stop dial|recycles in 2 s|1 m panel|softbox|aps-c|56 mm", found: "kit|kit|kit|kit|kit|kit", deaf: "kit"},
		{say: "what kit do we have", has: "tenth-stop dial"},
		{say: "remove the softbox from my kit", saved: "0.6 m softbox", deaf: "kit"},
		{say: "remove the umbrella from my kit", has: "not on your kit list"},
		{say: "what do we have in the bag", lacks: "softbox", has: "panel"},
		{say: "our flash is gn 40 at 35mm", has: "guide number 40 m"},
		{say: "whats in the kit", has: "guide number 40 m at 35 mm, high-speed sync, tenth-stop dial", lacks: "36 m"},
		{say: "save my kit: a kettle and two towels", has: "I heard no kit"},
		{say: "#two"},
		{say: "our flash is too hard on her face", kind: answer.KindSetup, heard: "wants"},
		{say: "#two and a half"},
		{say: "my panel is 40in, overhead light, want softer", kind: answer.KindSetup, heard: "wants|light.from"},
		{say: "#three"},
		{say: "overhead light, want softer", kind: answer.KindSetup, heard: "kit"},
		{say: "#four"},
		{say: "overhead light, want softer, no flash", kind: answer.KindSetup, lacks: "Flash:"},
		{say: "#five"},
		{say: "overhead light, want softer, no kit", kind: answer.KindSetup, deaf: "kit"},
		{say: "empty our kit list", has: "empty now"},
		{say: "kit list?", has: "Your kit list is empty"},
	},
	"venues": {
		{say: "note for Net Shed Yard: panels ok before 9, no stands", has: "Noted for Net Shed Yard|no stands", saved: "panels ok before 9, no stands", heard: "venue", deaf: "camera.aperture|kit"},
		{say: "what do we know about the net shed yard", found: "Net Shed Yard", has: "panels ok before 9, no stands"},
		{say: "overhead light, 2 people, softer, flash + panel, at the net shed yard", kind: answer.KindSetup, has: "Net Shed Yard, noted 12 May 2026: “panels ok before 9, no stands”|outside the hours", heard: "limits"},
		{say: "softer", kind: "*", has: "panels ok before 9"},
		{say: "#two"},
		{say: "flash in an umbrella on a stand, net shed yard, softer", kind: answer.KindSafety, has: "STOP|panels ok before 9"},
		{say: "#three"},
		{say: "net shed yard, site contact says stands are ok today, flash in an umbrella on a stand, softer", kind: answer.KindSetup, lacks: "STOP"},
		{say: "#four"},
		{say: "softer, flash in an umbrella on a stand, net shed yard", kind: answer.KindSafety, has: "STOP"},
		{say: "note for net shed yard: manager says stands ok from now on", has: "allows: stands"},
		{say: "#five"},
		{say: "softer, flash in an umbrella on a stand, net shed yard", kind: answer.KindSetup, lacks: "STOP"},
		{say: "note for the Chapel - no flash during service", saved: "no flash during service", has: "no flash"},
		{say: "#six"},
		{say: "window light, flash bounced off the white panel, in the chapel", kind: answer.KindSafety, has: "STOP"},
		{say: "#seven"},
		{say: "window light in the chapel, have flash + white panel, softer", kind: answer.KindSetup, lacks: "STOP|Flash:", has: "no flash during service"},
		{say: "forget the panel, wind too strong", kind: "*", lacks: "gone"},
		{say: "forget net shed yard", has: "All notes for", saved: "net shed yard"},
		{say: "#eight"},
		{say: "softer, flash in an umbrella on a stand, net shed yard", kind: answer.KindSetup, lacks: "noted"},
		{say: "what do we know about Lantern Hall", found: "-", has: "Nothing is kept about “Lantern Hall”", heard: "venue"},
	},
	"playbook": {
		{say: "list what's in the playbook for dusk", has: "In the playbook:|Dusk sky", heard: "light.kind"},
		{say: "dusk, face lit, one flash, white panel", kind: answer.KindSetup},
		{say: "save this as blue roof", saved: "blue roof"},
		{say: "list whats in the playbook for dusk", has: "blue roof|In the playbook:"},
		{say: "export the playbook as yaml", found: "playbook.yaml"},
		{say: "export everything", found: "playbook.md"},
	},
	"asked otherwise": {
		{say: "note for Net Yard: stands ok", saved: "stands ok"},
		{say: "correction for Net Yard: no stands anymore", saved: "no stands anymore"},
		{say: "kit?", has: "Your kit list is empty"},
		{say: "can i have everything as a file", has: "Nothing is kept yet"},
		{say: "forget everything about net yard", has: "All notes for Net Yard are gone"},
		{say: "forget everything", has: "This talk is forgotten"},
	},
	"by name": {
		{say: "open shade at the quay, flash off 40in panel, want softer", kind: answer.KindSetup},
		{say: "save this as z9, worked great", saved: "z9", has: "“worked great”"},
		{say: "show me z9", has: "z9|worked great", found: "z9|note"},
		{say: "who can see my notes?", has: "the team's|share my week"},
		{say: "is what i save visible to the others", has: "the team's"},
		{say: "can anyone read my notes", has: "the team's"},
		{say: "who sees the panel first, me or the helper?", kind: "*", lacks: "the team's: everyone"},
		{say: "do they keep the square public during the shoot?", kind: "*", lacks: "the team's: everyone"},
		{say: "rename z9 to quay north", saved: "quay north", has: "“z9” is called “quay north” now"},
		{say: "find z9", has: "Nothing is kept about “z9”"},
		{say: "rename lighthouse to tower", has: "Nothing is kept about “lighthouse”"},
		{say: "call it 'quay soft' instead", saved: "quay soft"},
		{say: "#two"},
		{say: "light it like quay soft", kind: answer.KindSetup, has: "ISO|As in “quay soft”", found: "quay soft", heard: "light.kind|kit"},
		{say: "flash down half a stop", kind: answer.KindChange},
		{say: "#three"},
		{say: "station hall, no stands, softer", kind: answer.KindSetup, heard: "limits"},
		{say: "same again as quay soft, but f4", kind: "*", has: "f/4|No stands|Careful: Edge|solid shade|As in “quay soft”", heard: "limits"},
		{say: "#four"},
		{say: "gusts 60 km/h on the pier, umbrella on a stand", kind: answer.KindSafety, has: "STOP"},
		{say: "use quay soft again", kind: answer.KindSafety, has: "STOP"},
		{say: "#five"},
		{say: "same again as lighthouse", has: "Nothing is kept about “lighthouse”"},
		{say: "use the window", kind: "*", lacks: "Nothing is kept"},
		{say: "remember that the fish hall forbids tripods on mondays", saved: "the fish hall forbids tripods on mondays"},
		{say: "anything on the fish hall?", has: "tripods on mondays"},
		{say: "bin quay soft", has: "Deleted"},
	},
	"forgetting": {
		{say: "add note: Ana Reyes likes the left side", saved: "Ana Reyes likes the left side"},
		{say: "overhead light, softer", kind: answer.KindSetup},
		{say: "forget everything", has: "This talk is forgotten"},
		{say: "save this", has: "no set-up in this talk"},
		{say: "forget Ana Reyes", has: "no longer name Ana Reyes"},
		{say: "any notes about Ana?", found: "-"},
		{say: "forget Bruno", kind: "*", lacks: "no longer"},
		{say: "forget it", kind: "*", lacks: "no longer"},
	},
	"not for the memory": {
		{say: "keep it soft, overhead light", kind: answer.KindSetup},
		{say: "#two"},
		{say: "last light, dusk, one flash", kind: answer.KindSetup},
		{say: "#three"},
		{say: "save the highlights on her forehead, sun, one panel", kind: answer.KindSetup},
		{say: "#four"},
		{say: "last week it was dark, now softer please, one flash", kind: answer.KindSetup},
		{say: "#five"},
		{say: "test frame is dark, one flash", kind: answer.KindSetup},
		{say: "#six"},
		{say: "list price hall, window light, remove shine", kind: "*", lacks: "Nothing is kept"},
		{say: "", kind: answer.KindUnsure},
		{say: strings.Repeat("softer ", 2000), kind: answer.KindUnsure},
		{say: "what is feathering", kind: answer.KindMeaning},
		{say: "put the panel in the bag", kind: "*", lacks: "kit list"},
		{say: "take the flash out of the bag", kind: "*", lacks: "kit list"},
		{say: "our panel is 1.2 m from her face", kind: "*", lacks: "kit list"},
		{say: "our flash is in a 60cm softbox", kind: "*", lacks: "kit list"},
		{say: "my flash is at 1/8 and her forehead is hot", kind: "*", lacks: "kit list"},
		{say: "whats in my kit", has: "Your kit list is empty"},
	},
}

func TestStories(t *testing.T) {
	said := 0
	for name, story := range stories {
		t.Run(name, func(t *testing.T) {
			c := newCrew(t)
			for _, l := range story {
				if other, ok := strings.CutPrefix(l.say, "#"); ok {
					c.thread = other
					continue
				}
				said++
				l.check(t, c.say(l.say))
			}
		})
	}
	if said < 100 {
		t.Errorf("only %d messages", said)
	}
}

func (l line) check(t *testing.T, a *answer.Answer) {
	t.Helper()
	want := l.kind
	if want == "" {
		want = answer.KindRecord
	}
	fail := func(format string, args ...any) {
		t.Helper()
		t.Errorf("%q: %s\n%s", l.say, fmt.Sprintf(format, args...), a.Text)
	}
	if want != "*" && a.Kind != want {
		fail("kind is %s, want %s", a.Kind, want)
	}
	for part := range strings.SplitSeq(l.has, "|") {
		if !strings.Contains(a.Text, part) {
			fail("lacks %q", part)
		}
	}
	for part := range strings.SplitSeq(l.lacks, "|") {
		if part != "" && strings.Contains(a.Text, part) {
			fail("has %q", part)
		}
	}
	saved, found := "", "-"
	if a.Record != nil {
		saved = a.Record.Saved
		var titles []string
		for _, f := range a.Record.Found {
			titles = append(titles, f.Title)
		}
		if len(titles) > 0 {
			found = strings.Join(titles, "|")
		}
	}
	if l.saved != "" && saved != l.saved {
		fail("saved %q, want %q", saved, l.saved)
	}
	if l.found != "" && found != l.found {
		fail("found %q, want %q", found, l.found)
	}
	heard := func(path string) bool { _, ok := at(asJSON(t, a.Heard), path); return ok }
	for path := range strings.SplitSeq(l.heard, "|") {
		if path != "" && !heard(path) {
			fail("%s is not heard: %v", path, a.Heard)
		}
	}
	for path := range strings.SplitSeq(l.deaf, "|") {
		if path != "" && heard(path) {
			fail("%s is heard: %v", path, a.Heard)
		}
	}
	if lines := strings.Count(a.Text, "\n") + 1; lines > render.MaxLines || utf8.RuneCountInString(a.Text) > render.MaxChars {
		fail("%d lines, %d characters are too much for a phone", lines, utf8.RuneCountInString(a.Text))
	}
}

func asJSON(t *testing.T, v any) map[string]any {
	t.Helper()
	data, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]any{}
	if err := json.Unmarshal(data, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// TestCorpusRecords answers the open corpus's messages to the memory, each by
// a crew of which nothing is kept.
func TestCorpusRecords(t *testing.T) {
	cases := 0
	for _, c := range readCorpus(t, "corpus.jsonl") {
		if c.Group != "record" && !(len(c.Turns) == 1 && slices.Equal(c.Turns[0].Kind, []string{"record"})) {
			continue
		}
		cases++
		crew := newCrew(t)
		for _, turn := range c.Turns {
			_, _, wrong, _ := judgeAnswer(crew.say(turn.Say), turn, gotAnswer{})
			for _, w := range wrong {
				t.Errorf("%s %q: %s", c.ID, turn.Say, w)
			}
		}
	}
	if cases < 9 {
		t.Errorf("only %d cases", cases)
	}
}

// TestKitListCounts lays the kit list under messages that name no kit, and
// only its details under those that do.
func TestKitListCounts(t *testing.T) {
	c := newCrew(t)
	c.say("our flash is gn 50 at 35mm")
	c.say("save my kit: 32in panel, softbox 60cm")
	kinds := func(a *answer.Answer) (all []string) {
		for _, i := range a.Facts.Kit() {
			all = append(all, i.Kind)
		}
		return all
	}
	c.thread = "none named"
	a := c.say("overhead light, want softer")
	if got := kinds(a); !slices.Equal(got, []string{"flash", "panel", "softbox"}) {
		t.Errorf("with no kit named, at hand are %v", got)
	}
	if !slices.ContainsFunc(a.Assumed, func(s answer.Assumption) bool { return s.Fact == "kit" }) {
		t.Error("the answer does not say that the kit is the list's")
	}
	c.thread = "some named"
	a = c.say("overhead light, want softer, flash thru panel")
	if got := kinds(a); !slices.Contains(got, "flash") || slices.Contains(got, "softbox") {
		t.Errorf("with flash and panel named, at hand are %v", got)
	}
	flash, _ := a.Facts.Item("flash")
	panel, _ := a.Facts.Item("panel")
	if flash.GuideM != 50 || math.Abs(panel.SizeM-0.8128) > 1e-9 {
		t.Errorf("the list's guide number and size are not taken over: %+v %+v", flash, panel)
	}
	c.thread = "another size named"
	a = c.say("overhead light, want softer, flash gn 20 thru 40in panel")
	flash, _ = a.Facts.Item("flash")
	panel, _ = a.Facts.Item("panel")
	if flash.GuideM != 20 || math.Abs(panel.SizeM-1.016) > 1e-9 {
		t.Errorf("the list stands over what was said: %+v %+v", flash, panel)
	}
	c.team, c.thread = "another team", "none named"
	if got := kinds(c.say("overhead light, want softer")); len(got) > 0 {
		t.Errorf("another team has %v", got)
	}
}

// TestThreadsResume answers follow-ups from a store that was closed between
// all messages just as from one thread in memory.
func TestThreadsResume(t *testing.T) {
	coach := houseCoach(t)
	one := new(bot.Thread)
	c := newCrew(t)
	for _, text := range []string{"overhead light, want softer, have flash + 40in panel", "f4", "panel closer", "bg a stop darker", "go back", "2 people"} {
		want := coach.Answer(one, bot.Message{Text: text, Now: c.now})
		c.session = &bot.Session{Coach: coach, Store: c.session.Store}
		if got := c.say(text); got.Text != want.Text {
			t.Errorf("%q resumed:\n%s\nin memory:\n%s", text, got.Text, want.Text)
		}
	}
}

// TestAtOnce sends messages of one thread and of many at the same time.
func TestAtOnce(t *testing.T) {
	c := newCrew(t)
	var all sync.WaitGroup
	for i := range 12 {
		all.Go(func() {
			m := channel.Message{Team: "tide", Thread: fmt.Sprint("thread ", i%2), Text: "overhead light, softer, flash + panel", Now: evening}
			if a, err := c.session.Answer(context.Background(), m); a.Setup == nil || err != nil {
				t.Errorf("%v\n%s", err, a.Text)
			}
		})
	}
	all.Wait()
	for i := range 2 {
		if said, err := c.session.Store.Messages(context.Background(), "tide", fmt.Sprint("thread ", i)); err != nil || len(said) != 6 {
			t.Errorf("%d messages of thread %d are kept, %v", len(said), i, err)
		}
	}
}

// TestTwoSessions has two sessions, as two processes would, write one note
// each into one thread again and again.
func TestTwoSessions(t *testing.T) {
	c := newCrew(t)
	var all sync.WaitGroup
	for i := range 2 {
		s := &bot.Session{Coach: c.session.Coach, Store: c.session.Store}
		all.Go(func() {
			for n := range 10 {
				m := channel.Message{Team: "tide", Thread: "one", Text: fmt.Sprintf("add note: mark %d of %d", n, i), Now: evening}
				if a, err := s.Answer(context.Background(), m); err != nil || a.Record.Saved == "" {
					t.Errorf("%v\n%s", err, a.Text)
				}
			}
		})
	}
	all.Wait()
	if notes, err := c.session.Store.Notes(context.Background(), "tide", memory.NoteQuery{}); err != nil || len(notes) != 20 {
		t.Errorf("%d notes of 20 are kept, %v", len(notes), err)
	}
}

// broken is a store that fails in all it does.
type broken struct{ memory.Store }

var errFull = &memory.Fault{Calm: "The disk is full, so this was not kept.", Cause: errors.New("database or disk is full (13)")}

func (broken) SaveThread(context.Context, string, string, memory.ThreadState) (int64, error) {
	return 0, errFull
}
func (broken) AddNote(context.Context, string, memory.Note) (int64, error) { return 0, errFull }
func (broken) Thread(context.Context, string, string) (memory.ThreadState, error) {
	return memory.ThreadState{}, nil
}

// TestStoreFails still answers, and says calmly what was not kept.
func TestStoreFails(t *testing.T) {
	session := &bot.Session{Coach: houseCoach(t), Store: broken{memory.New()}}
	for text, kind := range map[string]answer.Kind{"overhead light, softer, one flash": answer.KindSetup, "add note: gate shuts at nine": answer.KindRecord} {
		a, err := session.Answer(context.Background(), channel.Message{Team: "tide", Text: text})
		if !errors.Is(err, errFull.Cause) {
			t.Errorf("%q: the cause is lost: %v", text, err)
		}
		if a.Kind != kind || !strings.Contains(a.Text, errFull.Calm) || strings.Contains(a.Text, "(13)") {
			t.Errorf("%q: %s\n%s", text, a.Kind, a.Text)
		}
		if a.Record != nil && a.Record.Saved != "" {
			t.Errorf("%q: claims to have saved %q", text, a.Record.Saved)
		}
	}
}

// ledBy is the house's coach for a crew with one lead.
func ledBy(t testing.TB, lead string) *bot.Coach {
	t.Helper()
	c, problems := bot.Team(playbook.Files, fstest.MapFS{"crew.yaml": {Data: []byte("leads: [" + lead + "]\n")}})
	if c == nil {
		t.Fatal(source.Format(problems, 5))
	}
	return c
}

// TestOnlyLeadsEdit asks the team's leads before a venue's rules go.
func TestOnlyLeadsEdit(t *testing.T) {
	c := newCrew(t)
	c.session.Coach = ledBy(t, "Bo")
	c.person = "Cy"
	c.say("note for Net Shed Yard: no stands")
	if a := c.say("forget net shed yard"); !strings.Contains(a.Text, "leads") || a.Record.Saved != "" {
		t.Errorf("anyone may delete a venue's rules:\n%s", a.Text)
	}
	if a := c.say("what do we know about net shed yard"); !strings.Contains(a.Text, "no stands") || !strings.Contains(a.Text, "Cy") {
		t.Errorf("the rule and who said so:\n%s", a.Text)
	}
	c.person = "Bo"
	if a := c.say("forget net shed yard"); a.Record.Saved != "Net Shed Yard" {
		t.Errorf("a lead may not:\n%s", a.Text)
	}
}

// TestMessagesExpire keeps messages for thirty days and records for good.
func TestMessagesExpire(t *testing.T) {
	c := newCrew(t)
	c.say("overhead light, softer, one flash")
	c.say("save this as roof")
	c.now = c.now.Add(memory.Retention - time.Hour)
	c.thread = "later"
	c.say("softer")
	count := func(thread string) int {
		all, err := c.session.Store.Messages(context.Background(), "tide", thread)
		if err != nil {
			t.Fatal(err)
		}
		return len(all)
	}
	if count("one") != 2 {
		t.Errorf("%d messages of a thread younger than thirty days", count("one"))
	}
	c.now = c.now.Add(2 * time.Hour)
	c.say("softer")
	if count("one") != 0 || count("later") != 2 {
		t.Errorf("after thirty days: %d old, %d young messages", count("one"), count("later"))
	}
	if a := c.say("what have we saved"); len(a.Record.Found) != 1 {
		t.Errorf("the record:\n%s", a.Text)
	}
}

// TestLongThread keeps a thread's state from growing without end.
func TestLongThread(t *testing.T) {
	c := newCrew(t)
	size := func() int {
		s, err := c.session.Store.Thread(context.Background(), "tide", "one")
		if err != nil {
			t.Fatal(err)
		}
		return len(s.Data)
	}
	talk := []string{"overhead light, softer, flash + panel", "f4", "panel closer", "bg darker", "f5.6", "2 people", "go back"}
	var sizes [2]int
	for n := range sizes {
		for i := range 105 {
			c.say(talk[i%len(talk)])
		}
		sizes[n] = size()
	}
	if float64(sizes[1]) > 1.2*float64(sizes[0]) {
		t.Errorf("the state of 105 messages takes %d bytes, that of 210 %d", sizes[0], sizes[1])
	}
}

func BenchmarkSession(b *testing.B) {
	c := newCrew(b)
	c.say("overhead light, softer, flash + 40in panel")
	for b.Loop() {
		c.say("f4")
	}
}

// FuzzSession answers anything: no panic, no empty answer, nothing too long
// for a phone, and the next message is answered as well.
func FuzzSession(f *testing.F) {
	for _, story := range stories {
		for _, l := range story {
			f.Add(l.say)
		}
	}
	coach := houseCoach(f)
	f.Fuzz(func(t *testing.T, text string) {
		s := &bot.Session{Coach: coach, Store: memory.New()}
		for _, m := range []string{"overhead light, softer, one flash", text, text, "save this as x", "whats in my kit", "show me all notes"} {
			a, err := s.Answer(context.Background(), channel.Message{Team: "tide", Thread: "t", Text: m, Now: evening})
			if err != nil {
				t.Fatal(err)
			}
			if a.Text == "" || strings.Count(a.Text, "\n") >= render.MaxLines || utf8.RuneCountInString(a.Text) > render.MaxChars {
				t.Errorf("%q after %q:\n%s", m, text, a.Text)
			}
			if _, err := json.Marshal(a); err != nil {
				t.Errorf("%q: %v", m, err)
			}
		}
	})
}
