package hear

import (
	"math"
	"slices"

	"panelhand/calc/units"
	"panelhand/rules/fact"
)

// A kitMark is a piece of kit found in the message.
type kitMark struct {
	item       fact.Item
	first, end int // tokens of its noun and what stands around it
	counted    bool
	another    bool // "a second flash": not the one spoken of before
	mark       int
}

// returns are the kinds that send light back or let it through: they have a
// size and surfaces.
func returns(kind string) bool {
	switch kind {
	case "panel", "reflector", "diffuser", "umbrella", "bounce-card", "softbox":
		return true
	}
	return false
}

func sized(kind string) bool { return returns(kind) || kind == "led" }

// kit finds the kit at hand and gives every number and colour to its item.
func (r *reader) kit() {
	for k := range r.marks {
		m := &r.marks[k]
		if m.isKit() && !m.denied {
			r.kitItem(k)
		}
		if m.is(filter) && !r.before(m.start, 1, "no", "without") {
			m.used = true
			r.items = append(r.items, kitMark{item: fact.Item{Kind: "nd-filter", Stops: m.q.v}, first: m.start, end: m.end, mark: k})
		}
	}
	trailing := r.countsTrail()
	for n := range r.items {
		r.leftOf(&r.items[n], trailing)
	}
	for n := range r.items {
		r.rightOf(n)
	}
	r.looseSurfaces()
	r.fields()
	r.writeKit()
}

// kitItem starts an item at mark k, or adds to the one that stands right
// before it: "5in1 reflector", "phone led torch" are one thing.
func (r *reader) kitItem(k int) {
	m := &r.marks[k]
	m.used = true
	item := *m.word.kit
	item.Surfaces = slices.Clone(item.Surfaces)
	if m.word.fills == "count" {
		item.Count = int(m.number)
	}
	if m.word.fills == "stops" {
		item.Stops = m.number
	}
	if m.word.fills == "weight_kg" {
		item.WeightKg = m.number
	}
	if n := len(r.items) - 1; n >= 0 {
		last := &r.items[n]
		if (last.end == m.start || len(last.item.Surfaces) == 5 && r.sizesBetween(last.end, m.start)) && r.marks[last.mark].word != nil && (last.item.Kind == item.Kind || returns(last.item.Kind) && returns(item.Kind)) {
			if item.Kind != "panel" || len(last.item.Surfaces) > 0 {
				if !(item.Kind == "panel" && last.item.Kind == "diffuser") {
					last.item.Kind = item.Kind
				}
			}
			if item.Kind == "panel" && last.item.Kind == "diffuser" {
				last.item.Kind = "panel"
				last.item.Surfaces = []string{"translucent"}
			}
			last.item.Surfaces = union(last.item.Surfaces, item.Surfaces)
			for i := last.end; i < m.start; i++ {
				if q := &r.marks[r.owner[i]]; !q.used {
					q.used = true
					r.size(&last.item, q)
				}
			}
			last.end, last.mark = m.end, k
			return
		}
	}
	r.items = append(r.items, kitMark{item: item, first: m.start, end: m.end, mark: k, counted: item.Count > 0})
}

// sizesBetween reports whether nothing but a size stands between two tokens.
func (r *reader) sizesBetween(i, end int) bool {
	for ; i < end; i++ {
		if k := r.owner[i]; k < 0 || !r.marks[k].is(length) {
			return false
		}
	}
	return true
}

func union(a, b []string) []string {
	for _, s := range b {
		if !slices.Contains(a, s) {
			a = append(a, s)
		}
	}
	return a
}

// countsTrail reports whether counts stand after their things: "flash 2 panel 1".
func (r *reader) countsTrail() bool {
	if len(r.items) < 2 {
		return false
	}
	first, last := r.items[0], r.items[len(r.items)-1]
	if k := r.markBefore(first.first); k >= 0 && r.marks[k].is(bareNumber) {
		return false
	}
	k := r.markStarting(last.end)
	return k >= 0 && r.smallCount(k) && (r.marks[k].end == len(r.toks) || r.at(r.marks[k].end).pauses())
}

