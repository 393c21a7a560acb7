package answer

// Part is a place in the one order in which every answer is told.
type Part int

// The order: a stop stands alone before all else; a free move comes before
// kit is unpacked; what was assumed and what to beware of close.
const (
	Stop Part = iota
	Safe      // the nearest safe picture, where something was declined
	Lead      // the lock screen's line: the set-up and the dials
	Seen      // what was seen, why, and the cheapest remedy
	Do        // of a follow-up: what to do, what it costs, what could not be done
	First
	Camera
	Flash
	Weigh // a wish against a limit
	Place
	Helper
	Check
	Assume
	Careful
	Ask
	Prose // for answers that are not set-ups
)

// A Section is one part of the phone text, a line each.
type Section struct {
	Part  Part
	Lines []string
}
