package rules

import (
	"slices"
	"strings"

	"panelhand/rules/source"
)

// A Quantity is a measure with its unit as a rule file says it: "1.2 m",
// "0.75 panels" (panel diameters or longest sides), "35 deg".
type Quantity struct {
	Value float64
	Unit  string // one of the units below
	Pos   source.Pos
}

// The units a Quantity can have.
const (
	Metres    = "m"
	Panels    = "panels" // times the longest side of the panel used
	Degrees   = "deg"
	Seconds   = "s"
	Kilograms = "kg"
)

var unitNames = []string{Metres, Panels, Degrees, Seconds, Kilograms}

// Metres is a length in metres, given the panel's size in metres.
func (q Quantity) Metres(panel float64) float64 {
	if q.Unit == Panels {
		return q.Value * panel
	}
	return q.Value
}

// Decode reads "NUMBER UNIT"; centimetres are turned into metres.
func (q *Quantity) Decode(n source.Node) []source.Problem {
	q.Pos = n.Pos()
	number, unit, _ := strings.Cut(n.Text(), " ")
	value, ok := source.Number(number)
	if !ok {
		return []source.Problem{n.Problem("wrong-kind", `a measure is a number and its unit: "1.2 m", "0.75 panels", "35 deg"`)}
	}
	q.Value, q.Unit = value, strings.TrimSpace(unit)
	switch q.Unit {
	case "cm":
		q.Value, q.Unit = value/100, Metres
	case "panel":
		q.Unit = Panels
	case "degrees", "°":
		q.Unit = Degrees
	}
	if q.Unit != "" && !slices.Contains(unitNames, q.Unit) {
		p := n.Problem("wrong-unit", "%q is not a unit here; the units are %s", q.Unit, strings.Join(unitNames, ", "))
		return []source.Problem{p}
	}
	return nil
}

// A Length is a Quantity in metres or panels.
type Length struct{ Quantity }

// Decode reads a length; a bare number has no unit and is refused.
func (l *Length) Decode(n source.Node) []source.Problem {
	if problems := l.Quantity.Decode(n); problems != nil {
		return problems
	}
	switch {
	case l.Unit == "":
		return []source.Problem{n.Problem("wrong-unit", "%s has no unit; write m or panels after it", n.Text())}
	case l.Unit != Metres && l.Unit != Panels:
		return []source.Problem{n.Problem("wrong-unit", "a length is in m or panels, not in %s", l.Unit)}
	case l.Value < 0 || l.Value > 1000:
		return []source.Problem{n.Problem("out-of-range", "a length is from 0 to 1000")}
	}
	return nil
}

// An Angle is in degrees.
type Angle float64

// Decode reads a bare number or one with deg.
func (a *Angle) Decode(n source.Node) []source.Problem {
	var q Quantity
	if problems := q.Decode(n); problems != nil {
		return problems
	}
	switch {
	case q.Unit != "" && q.Unit != Degrees:
		return []source.Problem{n.Problem("wrong-unit", "an angle is in deg, not in %s", q.Unit)}
	case q.Value < -180 || q.Value > 180:
		return []source.Problem{n.Problem("out-of-range", "an angle is from -180 to 180 degrees")}
	}
	*a = Angle(q.Value)
	return nil
}
