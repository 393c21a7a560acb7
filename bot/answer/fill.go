package answer

import (
	"math"
	"strconv"
	"strings"

	"panelhand/calc/units"
)

// Fill puts numbers into a text's holes: "{panel_subject_m} from the face".
// A hole names a key of Keys or one of the set-up's own lengths, in metres;
// the asker's style decides unit and rounding. It reports false where a hole
// has no number: such a line is better left out than half said.
func Fill(text string, n *Numbers, lengths map[string]float64, style units.Style) (string, bool) {
	before, rest, holed := strings.Cut(text, "{")
	if !holed {
		return text, true
	}
	var b strings.Builder
	for holed {
		b.WriteString(before)
		name, after, closed := strings.Cut(rest, "}")
		if !closed {
			return "", false
		}
		if metres, ok := lengths[name]; ok {
			b.WriteString(style.Metres(units.Metres(metres)))
		} else if shown, ok := n.Show(name, style); ok {
			b.WriteString(shown)
		} else {
			return "", false
		}
		before, rest, holed = strings.Cut(after, "{")
	}
	b.WriteString(before)
	return b.String(), true
}

// Show prints a number as the asker reads it, and false where there is none.
func (n *Numbers) Show(key string, style units.Style) (string, bool) {
	if n == nil {
		return "", false
	}
	if text := n.texts[key]; text != "" {
		return text, true
	}
	v, ok := n.Get(key)
	if !ok {
		return "", false
	}
	k, _ := KeyNamed(key)
	return k.Quantity.Print(v, style), true
}

// Print prints a number of the quantity as the asker reads it.
func (q Quantity) Print(v float64, style units.Style) string {
	switch q {
	case ISO:
		return units.ISO(v).String()
	case Aperture:
		return units.FNumber(v).String()
	case Shutter:
		return units.Seconds(v).String()
	case Kelvin:
		return units.Kelvin(v).String()
	case Focal:
		return units.Millimetres(v).String()
	case Stops:
		return units.Stops(v).String()
	case HowMany:
		return strings.TrimPrefix(units.Stops(math.Abs(v)).String(), "+")
	case EV:
		return units.EV(v).String()
	case Lux:
		return units.Lux(v).String()
	case Power:
		return units.Fraction(v).String()
	case Length:
		return style.Metres(units.Metres(v))
	case Guide:
		return units.GuideNumber(v).String()
	case Degrees:
		return units.Degrees(5 * math.Round(v/5)).String() // a hand can't set less
	case Millimetres:
		return units.Millimetres(v).String()
	case Kilograms:
		return units.Kilograms(math.Ceil(v)).String() // never fewer than computed
	case Speed:
		return style.Speed(units.MetresPerSecond(v))
	case Seconds:
		return strconv.FormatFloat(math.Ceil(v*2)/2, 'f', -1, 64) + " s"
	case Count:
		return strconv.FormatFloat(math.Floor(v), 'f', -1, 64)
	case Percent:
		return strconv.FormatFloat(5*math.Round(20*v), 'f', -1, 64) + " %"
	}
	return strconv.FormatFloat(v, 'g', 2, 64)
}
