package rules

import (
	"io/fs"

	"panelhand/rules/source"
)

// A DrillCase is a drill with numbers given, and what typed answers to it come to.
type DrillCase struct {
	Drill source.Text `source:"drill,required"`
	With  given       `source:"with"`
	Marks []Marking   `source:"-"`
	Pos   source.Pos
}

// A Marking is one typed answer and its mark.
type Marking struct{ Say, Mark source.Text }

// Marks are what an answer can come to. Stop is right too: it was to be said.
var Marks = []string{"right", "half", "not yet", "stop right"}

type given map[string]float64

// Decode reads {from: 2.8, start: 1/60}.
func (g *given) Decode(n source.Node) []source.Problem {
	if n.Kind() != source.Map {
		return []source.Problem{n.Problem("wrong-kind", "with is a map of the numbers drawn: {from: 2.8}")}
	}
	*g = given{}
	var problems []source.Problem
	for key, value := range n.Pairs() {
		v, ok := drawn(value.Text())
		if !ok {
			problems = append(problems, value.Problem("wrong-kind", "%q is no number", value.Text()))
		}
		(*g)[key.Text()] = v
	}
	return problems
}

// Decode reads {drill: …, with: {…}, marks: {"2 stops darker": right}}.
func (c *DrillCase) Decode(n source.Node) []source.Problem {
	var shape struct {
		Drill source.Text `source:"drill,required"`
		With  given       `source:"with"`
		Marks source.Node `source:"marks,required"`
	}
	problems := n.Decode(&shape)
	*c = DrillCase{Drill: shape.Drill, With: shape.With, Pos: n.Pos()}
	if n.Kind() != source.Map || !n.Has("marks") {
		return problems
	}
	for say, mark := range shape.Marks.Pairs() {
		var m Marking
		problems = append(problems, say.Decode(&m.Say)...)
		problems = append(problems, mark.Decode(&m.Mark)...)
		problems = oneOf(mark, "marks", Marks, problems)
		c.Marks = append(c.Marks, m)
	}
	return problems
}

// drillFolder is where drills and their cases stand.
const drillFolder = "drills/"

// DrillCases reads the cases that stand beside the drills.
func DrillCases(files fs.FS) ([]DrillCase, []source.Problem) {
	var cases []DrillCase
	names, err := fs.Glob(files, drillFolder+"*"+CasesSuffix)
	var problems []source.Problem
	for _, name := range names {
		data, bad := fs.ReadFile(files, name)
		if bad != nil {
			err = bad
			continue
		}
		root, wrong := source.Parse(name, data)
		problems = append(problems, wrong...)
		problems = append(problems, list(root, &cases)...)
	}
	if err != nil {
		problems = append(problems, source.Errorf(source.Pos{File: drillFolder}, "unreadable", "cannot be read: %v", err))
	}
	return cases, quoted(problems, files)
}

// drills checks every drill: its names, its caution and its sign, and that cases
// beside it hold one answer that is right and one that is not.
func (c *bookCheck) drills(files fs.FS) {
	cases, problems := DrillCases(files)
	c.problems = append(c.problems, problems...)
	right, wrong := map[string]bool{}, map[string]bool{}
	var ids []string
	for _, d := range c.book.Drills {
		ids = append(ids, d.ID)
	}
	for _, one := range cases {
		d, ok := c.book.Drill(one.Drill.Value)
		if !ok {
			c.fail(one.Drill.Pos, "unknown-rule", "%s is no drill of this book", one.Drill.Value)
			c.near(one.Drill.Value, ids)
			continue
		}
		if _, ok := c.book.Deal(d, one.With); !ok {
			c.fail(one.Pos, "no-cases", "%s cannot be asked with these numbers", d.ID)
		}
		for _, m := range one.Marks {
			if m.Mark.Value == "not yet" {
				wrong[d.ID] = true
			} else if m.Mark.Value != "half" {
				right[d.ID] = true
			}
		}
	}
	for i := range c.book.Drills {
		d := &c.book.Drills[i]
		names := append(d.names(), answerName)
		c.holes(d.Ask, d.names())
		for _, a := range d.With {
			names = append(names, a.Name)
		}
		c.holes(d.Working, names)
		for _, b := range d.Besides {
			c.holes(b.Say, names)
		}
		if _, ok := c.book.Sign(d.Sign); !ok && d.Sign != "" {
			c.fail(d.Pos, "unknown-rule", "%s is no sign of this book", d.Sign)
		}
		if d.Stop != nil {
			if caution, ok := c.book.Caution(d.Stop.Caution); !ok || !caution.Stop {
				c.fail(d.Stop.Pos, "unknown-rule", "%s is no caution that stops", d.Stop.Caution)
			}
		}
		if !right[d.ID] || !wrong[d.ID] {
			c.fail(d.Pos, "no-cases", "the cases beside %s need one answer that is right and one that is not yet", d.ID)
		}
	}
}