func (r *reader) markBefore(i int) int {
	if i <= 0 || r.owner[i-1] < 0 {
		return -1
	}
	return r.owner[i-1]
}

func (r *reader) smallCount(k int) bool {
	m := &r.marks[k]
	return (m.is(bareNumber) || m.is(multiples) || m.is(frames)) && !m.used && m.q.v >= 1 && m.q.v <= 60 && m.q.v == math.Trunc(m.q.v) && m.q.v2 == 0
}

// adjectives may stand between a number and its kit.
var adjectives = set(`big large small little tiny round folding foldable collapsible studio new old portable battery powered handheld spare other second another extra bare single main
	pop up large-ish cheap decent white-ish oval square rectangular long short medium sized size of camera on off battered manual wireless radio remote external speed hot shoe hotshoe hand held strong
	weak heavy light video heavy-duty tall quick ordinary normal standard basic regular continuous deep shoot through thru reflective softlighter giant huge same own pocket mini compact key main fill third`)

// leftOf takes what stands right before an item: counts, sizes, colours.
func (r *reader) leftOf(it *kitMark, trailing bool) {
	plural := r.stems[it.end-1] != "" && r.marks[it.mark].word != nil && r.lex.words[r.stems[it.end-1]]
	i := it.first - 1
	for i >= 0 {
		t := r.toks[i]
		if k := r.owner[i]; k >= 0 {
			m := &r.marks[k]
			if m.used || m.denied {
				break
			}
			at := &it.item
			ok := true
			switch {
			case m.word != nil && m.word.kit != nil && m.word.kit.Kind == "" && len(m.word.kit.Surfaces) > 0 && returns(at.Kind):
				at.Surfaces = union(slices.Clone(m.word.kit.Surfaces), at.Surfaces)
			case (m.is(length) || m.is(area)) && sized(at.Kind) && at.SizeM == 0 && !r.distanceBefore(k):
				r.size(at, m)
			case m.is(length) && at.Kind == "stand" && at.HeightM == 0:
				at.HeightM = m.q.v
			case m.is(weight) && (at.Kind == "weight" || at.Kind == "stand") && at.WeightKg == 0:
				if at.Kind == "weight" {
					at.WeightKg = m.q.v
				}
			case m.is(energy) && (at.Kind == "strobe" || at.Kind == "flash") && at.EnergyWs == 0:
				at.EnergyWs = m.q.v
			case m.is(guide) && (at.Kind == "strobe" || at.Kind == "flash") && at.GuideM == 0:
				at.GuideM = m.q.v
			case (m.is(filter)) && at.Kind == "nd-filter":
				at.Stops = m.q.v
			case m.is(stops) && at.Kind == "nd-filter":
				at.Stops = m.q.v
			case r.smallCount(k) && !it.counted && !trailing && !r.numberTaken(k):
				at.Count, it.counted = int(m.q.v), true
			case m.empty() && m.end == it.first:
				ok = false
			default:
				ok = false
			}
			if !ok {
				break
			}
			m.used = true
			it.first = m.start
			i = m.start - 1
			continue
		}
		if t.in("second", "another", "other", "spare", "extra", "third", "backup", "2nd") {
			it.another = true
		}
		if t.in("a", "an", "one", "single", "the", "my", "our") && t.kind == wordToken && !it.counted && !plural {
			if it.item.Count == 0 && !t.in("the", "my", "our") {
				it.item.Count, it.counted = 1, true
			}
			i--
			continue
		}
		if t.kind == wordToken && (fillers[t.text] && !t.in("is", "are", "has", "have", "got", "there", "was", "been") || adjectives[t.text]) {
			i--
			continue
		}
		break
	}
	if it.item.Count == 0 && it.item.Kind != "gel" {
		it.item.Count = 1
		if plural {
			it.item.Count = 2
		}
	}
}

// numberTaken reports whether the number at mark k belongs to what stands before it.
func (r *reader) numberTaken(k int) bool {
	return r.before(r.marks[k].start, 1, "f", "iso", "stall", "zoom", "v", "at", "@")
}

