package bot

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/diff"

	"panelhand/bot/answer"
	"panelhand/bot/archive"
	"panelhand/bot/memory"
	"panelhand/rules"
	"panelhand/rules/source"
)

// lead reports whether whoever typed this leads the crew.
func (t *turn) lead() bool { return t.Coach.book.Crew.Lead(t.in.Person) }

// mayWrite is the answer to whoever may not change the team's rules, or where
// there is nowhere to write them; nil where all is well.
func (t *turn) mayWrite() *answer.Answer {
	switch {
	case t.Shelf == nil || t.Shelf.Keeper == nil:
		return t.say("draft-no-folder")
	case !t.lead():
		return t.say("draft-leads-only")
	}
	return nil
}

// makeRule drafts a rule from the set-up that stands.
func (t *turn) makeRule(r request) (*answer.Answer, error) {
	if no := t.mayWrite(); no != nil {
		return no, nil
	}
	st := t.thread.standing()
	switch {
	case st == nil || t.talk.Setup == nil:
		return t.say("draft-nothing"), nil
	case len([]rune(r.text)) > mostTitle:
		return t.say("memory-too-long"), nil
	case stops(t.Coach.book.Raise(rules.Env{Facts: t.thread.facts})):
		return t.say("draft-stopped"), nil
	}
	title := cmp.Or(r.text, t.talk.Setup.Title, t.talk.Setup.Setup.Title)
	d := memory.Draft{Kind: memory.DraftRule, Title: title, Rule: slug(title), Who: t.in.Person, When: t.now, Why: r.why, Said: t.talk.Setup.Said}
	rule, ok := t.Coach.ruleOf(st, d)
	if !ok {
		return t.say("draft-nothing"), nil
	}
	rule.Source = plainText(present(": ", present(", ", cmp.Or(d.Who, t.Coach.phrase("draft-this-crew")), cmp.Or(t.talk.Setup.Venue, t.talk.Venue), on(t.now)), d.Why))
	trial, said, wrong, err := t.tryRule(&d, rule)
	switch {
	case err != nil:
		return nil, err
	case wrong != "":
		return t.tell(&answer.Record{}, t.Coach.phrase("draft-does-not-hold"), firstLine(wrong)), nil
	}
	if d.ID, err = t.Store.AddDraft(t.ctx, t.team, d); err != nil {
		return nil, err
	}
	return t.showRule(d, trial, said, t.Coach.phrase("draft-made", "<number>", draftNumber(d.ID), "<title>", title)), nil
}

// preferences are the points tried, in turn, until a drafted set-up is the one
// that its own message gets.
var preferences = []float64{0, 2, 4, 6, 9}

// tryRule writes a draft's files and tries them: the coach with it, the
// message that gets it, what is wrong with it.
func (t *turn) tryRule(d *memory.Draft, rule rules.Setup) (trial *Coach, said source.Text, wrong string, err error) {
	ruleFile, casesFile := ruleFiles(d.Rule)
	prefer := rule.Prefer
	var cases []rules.Case
	for _, points := range preferences {
		rule.Prefer = prefer
		if points > 0 {
			rule.Prefer = append(slices.Clone(prefer), rules.Preference{When: rule.When[len(rule.When)-1:], Points: points})
		}
		text, err := rules.WriteSetups(rule)
		if err != nil {
			return nil, said, "", err
		}
		d.Files = map[string]string{ruleFile: string(text)}
		laid, wrong, err := t.Shelf.lay(archive.Change{Files: d.Files})
		if err != nil || wrong != "" {
			return nil, said, wrong, err
		}
		if cases = laid.casesOf(d.Rule, d.Said, t.Shelf.house); cases != nil && cases[0].Best.Value != "" {
			break
		}
	}
	if cases == nil {
		return nil, said, t.Coach.phrase("draft-no-message"), nil
	}
	cases[0].Best = source.Text{} // a later rule of the crew's may answer it better
	text, err := rules.WriteCases(cases...)
	if err != nil {
		return nil, said, "", err
	}
	d.Files[casesFile] = string(text)
	trial, wrong, err = t.Shelf.Try(archive.Change{Files: d.Files})
	return trial, cases[0].Say, wrong, err
}

