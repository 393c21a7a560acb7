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
