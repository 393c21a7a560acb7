package rules

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"panelhand/rules/formula"
	"panelhand/rules/source"
)

// A Drill is a kind of question for training. It is one of three sorts: a
// number to be worked out (Answer), a sign to be read (Sign), or an order that
// must be refused (Stop without Answer). A number may have to be refused too,
// where its Stop holds for the values drawn.
type Drill struct {
	ID      string      `source:"drill,required"`
	About   []string    `source:"about,required"` // what people call its matter: "distance", "flash power"
	Draws   Draws       `source:"draws"`
	Where   Lines       `source:"where"` // of the values drawn and the answer
	Ask     source.Text `source:"ask"`   // a sign's is what is seen
	Answer  *Reckoning  `source:"answer"`
	Within  *Tolerance  `source:"within"`
	Working source.Text `source:"working"`
	With    Amounts     `source:"with"`    // further numbers that the working names
	Besides []Aside     `source:"besides"` // lines of the working that hold only sometimes
	Sign    string      `source:"sign"`    // id of the sign to be read
	Cause   []string    `source:"cause"`   // ways of saying why; all words of one count
	Remedy  []string    `source:"remedy"`  // ways of saying what helps first
	Stop    *DrillStop  `source:"stop"`
	Source  string      `source:"source,required"`
	Pos     source.Pos
}

// A Reckoning is the number that answers a drill.
type Reckoning struct {
	Unit string // one of DrillUnits
	Pos  source.Pos

	line *Line
}

// An Aside is a line of the working told where its conditions hold.
type Aside struct {
	When Lines       `source:"when,required"`
	Say  source.Text `source:"say,required"`
}

// A DrillStop says when the only right answer is "stop", and which caution says
// why.
type DrillStop struct {
	When    Lines  `source:"when"` // none: always
	Caution string `source:"caution,required"`
	Pos     source.Pos
}

// A Tolerance is how far off an answer may be.
type Tolerance struct {
	By   float64
	Kind string // one of the kinds below
}

// The kinds of tolerance.
const (
	ByUnit    = ""     // in the answer's own unit
	ByPercent = "%"    // of the answer
	ByStops   = "stop" // of light: on an f-number, a time or a power
)

// Draws are the numbers of a drill that are drawn anew each time.
type Draws []Draw

// A Draw is one of them, with the values that it can take.
type Draw struct {
	Name   string
	Unit   string // one of DrillUnits
	Values []float64
	Pos    source.Pos
}

// DrillUnits are what a drill's numbers can be: those of amounts, and what a
// crew reckons with besides. A level has a direction, stops have none.
var DrillUnits = append(slices.Clone(AmountUnits), "cm", "mm", "kg", "min", "km/h", "m/s", "m2", "ratio", "mired", "count")

// plainName is the name of a number drawn.
var plainName = regexp.MustCompile(`^[a-z][a-z0-9]*$`)

// mostDraws bounds the values of one draw.
const mostDraws = 500

// Decode reads {from: {f-number: [2.8, 4]}, distance: {m: 1 to 3 by 0.1}}.
func (d *Draws) Decode(n source.Node) []source.Problem {
	if n.Kind() != source.Map {
		return []source.Problem{n.Problem("wrong-kind", `draws is a map: {distance: {m: 1 to 3 by 0.1}}`)}
	}
	var problems []source.Problem
	for key, value := range n.Pairs() {
		one := Draw{Name: key.Text(), Pos: key.Pos()}
		if _, clash := formula.Lookup(one.Name); clash || one.Name == answerName || !plainName.MatchString(one.Name) {
			problems = append(problems, key.Problem("wrong-kind", "%s cannot be drawn: a formula or the answer has that name, or it is more than small letters and digits", one.Name))
		}
		if value.Kind() != source.Map || value.Len() != 1 {
			problems = append(problems, value.Problem("wrong-kind", "%s is a unit and its values: {m: 1 to 3 by 0.1}", one.Name))
			continue
		}
		for unit, values := range value.Pairs() {
			one.Unit = unit.Text()
			problems = oneOf(unit, "units", DrillUnits, problems)
			problems = one.values(values, problems)
		}
		*d = append(*d, one)
	}
	return problems
}

