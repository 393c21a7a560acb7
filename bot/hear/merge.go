package hear

import (
	"slices"

	"panelhand/rules/fact"
)

// opposites are wishes, and ways things stand, of which the newer drops the
// older.
var opposites = [][2]string{
	{"guardian-absent", "guardian-present"}, {"mother-away", "guardian-present"}, {"father-away", "guardian-present"}, {"guarded", "unguarded"}, {"indoors", "outdoors"}, {"mains-protected", "mains-unprotected"}, {"raised-pole", "clear-of-lines"},
	{"softer", "harder"}, {"more-shape", "flatter"}, {"darker-background", "brighter-background"}, {"darker-subject", "brighter-subject"}, {"shallower-depth", "deeper-depth"},
	{"freeze-motion", "show-motion"}, {"warmer", "cooler"}, {"more-shape", "even-light"}, {"fill-shadows", "harder"},
}

// bans tie a limit to the kit it rules out.
var bans = map[string][]string{"no-flash": {"flash", "strobe"}, "no-stands": {"stand"}}

// Merge returns what a thread knows after a message: the newest word wins,
// and what is denied is dropped. Neither argument is changed.
//
// What is asked, what a test frame shows and what is to be kept belong to the
// message they came in. Everything else stays until something newer is said: a
// wish until its opposite is, a way of lighting until another is named.
func Merge(thread, said *fact.Set) *fact.Set {
	if thread == nil {
		return said.Clone()
	}
	said = oneLost(thread, said)
	said = underCover(thread, said)
	out := thread.Clone()
	for _, row := range fact.Table {
		switch row.Kind {
		case fact.Kit:
		case fact.List:
			mergeList(out, said, row)
		default:
			if v, ok := said.Get(row.Path); ok {
				if was, knew := out.Get(row.Path); knew && row.Path == "light.kind" && was.Text != v.Text {
					out.Drop("light.was")
					out.Put("light.was", fact.Value{Text: was.Text, Origin: fact.Kept})
				}
				out.Drop(row.Path)
				out.Put(row.Path, v)
				continue
			}
			if v, ok := out.Get(row.Path); ok {
				if said.Denied(row.Path) || said.Denied(row.Name) || row.Kind == fact.Choice && said.Denied(v.Text) {
					out.Drop(row.Path)
				} else if v.Origin == fact.Said {
					v.Origin = fact.Kept
					out.Drop(row.Path)
					out.Put(row.Path, v)
				}
			}
		}
	}
	for _, what := range said.Denials() {
		out.Deny(what, fact.Span{})
	}
	if _, more := said.Get("plan.more"); !more && mentions(said, "plan.start") {
		out.Drop("plan.more") // other hours
	}
	if _, sum := said.Get("plan.full"); !sum && (mentions(said, "plan.frames") || mentions(said, "plan.power")) {
		out.Drop("plan.full") // counted anew, at one power
	}
	mergePeople(out, thread, said)
	mergeGuardian(out, thread, said)
	mergeHelpers(out, said)
	mergeLight(out, thread, said)
	mergeWind(out, said)
	mergeKit(out, said)
	return out
}

// oneLost hears one flash that died as one of those that were there: the
// others go on. With none left, it is as it was said, no flash.
func oneLost(thread, said *fact.Set) *fact.Set {
	if !said.Has("turn", "flash-lost") || thread.Count("flash") < 2 {
		return said
	}
	said = said.Clone()
	said.Undeny("flash")
	said.Remove("limits", "no-flash")
	said.SetKit(slices.DeleteFunc(slices.Clone(said.Kit()), func(i fact.Item) bool { return i.Kind == "flash" }))
	return said
}

// openSky are the kinds of light that a cloud over the sun makes another.
var openSky = []string{"sun", "dappled", "low-sun", "overcast"}

// underCover keeps the light of shade, a roof or a room where a cloud comes or
// goes: the cover stays what it was.
func underCover(thread, said *fact.Set) *fact.Set {
	kind, ok := thread.Get("light.kind")
	if !ok || slices.Contains(openSky, kind.Text) || !said.Has("turn", "cloud-over") && !said.Has("turn", "sun-out") {
		return said
	}
	said = said.Clone()
	said.Drop("light.kind")
	return said
}

func mentions(said *fact.Set, path string) bool { _, ok := said.Get(path); return ok }

// perMessage are the lists that a new message starts afresh.
var perMessage = []string{"faults", "keep", "ask", "turn"}

// wholesale are the lists of which a new message's choices replace the old.
var wholesale = []string{"light.from", "light.cast", "says"}