// showRule tells what a drafted rule would do.
func (t *turn) showRule(d memory.Draft, trial *Coach, said source.Text, head string) *answer.Answer {
	lines := append([]string{head}, trial.preview(d.Rule, said)...)
	if now := t.Coach.Answer(new(Thread), Message{Text: said.Value}); now.Setup != nil && now.Setup.ID != d.Rule {
		lines = append(lines, t.Coach.phrase("draft-instead", "<title>", now.Setup.Title))
	}
	if d.Why != "" {
		lines = append(lines, t.Coach.phrase("draft-because", "<why>", d.Why))
	}
	if _, there := t.Coach.book.Setup(d.Rule); there {
		lines = append(lines, t.Coach.phrase("draft-replaces"))
	}
	lines = append(lines, t.Coach.phrase("draft-next", "<number>", draftNumber(d.ID)))
	found := &answer.Record{Saved: d.Title}
	for _, name := range slices.Sorted(maps.Keys(d.Files)) {
		found.Found = append(found.Found, answer.Found{Title: name, Text: d.Files[name]})
	}
	return t.tell(found, lines...)
}

// draft finds the draft that a message names, or the only one there is. A nil
// draft comes with the answer that says why.
func (t *turn) draft(r request) (*memory.Draft, *answer.Answer, error) {
	all, err := t.Store.Drafts(t.ctx, t.team)
	if err != nil {
		return nil, nil, err
	}
	if r.text == "" {
		switch len(all) {
		case 0:
			return nil, t.say("drafts-none"), nil
		case 1:
			return &all[0], nil, nil
		}
		return nil, t.tell(&answer.Record{}, append([]string{t.Coach.phrase("drafts-which")}, t.draftLines(all)...)...), nil
	}
	for i := range all {
		if draftNumber(all[i].ID) == strings.TrimLeft(r.text, "0") {
			return &all[i], nil, nil
		}
	}
	return nil, t.say("draft-gone", "<number>", r.text), nil
}

func draftNumber(id int64) string { return strconv.FormatInt(id, 10) }

func (t *turn) draftLines(all []memory.Draft) []string {
	var lines []string
	for _, d := range all[:min(len(all), mostFound)] {
		phrase := "draft-line"
		if d.Kind == memory.DraftMend {
			phrase = "draft-line-mend"
		}
		lines = append(lines, t.Coach.phrase(phrase, "<number>", draftNumber(d.ID), "<title>", d.Title, "<text>", lastOf(d.Said), "<by>", present(", ", d.Who, on(d.When)), "<why>", d.Why))
	}
	if rest := len(all) - len(lines); rest > 0 {
		lines = append(lines, t.Coach.phrase("drafts-more", "<count>", strconv.Itoa(rest)))
	}
	return lines
}

func lastOf(said []string) string {
	if len(said) == 0 {
		return ""
	}
	return said[len(said)-1]
}

// listDrafts tells what waits for a lead's word.
func (t *turn) listDrafts() (*answer.Answer, error) {
	all, err := t.Store.Drafts(t.ctx, t.team)
	if err != nil {
		return nil, err
	}
	if len(all) == 0 {
		return t.say("drafts-none"), nil
	}
	return t.tell(&answer.Record{}, append([]string{t.Coach.phrase("drafts")}, t.draftLines(all)...)...), nil
}

// showDraft tells one of them.
func (t *turn) showDraft(r request) (*answer.Answer, error) {
	d, no, err := t.draft(r)
	if d == nil {
		return no, err
	}
	if d.Kind == memory.DraftMend {
		return t.tell(&answer.Record{}, append(t.draftLines([]memory.Draft{*d}), t.Coach.phrase("draft-mend-next", "<number>", draftNumber(d.ID)))...), nil
	}
	if t.Shelf == nil {
		return t.say("draft-no-folder"), nil
	}
	trial, wrong, err := t.Shelf.Try(archive.Change{Files: d.Files})
	switch {
	case err != nil:
		return nil, err
	case wrong != "":
		return t.tell(&answer.Record{}, append(t.draftLines([]memory.Draft{*d}), t.Coach.phrase("draft-does-not-hold"), firstLine(wrong))...), nil
	}
	return t.showRule(*d, trial, gotBy(*d), t.draftLines([]memory.Draft{*d})[0]), nil
}

// gotBy is the message that a draft's first case gets it with.
func gotBy(d memory.Draft) source.Text {
	_, name := ruleFiles(d.Rule)
	root, _ := source.Parse(name, []byte(d.Files[name]))
	var cases []rules.Case
	if root.Decode(&cases); len(cases) == 0 {
		return source.Text{}
	}
	return cases[0].Say
}

// errDecided says that somebody was quicker.
var errDecided = errors.New("the draft was decided already")

