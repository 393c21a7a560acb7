package rules

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"panelhand/rules/fact"
)

// An Assumption is an open fact that a default filled.
type Assumption struct {
	Fact  string // path
	Value fact.Value
	Text  string // in the words in which it is told
	Why   string
	Blind bool     // no line of its rule asked for anything: it is taken whatever is said
	Rule  *Default `json:"-"`
}

// Assume fills the open facts of set that nobody said, in the order of the
// defaults, and returns what it assumed. The first default of a fact whose
// lines are all True fills it; a fact that was denied is left alone. A default
// sees what those before it assumed. watch may be nil.
func (b *Book) Assume(set *fact.Set, watch func(Event)) []Assumption {
	env := Env{Facts: set, Watch: watch}
	s := b.scene(&env)
	defer b.idle.put(s)
	var out []Assumption
	for i := range b.Defaults {
		d := &b.Defaults[i]
		f, ok := fact.Lookup(d.Path)
		if _, said := set.Get(d.Path); !ok || said || denied(set, f) {
			continue
		}
		truth := s.all(d.When, StepAssume, d.Path).truth
		value := d.value
		if truth == True && d.formula != nil {
			truth = Unknown
			if p := d.formula.program; p != nil {
				r := s.run(p)
				if value.Number = r.number; r.truth == True && r.number >= f.Low && r.number <= f.High {
					truth = True
				}
			}
		}
		s.tell(StepOutcome, d.Path, d.Pos, truth.String(), truth)
		if truth != True {
			continue
		}
		value.Origin = fact.Assumed
		value.Say = strings.ReplaceAll(d.Say.Value, "{value}", told(value.Number))
		value.Why = d.Why.Value
		set.Put(d.Path, value)
		s.forget()
		out = append(out, Assumption{Fact: d.Path, Value: value, Text: value.Say, Why: value.Why, Blind: len(d.When) == 0, Rule: d})
	}
	return out
}

// AskBack finds the one open fact whose answer would settle the most set-ups
// that wait, among facts that have a question and that no default fills. Where
// something is wanted only set-ups that serve it count. It returns nil where no
// question would help.
func (b *Book) AskBack(verdicts []Verdict) *fact.Fact {
	settles, touches := map[string]int{}, map[string]int{}
	serving := slices.ContainsFunc(verdicts, func(v Verdict) bool { return v.Outcome != RuledOut && v.Score.Serves > 0 })
	for _, v := range verdicts {
		if v.Outcome != Waits || serving && v.Score.Serves <= 0 {
			continue
		}
		for _, path := range v.WaitsFor {
			touches[path]++
		}
		if len(v.WaitsFor) == 1 {
			settles[v.WaitsFor[0]]++
		}
	}
	for i := range b.Defaults {
		delete(touches, b.Defaults[i].Path)
	}
	var best *fact.Fact
	for i := range fact.Table {
		f := &fact.Table[i]
		if touches[f.Path] == 0 || f.Ask == "" {
			continue
		}
		if best == nil || settles[f.Path] > settles[best.Path] || settles[f.Path] == settles[best.Path] && touches[f.Path] > touches[best.Path] {
			best = f
		}
	}
	return best
}

// told prints an assumed number to what an assumption is worth: three digits,
// a length to 5 cm.
func told(v float64) string {
	digits, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	if a := math.Abs(digits); a >= 1 && a < 100 {
		digits = math.Round(digits*20) / 20
	}
	return strconv.FormatFloat(digits, 'g', -1, 64)
}
