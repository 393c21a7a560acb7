package hear

import (
	"slices"
	"testing"

	"panelhand/rules/fact"
)

func thread(t *testing.T, turns ...string) *fact.Set {
	t.Helper()
	ear := house(t)
	var known *fact.Set
	for _, say := range turns {
		known = Merge(known, ear.Read(say, known).Facts)
	}
	return known
}

func TestMerge(t *testing.T) {
	s := thread(t, "sun, one flash + 40in panel, f4 iso 200, windy, softer", "cloud came, f5.6, panel 32in, not windy, darker background")
	if v, _ := s.Get("light.kind"); v.Text != "overcast" {
		t.Errorf("the newest light is overcast, not %q", v.Text)
	}
	if n, _ := s.Number("camera.aperture"); n != 5.6 {
		t.Errorf("f/%v, want the newest", n)
	}
	if v, _ := s.Get("camera.iso"); v.Number != 200 || v.Origin != fact.Kept {
		t.Errorf("ISO %v from the %v, want 200 kept", v.Number, v.Origin)
	}
	panel, _ := s.Item("panel")
	if s.Count("panel") != 1 || !near(panel.SizeM, 0.8128) {
		t.Errorf("kit %+v, want the one panel at its newest size", s.Kit())
	}
	if s.Has("limits", "wind") {
		t.Error("the wind was denied and is still there")
	}
	if got := s.Choices("wants"); !slices.Equal(got, []string{"softer", "darker-background"}) {
		t.Errorf("wishes %v: one stays until its opposite is wished", got)
	}
}

func TestMergeBans(t *testing.T) {
	s := thread(t, "one flash, panel, stand", "guard says no flash and no stands")
	if s.Count("flash")+s.Count("stand") != 0 || s.Count("panel") != 1 || !s.Has("limits", "no-flash") {
		t.Errorf("kit %+v, limits %v", s.Kit(), s.Choices("limits"))
	}
	s = thread(t, "nobody brought a flash, no flash", "found my flash")
	if s.Count("flash") != 1 || s.Has("limits", "no-flash") {
		t.Errorf("a flash turned up: kit %+v, limits %v", s.Kit(), s.Choices("limits"))
	}
}

func TestMergeWind(t *testing.T) {
	s := thread(t, "wind 25 km/h gusting 40, rooftop", "wind dropped to 2 m/s")
	if s.Has("limits", "wind") {
		t.Error("2 m/s is no limit")
	}
	if _, gusts := s.Get("weather.gust_ms"); gusts {
		t.Error("the gusts of the wind that dropped are kept")
	}
}

// Merge changes neither of its arguments.
func TestMergeLeavesItsArgumentsAlone(t *testing.T) {
	ear := house(t)
	first := ear.Read("one flash at 1/4, white panel, windy", nil).Facts
	second := ear.Read("flash 1/8, silver panel, no wind", nil).Facts
	Merge(first, second)
	flash, _ := first.Item("flash")
	panel, _ := first.Item("panel")
	if flash.Power != 0.25 || !slices.Equal(panel.Surfaces, []string{"white"}) || !first.Has("limits", "wind") {
		t.Errorf("the thread was changed: %+v", first.Kit())
	}
	if again, _ := second.Item("flash"); again.Power != 0.125 || again.Origin != fact.Said {
		t.Errorf("the message was changed: %+v", again)
	}
}