// approveDraft puts a draft into the team's folder. A rule wants two leads: the
// one who drafted it and another.
func (t *turn) approveDraft(r request) (*answer.Answer, error) {
	if no := t.mayWrite(); no != nil {
		return no, nil
	}
	d, no, err := t.draft(r)
	if d == nil {
		return no, err
	}
	if d.Kind == memory.DraftRule && memory.Key(d.Who) == memory.Key(t.in.Person) {
		return t.say("draft-another-lead", "<number>", draftNumber(d.ID)), nil
	}
	wrong, err := t.Shelf.Put(t.ctx, func(files fs.FS) (archive.Change, error) {
		all, err := t.Store.Drafts(t.ctx, t.team)
		if err == nil && !slices.ContainsFunc(all, func(o memory.Draft) bool { return o.ID == d.ID }) {
			err = errDecided
		}
		if err != nil {
			return archive.Change{}, err
		}
		return t.change(*d, files)
	})
	switch {
	case errors.Is(err, errDecided):
		return t.say("draft-gone", "<number>", draftNumber(d.ID)), nil
	case err != nil:
		return nil, err
	case wrong != "":
		return t.tell(&answer.Record{}, t.Coach.phrase("draft-does-not-hold"), firstLine(wrong)), nil
	}
	// It is in the folder and live. Where the draft cannot be taken off the list,
	// approving it again writes the same.
	if err := t.Store.DeleteDraft(t.ctx, t.team, d.ID); err != nil && !errors.Is(err, memory.ErrNone) {
		return nil, err
	}
	if d.Kind == memory.DraftMend {
		return t.tell(&answer.Record{Saved: lastOf(d.Said)}, t.Coach.phrase("draft-mend-approved", "<file>", rules.ToMend)), nil
	}
	return t.tell(&answer.Record{Saved: d.Title}, t.Coach.phrase("draft-approved", "<title>", d.Title, "<id>", d.Rule), t.Coach.phrase("draft-approved-next", "<title>", d.Title)), nil
}

// change is what a draft does to the team's folder.
func (t *turn) change(d memory.Draft, files fs.FS) (archive.Change, error) {
	by := cmp.Or(t.in.Person, t.Coach.phrase("draft-a-lead"))
	if d.Kind == memory.DraftRule {
		return archive.Change{Files: d.Files, What: fmt.Sprintf("%s, approved by %s", d.Rule, by), Why: d.Why, Who: d.Who, When: t.now}, nil
	}
	before, err := fs.ReadFile(files, rules.ToMend)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return archive.Change{}, err
	}
	one := rules.Case{Say: source.Text{Value: lastOf(d.Said)}, Mend: source.Text{Value: cmp.Or(d.Why, t.Coach.phrase("draft-mend-unsaid"))}}
	for _, m := range d.Said[:max(0, len(d.Said)-1)] {
		one.After = append(one.After, source.Text{Value: m})
	}
	text, err := rules.WriteCases(one)
	if err != nil {
		return archive.Change{}, err
	}
	return archive.Change{Files: map[string]string{rules.ToMend: string(before) + string(text)}, What: "a case to mend, taken on by " + by, Why: d.Why, Who: d.Who, When: t.now}, nil
}

// refuseDraft takes a draft off the list: a lead's word, or its author's.
func (t *turn) refuseDraft(r request) (*answer.Answer, error) {
	if r.verb != "" && t.thread.standing() != nil {
		return nil, nil // "turn it down" is for the flash where one is lit
	}
	d, no, err := t.draft(r)
	if d == nil {
		return no, err
	}
	if !t.lead() && (t.in.Person == "" || memory.Key(d.Who) != memory.Key(t.in.Person)) {
		return t.say("draft-leads-only"), nil
	}
	if err := t.Store.DeleteDraft(t.ctx, t.team, d.ID); errors.Is(err, memory.ErrNone) {
		return t.say("draft-gone", "<number>", draftNumber(d.ID)), nil
	} else if err != nil {
		return nil, err
	}
	line := t.Coach.phrase("draft-refused", "<number>", draftNumber(d.ID), "<title>", cmp.Or(d.Title, lastOf(d.Said)))
	if r.why != "" {
		line += " " + t.Coach.phrase("draft-because", "<why>", r.why)
	}
	return t.tell(&answer.Record{}, line), nil
}

