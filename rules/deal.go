package rules

import (
	"maps"

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
				l.program = b.programs.get(l.Text.Value, condition, names...)
			}
		})
	}
	for i := range d.With {
		for _, f := range d.With[i].formulas {
			f.program = b.programs.get(f.Text.Value, quantity, names...)
		}
	}
	if d.Answer != nil && d.Answer.line != nil {
		d.Answer.line.program = b.programs.get(d.Answer.line.Text.Value, quantity, d.names()...)
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
	for _, draw := range d.Draws {
		v, ok := values[draw.Name]
		if !ok || !finite(v) {
			return deal, false
		}
		deal.Values[draw.Name] = v
	}
	s := b.scene(&Env{Inputs: maps.Clone(deal.Values)})
	defer b.idle.put(s)
	if d.Answer != nil {
		v, ok := s.reckon(d.Answer.line)
		if !ok {
			return deal, false
		}
		deal.Values[answerName], s.env.Inputs[answerName] = v, v
	}
	if !s.hold(d.Where) {
		return deal, false
	}
	for i := range d.With {
		v, ok := s.amount(&d.With[i])
		if !ok {
			return deal, false
		}
		deal.Values[d.With[i].Name] = v
	}
	for _, aside := range d.Besides {
		if s.hold(aside.When) {
			deal.Asides = append(deal.Asides, aside.Say)
		}
	}
	if d.Stop != nil && s.hold(d.Stop.When) {
		deal.Stop, _ = b.Caution(d.Stop.Caution)
	}
	return deal, true
}

// hold reports whether all lines of a drill hold.
func (s *scene) hold(lines Lines) bool { return s.all(lines, StepLine, "").truth == True }

func (s *scene) reckon(l *Line) (float64, bool) {
	if l == nil || l.program == nil {
		return 0, false
	}
	r := s.run(l.program)
	return r.number, r.truth == True
}

// asked is what a drill asks, numbers open: of a sign, what is seen.
func (b *Book) asked(d *Drill) string {
	if sign, ok := b.Sign(d.Sign); ok && d.Ask.Value == "" {
		return sign.See.Value
	}
	return d.Ask.Value
}
