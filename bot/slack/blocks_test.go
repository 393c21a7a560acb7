package slack

import (
	"bufio"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/slack-go/slack"
	"golang.org/x/tools/txtar"

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/bot/slack/shapes"
	"panelhand/rules"
	"panelhand/rules/playbook"
	"panelhand/rules/source"
)

func house(t testing.TB) (*bot.Coach, *Phone) {
	t.Helper()
	book, problems := rules.Load(playbook.Files)
	if source.Errors(problems) > 0 {
		t.Fatal(source.Format(problems, 10))
	}
	return bot.New(book), NewPhone(book.Phrase)
}

// A gate is what every outgoing message passes: Slack's own types and our
// table of its limits.
type gate struct{ types *shapes.Types }

func newGate(t testing.TB) gate {
	t.Helper()
	types, err := shapes.Read("../../testdata/slack/types.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return gate{types}
}

func (g gate) post(t testing.TB, about string, p Post) {
	t.Helper()
	if err := p.Check(); err != nil {
		t.Errorf("%q: %v", about, err)
	}
	if p.Blocks == nil {
		t.Errorf("%q: no blocks", about)
	} else if err := g.types.Check(shapes.Blocks, p.Blocks); err != nil {
		t.Errorf("%q: %v", about, err)
	}
}

// TestEveryAnswerPasses lays out every turn of the golden conversations and of
// 500 further messages, for every sort of asker.
func TestEveryAnswerPasses(t *testing.T) {
	coach, phone := house(t)
	gate := newGate(t)
	turns := 0
	check := func(thread *bot.Thread, say string) {
		turns++
		a := coach.Answer(thread, bot.Message{Text: say, Buttons: true})
		to := Asker{Said: say, Button: turns%2 == 0, Alone: turns%3 == 0, Photo: turns%5 == 0}
		if turns%7 == 0 {
			to.Also = []string{say, say}
		}
		p := phone.Answer(a, to)
		gate.post(t, say, p)
		for _, line := range strings.Split(a.Text, "\n") {
			if !strings.Contains(p.Text, escapes.Replace(line)) {
				t.Errorf("%q: the text lacks %q", say, line)
			}
		}
		first := shown(t, p)[0]
		if want := strings.TrimPrefix(strings.Split(a.Text, "\n")[0], "STOP: "); !a.Stops() && oneLine(first) != oneLine(want) {
			t.Errorf("%q: first is %q, want %q", say, first, want)
		}
		if a.Stops() && first != phone.say("slack-stop") {
			t.Errorf("%q: a stop opens with %q", say, first)
		}
		gate.post(t, say, phone.Shared(a.Text, to))
		gate.post(t, say, phone.Photo(a, to))
	}
	files, _ := filepath.Glob("../../testdata/talk/*.txtar")
	for _, name := range files {
		archive, err := txtar.ParseFile(name)
		if err != nil {
			t.Fatal(err)
		}
		thread := new(bot.Thread)
		for _, f := range archive.Files {
			if strings.HasSuffix(f.Name, ".say") {
				check(thread, string(f.Data))
			}
		}
	}
	talks := turns
	for _, name := range []string{"corpus.jsonl", "phrasings.jsonl"} {
		file, err := os.Open("../../testdata/" + name)
		if err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(file)
		lines.Buffer(nil, 1<<20)
		for lines.Scan() && turns-talks < 500 {
			var c struct{ Turns []struct{ Say string } }
			if err := json.Unmarshal(lines.Bytes(), &c); err != nil {
				t.Fatal(err)
			}
			thread := new(bot.Thread)
			for _, turn := range c.Turns {
				check(thread, turn.Say)
			}
		}
		file.Close()
	}
	if talks < 10 || turns-talks < 500 {
		t.Errorf("only %d turns of conversations and %d messages", talks, turns-talks)
	}
}

// shown are the texts of a post in the order in which they are read, buttons
// aside.
func shown(t testing.TB, p Post) []string {
	t.Helper()
	data, err := json.Marshal(p.Blocks)
	if err != nil {
		t.Fatal(err)
	}
	var blocks []any
	if err := json.Unmarshal(data, &blocks); err != nil {
		t.Fatal(err)
	}
	var out []string
	var walk func(v any)
	walk = func(v any) {
		switch v := v.(type) {
		case []any:
			for _, x := range v {
				walk(x)
			}
		case map[string]any:
			if v["type"] == "actions" {
				return
			}
			if text, ok := v["text"].(string); ok {
				out = append(out, text)
			}
			walk(v["text"])
			walk(v["elements"])
		}
	}
	walk(any(blocks))
	return out
}

func buttonsOf(p Post) map[string]string {
	out := map[string]string{}
	for _, b := range p.Blocks {
		if row, ok := b.(*slack.ActionBlock); ok {
			for _, e := range row.Elements.ElementSet {
				button := e.(*slack.ButtonBlockElement)
				action, _, _ := strings.Cut(button.ActionID, ":")
				out[button.Text.Text] = action
			}
		}
	}
	return out
}

// TestStopIsAlone: where somebody could be hurt nothing can be pressed that
// goes on.
func TestStopIsAlone(t *testing.T) {
	coach, phone := house(t)
	say := "gusts 45 km/h on the rooftop garden, umbrella on a stand ok?"
	a := coach.Answer(new(bot.Thread), bot.Message{Text: say, Buttons: true})
	if !a.Stops() {
		t.Fatal("no stop")
	}
	p := phone.Answer(a, Asker{Said: say})
	if _, ok := p.Blocks[0].(*slack.HeaderBlock); !ok {
		t.Errorf("the first block is a %T", p.Blocks[0])
	}
	if got := buttonsOf(p); len(got) != 1 || got[phone.say("slack-wrong")] != Wrong {
		t.Errorf("buttons %v, want only the one on a wrong answer", got)
	}
	if !strings.HasPrefix(p.Text, "STOP") {
		t.Errorf("the notification begins %.20q", p.Text)
	}
}

func TestAnswerButtons(t *testing.T) {
	coach, phone := house(t)
	say := "overhead light, want softer, have flash + 40in panel"
	a := coach.Answer(new(bot.Thread), bot.Message{Text: say, Buttons: true})
	got := buttonsOf(phone.Answer(a, Asker{Said: say, Alone: true}))
	for _, next := range a.Next {
		if got[next.Label] != Say {
			t.Errorf("no button for %q in %v", next.Label, got)
		}
	}
	for phrase, action := range map[string]string{"slack-working": Show, "slack-others": Show, "slack-save": Say, "slack-wrong": Wrong, "slack-share": Share} {
		if got[phone.say(phrase)] != action {
			t.Errorf("no %s button in %v", phrase, got)
		}
	}
	if _, ok := buttonsOf(phone.Answer(a, Asker{Said: say}))[phone.say("slack-share")]; ok {
		t.Error("what all can see has a button to share it")
	}
}

// TestLimitsAtTheirEdge: the gate lets through what fits with its margin and
// refuses one character more, counted in runes, marks and emoji among them.
func TestLimitsAtTheirEdge(t *testing.T) {
	for _, letter := range []string{"a", "é", "💡", "n\u0303"} {
		per := utf8.RuneCountInString(letter)
		for _, c := range []struct {
			limit int
			block func(string) slack.Block
		}{
			{150, func(s string) slack.Block { return slack.NewHeaderBlock(plain(s)) }},
			{3000, func(s string) slack.Block { return slack.NewSectionBlock(plain(s), nil, nil) }},
			{75, func(s string) slack.Block {
				return slack.NewActionBlock("", slack.NewButtonBlockElement("say:a", "x", plain(s)))
			}},
			{2000, func(s string) slack.Block {
				return slack.NewActionBlock("", slack.NewButtonBlockElement("say:a", s, plain("x")))
			}},
			{2000, func(s string) slack.Block { return slack.NewContextBlock("", plain(s)) }},
		} {
			most := margin(c.limit) / per
			if err := (Post{"text", []slack.Block{c.block(strings.Repeat(letter, most))}}).Check(); err != nil {
				t.Errorf("%d of %q: %v", most, letter, err)
			}
			if err := (Post{"text", []slack.Block{c.block(strings.Repeat(letter, most+1))}}).Check(); err == nil {
				t.Errorf("%d of %q pass a limit of %d", most+1, letter, c.limit)
			}
		}
	}
}

func TestCheckRefuses(t *testing.T) {
	one := func(b ...slack.Block) []slack.Block { return b }
	row := func(ids ...string) slack.Block {
		var all []slack.BlockElement
		for _, id := range ids {
			all = append(all, slack.NewButtonBlockElement(id, "x", plain("x")))
		}
		return slack.NewActionBlock("", all...)
	}
	for why, p := range map[string]Post{
		"no text":           {"", one(slack.NewDividerBlock())},
		"a call to all":     {"<!channel> look", nil},
		"a call in a block": {"x", one(slack.NewSectionBlock(slack.NewTextBlockObject("mrkdwn", "<!here>", false, false), nil, nil))},
		"an empty header":   {"x", one(slack.NewHeaderBlock(plain(" ")))},
		"a section of none": {"x", one(slack.NewSectionBlock(nil, nil, nil))},
		"an empty row":      {"x", one(slack.NewActionBlock(""))},
		"26 buttons":        {"x", one(row(strings.Split("abcdefghijklmnopqrstuvwxyz", "")...))},
		"two alike":         {"x", one(row("say:a", "say:a"))},
		"51 blocks": {"x", func() (all []slack.Block) {
			for range 51 {
				all = append(all, slack.NewDividerBlock())
			}
			return
		}()},
		"a long text": {strings.Repeat("a", 3900), nil},
		"too much altogether": {"x", func() (all []slack.Block) {
			for range 5 {
				all = append(all, slack.NewSectionBlock(plain(strings.Repeat("a", 2800)), nil, nil))
			}
			return
		}()},
	} {
		if p.Check() == nil {
			t.Errorf("%s passes", why)
		}
	}
}

// FuzzPost: whatever is typed, and whatever an answer says, is posted inert
// and within Slack's limits, quickly.
func FuzzPost(f *testing.F) {
	for _, text := range []string{
		"overhead light, want softer", "<!channel> <@U1> <#C1|x> <!here|x>", "&lt;!channel&gt; & <", "*bold* _it_ `code` ```block```", ":fire: :wave::skin-tone-3:",
		"\x00\x01\u202eabc\u2066", strings.Repeat("💡", 5000), strings.Repeat("n\u0303", 3000), strings.Repeat("&", 40000), "\xff\xfe", "", " \n\t\r ", "مرحبا", "a\n\n\nb",
		"<https://x|label>", strings.Repeat("line\n", 400), "1½ stop f/2.8 & <1/125",
	} {
		f.Add(text)
	}
	_, phone := house(f)
	gate := newGate(f)
	f.Fuzz(func(t *testing.T, text string) {
		to := Asker{Said: text, Also: []string{text, text}, Button: true, Alone: true, Photo: true}
		a := &answer.Answer{
			Kind: answer.KindSetup, Headline: text, Text: text, Setup: &answer.Setup{Title: text}, Numbers: &answer.Numbers{},
			Next:   []answer.Next{{Say: text, Label: text}, {Say: text, Label: text}},
			Others: []answer.Other{{Title: text, Why: text}}, Working: []answer.Working{{Name: text, Formula: text, Unit: text}},
		}
		gate.post(t, "kept", phone.Answer(a, to))
		for part := answer.Stop; part <= answer.Prose; part++ {
			a.Sections = append(a.Sections, answer.Section{Part: part, Lines: []string{text, text}})
		}
		gate.post(t, "fresh", phone.Answer(a, to))
		a.Safety = []answer.Caution{{ID: "wind", Text: text, Stop: true}}
		gate.post(t, "stopped", phone.Answer(a, to))
		gate.post(t, "photo", phone.Photo(a, to))
		if p := phone.Shared(text, to); p.Check() != nil {
			t.Error(p.Check())
		}
		if p := phone.Error(text); p.Check() != nil {
			t.Error(p.Check())
		}
		page := Page{Kit: []string{text, text}, Setups: []Kept{{text, text, text}, {Title: text}}, Notes: []string{text}}
		for _, v := range []slack.ModalViewRequest{phone.KitForm(page), phone.FirstForm(page), phone.WrongForm(text)} {
			if err := CheckModal(v); err != nil {
				t.Error(err)
			}
			if err := gate.types.Check(shapes.Modal, v); err != nil {
				t.Error(err)
			}
		}
		home := phone.Home(page)
		if err := CheckHome(home); err != nil {
			t.Error(err)
		}
		if err := gate.types.Check(shapes.Home, home); err != nil {
			t.Error(err)
		}
	})
}
