package hear

import (
	"strings"
	"testing"
)

func TestMend(t *testing.T) {
	s := house(t).spell
	for typed, want := range map[string]string{
		"flahs": "flash", "flsh": "flash", "flashh": "flash", "pannel": "panel", "pnl": "panel", "ovrcast": "overcast", "umberlla": "umbrella", "refelctor": "reflector",
		"hlpr": "helper", "shde": "shade", "softr": "softer", "windyyy": "windy", "cloudey": "cloudy", "dffsr": "diffuser",
	} {
		if got := s.mend(typed); got != want {
			t.Errorf("%q is mended to %q, want %q", typed, got, want)
		}
	}
	// good words stay what they are
	for _, word := range []string{"share", "stage", "greet", "train", "wand", "shape", "flask", "plane", "canoe", "burst", "clash", "sandwich", "meet", "panels", "clamped"} {
		if !s.knows(word) && s.mend(word) != "" {
			t.Errorf("%q is mended to %q", word, s.mend(word))
		}
	}
	for typed, want := range map[string][2]string{"noflash": {"no", "flash"}, "bigwindow": {"big", "window"}, "lowsun": {"low", "sun"}} {
		if first, second, _ := s.split(typed); first != want[0] || second != want[1] {
			t.Errorf("%q is split into %q %q", typed, first, second)
		}
	}
}

// A name is no slip: "Leeds" are no two lamps.
func TestNamesAreNotMended(t *testing.T) {
	ear := house(t)
	for _, say := range []string{"in Leeds, open shade", "in leeds, open shade", "low sun at Shady Pnel quay", "my mate Flsh is here, window, overcast", "near Ledge, harsh sun, two people"} {
		if kit := ear.Read(say, nil).Facts.Kit(); len(kit) > 0 {
			t.Errorf("%q: kit %+v", say, kit)
		}
	}
	// a message that begins every word with a capital, or is all capitals, is mended
	for _, say := range []string{"Flahs And Pannel", "FLAHS AND PANNEL", "Flahs, pannel"} {
		if kit := ear.Read(say, nil).Facts.Kit(); len(kit) != 2 {
			t.Errorf("%q: kit %+v", say, kit)
		}
	}
}

func TestContractedIs(t *testing.T) {
	if f := house(t).Read("bg's blown", nil).Facts; !f.Has("faults", "bright-background") {
		t.Error("bg's is not heard as bg is")
	}
}

func TestNumbersAreNeverMended(t *testing.T) {
	ear := house(t)
	f := ear.Read("iso 401, 1/201, f5.7", nil).Facts
	for path, want := range map[string]float64{"camera.iso": 401, "camera.shutter_s": 1.0 / 201, "camera.aperture": 5.7} {
		if got, _ := f.Number(path); got != want {
			t.Errorf("%s is %v, want %v", path, got, want)
		}
	}
}

func TestOrdinaryWordsAreSortedAndPlain(t *testing.T) {
	last := ""
	for _, w := range strings.Fields(ordinaryWords) {
		if w <= last || normalise(w).text != w || len(tokenise(w)) != 1 {
			t.Errorf("%q after %q", w, last)
		}
		last = w
	}
}
