package bot

import (
	"cmp"
	"slices"
	"strings"

	"panelhand/bot/memory"
	"panelhand/calc/units"
	"panelhand/rules/fact"
)

// A Ground is what a crew does not have to say again: its kit list and the
// rules of the venue. It lies under what a thread was told and is weaker than
// any word of it; the thread itself does not remember it, so that a change of
// the list is felt at once.
type Ground struct {
	Kit  memory.KitList
	Bans []string // limits of the venue's rules: no-stands, no-flash …

	Notes []string // what was noted about the venue, newest first
}

// bannedKit are the kinds of kit that a limit rules out.
var bannedKit = map[string][]string{"no-flash": {"flash", "strobe"}, "no-stands": {"stand"}}

// under returns the facts with the ground laid under them. The facts
// themselves are not changed.
func (g *Ground) under(facts *fact.Set) *fact.Set {
	if g == nil {
		return facts
	}
	out := facts.Clone()
	g.rules(out)
	g.kit(out)
	if len(g.Kit.Cameras) == 1 {
		camera := g.Kit.Cameras[0]
		if camera.Format != "" {
			out.Put("camera.format", fact.Value{Text: camera.Format, Origin: fact.FromKit})
		}
		if camera.SyncS > 0 {
			out.Put("camera.sync_s", fact.Value{Number: camera.SyncS, Origin: fact.FromKit})
		}
	}
	if len(g.Kit.Lenses) == 1 && g.Kit.Lenses[0].LongMM == 0 {
		out.Put("camera.focal_mm", fact.Value{Number: g.Kit.Lenses[0].FocalMM, Origin: fact.FromKit})
	}
	return out
}

// rules sets the venue's limits as if they had been typed. Asking all the
// same for what is banned is heard as just that: naming the way of lighting,
// or asking leave; kit that is merely in the bag is not.
func (g *Ground) rules(out *fact.Set) {
	at := fact.Value{Origin: fact.FromKit}
	for _, limit := range g.Bans {
		out.Add("limits", limit, at)
		banned := bannedKit[limit]
		if len(banned) == 0 {
			continue
		}
		out.Add("hazards", "venue-said-no", at)
		if limit == "no-flash" && slices.ContainsFunc(flashWays, func(w string) bool { return justSaid(out, "says", w) }) ||
			limit == "no-stands" && justSaid(out, "hazards", "on-stand") {
			out.Add("hazards", "do-it-anyway", at)
		}
		out.SetKit(slices.DeleteFunc(slices.Clone(out.Kit()), func(i fact.Item) bool { return slices.Contains(banned, i.Kind) }))
	}
}

// justSaid reports whether this very message said so.
func justSaid(facts *fact.Set, list, choice string) bool {
	v, ok := facts.ChoiceValue(list, choice)
	return ok && v.Origin == fact.Said
}

// flashWays are the ways of lighting that fire a flash.
var flashWays = []string{"through", "bounce", "umbrella", "softbox", "wall", "bare"}

// kit lays the list under the kit. Where kit was named, that is what is at
// hand, and the list only tells more of it; where none was, all of the list is.
func (g *Ground) kit(out *fact.Set) {
	if len(out.Kit()) == 0 {
		if out.Denied("kit") {
			return
		}
		var all []fact.Item
		for _, item := range g.Kit.Items {
			if out.Denied(item.Kind) || out.Has("limits", "no-flash") && slices.Contains(bannedKit["no-flash"], item.Kind) || out.Has("limits", "no-stands") && item.Kind == "stand" {
				continue
			}
			item.Origin = fact.FromKit
			all = append(all, g.calibrated(item))
		}
		out.SetKit(all)
		return
	}
	kit := slices.Clone(out.Kit())
	for i, item := range kit {
		for _, listed := range g.Kit.Items {
			if sameItem(item, listed) {
				kit[i] = more(item, listed)
				break
			}
		}
		kit[i] = g.calibrated(kit[i])
	}
	out.SetKit(kit)
}

// sameItem reports whether what was named may be the listed thing: of a kind,
// and nothing that was said of it differs.
func sameItem(said, listed fact.Item) bool {
	same := func(a, b float64) bool { return a == 0 || b == 0 || a/b > 0.95 && a/b < 1.05 }
	return said.Kind == listed.Kind && same(said.SizeM, listed.SizeM) && same(said.Size2M, listed.Size2M) && same(said.GuideM, listed.GuideM) &&
		same(said.EnergyWs, listed.EnergyWs) && same(said.HeightM, listed.HeightM) && (said.Gel == "" || said.Kind != "gel" || said.Gel == listed.Gel)
}

// more is an item with what was not said of it filled in from the list. The
// power dialled and the gel worn are of the moment and never listed.
func more(said, listed fact.Item) fact.Item {
	if said.SizeM == 0 {
		said.Size2M = listed.Size2M
	}
	if said.GuideM == 0 && said.EnergyWs == 0 {
		said.GuideM, said.GuideMM, said.EnergyWs = listed.GuideM, listed.GuideMM, listed.EnergyWs
	}
	for _, field := range []struct{ to, from *float64 }{
		{&said.SizeM, &listed.SizeM}, {&said.Lux1m, &listed.Lux1m}, {&said.Stops, &listed.Stops}, {&said.WeightKg, &listed.WeightKg}, {&said.HeightM, &listed.HeightM},
		{&said.LowestPower, &listed.LowestPower}, {&said.RecycleS, &listed.RecycleS}, {&said.Charge, &listed.Charge}, {&said.FootM, &listed.FootM},
	} {
		*field.to = cmp.Or(*field.to, *field.from)
	}
	if len(said.Surfaces) == 0 {
		said.Surfaces = slices.Clone(listed.Surfaces)
	}
	said.HSS = said.HSS || listed.HSS
	said.Clicks = cmp.Or(said.Clicks, listed.Clicks)
	if said.Kind == "gel" {
		said.Gel = cmp.Or(said.Gel, listed.Gel)
	}
	return said
}

// calibrated gives a flash what the crew's test frames found.
func (g *Ground) calibrated(item fact.Item) fact.Item {
	if slices.Contains(bannedKit["no-flash"], item.Kind) && len(g.Kit.Calibrations) > 0 {
		item.Calibrated = losses(g.Kit.Calibrations)
	}
	return item
}

// fromList names the kit that nobody named in this thread.
func fromList(facts *fact.Set, style units.Style) string {
	var names []string
	for _, item := range facts.Kit() {
		if item.Origin == fact.FromKit {
			names = append(names, itemName(item, style))
		}
	}
	return strings.Join(names, ", ")
}
