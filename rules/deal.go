package rules

import (
	"slices"

	"github.com/expr-lang/expr/vm"

	"panelhand/rules/source"
)

// answerName is what conditions and texts call the answer.
const answerName = "answer"

// names are what a drill's expressions may name; the answer only where it is known.
func (d *Drill) names() []string {
	var names []string
	for _, draw := range d.Draws {
		names = append(names, draw.Name)
	}
	return names
}

// conditions are the drill's lines that hold or not.
func (d *Drill) conditions() []Lines {
	all := []Lines{d.Where}
	for _, b := range d.Besides {
		all = append(all, b.When)
	}
	if d.Stop != nil {
		all = append(all, d.Stop.When)
	}
	return all
}

// bindDrill gives a drill's expressions their programs, over its own names.
func (b *Book) bindDrill(d *Drill) {
	names := append(d.names(), answerName)
	for _, lines := range d.conditions() {
		lines.each(func(l *Line) {
			if l.Text.InLine {
				l.program = b.programs.own(l.Text.Value, condition, names)
			}
		})
	}
	for i := range d.With {
		for _, f := range d.With[i].formulas {
			f.program = b.programs.own(f.Text.Value, quantity, names)
		}
	}
	if d.Answer != nil && d.Answer.line != nil {
		d.Answer.line.program = b.programs.own(d.Answer.line.Text.Value, quantity, d.names())
	}
}

// drillLines are all expressions of all drills.
func (b *Book) drillLines(yield func(*Line)) {
	for i := range b.Drills {
		d := &b.Drills[i]
		for _, lines := range d.conditions() {
			lines.each(yield)
		}
		for j := range d.With {
			for _, f := range d.With[j].formulas {
				yield(f)
			}
		}
		if d.Answer != nil && d.Answer.line != nil {
			yield(d.Answer.line)
		}
	}
}

// A Deal is a drill with its numbers drawn and reckoned.
type Deal struct {
	Drill  *Drill
	Values map[string]float64 // the draws, the amounts of with, and the answer
	Asides []source.Text      // lines of the working that hold here
	Stop   *Caution           // why the only right answer is "stop"; nil where it is not
}

// Answer is the number that is right; 0 for a drill that has none.
func (d Deal) Answer() float64 { return d.Values[answerName] }

// Unit is what a number of the deal is, "" for a name that it does not have.
func (d Deal) Unit(name string) string {
	if name == answerName && d.Drill.Answer != nil {
		return d.Drill.Answer.Unit
	}
	for _, draw := range d.Drill.Draws {
		if draw.Name == name {
			return draw.Unit
		}
	}
	for _, amount := range d.Drill.With {
		if amount.Name == name {
			return amount.Unit
		}
	}
	return ""
}

// Drill returns a drill by its id.
func (b *Book) Drill(id string) (*Drill, bool) {
	for i := range b.Drills {
		if b.Drills[i].ID == id {
			return &b.Drills[i], true
		}
	}
	return nil, false
}

// Deal reckons a drill for values of its draws. It is false where a value is
// missing, where its where does not hold, or where a number does not exist.
func (b *Book) Deal(d *Drill, values map[string]float64) (Deal, bool) {
	deal := Deal{Drill: d, Values: map[string]float64{}}
	env := map[string]any{}
	for _, draw := range d.Draws {
		v, ok := values[draw.Name]
		if !ok || !finite(v) {
			return deal, false
		}
		deal.Values[draw.Name], env[draw.Name] = v, v
	}
	if d.Answer != nil {
		v, ok := b.worth(d.Answer.line, env)
		if !ok {
			return deal, false
		}
		deal.Values[answerName], env[answerName] = v, v
	}
	if !b.hold(d.Where, env) {
		return deal, false
	}
	for _, amount := range d.With {
		v, ok := 0.0, false
		for _, f := range amount.formulas {
			if v, ok = b.worth(f, env); ok {
				break
			}
		}
		if !ok {
			return deal, false
		}
		deal.Values[amount.Name] = v
	}
	for _, aside := range d.Besides {
		if b.hold(aside.When, env) {
			deal.Asides = append(deal.Asides, aside.Say)
		}
	}
	if d.Stop != nil && b.hold(d.Stop.When, env) {
		deal.Stop, _ = b.Caution(d.Stop.Caution)
	}
	return deal, true
}

// hold reports whether all lines hold for the values.
func (b *Book) hold(lines Lines, env map[string]any) bool {
	return !slices.ContainsFunc(lines, func(l Line) bool { return !b.holds(&l, env) })
}

func (b *Book) holds(l *Line, env map[string]any) bool {
	switch {
	case l.Any != nil:
		return slices.ContainsFunc(l.Any, func(one Line) bool { return b.holds(&one, env) })
	case l.All != nil:
		return b.hold(l.All, env)
	}
	truth, _ := b.value(l, env).(bool)
	return truth
}

func (b *Book) worth(l *Line, env map[string]any) (float64, bool) {
	v, ok := b.value(l, env).(float64)
	return v, ok && finite(v)
}

// value runs an expression over its own names; nil where it has no value.
func (b *Book) value(l *Line, env map[string]any) any {
	if l == nil || l.program == nil || b.programs.ready(l.program).code == nil {
		return nil
	}
	var machine vm.VM
	v, err := machine.Run(l.program.code, env)
	if err != nil {
		return nil
	}
	return v
}

// asked is what a drill asks, numbers open: of a sign, what is seen.
func (b *Book) asked(d *Drill) string {
	if sign, ok := b.Sign(d.Sign); ok && d.Ask.Value == "" {
		return sign.See.Value
	}
	return d.Ask.Value
}
