package rules

import (
	"slices"

	"panelhand/rules/source"
)

// A Tradeoff is a wish against a limit: which wins, and what to say, with
// numbers computed for the case.
type Tradeoff struct {
	ID     string      `source:"tradeoff,required"`
	When   Lines       `source:"when,required"`
	Wins   string      `source:"wins,required"`
	Say    source.Text `source:"say,required"`
	With   Amounts     `source:"with"` // numbers of its own that the line names
	Source string      `source:"source,required"`
	Pos    source.Pos
}

// Amounts are the numbers that a trade-off computes.
type Amounts []Amount

// An Amount is a number with its unit and the expressions that compute it: the
// first that has a value counts, so that a house figure can stand behind what was
// said.
type Amount struct {
	Name string
	Unit string // one of AmountUnits
	Pos  source.Pos

	formulas []*Line
}

// AmountUnits are what an amount can be. A level is stops over or under, told
// with its sign; stops are how much, without.
var AmountUnits = []string{"level", "stops", "ev", "lux", "m", "f-number", "iso", "shutter", "k", "deg", "power", "percent"}

// Decode reads {left: {stops: "expression"}}, or a list of expressions.
func (a *Amounts) Decode(n source.Node) []source.Problem {
	if n.Kind() != source.Map {
		return []source.Problem{n.Problem("wrong-kind", `with is a map: {left: {stops: "passed_loss(numbers.flash_power)"}}`)}
	}
	var problems []source.Problem
	for key, value := range n.Pairs() {
		one := Amount{Name: key.Text(), Pos: key.Pos()}
		if value.Kind() != source.Map || value.Len() != 1 {
			problems = append(problems, value.Problem("wrong-kind", `%s is a unit and an expression: {stops: "…"}`, one.Name))
			continue
		}
		for unit, expressions := range value.Pairs() {
			one.Unit = unit.Text()
			problems = oneOf(unit, "units", AmountUnits, problems)
			if expressions.Kind() != source.List {
				problems = one.add(expressions, problems)
				continue
			}
			for e := range expressions.Items() {
				problems = one.add(e, problems)
			}
		}
		*a = append(*a, one)
	}
	return problems
}

func (a *Amount) add(n source.Node, problems []source.Problem) []source.Problem {
	pos, inLine := n.Inside()
	if n.Kind() != source.Scalar || !inLine {
		return append(problems, n.Problem("many-lines", "an expression stands on one line as it is"))
	}
	a.formulas = append(a.formulas, &Line{Text: source.Text{Value: n.Text(), Pos: pos, InLine: true}, Pos: n.Pos()})
	return problems
}

// formulas are the expressions of the trade-off's amounts.
func (t *Tradeoff) formulas() []*Line {
	var out []*Line
	for i := range t.With {
		out = append(out, t.With[i].formulas...)
	}
	return out
}

// A Weighed is a trade-off that holds, with its own numbers.
type Weighed struct {
	Tradeoff *Tradeoff
	Values   []float64 // of Tradeoff.With
}

// Weigh returns the trade-offs that hold here, in the order of the book. One
// whose lines are Unknown, or one of whose numbers has no value, is left out: half
// a bargain is none.
func (b *Book) Weigh(env Env) []Weighed {
	s := b.scene(&env)
	defer b.idle.put(s)
	var out []Weighed
	for i := range b.Tradeoffs {
		t := &b.Tradeoffs[i]
		truth := s.all(t.When, StepWeigh, t.ID).truth
		w := Weighed{Tradeoff: t}
		if truth == True && !s.sayable(t, &w) {
			truth = Unknown
		}
		s.tell(StepOutcome, t.ID, t.Pos, truth.String(), truth)
		if truth == True {
			out = append(out, w)
		}
	}
	return out
}

// sayable computes a trade-off's numbers, and reports whether all that its
// line names have values.
func (s *scene) sayable(t *Tradeoff, w *Weighed) bool {
	for i := range t.With {
		value, ok := s.amount(&t.With[i])
		if !ok {
			return false
		}
		w.Values = append(w.Values, value)
	}
	for _, m := range hole.FindAllStringSubmatch(t.Say.Value, -1) {
		if _, solved := s.env.Numbers[m[1]]; !solved && slices.Contains(NumberKeys, m[1]) {
			return false
		}
	}
	return true
}

// amount is the value of the first expression that has one.
func (s *scene) amount(a *Amount) (float64, bool) {
	for _, f := range a.formulas {
		if f.program == nil {
			continue
		}
		if r := s.run(f.program); r.truth == True {
			return r.number, true
		}
	}
	return 0, false
}
