package hear

import (
	"slices"
	"testing"
)

func TestTokenise(t *testing.T) {
	for say, want := range map[string][]string{
		"40in panel":         {"40", "in", "panel"},
		"iso400f5.6":         {"iso", "400", "f", "5.6"},
		"don't, back-lit":    {"dont", ",", "back", "lit"},
		"w/o stand w/ flash": {"without", "stand", "with", "flash"},
		"kid w/out parents":  {"kid", "without", "parents"},
		`4'6" from`:          {"4", "'", "6", `"`, "from"},
		"1,2 m":              {"1.2", "m"},
		"10,000 lux":         {"10000", "lux"},
		"f4,1/200":           {"f", "4", ",", "1", "/", "200"},
		"85,50mm":            {"85", ",", "50", "mm"},
		"-6 -> .5":           {"-", "6", "-", ">", ".5"},
		"5-in-1 iso-200":     {"5", "in", "1", "iso", "200"},
		"2-3 people":         {"2", "-", "3", "people"},
		"flash🌧️ok":          {"flash", "🌧", "ok"},
		"h/shot":             {"h", "/", "shot"},
		"end. 12:40":         {"end", ".", "12", ":", "40"},
		"6'' frame":          {"6", `"`, "frame"},
	} {
		var got []string
		for _, tok := range tokenise(normalise(say).text) {
			got = append(got, tok.text)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%q is cut into %q, want %q", say, got, want)
		}
	}
}
