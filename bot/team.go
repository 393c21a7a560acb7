package bot

import (
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strings"

	"panelhand/bot/hear"
	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// Team builds a coach from a team's folder laid over the house playbook, and
// tells what is wrong with the folder: its rules, what they would take from
// safety, what they advise that a caution stops. Where there are errors there is
// no coach. The cases are not run: that is for rules/try.
func Team(house, team fs.FS) (*Coach, []source.Problem) {
	book, problems := rules.LoadOver(house, team)
	if source.Errors(problems) > 0 {
		return nil, problems
	}
	files := rules.Over(house, team)
	problems = append(problems, book.Check(files)...)
	if source.Errors(problems) > 0 {
		return nil, problems
	}
	c := New(book)
	found := append(c.unheard(house), c.stoppedAdvice(files)...)
	found = source.Quote(source.Sort(found), func(name string) ([]byte, error) { return fs.ReadFile(files, name) })
	problems = append(problems, found...)
	if source.Errors(problems) > 0 {
		return nil, problems
	}
	return c, problems
}

// unheard tells words of the team's that keep a danger from being heard: the
// longest phrase wins, so a longer one, or one that begins where a phrase of the
// house ends, can swallow it. Each phrase of the team's is read by the house's ear
// and by the team's, alone and run together with every phrase that safety reads
// and that shares a word with it; what safety reads must be the same.
func (c *Coach) unheard(house fs.FS) []source.Problem {
	own := func(w rules.Word) bool { return !strings.HasPrefix(w.Pos.File, rules.HousePrefix) }
	if !slices.ContainsFunc(c.book.Words, own) {
		return nil
	}
	below, _ := rules.Load(house)
	ear := hear.New(below.Words, below.Questions...)
	var watched []string // phrases that safety reads
	for i := range below.Words {
		if w := &below.Words[i]; slices.ContainsFunc(slices.Concat(w.Means, w.Negated), c.book.SafetyReads) {
			for _, phrase := range w.Say {
				watched = append(watched, plainPhrases(phrase)...)
			}
		}
	}
	var problems []source.Problem
	for i := range c.book.Words {
		w := &c.book.Words[i]
		if !own(*w) {
			continue
		}
	phrases:
		for _, phrase := range w.Say {
			var sentences []string
			for _, say := range plainPhrases(phrase) {
				sentences = append(sentences, say, "no "+say)
				for _, other := range watched {
					sentences = append(sentences, runTogether(say, other)...)
				}
			}
			for _, s := range sentences {
				if lost := c.lost(ear.Read(s, nil).Facts, c.ear.Read(s, nil).Facts, !strings.HasPrefix(s, "no ")); lost != "" {
					problems = append(problems, source.Errorf(w.Pos, "guarded", "%s takes %s out of %q, and safety reads it: say it in other words than %q, or let it mean that too", w.ID, lost, s, phrase))
					break phrases
				}
			}
		}
	}
	return problems
}

var (
	slots = regexp.MustCompile(`<[a-z]+>`)
	oneOf = regexp.MustCompile(`\(([^()]*)\)`)
)

// mostSpellings is how many ways of typing one phrase are tried.
const mostSpellings = 200

// plainPhrases are the ways in which people would type a phrase: one for each
// choice of its (one|or another).
func plainPhrases(phrase string) []string {
	open := []string{plainPhrase(phrase)}
	for i := 0; i < len(open) && len(open) < mostSpellings; i++ {
		for m := oneOf.FindStringSubmatchIndex(open[i]); m != nil; m = oneOf.FindStringSubmatchIndex(open[i]) {
			before, after := open[i][:m[0]], open[i][m[1]:]
			choices := strings.Split(open[i][m[2]:m[3]], "|")
			for _, choice := range choices[1:] {
				open = append(open, before+choice+after)
			}
			open[i] = before + choices[0] + after
		}
	}
	return open
}

// plainPhrase puts words into the slots of a phrase.
func plainPhrase(phrase string) string {
	return strings.ToLower(slots.ReplaceAllStringFunc(phrase, func(slot string) string {
		switch slot {
		case "<n>":
			return "2"
		case "<her>":
			return "her"
		case "<light>":
			return "light"
		case "<side>":
			return "left"
		}
		return "it"
	}))
}

// runTogether are the sentences in which the end of one phrase is the
// beginning of the other, or one stands inside the other.
func runTogether(a, b string) []string {
	x, y := strings.Fields(a), strings.Fields(b)
	var out []string
	for n := 1; n <= min(len(x), len(y)); n++ {
		if slices.Equal(x[len(x)-n:], y[:n]) {
			out = append(out, strings.Join(slices.Concat(x, y[n:]), " "))
		}
		if slices.Equal(y[len(y)-n:], x[:n]) {
			out = append(out, strings.Join(slices.Concat(y, x[n:]), " "))
		}
	}
	return out
}

// lost names the first thing that safety reads among the facts before and not
// among those after. A denial that came is a loss too, unless the sentence
// denies.
func (c *Coach) lost(before, after *fact.Set, denials bool) string {
	for i := range fact.Table {
		f := &fact.Table[i]
		switch f.Kind {
		case fact.List:
			for _, choice := range before.Choices(f.Path) {
				m := rules.Meaning{Path: f.Path, Choices: []string{choice}}
				if c.book.SafetyReads(m) && !after.Has(f.Path, choice) {
					return m.String()
				}
			}
		case fact.Kit:
			if c.book.SafetyReads(rules.Meaning{Path: f.Path}) && len(after.Kit()) < len(before.Kit()) {
				return f.Path
			}
		default:
			v, said := before.Get(f.Path)
			now, still := after.Get(f.Path)
			m := rules.Meaning{Path: f.Path, Choices: []string{v.Text}}
			if said && c.book.SafetyReads(m) && (!still || v.Text != now.Text || v.Flag != now.Flag || v.Number != now.Number) {
				return f.Path
			}
		}
	}
	for _, what := range after.Denials() {
		if denials && !before.Denied(what) && c.book.SafetyReads(rules.Meaning{Path: rules.DeniedPath, Choices: []string{what}}) {
			return fmt.Sprintf("what is not denied (%s)", what)
		}
	}
	return ""
}

// stoppedAdvice tells the team's cases that ask for a rule in a message that a
// caution stops: what the rule advises there is forbidden.
func (c *Coach) stoppedAdvice(files fs.FS) []source.Problem {
	cases, _ := rules.OwnCases(files)
	bench := c.Bench(files)
	var problems []source.Problem
	for _, one := range cases {
		wanted := slices.Concat(one.Fires, one.Adjusts)
		if one.Best.Value != "" {
			wanted = append(wanted, one.Best)
		}
		if len(wanted) == 0 {
			continue
		}
		var thread []string
		for _, t := range one.After {
			thread = append(thread, t.Value)
		}
		for _, r := range bench.Answer(append(thread, one.Say.Value)...).Raised {
			if r.Stop {
				problems = append(problems, source.Errorf(wanted[0].Pos, "forbidden", "%s is asked for in a message that %s (%s) stops; a rule of a team cannot advise what safety forbids", wanted[0].Value, r.Rule.ID, r.Rule.Pos))
				break
			}
		}
	}
	return problems
}