func mergeList(out, said *fact.Set, row fact.Fact) {
	replace := slices.Contains(perMessage, row.Path) || slices.Contains(wholesale, row.Path) && len(said.Choices(row.Path)) > 0
	for _, choice := range out.Choices(row.Path) {
		v, _ := out.ChoiceValue(row.Path, choice)
		switch {
		case replace, said.Denied(choice), row.Path == "hazards" && slices.Contains(fact.Acts, choice):
			out.Remove(row.Path, choice)
		case v.Origin == fact.Said:
			v.Origin = fact.Kept
			out.Remove(row.Path, choice)
			out.Add(row.Path, choice, v)
		}
	}
	for _, choice := range said.Choices(row.Path) {
		v, _ := said.ChoiceValue(row.Path, choice)
		for _, pair := range opposites {
			switch choice {
			case pair[0]:
				out.Remove(row.Path, pair[1])
			case pair[1]:
				out.Remove(row.Path, pair[0])
			}
		}
		out.Add(row.Path, choice, v)
	}
}

// mergePeople adds the one who is told to have joined to those that were there:
// one, where nobody counted. A number that the message says of others stands.
func mergePeople(out, thread, said *fact.Set) {
	at, joined := said.ChoiceValue("turn", "one-more")
	if v, counted := said.Get("subject.people"); !joined || counted && (v.Span.Start < at.Span.Start || v.Span.End > at.Span.End) {
		return
	}
	n, counted := thread.Number("subject.people")
	if !counted {
		n = 1
	}
	if n > 1 && !thread.Has("subject.traits", "couple") { // "her husband joins" makes two of one alone
		out.Remove("subject.traits", "couple")
	}
	out.Drop("subject.people")
	out.Put("subject.people", fact.Value{Number: n + 1, Origin: fact.Said, Span: at.Span})
}

var absent = []string{"guardian-absent", "mother-away", "father-away"}

// mergeGuardian hears who left come back where only "she" or "he" is said, unless
// it was the other one who left.
func mergeGuardian(out, was, said *fact.Set) {
	if said.Has("hazards", "leader-present") && !said.Has("hazards", "adult-named") {
		for _, away := range absent { // a coach is not who left
			if v, ok := was.ChoiceValue("hazards", away); ok {
				out.Add("hazards", away, v)
			}
		}
	}
	mother, father := out.Has("hazards", "mother-away"), out.Has("hazards", "father-away")
	she, he := said.Has("turn", "she-is-back"), said.Has("turn", "he-is-back")
	if !out.Has("hazards", "guardian-absent") || said.Has("hazards", "guardian-absent") || !(she && (mother || !father) || he && (father || !mother)) {
		return
	}
	for _, away := range absent {
		out.Remove("hazards", away)
	}
	out.Add("hazards", "guardian-present", fact.Value{Origin: fact.Said})
}

// mergeHelpers lets the newest word of hands win: "im alone" sends the helper
// of before home, a helper who is named takes the limit back.
func mergeHelpers(out, said *fact.Set) {
	n, counted := said.Number("helpers")
	switch {
	case counted && n > 0:
		out.Remove("limits", "no-helper")
	case said.Has("limits", "no-helper") && !counted:
		out.Drop("helpers")
	}
}

// mergeWind takes the limit back where a wind below it is said, and forgets
// the gusts of an older wind. Where it is said to have gone, its signs go too.
func mergeWind(out, said *fact.Set) {
	if said.Denied("wind") {
		out.Drop("weather.wind_ms")
		out.Drop("weather.gust_ms")
		out.Remove("hazards", "strong-wind")
		out.Remove("hazards", "sail-pulls")
		return
	}
	if !said.Has("hazards", "in-lee") && (said.Has("ask", "moved") || said.Has("limits", "wind") || mentions(said, "weather.wind_ms") || mentions(said, "weather.gust_ms")) {
		out.Remove("hazards", "in-lee") // that lee is left, or it blows there
	}
	wind, ok := said.Number("weather.wind_ms")
	if !ok {
		return
	}
	gust, gusts := said.Number("weather.gust_ms")
	if !gusts {
		out.Drop("weather.gust_ms")
	}
	if wind < windyMean && !said.Has("limits", "wind") && (!gusts || gust < windyGust) {
		out.Remove("limits", "wind")
	}
}

// metered are what a meter said of a light that is gone when another comes or
// the crew moves on.
var metered = []string{"light.ev100", "light.background_ev100", "light.cct_k", "light.hard"}

// outdoors are the kinds of light that stay behind when a crew goes in.
var outdoors = []string{"sun", "dappled", "open-shade", "overcast", "canopy", "street-night", "dusk", "low-sun"}

// indoors are those that stay behind when it goes out.
var indoors = []string{"tungsten", "fluorescent", "led-indoor", "window", "stage"}