// distanceBefore reports whether the length at mark k is a distance by the
// word before it.
func (r *reader) distanceBefore(k int) bool {
	return r.before(r.marks[k].start, 1, "dist", "distance", "at", "@", "from", "behind", "to") && !r.before(r.marks[k].start, 1, "from", "behind", "to", "at")
}

func (r *reader) size(at *fact.Item, m *mark) {
	if m.q.v > 10 {
		m.used = true
		r.say("“" + r.typed(m.start, m.end) + "” can't be the size of something you carry, so I left it out.")
		return
	}
	if m.q.v < 0.05 {
		return
	}
	at.SizeM = m.q.v
	if m.is(area) {
		at.Size2M = m.q.v2
	}
	if r.out.Style.Length == "" {
		r.out.Style.Length = m.q.unit
	}
}

// apart are the words that make the length before them a distance, not a size.
var apart = set(`from away behind off past back up high above below over under overhead between in out to before ahead tall deep`)

// rightOf takes what stands right behind item n.
func (r *reader) rightOf(n int) {
	it := &r.items[n]
	at := &it.item
	defer r.spare(it)
	i := it.end
	comma := false
	for i < len(r.toks) {
		t := r.toks[i]
		k := r.markStarting(i)
		if k < 0 {
			switch {
			case t.in(",") && !comma, t.in("(", ")", "-", ":", "=", "/", "&", "+"):
				comma = comma || t.in(",", ":")
				if !r.surfaceFollows(i+1) && !(t.in("(", ")", ",", "-", ":", "=") && r.sizeFollows(i+1)) {
					return
				}
				i++
				continue
			case t.kind == wordToken && t.in("is", "its", "of", "about", "sized", "size", "diameter", "measuring", "the", "one", "a", "are", "each", "around", "approx", "roughly", "big", "called", "weighing", "weighs"):
				i++
				continue
			case t.in("with", "in", "and", "n", "only", "or", "has", "sides", "side", "showing", "using", "plus", "w") && r.surfaceFollows(i+1):
				i++
				continue
			case t.is("x") && r.at(i+1).kind == numberToken && r.at(i+1).num <= 20 && !it.counted:
				at.Count, it.counted = int(r.at(i+1).num), true
				if q := r.owner[i+1]; q >= 0 {
					r.marks[q].used = true
				}
				i += 2
				it.end = i
				continue
			}
			return
		}
		m := &r.marks[k]
		if m.used || m.denied {
			return
		}
		next := r.at(m.end)
		switch {
		case m.word != nil && m.word.kit != nil && m.word.kit.Kind == "" && len(m.word.kit.Surfaces) > 0 && returns(at.Kind) && r.surfaceHere(k):
			at.Surfaces = union(at.Surfaces, m.word.kit.Surfaces)
		case (m.is(length) || m.is(area)) && sized(at.Kind) && at.SizeM == 0 && (!apart[next.text] || next.is("in") && !r.at(m.end+1).in("to", "front")) && (!comma || m.q.unit != units.Metre || next.pauses()) && !(next.in("to") && r.at(m.end+1).in("her", "him")):
			r.size(at, m)
		case m.is(length) && at.Kind == "stand" && at.HeightM == 0 && !next.in("from", "away", "behind"):
			at.HeightM = m.q.v
		case m.is(weight) && at.Kind == "weight" && at.WeightKg == 0:
			at.WeightKg = m.q.v
		case m.is(energy) && (at.Kind == "strobe" || at.Kind == "flash") && at.EnergyWs == 0:
			at.EnergyWs = m.q.v
		case m.is(filter) && at.Kind == "nd-filter" && at.Stops == 0:
			at.Stops = m.q.v
		case m.is(stops) && at.Kind == "nd-filter" && at.Stops == 0:
			at.Stops = math.Abs(m.q.v)
		case r.smallCount(k) && !it.counted && (next.pauses() && !next.is("-") || m.end == len(r.toks) || next.in("and", "+", "&", "n", "plus") || r.markStarting(m.end) >= 0 && r.marks[r.markStarting(m.end)].isKit()) && m.q.v < 20 && m.start == it.end && r.at(m.start).kind == numberToken:
			at.Count, it.counted = int(m.q.v), true
		default:
			return
		}
		m.used = true
		i = m.end
		it.end = i
		comma = false
	}
}

