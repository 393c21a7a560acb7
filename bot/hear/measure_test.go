package hear_test

import (
	"math"
	"testing"

	"panelhand/bot/hear"
	"panelhand/rules"
	"panelhand/rules/playbook"
)

// What a question is reckoned from: each number of a message with what it
// measures, in SI.
func TestMeasures(t *testing.T) {
	book, problems := rules.Load(playbook.Files)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	ear := hear.New(book.Words, book.Questions...)
	type measure struct {
		kind  string
		value float64
	}
	for say, want := range map[string][]measure{
		"iso 100 to 640, how many stops":                      {{"iso", 100}, {"iso", 640}},
		"how many stops from 3 to 1.5 m":                      {{"length", 3}, {"length", 1.5}},
		"what iso for 320 lux at f4 and 1/60":                 {{"lux", 320}, {"aperture", 4}, {"time", 1.0 / 60}},
		"which power for f11 at 1.5 m, gn is 36 m":            {{"aperture", 11}, {"length", 1.5}, {"guide", 36}},
		"aperture for a 118 ft guide number at 10 ft":         {{"guide", 35.9664}, {"length", 3.048}},
		"60x90cm box at 2 m, what gust tips it":               {{"width", 0.9}, {"height", 0.6}, {"length", 2}},
		"200 mired is how many kelvin":                        {{"mired", 200}},
		"how many stops is 1/8 vs 1/2 power":                  {{"power", 0.125}, {"power", 0.5}},
		"ev100 of f8 1/60 iso 200?":                           {{"aperture", 8}, {"time", 1.0 / 60}, {"iso", 200}},
		"which gel takes a 5500K flash to 3400":               {{"kelvin", 5500}, {"kelvin", 3400}},
		"full power recycles in 4 s, how long at 1/8":         {{"power", 1}, {"time", 4}, {"power", 0.125}},
		"how wide is a panel of 53 degrees at 1 m, what size": {{"degree", 53}, {"length", 1}},
		"how many stops from half power to full":              {{"power", 0.5}, {"power", 1}},
		"10k lux is what ev":                                  {{"lux", 10000}},
	} {
		got := ear.Read(say, nil).Measures
		ok := len(got) == len(want)
		for i := 0; ok && i < len(want); i++ {
			v, _, as := got[i].As(want[i].kind)
			ok = as && math.Abs(v-want[i].value) < 1e-4*math.Max(1, want[i].value) && got[i].Span.Start < got[i].Span.End && got[i].Span.End <= len(say)
		}
		if !ok {
			t.Errorf("%q measures %+v, want %v", say, got, want)
		}
	}
	if r := ear.Read("two people in open shade, one flash", nil); r.Asked != nil || r.Measures != nil {
		t.Errorf("no question asks %v", r.Asked)
	}
}
