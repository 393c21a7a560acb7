package hear

import (
	"strings"
	"testing"
)

// What is negated is neither had nor wished; the limits are what a ban makes.
func TestNegation(t *testing.T) {
	ear := house(t)
	for say, want := range map[string]struct{ limits, kit, denied string }{
		"no flash, panel is fine":                     {"no-flash", "panel", "flash"},
		"no flash no tripod":                          {"no-flash", "", "flash tripod"},
		"cant have flash in here, stands neither":     {"no-stands no-flash", "", "flash stand"},
		"reflector yes flash no":                      {"no-flash", "reflector", "flash"},
		"flash and stands not allowed":                {"no-stands no-flash", "", "flash stand"},
		"no rain, wind or kids. one flash":            {"", "flash", "child children rain wind"},
		"no idea what power, no problem with stands":  {"", "stand", ""},
		"no bag for the stand":                        {"", "stand", "weight"},
		"flash today and a white card, no helper":     {"no-helper", "flash reflector", ""},
		"it isn't windy, stand is fine":               {"", "stand", "wind"},
		"not close to the window, flash":              {"", "flash", ""},
		"flash? no. panel? yes":                       {"no-flash", "panel", "flash"},
		"forgot the umbrella, have flash":             {"", "flash", "umbrella"},
		"left my umbrella at home, have flash":        {"", "flash", "umbrella"},
		"without flash or reflector":                  {"no-flash", "", "flash reflector"},
		"no flash but a panel":                        {"no-flash", "panel", "flash"},
		"🚫 flash, reflector ✅":                        {"no-flash", "reflector", "flash"},
		"can't see the screen, bright sun, one flash": {"", "flash", ""},
	} {
		f := ear.Read(say, nil).Facts
		var kinds []string
		for _, item := range f.Kit() {
			kinds = append(kinds, item.Kind)
		}
		if got := strings.Join(f.Choices("limits"), " "); got != want.limits {
			t.Errorf("%q: limits %q, want %q", say, got, want.limits)
		}
		if got := strings.Join(kinds, " "); got != want.kit {
			t.Errorf("%q: kit %q, want %q", say, got, want.kit)
		}
		if got := strings.Join(f.Denials(), " "); got != want.denied {
			t.Errorf("%q: denied %q, want %q", say, got, want.denied)
		}
	}
}

// A contradiction keeps the limit and says so.
func TestContradiction(t *testing.T) {
	r := house(t).Read("no flash, have flash at 1/8", nil)
	if !r.Facts.Has("limits", "no-flash") || len(r.Facts.Kit()) != 0 || len(r.Notes) != 1 {
		t.Errorf("limits %v, kit %v, notes %q", r.Facts.Choices("limits"), r.Facts.Kit(), r.Notes)
	}
	if _, said := r.Facts.Get("camera.shutter_s"); said {
		t.Error("the flash's 1/8 was taken for a time")
	}
}

func TestImpossibleValuesAreToldAndLeftOut(t *testing.T) {
	ear := house(t)
	for _, say := range []string{"f/0", "ISO 0", "1/0", "-3 m", "900 people", "500 m panel", "wb 900000", "-400 C"} {
		r := ear.Read(say, nil)
		if len(r.Facts.Kit()) > 0 && r.Facts.Kit()[0].SizeM != 0 {
			t.Errorf("%q: believed %+v", say, r.Facts.Kit())
		}
		if _, people := r.Facts.Get("subject.people"); people {
			t.Errorf("%q: believed", say)
		}
		if len(r.Notes) == 0 {
			if say != "wb 900000" && say != "-400 C" { // no quantity at all: left over
				t.Errorf("%q: nothing told", say)
			}
			continue
		}
		if !strings.Contains(r.Notes[0], "“") {
			t.Errorf("%q: %q does not name the value", say, r.Notes[0])
		}
	}
}
