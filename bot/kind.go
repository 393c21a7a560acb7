package bot

import (
	"slices"
	"strings"

	"panelhand/bot/answer"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// kind decides what sort of answer a message gets, from what it said itself;
// what the thread knows does not make a question of a remark.
func (c *Coach) kind(said *fact.Set, raised []rules.Raised, text string, standing bool) answer.Kind {
	asks := func(what ...string) bool {
		return slices.ContainsFunc(what, func(w string) bool { return said.Has("ask", w) })
	}
	light := saysLight(said)
	switch {
	case stops(raised):
		return answer.KindSafety
	case asks("plan"):
		return answer.KindPlan
	case len(raised) > 0 && (asks("permission", "safety") && !wishes(said) || !light && endangers(said)):
		return answer.KindSafety
	case asks("why"), asks("hands", "cost") && standing, asks("meaning") && (len(c.termsIn(text)) > 0 || !light):
		return answer.KindMeaning
	case standing && (asks("undo", "redo", "first", "again", "keep-it", "what-if", "change", "moved", "more", "less", "other-side") || follows(said) || light && !anew(said)):
		return answer.KindChange
	case light:
		return answer.KindSetup
	case asks("help"):
		return answer.KindHelp
	case len(said.Choices("ask")) > 0 && !asks("permission", "safety", "script"):
		return answer.KindUnsure
	case said.Empty():
		return answer.KindUnsure
	case standing:
		return answer.KindChange
	}
	return answer.KindSetup
}

// onlyAsks reports whether a message asks for a number and for nothing to be
// done: one that turns something, or is of another place, does more.
func onlyAsks(said *fact.Set) bool {
	if !said.Has("ask", "number") || len(said.Choices("turn")) > 0 {
		return false
	}
	return !slices.ContainsFunc(said.Choices("ask"), func(ask string) bool { return ask != "number" && ask != "meaning" })
}

// replans reports whether a message only adds to a plan that was made: a date,
// a place, hours, a forecast.
func replans(said *fact.Set) bool {
	if saysLight(said) || len(said.Choices("ask")) > 0 {
		return false
	}
	return slices.ContainsFunc(fact.Table, func(f fact.Fact) bool {
		_, heard := said.Get(f.Path)
		return heard && (strings.HasPrefix(f.Path, "plan.") || strings.HasPrefix(f.Path, "when.") || strings.HasPrefix(f.Path, "where.") || strings.HasPrefix(f.Path, "weather.") || f.Path == "venue")
	})
}

// ofThePlan reports whether a message asks something of a plan that was made: the
// brief, or what becomes of it in the rain.
func ofThePlan(said *fact.Set) bool {
	return !saysLight(said) && (said.Has("ask", "script") || said.Has("limits", "rain") && len(said.Kit()) == 0)
}

// ahead reports whether a message is of a day rather than of a picture: it says where on the
// earth, or from when to when on a day, in how many frames.
func ahead(said *fact.Set) bool {
	has := func(path string) bool { _, ok := said.Get(path); return ok }
	return has("where.lat") || has("where.lon") ||
		has("plan.start") && has("plan.end") && (has("when.date") || has("plan.frames") || has("plan.spots"))
}

// follows reports whether a message turns something of the set-up that stands.
func follows(said *fact.Set) bool {
	if len(said.Choices("turn")) > 0 {
		return true
	}
	for _, d := range dialled {
		if _, ok := said.Get(d.path); ok {
			return true
		}
	}
	return false
}

// anew reports whether a message describes a picture from its beginning: what
// light there is and what kit to light it with.
func anew(said *fact.Set) bool {
	_, kind := said.Get("light.kind")
	kit := slices.ContainsFunc(said.Kit(), func(i fact.Item) bool { return !onlyTurns(i) || i.Count > 0 })
	return kit && (kind || len(said.Choices("light.from")) > 0) || said.Has("ask", "restart")
}

// wishes reports whether a message describes light or wants something of it.
func wishes(said *fact.Set) bool {
	for _, list := range []string{"wants", "light.from", "faults", "says"} {
		if len(said.Choices(list)) > 0 {
			return true
		}
	}
	for _, one := range []string{"light.kind", "light.ev100", "look"} {
		if _, ok := said.Get(one); ok {
			return true
		}
	}
	return false
}

// saysLight reports whether there is anything in a message to light by: a
// wish, kit, a person, a camera setting.
func saysLight(said *fact.Set) bool {
	if wishes(said) || len(said.Kit()) > 0 || len(said.Choices("subject.traits")) > 0 {
		return true
	}
	for _, one := range []string{"subject.people", "subject.framing", "subject.moving", "camera.aperture", "camera.iso", "camera.shutter_s", "camera.focal_mm"} {
		if _, ok := said.Get(one); ok {
			return true
		}
	}
	return false
}

// harmless are hazards that name a place or take a danger away.
var harmless = []string{"public-place", "private-place", "indoors", "outdoors", "in-lee", "guardian-present", "guarded", "clear-of-edge", "clear-of-lines", "mains-protected", "road-closed"}

// endangers reports whether a message names a danger rather than a place.
func endangers(said *fact.Set) bool {
	return slices.ContainsFunc(said.Choices("hazards"), func(h string) bool { return !slices.Contains(harmless, h) })
}
