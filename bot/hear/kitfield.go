package hear

import "panelhand/rules/fact"

// fields gives powers, zooms, guide numbers, energies, high-speed sync, gels
// and lux to the item they belong to.
func (r *reader) fields() {
	for k := range r.marks {
		m := &r.marks[k]
		if m.used || m.denied {
			continue
		}
		switch {
		case m.word != nil && m.word.kit != nil && m.word.kit.Kind == "" && m.word.kit.HSS:
			m.used = true
			if !r.at(m.end).in("or", "vs") && !r.before(m.start, 1, "or", "vs", "no") {
				if it := r.nearest(m.start, "flash", "strobe"); it != nil {
					it.item.HSS = true
				} else if r.before(m.start, 3, "have", "has", "got", "with", "does") || r.settingBeside(k) {
					r.newItem(k, fact.Item{Kind: "flash", HSS: true, Count: 1})
				}
			}
		case m.word != nil && m.word.kit != nil && m.word.kit.Kind == "" && m.word.kit.Power > 0:
			m.used = true
			r.flashField(k, func(at *fact.Item) { at.Power = m.word.kit.Power })
		case m.is(power), m.is(percent) && (r.behind(m.end, 1, "power", "pwr", "flash") || r.before(m.start, 3, "power", "flash", "pwr")):
			m.used = true
			if r.powerRange(k) {
				continue
			}
			if m.q.v > 0 && m.q.v <= 1 {
				v := m.q.v
				r.flashField(k, func(at *fact.Item) { at.Power = v })
			} else {
				r.say("A flash power is a part of full, like 1/4; I left “" + r.typed(m.start, m.end) + "” out.")
			}
		case m.is(zoom):
			m.used = true
			if k > 0 && r.marks[k-1].is(guide) {
				if it := r.nearest(m.start, "flash", "strobe"); it != nil {
					it.item.GuideMM = m.q.v
				}
				continue
			}
			if !r.flashTalk() {
				if _, said := r.out.Facts.Get("camera.focal_mm"); !said && r.at(m.end-1).in("mm") {
					r.put("camera.focal_mm", m.q.v, r.span(m.start, m.end))
				}
				continue
			}
			v := m.q.v
			r.flashField(k, func(at *fact.Item) { at.ZoomMM = v })
		case m.is(guide):
			m.used = true
			v := m.q.v
			r.flashField(k, func(at *fact.Item) { at.GuideM = v })
		case m.is(energy):
			m.used = true
			v := m.q.v
			if it := r.nearest(m.start, "strobe", "flash"); it != nil {
				it.item.EnergyWs = v
			} else {
				r.newItem(k, fact.Item{Kind: "strobe", EnergyWs: v, Count: 1})
			}
		case m.is(lux):
			m.used = true
			if it := r.nearest(m.start, "led"); it != nil {
				it.item.Lux1m = m.q.v * r.luxDistance(k)
			}
		case m.is(weight):
			for n := range r.items {
				if it := &r.items[n]; it.item.Kind == "weight" && it.item.WeightKg == 0 && m.start-it.end <= 3 && m.start >= it.end && !r.pauseBetween(it.mark, k, ".;") {
					it.item.WeightKg, m.used = m.q.v, true
					break
				}
			}
		}
	}
	r.gelled()
}

// powerRange reports whether the power at mark k is an end of all that a flash
// can do: "1/1..1/128". What it stands at was not said.
func (r *reader) powerRange(k int) bool {
	const lowest = 1.0 / 64
	m := &r.marks[k]
	joined := func(i, end int) bool {
		for ; i < end; i++ {
			if !r.toks[i].in(".", "…", "-", "–", "to", "down", "up") {
				return false
			}
		}
		return true
	}
	ends := func(a, b *mark) bool {
		return a.is(power) && b.is(power) && a.end < b.start && joined(a.end, b.start) && max(a.q.v, b.q.v) == 1 && min(a.q.v, b.q.v) <= lowest
	}
	switch {
	case k > 0 && ends(&r.marks[k-1], m), k+1 < len(r.marks) && ends(m, &r.marks[k+1]):
		return true
	case m.q.v > lowest:
		return false
	}
	i := m.end
	for i < len(r.toks) && joined(i, i+1) {
		i++
	}
	return i > m.end && i < len(r.toks) && r.toks[i].text == "1" // "1/128..1"
}

// settingBeside reports whether an f-number or a time stands right beside mark
// k: "1/2000 f2 hss" is what a camera and its flash are set to.
func (r *reader) settingBeside(k int) bool {
	exposes := func(j int) bool {
		return j >= 0 && j < len(r.marks) && (r.marks[j].is(aperture) || r.marks[j].is(shutter) || r.marks[j].is(fraction) || r.marks[j].is(iso))
	}
	return exposes(k-1) && r.gap(k-1, k) || exposes(k+1) && r.gap(k, k+1)
}

// luxDistance reads "at 2 m" behind a lux value as the square of the distance.
func (r *reader) luxDistance(k int) float64 {
	if k+1 < len(r.marks) && r.marks[k+1].is(length) && r.marks[k+1].start-r.marks[k].end <= 2 {
		m := &r.marks[k+1]
		m.used = true
		if m.q.v > 0.2 && m.q.v < 10 {
			return m.q.v * m.q.v
		}
	}
	return 1
}

func (r *reader) newItem(k int, item fact.Item) *kitMark {
	r.items = append(r.items, kitMark{item: item, first: r.marks[k].start, end: r.marks[k].end, mark: k})
	return &r.items[len(r.items)-1]
}

// flashField sets a field of the flash that mark k speaks of.
func (r *reader) flashField(k int, set func(*fact.Item)) {
	it := r.nearest(r.marks[k].start, "flash", "strobe")
	if it == nil {
		it = r.newItem(k, fact.Item{Kind: "flash"})
	}
	set(&it.item)
}

// nearest returns the item of one of the kinds nearest before token i, else
// the first behind it.
func (r *reader) nearest(i int, kinds ...string) *kitMark {
	var best *kitMark
	for n := range r.items {
		it := &r.items[n]
		if !contains(kinds, it.item.Kind) {
			continue
		}
		if it.first <= i || best == nil {
			best = it
		}
	}
	return best
}

// gelled puts a gel that is on a flash into the flash's own field too.
func (r *reader) gelled() {
	for n := range r.items {
		gel := &r.items[n]
		if gel.item.Kind != "gel" || gel.item.Gel == "" {
			continue
		}
		for j := range r.items {
			flash := &r.items[j]
			if flash.item.Kind != "flash" && flash.item.Kind != "strobe" || flash.item.Gel != "" {
				continue
			}
			if gel.first >= flash.end && gel.first-flash.end <= 3 && r.before(gel.first, 3, "with", "and", "+", "gelled", "w", "has") || gel.first >= flash.end && gel.first-flash.end <= 8 && r.before(gel.first, 1, "with", "w", "gelled", "wearing") && !r.pauseBetween(flash.mark, gel.mark, ",.;") || flash.first >= gel.end && flash.first-gel.end <= 3 && r.before(flash.first, 3, "on", "over") {
				flash.item.Gel = gel.item.Gel
				r.out.Facts.Add("says", "gel", fact.Value{Origin: fact.Said, Span: r.span(gel.first, gel.end)})
				break
			}
		}
	}
}