// mergeLight drops what was metered in another light.
func mergeLight(out, thread, said *fact.Set) {
	was, had := thread.Get("light.kind")
	is, now := said.Get("light.kind")
	if said.Has("ask", "moved") && !said.Has("hazards", "indoors") && (said.Has("hazards", "drop") || said.Has("hazards", "kerb")) { // a quay, a road: out of doors
		out.Remove("hazards", "indoors")
		out.Add("hazards", "outdoors", fact.Value{Origin: fact.Said})
	}
	goesOut := out.Has("hazards", "outdoors") && !now && slices.Contains(indoors, was.Text)
	if goesOut || said.Has("ask", "moved") && said.Has("hazards", "indoors") && !now && slices.Contains(outdoors, was.Text) {
		out.Drop("light.kind")
	}
	if !(now && had && is.Text != was.Text) && !said.Has("ask", "moved") && !goesOut {
		return
	}
	for _, path := range metered {
		if _, again := said.Get(path); !again {
			out.Drop(path)
		}
	}
	if len(said.Choices("light.cast")) == 0 {
		for _, cast := range out.Choices("light.cast") {
			out.Remove("light.cast", cast)
		}
	}
	if len(said.Choices("light.from")) == 0 {
		for _, from := range out.Choices("light.from") {
			out.Remove("light.from", from)
		}
	}
}

func mergeKit(out, said *fact.Set) {
	kit := slices.Clone(out.Kit())
	for limit, kinds := range bans {
		if said.Has("limits", limit) {
			kit = slices.DeleteFunc(kit, func(i fact.Item) bool { return slices.Contains(kinds, i.Kind) })
		} else if slices.ContainsFunc(said.Kit(), func(i fact.Item) bool { return slices.Contains(kinds, i.Kind) }) && !out.Has("hazards", "venue-said-no") && !thisBan(said, kinds) {
			out.Remove("limits", limit)
		}
	}
	kit = slices.DeleteFunc(kit, func(i fact.Item) bool { return said.Denied(i.Kind) || leftOut(i, out, said) })
	if said.Denied("stand") {
		out.Remove("hazards", "on-stand")
	}
	for k := range kit {
		if kit[k].Kind == "flash" && said.Has("turn", "flash-lost") && kit[k].Count > 1 {
			kit[k].Count--
		}
		if kit[k].Kind == "flash" && said.Has("turn", "flash-more") {
			kit[k].Count = max(kit[k].Count, 1) + 1
		}
	}
	for k := range kit {
		kit[k].Origin = fact.Kept
	}
	for _, item := range said.Kit() {
		at := slices.IndexFunc(kit, func(old fact.Item) bool {
			return old.Kind == item.Kind && (item.Kind != "gel" || old.Gel == "" || old.Gel == item.Gel)
		})
		if item.Kind == "gel" && at < 0 { // another gel takes the first one's place
			at = slices.IndexFunc(kit, func(old fact.Item) bool { return old.Kind == "gel" })
		}
		if at < 0 {
			kit = append(kit, item)
			continue
		}
		update(&kit[at], item)
	}
	out.SetKit(kit)
}

// lit are the kinds of kit that make or turn the light; sails those that a wind
// takes hold of.
var (
	lit   = []string{"flash", "strobe", "led", "panel", "reflector", "diffuser", "umbrella", "softbox"}
	sails = []string{"panel", "reflector", "diffuser", "umbrella", "softbox"}
)

// leftOut reports whether an item is no part of what is lit with from now on:
// another is named as all there is, or, in a wind, daylight is.
func leftOut(item fact.Item, out, said *fact.Set) bool {
	named := func(i fact.Item) bool { return i.Kind == item.Kind }
	if slices.ContainsFunc(said.Kit(), named) {
		return false
	}
	blows := out.Has("limits", "wind") || out.Has("hazards", "strong-wind") || mentions(out, "weather.wind_ms") || mentions(out, "weather.gust_ms")
	return said.Has("turn", "only-this") && len(said.Kit()) > 0 && slices.Contains(lit, item.Kind) ||
		said.Has("turn", "only-daylight") && blows && slices.Contains(sails, item.Kind)
}

// thisBan reports whether the kit was denied in the same breath.
func thisBan(said *fact.Set, kinds []string) bool {
	return slices.ContainsFunc(kinds, said.Denied)
}

// update lays what was said now over what was known of an item.
func update(old *fact.Item, item fact.Item) {
	surfaces := item.Surfaces
	fill(old, item)
	if len(surfaces) > 0 {
		old.Surfaces = slices.Clone(surfaces)
	}
	if item.Count > 0 {
		old.Count = max(old.Count, item.Count)
	}
	old.Origin, old.Span = fact.Said, item.Span
}
