package rules

import "panelhand/rules/source"

// A Shift moves the picture wanted when its lines hold: what a wish, a number
// of people or a movement asks of levels and dials, whatever the set-up.
type Shift struct {
	ID         string  `source:"shift,required"`
	When       Lines   `source:"when,required"`
	Ambient    float64 `source:"ambient"`    // stops to add to the light that is there, on the face
	Background float64 `source:"background"` // stops to add
	Face       float64 `source:"face"`       // stops to add to the face against right
	Ratio      float64 `source:"ratio"`      // lit side : shadow side from now on
	Aperture   float64 `source:"aperture"`   // f-number wished for
	Widest     float64 `source:"widest"`     // f-number never to open past, for depth
	SlowestS   float64 `source:"slowest_s"`  // longest time that still serves
	FastestS   float64 `source:"fastest_s"`  // shortest time that still serves
	ISOMax     float64 `source:"iso_max"`
	WBK        float64 `source:"wb_k"` // kelvin to add to the white balance: + warms
	Source     string  `source:"source,required"`
	Pos        source.Pos
}

// Shifting returns the shifts whose lines all hold, in the order of the book.
func (b *Book) Shifting(env Env) []*Shift {
	s := b.scene(&env)
	defer b.idle.put(s)
	var out []*Shift
	for i := range b.Shifts {
		if shift := &b.Shifts[i]; s.holds(shift.When, StepShift, shift.ID, shift.Pos) {
			out = append(out, shift)
		}
	}
	return out
}