func (d *Draw) values(n source.Node, problems []source.Problem) []source.Problem {
	if n.Kind() == source.List {
		for item := range n.Items() {
			v, ok := drawn(item.Text())
			if !ok {
				problems = append(problems, item.Problem("wrong-kind", "%q is no number, nor a fraction such as 1/200", item.Text()))
			}
			d.Values = append(d.Values, v)
		}
	} else {
		var texts [3]string
		words := strings.Fields(n.Text())
		if len(words) == 5 && words[1] == "to" && words[3] == "by" {
			texts = [3]string{words[0], words[2], words[4]}
		}
		low, ok1 := source.Number(texts[0])
		high, ok2 := source.Number(texts[1])
		step, ok3 := source.Number(texts[2])
		if !ok1 || !ok2 || !ok3 || step <= 0 || high < low || (high-low)/step > mostDraws {
			return append(problems, n.Problem("wrong-kind", "values are a list, or a range such as 1 to 3 by 0.1, of %d at most", mostDraws))
		}
		for i := 0; low+float64(i)*step <= high+step/1000; i++ {
			// steps are decimals: 1 + 3·0.1 is 1.3, not 1.3000000000000003
			d.Values = append(d.Values, math.Round((low+float64(i)*step)*1e6)/1e6)
		}
	}
	if len(d.Values) == 0 {
		problems = append(problems, n.Problem("empty-key", "%s has no values", d.Name))
	}
	return problems
}

// drawn reads "2.8" or "1/200".
func drawn(text string) (float64, bool) {
	over, under, fraction := strings.Cut(text, "/")
	v, ok := source.Number(over)
	if !fraction || !ok {
		return v, ok
	}
	w, ok := source.Number(under)
	return v / w, ok && w != 0
}

// Decode reads {level: "expression"}.
func (r *Reckoning) Decode(n source.Node) []source.Problem {
	var one Amount
	r.Pos = n.Pos()
	if n.Kind() != source.Map || n.Len() != 1 {
		return []source.Problem{n.Problem("wrong-kind", `an answer is a unit and an expression: {level: "aperture_stops(from, to)"}`)}
	}
	var problems []source.Problem
	for unit, expression := range n.Pairs() {
		r.Unit = unit.Text()
		problems = oneOf(unit, "units", DrillUnits, problems)
		problems = one.add(expression, problems)
	}
	if len(one.formulas) > 0 {
		r.line = one.formulas[0]
	}
	return problems
}

// Decode reads "0.1", "5 %" or "0.3 stop".
func (t *Tolerance) Decode(n source.Node) []source.Problem {
	number, kind, _ := strings.Cut(n.Text(), " ")
	by, ok := source.Number(number)
	if !ok || by <= 0 || by > 1e6 || !slices.Contains([]string{ByUnit, ByPercent, ByStops}, kind) {
		return []source.Problem{n.Problem("wrong-kind", "a tolerance is a number in the answer's unit, or one with %% or stop: 0.1, 5 %%, 0.3 stop")}
	}
	t.By, t.Kind = by, kind
	return nil
}

// Decode reads a drill and tells of which sort it is.
func (d *Drill) Decode(n source.Node) []source.Problem {
	type plain Drill
	problems := n.Decode((*plain)(d))
	if n.Kind() != source.Map {
		return problems
	}
	switch {
	case d.Sign != "":
		if d.Answer != nil || d.Stop != nil || len(d.Cause) == 0 || len(d.Remedy) == 0 {
			problems = append(problems, n.Problem("wrong-kind", "%s reads a sign: it has cause and remedy, and no answer or stop", d.ID))
		}
	case d.Answer != nil:
		if d.Ask.Value == "" || d.Working.Value == "" || d.Within == nil {
			problems = append(problems, n.Problem("missing-key", "%s asks for a number: it has ask, within and working", d.ID))
		}
	case d.Stop == nil || d.Ask.Value == "" || d.Stop.When != nil:
		problems = append(problems, n.Problem("missing-key", "%s has neither an answer, nor a sign, nor an ask that must be stopped", d.ID))
	}
	return problems
}

// Texts are what a drill may show.
func (d *Drill) Texts() []source.Text {
	texts := []source.Text{d.Ask, d.Working}
	for _, b := range d.Besides {
		texts = append(texts, b.Say)
	}
	return slices.DeleteFunc(texts, func(t source.Text) bool { return t.Value == "" })
}

// String tells a tolerance: "±0.1", "±5 %".
func (t Tolerance) String() string {
	return strings.TrimSpace(fmt.Sprintf("±%s %s", strconv.FormatFloat(t.By, 'f', -1, 64), t.Kind))
}