// sizeFollows reports whether a length that is a size starts at token i.
func (r *reader) sizeFollows(i int) bool {
	k := r.markStarting(i)
	if k < 0 || !(r.marks[k].is(length) || r.marks[k].is(area)) || r.marks[k].used {
		return false
	}
	m := &r.marks[k]
	if m.q.unit == units.Metre && m.is(length) || m.q.v > 2.5 {
		return false
	}
	if next := r.markStarting(m.end); next >= 0 && r.marks[next].isKit() {
		return false // "reflector, 40in panel"
	}
	if m.is(length) && r.at(m.end-1).in("mm", "mil") {
		return false
	}
	return !apart[r.at(m.end).text]
}

// spare reads "and a spare", "+ 1 backup" behind an item.
func (r *reader) spare(it *kitMark) {
	i := it.end
	if !r.at(i).in("and", "+", "&", "plus", ",", "n", "with") {
		return
	}
	i++
	for r.at(i).in("a", "an", "one") || r.at(i).kind == numberToken && r.at(i).num == 1 {
		i++
	}
	if !r.at(i).in("spare", "backup", "another", "spares") && !(r.at(i).is("second") && r.at(i+1).is("one")) && !(r.at(i).is("back") && r.at(i+1).is("up")) {
		return
	}
	if next := r.markStarting(i + 1); next >= 0 && r.marks[next].isKit() {
		return // a spare of something else
	}
	it.item.Count = max(1, it.item.Count) + 1
	it.counted = true
	for j := it.end; j <= i && j < len(r.toks); j++ {
		if k := r.owner[j]; k >= 0 && r.marks[k].word == nil {
			r.marks[k].used = true
		}
	}
}

// surfaceFollows reports whether a side of a panel is named at token i.
func (r *reader) surfaceFollows(i int) bool {
	for r.at(i).in("a", "the", "its", "also", "both", "only") {
		i++
	}
	k := r.markStarting(i)
	return k >= 0 && r.isSurface(k) && r.surfaceHere(k)
}

func (r *reader) isSurface(k int) bool {
	m := &r.marks[k]
	return m.word != nil && m.word.kit != nil && m.word.kit.Kind == "" && len(m.word.kit.Surfaces) > 0 && !m.used
}

// surfaceHere reports whether the colour at mark k can be a side of kit: a
// noun behind it makes it scenery ("white boat").
func (r *reader) surfaceHere(k int) bool {
	m := &r.marks[k]
	next := r.at(m.end)
	if m.end >= len(r.toks) || next.symbol() || next.kind == emojiToken || next.kind == numberToken {
		return true
	}
	if j := r.markStarting(m.end); j >= 0 {
		other := &r.marks[j]
		return other.word == nil || other.word.kit != nil && len(other.word.kit.Surfaces) > 0 && other.word.kit.Kind == ""
	}
	return next.in("and", "n", "or", "with", "side", "sides", "sleeve", "cover", "up", "out", "only", "at", "on", "in", "from", "under", "over", "through", "please", "held", "to", "bounced", "as", "towards", "now", "for", "no", "but", "w", "left", "remaining", "today", "near", "close", "is", "facing", "tilted", "one", "ones", "available", "plus", "if", "so", "by", "below")
}

