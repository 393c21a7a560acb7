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

// How people ask for what is done with rules, and what only sounds like it.
func TestAskedOfThePlaybook(t *testing.T) {
	for _, c := range []struct {
		say       string
		deed      deed
		text, why string
	}{
		{"make this a rule", makeRule, "", ""},
		{"Make that a rule, please", makeRule, "", ""},
		{"pls make this set-up a rule called north-side hall", makeRule, "north-side hall", ""},
		{"turn this into a rule named “Quay 2” because it held all evening", makeRule, "Quay 2", "it held all evening"},
		{"make it a playbook rule called Quay: no squint for once", makeRule, "Quay", "no squint for once"},
		{"save this as a rule called quay - it worked.", makeRule, "quay", "it worked"},
		{"make this one of our rules", makeRule, "", ""},
		{"draft a rule from this", makeRule, "", ""},
		{"make this rule", makeRule, "", ""},
		{"add this to the rules, since it worked twice", makeRule, "", "it worked twice"},
		{"drafts", listDrafts, "", ""},
		{"any drafts waiting?", listDrafts, "", ""},
		{"show me the pending rules", listDrafts, "", ""},
		{"draft 3", showDraft, "3", ""},
		{"show draft #12", showDraft, "12", ""},
		{"approve draft 3", approveDraft, "3", ""},
		{"ok approved", approveDraft, "", ""},
		{"approve it", approveDraft, "", ""},
		{"approve 3", approveDraft, "3", ""},
		{"yes to draft 3!", approveDraft, "3", ""},
		{"sign off on draft 4", approveDraft, "4", ""},
		{"turn down draft 2: too near the rail", refuseDraft, "2", "too near the rail"},
		{"drop the draft", refuseDraft, "", ""},
		{"no to draft 2 because it blinds the riders", refuseDraft, "2", "it blinds the riders"},
		{"history of hall north", ruleHistory, "hall north", ""},
		{"what changed in the rule hall north?", ruleDiff, "hall north", ""},
		{"revert Hall North", revertRule, "Hall North", ""},
		{"revert Hall North to the old one", revertRule, "Hall North", ""},
		{"roll back hall north to what it was", revertRule, "hall north", ""},
		{"what did we change in Hall North?", ruleDiff, "Hall North", ""},
		{"that was wrong", reportWrong, "", ""},
		{"that's wrong: the shutter blurred him", reportWrong, "the shutter blurred him", ""},
		{"this answer is wrong because the panel is silver", reportWrong, "the panel is silver", ""},

		{"can we make that a rule? call it Rush Hall", makeRule, "Rush Hall", ""},
		{"lets make this one of our rules, name it 'north end', it worked twice", makeRule, "north end", "it worked twice"},
		{"looks good, approve it", approveDraft, "", ""},
		{"i approve draft 1", approveDraft, "1", ""},
		{"what does draft 1 say?", showDraft, "1", ""},
		{"not that one, reject draft 1 because the rail is too close", refuseDraft, "1", "the rail is too close"},
		{"turn it down, too slow for us", refuseDraft, "", "too slow for us"},
		{"who changed Hall South?", ruleHistory, "Hall South", ""},
		{"undo the rule hall south", revertRule, "hall south", ""},
		{"take back Hall South, it was too near", revertRule, "Hall South", "it was too near"},
		{"this advice was wrong, the quay has no shade", reportWrong, "the quay has no shade", ""},

		{"turn it down a stop", noDeed, "", ""},
		{"undo", noDeed, "", ""},
		{"what is the rule of thirds", noDeed, "", ""},
		{"no stands, house rule", noDeed, "", ""},
		{"make this a bit softer", noDeed, "", ""},
		{"is there a draft from that door, panel keeps moving", noDeed, "", ""},
		{"go with the white side", noDeed, "", ""},
		{"drop the panel", noDeed, "", ""},
		{"what's wrong with her eyes", noDeed, "", ""},
		{"something is wrong, her face is dark", noDeed, "", ""},
		{"approve the location first, rooftop, one flash", noDeed, "", ""},
		{"turn down the flash", noDeed, "", ""},
		{"what changed?", noDeed, "", ""},
	} {
		got := ofPlaybook(c.say)
		if got.deed != c.deed || got.text != c.text || got.why != c.why {
			t.Errorf("%q: %d %q %q, want %d %q %q", c.say, got.deed, got.text, got.why, c.deed, c.text, c.why)
		}
	}
}
