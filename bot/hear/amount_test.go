package hear

import (
	"math"
	"testing"
)

// TestAmounts: how much is asked for, where in the message, and that what is
// an amount of change is nothing else. A click is a third of a stop (trade
// handbook §4).
func TestAmounts(t *testing.T) {
	ear := house(t)
	for say, want := range map[string]struct {
		value float64
		unit  AmountUnit
		typed string
	}{
		"bg down half a stop":           {0.5, Stops, "half a stop"},
		"face two clicks brighter":      {2.0 / 3, Stops, "two clicks"},
		"flash a stop and a half down":  {1.5, Stops, "a stop and a half"},
		"bg -⅔":                         {-2.0 / 3, Stops, "-⅔"},
		"flash two thirds too hot":      {2.0 / 3, Stops, "two thirds"},
		"panel 20 cm lower":             {0.2, Metres, "20 cm"},
		"bring the panel in 8 in":       {0.2032, Metres, "8 in"},
		"turn her 20 degrees":           {20, Degrees, "20 degrees"},
		"300K warmer":                   {300, Kelvins, "300K"},
		"half the power":                {0.5, Times, "half the power"},
		"a touch warmer":                {0, Little, "touch"},
		"way darker background, please": {0, Much, "way"},
	} {
		r := ear.Read(say, nil)
		if len(r.Amounts) != 1 {
			t.Errorf("%q: amounts %v, want one of %v %s", say, r.Amounts, want.value, want.unit)
			continue
		}
		got := r.Amounts[0]
		if typed := say[got.Span.Start:got.Span.End]; math.Abs(got.Value-want.value) > 1e-9 || got.Unit != want.unit || typed != want.typed {
			t.Errorf("%q: %v %s in %q, want %v %s in %q", say, got.Value, got.Unit, typed, want.value, want.unit, want.typed)
		}
	}
}

// What is no change is no amount.
func TestNoAmounts(t *testing.T) {
	ear := house(t)
	for _, say := range []string{"panel 1.2 m from her", "40in panel", "3 stop nd", "30 degrees out here, sun", "wb 5600K", "bus stop, night", "a little girl", "one metre behind the panel", "don't touch the face", "far corner of the hall", "both sitters"} {
		if r := ear.Read(say, nil); len(r.Amounts) > 0 {
			t.Errorf("%q: amounts %v", say, r.Amounts)
		}
	}
	for say, path := range map[string]string{"panel 20 cm lower": "distance.panel_subject_m", "turn her 20 degrees": "weather.temp_c", "300K warmer": "camera.wb_k"} {
		f := ear.Read(say, nil).Facts
		if v, ok := f.Number(path); ok {
			t.Errorf("%q: %s is %v", say, path, v)
		}
		if item, ok := f.Item("panel"); ok && item.SizeM > 0 {
			t.Errorf("%q: the panel is %v m", say, item.SizeM)
		}
	}
}
