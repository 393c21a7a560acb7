package bot

import (
	"math"
	"strings"

	"panelhand/bot/answer"
	"panelhand/bot/hear"
	"panelhand/calc/units"
	"panelhand/rules"
)

// weigh tells the wishes that go against a limit here, which wins, and what
// to do, in the order of the playbook; and their lines as the playbook has them.
func (c *Coach) weigh(env rules.Env, s *staging, reading hear.Reading) (out []answer.Tradeoff, told string) {
	for _, w := range c.book.Weigh(env) {
		say := w.Tradeoff.Say.Value
		told += say
		for i, amount := range w.Tradeoff.With {
			say = strings.ReplaceAll(say, "{"+amount.Name+"}", printed(amount.Unit, w.Values[i], reading.Style))
		}
		if text, ok := answer.Fill(say, s.numbers, s.lengths, reading.Style); ok {
			out = append(out, answer.Tradeoff{ID: w.Tradeoff.ID, Wins: w.Tradeoff.Wins, Text: text})
		}
	}
	return out, told
}

// quantities are the playbook's units of amounts as answers print them.
var quantities = map[string]answer.Quantity{
	"level":    answer.Stops,
	"stops":    answer.HowMany,
	"ev":       answer.EV,
	"lux":      answer.Lux,
	"m":        answer.Length,
	"f-number": answer.Aperture,
	"iso":      answer.ISO,
	"shutter":  answer.Shutter,
	"k":        answer.Kelvin,
	"deg":      answer.Degrees,
	"power":    answer.Power,
	"percent":  answer.Percent,
}

// printed prints an amount. What a dial sets is told as the nearest mark of
// the dial.
func printed(unit string, v float64, style units.Style) string {
	switch unit {
	case "f-number":
		return units.ApertureThirds().Nearest(v).Text
	case "iso":
		return units.ISOThirds().Nearest(v).Text
	case "shutter":
		return units.ShutterThirds().Nearest(v).Text
	case "deg": // how wide or how high something is, not an angle to set by hand
		return units.Degrees(math.Round(v)).String()
	}
	return quantities[unit].Print(v, style)
}
