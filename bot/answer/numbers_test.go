package answer_test

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"panelhand/bot/answer"
	"panelhand/calc/units"
	"panelhand/rules"
)

// TestKeysAreTheRules: what rules may name is what answers have.
func TestKeysAreTheRules(t *testing.T) {
	for _, k := range answer.Keys {
		if !slices.Contains(rules.NumberKeys, k.Name) {
			t.Errorf("rules may not name %s", k.Name)
		}
	}
	for _, name := range rules.NumberKeys {
		if _, ok := answer.KeyNamed(name); !ok {
			t.Errorf("rules name %s, which no answer has", name)
		}
	}
}

func TestNumbersJSON(t *testing.T) {
	var n answer.Numbers
	n.Set("aperture", 5.6)
	n.Set("iso", 100)
	n.Set("flash_power", math.Exp2(-10.0/3))
	n.Set("subject_stops", 0)
	n.Set("tip_gust_ms", math.Inf(1))
	n.Set("depth_far_m", math.NaN())
	n.Tell("flash_power", "1/8 −1 click")
	got, err := json.Marshal(&n)
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"iso":100,"aperture":5.6,"flash_power":0.0992126,"flash_power_text":"1/8 −1 click","subject_stops":0}`
	if string(got) != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestFill(t *testing.T) {
	var n answer.Numbers
	n.Set("panel_subject_m", 1.2)
	n.Set("flash_gn_m", 36)
	n.Set("key_side_deg", 33)
	n.Set("recycle_s", 0.21)
	n.Set("nd_stops", 3)
	inches := units.Style{Length: units.Inch}
	for _, c := range []struct {
		text, want string
		style      units.Style
		ok         bool
	}{
		{"no hole", "no hole", units.Style{}, true},
		{"{panel_subject_m} off", "1.2 m off", units.Style{}, true},
		{"{panel_subject_m} off", "47 in off", inches, true},
		{"guide number {flash_gn_m}", "guide number 36 m", inches, true},
		{"{key_side_deg} to one side, {step_in} in", "35° to one side, 0.7 m in", units.Style{}, true},
		{"a filter of {nd_stops}", "a filter of 3 stops", units.Style{}, true},
		{"wait {recycle_s}", "wait 0.5 s", units.Style{}, true},
		{"{flash_power} and more", "", units.Style{}, false},
		{"an {unclosed hole", "", units.Style{}, false},
	} {
		got, ok := answer.Fill(c.text, &n, map[string]float64{"step_in": 0.7}, c.style)
		if got != c.want || ok != c.ok {
			t.Errorf("Fill(%q) = %q, %v, want %q, %v", c.text, got, ok, c.want, c.ok)
		}
	}
}