// looseSurfaces gives colours that stand alone to the one panel there is, or,
// said as had, makes them a reflector of their own: "only silver + white".
func (r *reader) looseSurfaces() {
	var run []string
	first, last := -1, -1
	var gone []string
	for k := range r.marks {
		if r.isSurface(k) && r.marks[k].denied {
			gone = append(gone, r.marks[k].word.kit.Surfaces...)
			r.marks[k].used = true
		}
	}
	for k := range r.marks {
		if !r.isSurface(k) || !r.surfaceHere(k) {
			continue
		}
		if first >= 0 && !r.listed(last, k) {
			continue
		}
		if first < 0 {
			first = k
		}
		last = k
		run = union(run, r.marks[k].word.kit.Surfaces)
	}
	for n := range r.items {
		if it := &r.items[n]; returns(it.item.Kind) && len(gone) > 0 {
			it.item.Surfaces = slices.DeleteFunc(it.item.Surfaces, func(s string) bool { return slices.Contains(gone, s) })
		}
	}
	if first < 0 {
		return
	}
	m := &r.marks[first]
	had := r.before(m.start, 3, "only", "got", "have", "use", "using", "with", "just", "bring", "brought") || r.at(r.marks[last].end).in("side", "sides", "only")
	panels := 0
	var panel *kitMark
	for n := range r.items {
		if returns(r.items[n].item.Kind) && r.items[n].item.Kind != "softbox" && r.items[n].item.Kind != "umbrella" {
			panels++
			panel = &r.items[n]
		}
	}
	if !had && !(len(run) >= 2 && panels == 0 && last > first && (first == 0 || r.pausedBefore(m.start))) {
		return
	}
	for k := first; k <= last; k++ {
		if r.isSurface(k) {
			r.marks[k].used = true
		}
	}
	if panels == 1 {
		panel.item.Surfaces = union(panel.item.Surfaces, run)
		return
	}
	if panels == 0 {
		r.items = append(r.items, kitMark{item: fact.Item{Kind: "reflector", Surfaces: run, Count: 1}, first: m.start, end: r.marks[last].end, mark: first})
	}
}

func (r *reader) pausedBefore(i int) bool { return i == 0 || r.toks[i-1].pauses() }

// listed reports whether mark b goes on with the list that a stands in.
func (r *reader) listed(a, b int) bool {
	for i := r.marks[a].end; i < r.marks[b].start; i++ {
		if !r.toks[i].in(",", "and", "+", "&", "/", "n", "or", "side", "with") {
			return false
		}
	}
	return true
}

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
				if it := r.nearest(m.start, false, "flash", "strobe"); it != nil {
					it.item.HSS = true
				} else if r.before(m.start, 3, "have", "has", "got", "with", "does") {
					r.newItem(k, fact.Item{Kind: "flash", HSS: true, Count: 1})
				}
			}
		case m.word != nil && m.word.kit != nil && m.word.kit.Kind == "" && m.word.kit.Power > 0:
			m.used = true
			r.flashField(k, func(at *fact.Item) { at.Power = m.word.kit.Power })
		case m.is(power), m.is(percent) && (r.behind(m.end, 1, "power", "pwr", "flash") || r.before(m.start, 3, "power", "flash", "pwr")):
			m.used = true
			if m.q.v > 0 && m.q.v <= 1 {
				v := m.q.v
				r.flashField(k, func(at *fact.Item) { at.Power = v })
			} else {
				r.say("A flash power is a part of full, like 1/4; I left “" + r.typed(m.start, m.end) + "” out.")
			}
		case m.is(zoom):
			m.used = true
			if k > 0 && r.marks[k-1].is(guide) {
				if it := r.nearest(m.start, false, "flash", "strobe"); it != nil {
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
			if it := r.nearest(m.start, false, "strobe", "flash"); it != nil {
				it.item.EnergyWs = v
			} else {
				r.newItem(k, fact.Item{Kind: "strobe", EnergyWs: v, Count: 1})
			}
		case m.is(lux):
			m.used = true
			if it := r.nearest(m.start, false, "led"); it != nil {
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
	it := r.nearest(r.marks[k].start, true, "flash", "strobe")
	if it == nil {
		it = r.newItem(k, fact.Item{Kind: "flash"})
	}
	set(&it.item)
}

// nearest returns the item of one of the kinds nearest before token i, else
// the first behind it.
func (r *reader) nearest(i int, _ bool, kinds ...string) *kitMark {
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
			if gel.first >= flash.end && gel.first-flash.end <= 3 && r.before(gel.first, 3, "with", "and", "+", "gelled", "w", "has") || flash.first >= gel.end && flash.first-gel.end <= 3 && r.before(flash.first, 3, "on", "over") {
				flash.item.Gel = gel.item.Gel
				break
			}
		}
	}
}

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
