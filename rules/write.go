package rules

import (
	"strconv"
	"strings"

	"panelhand/rules/source"
)

// WriteSetups writes set-ups as a file of a playbook: what Load reads from it
// is what was written, places apart.
func WriteSetups(setups ...Setup) ([]byte, error) { return source.Encode(setups) }

// WriteCases writes the file of cases that stands beside it.
func WriteCases(cases ...Case) ([]byte, error) { return source.Encode(cases) }

// Encode writes {softer: 3, "fault:dark-sockets": 2}.
func (s Serves) Encode() any {
	var pairs []source.Pair
	for _, one := range s {
		key := one.Want
		if one.Fault != "" {
			key = "fault:" + one.Fault
		}
		pairs = append(pairs, source.Pair{Key: key, Value: one.Points})
	}
	return pairs
}

// Encode writes "flash|strobe".
func (n Need) Encode() any { return strings.Join(n.Kinds, "|") }

// Encode writes the conditions, groups as any and all.
func (l Lines) Encode() any {
	var out []any
	for _, line := range l {
		switch {
		case line.Any != nil:
			out = append(out, []source.Pair{{Key: "any", Value: line.Any}})
		case line.All != nil:
			out = append(out, []source.Pair{{Key: "all", Value: line.All}})
		default:
			out = append(out, line.Text)
		}
	}
	return out
}

// Encode writes "1.2 m".
func (q Quantity) Encode() any {
	number := strconv.FormatFloat(q.Value, 'f', -1, 64)
	if q.Unit == "" {
		return number
	}
	return number + " " + q.Unit
}

// Encode writes degrees.
func (a Angle) Encode() any {
	degrees := float64(a)
	return &degrees
}

// Encode writes a word or a length.
func (p Place) Encode() any {
	if p.Word != "" {
		return p.Word
	}
	return p.Length.Encode()
}

// Encode writes {step_in: 0.7 m}.
func (m Measures) Encode() any {
	var pairs []source.Pair
	for _, one := range m {
		pairs = append(pairs, source.Pair{Key: one.Name, Value: one.Quantity})
	}
	return pairs
}
