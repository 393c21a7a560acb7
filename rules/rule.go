package rules

import (
	"iter"
	"slices"

	"panelhand/rules/source"
)

// A Rule is any rule of a book, as lists and explanations show it.
type Rule struct {
	Kind   string // of RuleKinds
	ID     string
	Title  string // what it is, in one line
	Notes  []string
	When   Lines
	Texts  []source.Text // what people may read of it
	Source string
	Pos    source.Pos
}

// RuleKinds are the kinds of rules, in the order in which a book lists them.
var RuleKinds = []string{"set-up", "adjustment", "sign", "trade-off", "plan-line", "caution", "shift", "default", "look", "term", "drill"}

// Rules are the rules of the book, kind by kind; words and phrases are not
// among them.
func (b *Book) Rules() iter.Seq[Rule] {
	return func(yield func(Rule) bool) {
		for _, list := range [][]Rule{
			each(b.Setups, func(s *Setup) Rule {
				r := Rule{Kind: "set-up", ID: s.ID, Title: s.Title.Value, Notes: slices.Clone(s.Technique), When: s.When, Texts: s.Texts()[1:], Source: s.Source, Pos: s.Pos}
				for _, n := range s.Needs {
					r.Notes = append(r.Notes, "needs "+n.String())
				}
				return r
			}),
			each(b.Adjustments, func(a *Adjustment) Rule {
				r := Rule{Kind: "adjustment", ID: a.ID, Title: a.Say.Value, When: a.When, Texts: a.Texts()[1:], Source: a.Source, Pos: a.Pos}
				for _, x := range a.Answers {
					r.Notes = append(r.Notes, "answers "+x.String())
				}
				return r
			}),
			each(b.Signs, func(s *Sign) Rule {
				r := Rule{Kind: "sign", ID: s.ID, Title: s.See.Value + ": " + s.Cause.Value, When: s.When, Source: s.Source, Pos: s.Pos}
				for _, m := range s.Remedies() {
					r.Texts = append(r.Texts, m.Say)
				}
				return r
			}),
			each(b.Tradeoffs, func(t *Tradeoff) Rule {
				return Rule{Kind: "trade-off", ID: t.ID, Title: t.Say.Value, Notes: []string{"wins " + t.Wins}, When: t.When, Source: t.Source, Pos: t.Pos}
			}),
			each(b.PlanLines, func(l *PlanLine) Rule {
				return Rule{Kind: "plan-line", ID: l.ID, Title: l.Say.Value, Notes: []string{"in the part " + l.Part}, When: l.When, Source: l.Source, Pos: l.Pos}
			}),
			each(b.Cautions, func(c *Caution) Rule {
				r := Rule{Kind: "caution", ID: c.ID, Title: c.Text.Value, Notes: []string{"raises " + c.Raises}, When: c.When, Texts: c.Texts()[1:], Source: c.Source, Pos: c.Pos}
				if c.Stop {
					r.Notes = append(r.Notes, "stops")
				}
				return r
			}),
			each(b.Shifts, func(s *Shift) Rule {
				return Rule{Kind: "shift", ID: s.ID, Title: "moves levels or dials", When: s.When, Source: s.Source, Pos: s.Pos}
			}),
			each(b.Defaults, func(d *Default) Rule {
				return Rule{Kind: "default", ID: d.Path, Title: d.Say.Value, When: d.When, Texts: []source.Text{d.Why}, Source: d.Source, Pos: d.Pos}
			}),
			each(b.Looks, func(l *Look) Rule {
				return Rule{Kind: "look", ID: l.ID, Title: "a look as levels", Source: l.Source, Pos: l.Pos}
			}),
			each(b.Terms, func(t *Term) Rule {
				r := Rule{Kind: "term", ID: t.ID, Title: t.Means.Value, Source: t.Source, Pos: t.Pos}
				for _, text := range []source.Text{t.Why, t.Not} {
					if text.Value != "" {
						r.Texts = append(r.Texts, text)
					}
				}
				return r
			}),
			each(b.Drills, func(d *Drill) Rule {
				return Rule{Kind: "drill", ID: d.ID, Title: b.asked(d), Texts: d.Texts(), Source: d.Source, Pos: d.Pos}
			}),
		} {
			for _, r := range list {
				if !yield(r) {
					return
				}
			}
		}
	}
}

func each[T any](items []T, rule func(*T) Rule) []Rule {
	out := make([]Rule, len(items))
	for i := range items {
		out[i] = rule(&items[i])
	}
	return out
}
