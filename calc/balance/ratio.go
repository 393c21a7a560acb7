package balance

import (
	"errors"
	"math"

	"panelhand/calc/units"
)

var errNoLight = errors.New("no light was given to add")

// Convention says what the first number of a lighting ratio counts. Both are in
// print, so an answer says stops first.
type Convention int

const (
	// Reaching: lit side to shadow side, the fill reaching both. Equal lights
	// are 2:1. The house's convention, and the cinematographers'.
	Reaching Convention = iota
	// Sources: key to fill, each measured alone. Equal lights are 1:1.
	Sources
)

// Ratio is n of "n:1" for a key that is over the fill by so many stops, each
// alone (−20 to 20).
//
// Error: out of range. Source: photometry handbook §8, trade handbook N9.
func Ratio(keyOverFill units.Stops, c Convention) (float64, error) {
	if err := differences.Check(float64(keyOverFill)); err != nil {
		return 0, err
	}
	n := math.Exp2(float64(keyOverFill))
	if c == Reaching {
		n++
	}
	return n, nil
}

// KeyOverFill is how many stops the key must be over the fill, each alone, for
// a ratio n:1.
//
// Error: a ratio over 1e6, or under what the convention can mean (1:1 has no
// key at all where the fill reaches both). Source: trade handbook Q18.
func KeyOverFill(ratio float64, c Convention) (units.Stops, error) {
	low, fill := 1e-6, 0.0
	if c == Reaching {
		low, fill = 1+1e-6, 1
	}
	if err := (units.Range{Quantity: "lighting ratio", Low: low, High: 1e6}).Check(ratio); err != nil {
		return 0, err
	}
	return units.Stops(math.Log2(ratio - fill)), nil
}

// Contrast is the difference in stops between lit and shadow side for a key
// over the fill by so many stops, the fill reaching both: the log of the
// Reaching ratio.
//
// Error: out of range. Source: photometry handbook §8.
func Contrast(keyOverFill units.Stops) (units.Stops, error) {
	n, err := Ratio(keyOverFill, Reaching)
	return units.Stops(math.Log2(max(n, 1))), err
}

var differences = units.Range{Quantity: "key over fill", Unit: "stop", Low: -20, High: 20}
