package hear

import (
	"slices"

	"panelhand/rules/fact"
)

// writeKit writes the items down, two mentions of one thing as one.
func (r *reader) writeKit() {
	f := r.out.Facts
	banned := map[string]bool{}
	for k := range r.marks {
		m := &r.marks[k]
		if !m.denied || !m.isKit() {
			continue
		}
		kind := m.word.kit.Kind
		m.used = true
		banned[kind] = true
		at := fact.Value{Origin: fact.Said, Span: r.span(m.start, m.end)}
		switch {
		case m.word.Negated != nil: // means.go applies what the word says
		case kind == "flash" || kind == "strobe":
			f.Add("limits", "no-flash", at)
		case kind == "stand":
			f.Add("limits", "no-stands", at)
		}
		f.Deny(kind, at.Span)
	}
	var kit []fact.Item
	counted := []bool{}
	for _, it := range r.items {
		item := it.item
		item.Origin = fact.Said
		item.Span = r.span(it.first, it.end)
		if banned[item.Kind] || banned["flash"] && item.Kind == "strobe" {
			r.say("You said no " + item.Kind + " and then " + r.typed(it.first, it.end) + "; I go by the no.")
			continue
		}
		if it.another {
			if old := spareOf(kit, item); old >= 0 {
				kit[old].Count += item.Count
				continue
			}
		}
		if old := sameThing(kit, item, it, counted); old >= 0 {
			fill(&kit[old], item)
			if it.counted && !counted[old] {
				kit[old].Count, counted[old] = item.Count, true
			}
			continue
		}
		kit = append(kit, item)
		counted = append(counted, it.counted)
	}
	if len(kit) > 0 {
		f.SetKit(kit)
	}
}

// spareOf finds the item of which another is nothing but one more.
func spareOf(kit []fact.Item, item fact.Item) int {
	return slices.IndexFunc(kit, func(old fact.Item) bool {
		bare := fact.Item{Kind: item.Kind, Count: item.Count, Origin: item.Origin, Span: item.Span}
		return old.Kind == item.Kind && fits(bare, item)
	})
}

// fits reports whether two items are alike in all that was said of them.
func fits(a, b fact.Item) bool {
	return a.SizeM == b.SizeM && a.Power == b.Power && a.ZoomMM == b.ZoomMM && a.Gel == b.Gel && a.EnergyWs == b.EnergyWs && a.GuideM == b.GuideM && len(a.Surfaces) == len(b.Surfaces)
}

// sameThing finds the item that a later mention speaks of again.
func sameThing(kit []fact.Item, item fact.Item, it kitMark, counted []bool) int {
	if it.another || item.Kind == "gel" {
		return -1
	}
	for k, old := range kit {
		if old.Kind != item.Kind {
			continue
		}
		if counted[k] && it.counted && item.Count > 0 && old.Count != item.Count || old.SizeM != 0 && item.SizeM != 0 && old.SizeM != item.SizeM {
			continue
		}
		if old.Power != 0 && item.Power != 0 && old.Power != item.Power || old.Stops != 0 && item.Stops != 0 && old.Stops != item.Stops || old.WeightKg != 0 && item.WeightKg != 0 && old.WeightKg != item.WeightKg {
			continue
		}
		return k
	}
	return -1
}

// fill takes over what a later mention adds.
func fill(old *fact.Item, item fact.Item) {
	set := func(to *float64, v float64) {
		if v != 0 {
			*to = v
		}
	}
	set(&old.SizeM, item.SizeM)
	set(&old.Size2M, item.Size2M)
	set(&old.GuideM, item.GuideM)
	set(&old.GuideMM, item.GuideMM)
	set(&old.EnergyWs, item.EnergyWs)
	set(&old.Lux1m, item.Lux1m)
	set(&old.Power, item.Power)
	set(&old.ZoomMM, item.ZoomMM)
	set(&old.Stops, item.Stops)
	set(&old.WeightKg, item.WeightKg)
	set(&old.HeightM, item.HeightM)
	old.HSS = old.HSS || item.HSS
	if item.Gel != "" {
		old.Gel = item.Gel
	}
	old.Surfaces = union(old.Surfaces, item.Surfaces)
}
