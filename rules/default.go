package rules

import (
	"strings"

	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// A Default fills an open fact that nobody said, and says so.
type Default struct {
	Path   string      `source:"default,required"` // of an open fact
	When   Lines       `source:"when"`
	Value  source.Node `source:"value,required"` // number, flag, word, or "= expression" over other facts
	Say    source.Text `source:"say,required"`   // how the assumption is told; {value} is the number
	Why    source.Text `source:"why,required"`   // why it was assumed
	Source string      `source:"source"`
	Pos    source.Pos

	value   fact.Value // a fixed value
	formula *Line      // or the expression that computes it
}

// Decode reads a default and fits its value to the fact's kind.
func (d *Default) Decode(n source.Node) []source.Problem {
	type plain Default
	problems := n.Decode((*plain)(d))
	f, ok := fact.Lookup(d.Path)
	if !ok {
		if at, there := n.Get("default"); there {
			p := at.Problem("unknown-fact", "%s is not a fact", d.Path)
			p.Nearest = source.Nearest(d.Path, paths())
			problems = append(problems, p)
		}
		return problems
	}
	if f.Closed() {
		return append(problems, n.Problem("closed-fact", "%s is a list: unsaid is none, so it takes no default", d.Path))
	}
	if d.Value.Kind() != source.Scalar {
		return problems
	}
	if rest, ok := strings.CutPrefix(d.Value.Text(), "="); ok {
		if f.Kind != fact.Number {
			return append(problems, d.Value.Problem("wrong-kind", "only a number can be computed, and %s is none", d.Path))
		}
		text := strings.TrimLeft(rest, " ")
		pos, inLine := d.Value.Inside()
		if !inLine {
			problems = append(problems, d.Value.Problem("many-lines", "an expression stands on one line as it is"))
		}
		d.formula = &Line{Text: source.Text{Value: text, Pos: pos.Right(1 + len(rest) - len(text)), InLine: inLine}, Pos: d.Value.Pos()}
		return problems
	}
	switch f.Kind {
	case fact.Number:
		d.value.Number, problems = numberIn(d.Value, f, problems)
	case fact.Flag:
		d.value.Flag, ok = d.Value.Flag()
		if !ok {
			problems = append(problems, d.Value.Problem("wrong-kind", "%s is true or false", d.Path))
		}
	case fact.Choice:
		d.value.Text = d.Value.Text()
		problems = choiceIn(d.Value, f, problems)
	case fact.Text:
		d.value.Text = d.Value.Text()
	}
	return problems
}