// versions finds a rule of the channel's by its name and what was done to it.
// Nil where no such rule ever was.
func (t *turn) versions(name string) (id string, all []archive.Version, err error) {
	if t.Shelf == nil || t.Shelf.Keeper == nil || memory.Key(name) == "" {
		return "", nil, nil
	}
	for _, id := range []string{slug(name), strings.ToLower(strings.TrimSpace(name))} {
		if !strings.HasPrefix(id, slugPrefix) || strings.ContainsAny(id, `/\`) {
			continue
		}
		rule, cases := ruleFiles(id)
		if all, err := t.Shelf.Keeper.Versions(t.ctx, rule, cases); err != nil || len(all) > 0 {
			return id, all, err
		}
	}
	return "", nil, nil
}

// ruleHistory tells who changed a rule, when and why.
func (t *turn) ruleHistory(r request) (*answer.Answer, error) {
	id, all, err := t.versions(r.text)
	if err != nil || id == "" {
		return nil, err
	}
	lines := []string{t.Coach.phrase("rule-history", "<title>", r.text)}
	for _, v := range all[:min(len(all), mostFound)] {
		lines = append(lines, present(" · ", on(v.When), v.Who, v.What, v.Why))
	}
	if rest := len(all) - mostFound; rest > 0 {
		lines = append(lines, t.Coach.phrase("drafts-more", "<count>", strconv.Itoa(rest)))
	}
	return t.tell(&answer.Record{}, append(lines, t.Coach.phrase("rule-history-next", "<title>", r.text))...), nil
}

// mostDiff is how many lines of a change a phone is told.
const mostDiff = 11

// ruleDiff tells what the last change of a rule changed.
func (t *turn) ruleDiff(r request) (*answer.Answer, error) {
	id, all, err := t.versions(r.text)
	if err != nil || id == "" {
		return nil, err
	}
	name, _ := ruleFiles(id)
	texts := make([]string, 2) // now, before
	for i := range min(2, len(all)) {
		if texts[i], err = t.Shelf.Keeper.Read(t.ctx, all[i].ID, name); err != nil {
			return nil, err
		}
	}
	whole := string(diff.Diff("before", []byte(texts[1]), "now", []byte(texts[0])))
	lines := []string{t.Coach.phrase("rule-changed", "<title>", r.text, "<by>", present(", ", all[0].Who, on(all[0].When)))}
	told := 0
	for line := range strings.Lines(whole) {
		if (line[0] == '+' || line[0] == '-') && !strings.HasPrefix(line, "+++") && !strings.HasPrefix(line, "---") {
			if told++; told <= mostDiff {
				lines = append(lines, strings.TrimRight(line, "\n"))
			}
		}
	}
	switch {
	case told == 0:
		lines = append(lines, t.Coach.phrase("rule-unchanged"))
	case told > mostDiff:
		lines = append(lines, t.Coach.phrase("drafts-more", "<count>", strconv.Itoa(told-mostDiff)))
	}
	return t.tell(&answer.Record{Found: []answer.Found{{Title: name, Text: whole}}}, lines...), nil
}

// revertRule puts a rule back to what stood before its last change; one that
// was new is taken away.
func (t *turn) revertRule(r request) (*answer.Answer, error) {
	id, all, err := t.versions(r.text)
	if err != nil || id == "" {
		return nil, err
	}
	if no := t.mayWrite(); no != nil {
		return no, nil
	}
	rule, cases := ruleFiles(id)
	gone := true
	wrong, err := t.Shelf.Put(t.ctx, func(fs.FS) (archive.Change, error) {
		change := archive.Change{Files: map[string]string{rule: "", cases: ""}, What: id + " put back", Why: r.why, Who: t.in.Person, When: t.now}
		if len(all) < 2 {
			return change, nil
		}
		for name := range change.Files {
			text, err := t.Shelf.Keeper.Read(t.ctx, all[1].ID, name)
			if err != nil {
				return change, err
			}
			change.Files[name] = text
			gone = gone && text == ""
		}
		return change, nil
	})
	switch {
	case err != nil:
		return nil, err
	case wrong != "":
		return t.tell(&answer.Record{}, t.Coach.phrase("draft-does-not-hold"), firstLine(wrong)), nil
	case gone:
		return t.tell(&answer.Record{Saved: r.text}, t.Coach.phrase("rule-taken-away", "<title>", r.text)), nil
	}
	return t.tell(&answer.Record{Saved: r.text}, t.Coach.phrase("rule-put-back", "<title>", r.text, "<when>", on(all[1].When))), nil
}

// reportWrong keeps an answer that somebody found wrong, to be made a case.
func (t *turn) reportWrong(r request) (*answer.Answer, error) {
	said := t.talk.Said
	if r.before != "" && len(said) > 0 {
		said = said[:len(said)-1] // what is wrong was answered as a follow-up
	}
	if len(said) == 0 {
		return nil, nil
	}
	d := memory.Draft{Kind: memory.DraftMend, Who: t.in.Person, When: t.now, Why: r.text, Said: slices.Clone(said)}
	id, err := t.Session.Report(t.ctx, t.team, d)
	if err != nil {
		return nil, err
	}
	return t.tell(&answer.Record{Saved: lastOf(said)}, t.Coach.phrase("draft-mend-made", "<number>", draftNumber(id))), nil
}

// firstLine is the first of what is wrong, without the place in a file that
// nobody on a phone can open.
func firstLine(wrong string) string {
	line, _, _ := strings.Cut(wrong, "\n")
	file, rest, ok := strings.Cut(line, ": ")
	if ok && path.Ext(strings.SplitN(file, ":", 2)[0]) == ".yaml" {
		return rest
	}
	return line
}
