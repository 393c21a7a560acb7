package bot

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"panelhand/bot/memory"
	"panelhand/rules"
	"panelhand/rules/playbook"
	"panelhand/rules/source"
)

// Whatever a rule is called and why, its files are read, lie where they should,
// and bring no hole into a text.
func FuzzRuleNames(f *testing.F) {
	for _, seed := range []string{"Hall North", `{flash_power} "x": y`, "- a: b # c", "café 👍🏽", "true", "因为", "a\nb", "\u2028", "\x00\x85", "'", "../../x", "", "ours-"} {
		f.Add(seed, seed)
	}
	house, problems := rules.Load(playbook.Files)
	if source.Errors(problems) > 0 {
		f.Fatal(source.Format(problems, 3))
	}
	coach := New(house)
	thread := new(Thread)
	said := []string{"station hall, lamps overhead, flash thru 1m panel, one helper, want softer"}
	coach.Answer(thread, Message{Text: said[0]})
	f.Fuzz(func(t *testing.T, title, why string) {
		if len(title) > 400 || len(why) > 400 {
			return
		}
		id := slug(title)
		rule, ok := coach.ruleOf(thread.standing(), memory.Draft{Rule: id, Title: title, Said: said})
		if !ok {
			t.Fatal("the set-up cannot be put up")
		}
		rule.Source = plainText(why) + "."
		text, err := rules.WriteSetups(rule)
		if err != nil {
			t.Fatal(err)
		}
		name, cases := ruleFiles(id)
		if !strings.HasPrefix(name, rules.ChannelFolder+"setups/ours-") || !fs.ValidPath(name) || !fs.ValidPath(cases) || strings.Count(name, "/") != 2 {
			t.Errorf("%q becomes a file %q", title, name)
		}
		book, problems := rules.Load(fstest.MapFS{name: {Data: text}})
		if source.Errors(problems) > 0 || len(book.Setups) != 1 {
			t.Fatalf("%q, %q: %s\n%s", title, why, source.Format(problems, 3), text)
		}
		if strings.Contains(book.Setups[0].Title.Value, "{") {
			t.Errorf("%q brings a hole", title)
		}
	})
}
