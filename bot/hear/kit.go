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
	r.lightThrough()
	r.bySize()
	for _, it := range r.inFaults {
		if !r.hasItem(it.item.Kind) {
			r.items = append(r.items, it)
		}
	}
	r.fields()
	r.worn()
	r.writeKit()
}

// lightThrough takes a length beside "through" for the size of the panel:
// "flash thru 40in", "40in thru panel".
func (r *reader) lightThrough() {
	for k := range r.marks {
		m := &r.marks[k]
		if m.used || !m.is(length) {
			continue
		}
		before, behind := r.before(m.start, 1, "through", "thru"), r.at(m.end).in("through", "thru")
		if !before && !behind {
			continue
		}
		panel := slices.IndexFunc(r.items, func(it kitMark) bool { return returns(it.item.Kind) && it.item.SizeM == 0 })
		if panel < 0 && (before || (m.end+1 == len(r.toks) || r.at(m.end+1).pauses()) && m.q.v >= 0.5 && m.q.v <= 2 && r.hasItem("flash", "strobe")) {
			panel = len(r.items)
			r.items = append(r.items, kitMark{item: fact.Item{Kind: "panel", Count: 1}, first: m.start, end: m.end, mark: k})
		}
		if panel >= 0 {
			m.used = true
			r.size(&r.items[panel].item, m)
			next := m.end
			if r.at(next).in("at", "@") {
				next++
			}
			if at := r.markStarting(next); before && at >= 0 && r.marks[at].is(length) && !r.marks[at].used {
				r.marks[at].used = true // "thru 40in at 4ft"
				r.put("distance.panel_subject_m", r.marks[at].q.v, r.span(r.marks[at].start, r.marks[at].end))
			}
		}
	}
}

// bySize takes inches that stand alone for the panel, as crews call it by its
// size: "one flash, 40in", "40in white". Beside a colour any unit will do:
// "silver 4ft only", "bounced off white 1m".
func (r *reader) bySize() {
	if slices.ContainsFunc(r.items, func(it kitMark) bool { return returns(it.item.Kind) }) {
		return
	}
	for k := range r.marks {
		m := &r.marks[k]
		if m.used || !m.is(length) || m.q.v < 0.6 || m.q.v > 1.6 {
			continue
		}
		item := kitMark{item: fact.Item{Kind: "panel", Count: 1}, first: m.start, end: m.end, mark: k}
		colour := -1
		if last := r.markEnding(m.start); last >= 0 && r.isSurface(last) && !r.marks[last].denied {
			colour = last
			item.first = r.marks[last].start
		} else if next := r.markStarting(m.end); next >= 0 && r.isSurface(next) && r.surfaceHere(next) {
			colour = next
			item.end = r.marks[next].end
		}
		alone := m.q.unit == units.Inch && (m.start == 0 || r.toks[m.start-1].pauses() || r.at(m.start-1).in("and", "+", "&", "a", "my", "the", "with", "w", "n", "got", "have") || r.flashEnds(m.start))
		opens := colour > k && (item.first == 0 || r.toks[item.first-1].pauses() || r.at(item.first-1).in("and", "+", "&", "a", "my", "the", "with", "w", "n", "got", "have", "only", "just", "off", "into") || r.at(item.first-1).is("in") && r.flashTalk())
		if !alone && !opens && (colour < 0 || colour > k) {
			continue
		}
		if end := item.end; colour < k && !(end == len(r.toks) || r.toks[end].pauses() || r.toks[end].in("and", "+", "&", "n", "only", "left", "held", "with", "w") || r.ownsLength(end)) {
			continue
		}
		if colour >= 0 {
			item.item.Surfaces = slices.Clone(r.marks[colour].word.kit.Surfaces)
			r.marks[colour].used = true
		}
		m.used = true
		r.size(&item.item, m)
		r.items = append(r.items, item)
		return
	}
}

// ownsLength reports whether a length begins at token i: "white 40in 1.2m" is
// a panel and how far off it is.
func (r *reader) ownsLength(i int) bool {
	k := r.markStarting(i)
	return k >= 0 && r.marks[k].is(length)
}

// flashEnds reports whether a flash is named right before token i.
func (r *reader) flashEnds(i int) bool {
	k := r.markEnding(i)
	return k >= 0 && r.marks[k].isKit() && (r.marks[k].word.kit.Kind == "flash" || r.marks[k].word.kit.Kind == "strobe")
}

// worn finds the umbrella or softbox that is said to be on the flash: "strobe
// in a 90cm softbox", "brolly on it". That is the way the message lights.
func (r *reader) worn() {
	for _, it := range r.items {
		if it.item.Kind != "umbrella" && it.item.Kind != "softbox" {
			continue
		}
		at := fact.Value{Origin: fact.Said, Span: r.span(it.first, it.end)}
		if r.at(it.end).is("on") && r.behind(it.end+1, 2, "it", "top", "flash", "strobe", "head", "gun", "that") {
			r.out.Facts.Add("says", it.item.Kind, at)
		}
		for _, lamp := range r.items {
			if lamp.item.Kind != "flash" && lamp.item.Kind != "strobe" || lamp.end > it.first || it.first-lamp.end > 4 {
				continue
			}
			if r.behind(lamp.end, it.first-lamp.end, "in", "inside", "into", "through", "thru") || r.powerBetween(lamp.end, it.first) {
				r.out.Facts.Add("says", it.item.Kind, at)
			}
		}
	}
}

// powerBetween reports whether nothing but a power stands between two tokens:
// "flash 1/16 octa 95".
func (r *reader) powerBetween(i, end int) bool {
	for j := i; j < end; j++ {
		if k := r.owner[j]; k < 0 || !r.marks[k].is(power) && !r.marks[k].is(fraction) {
			return false
		}
	}
	return end > i
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
				r.oneSide(at, m.start, it.end)
				at.Surfaces = union(slices.Clone(m.word.kit.Surfaces), at.Surfaces)
			case (m.is(length) || m.is(area)) && sized(at.Kind) && at.SizeM == 0 && !r.distanceBefore(k):
				r.size(at, m)
			case m.is(bareNumber) && sized(at.Kind) && at.Kind != "led" && at.SizeM == 0 && m.end == it.first && r.bareSize(at, m):
			case m.is(length) && at.Kind == "stand" && at.HeightM == 0 && !r.clothEnds(m.start):
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
				at.Stops = math.Abs(m.q.v)
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
		if t.in("/", "and", "&", "+", ",", "n", "or") && i > 0 && r.owner[i-1] >= 0 && r.isSurface(r.owner[i-1]) && len(it.item.Surfaces) > 0 && returns(it.item.Kind) {
			i--
			continue // "silver/white reflector"
		}
		if t.is("of") && i > 0 && r.owner[i-1] >= 0 && r.isSurface(r.owner[i-1]) && returns(it.item.Kind) {
			i--
			continue // "the black side of the panel"
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

// clothEnds reports whether a cloth without a size ends right before token i:
// "softbox 90cm on a stand".
func (r *reader) clothEnds(i int) bool {
	for n := range r.items {
		if it := &r.items[n]; it.end == i && sized(it.item.Kind) && it.item.SizeM == 0 {
			return true
		}
	}
	return false
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

// bareSize takes a number without a unit right before a cloth for its size:
// "120 octa" is centimetres, "42 brolly" inches, by what such cloths measure.
func (r *reader) bareSize(at *fact.Item, m *mark) bool {
	unit := "cm"
	switch v := m.q.v; {
	case m.q.v2 != 0 || v != math.Trunc(v) || v < 24 || v > 200 || r.at(m.start).kind != numberToken:
		return false
	case v < 60:
		unit = "in"
	}
	metres, _ := units.Length(m.q.v, unit)
	at.SizeM = float64(metres)
	r.say("I took “" + r.typed(m.start, m.end) + "” as " + r.typed(m.start, m.end) + " " + unit + ".")
	return true
}

// leavesSize reports whether what stands at token i leaves the number before
// it to a cloth: "octa 120 over the sitter", "softbox 70 cam left 60 deg". A
// side alone does not: "softbox 70 left" may be degrees.
func (r *reader) leavesSize(i int) bool {
	if r.at(i).in("at", "@", "on", "with", "w", "and", "n", "+", "&", "held", "over", "above", "in", "for") {
		return true
	}
	if r.at(i).in("cam", "camera") && r.at(i+1).in("left", "right") {
		k := r.markStarting(i + 2)
		return k >= 0 && r.marks[k].q.unit == "deg" || r.at(i+3).in("deg", "degrees", "°")
	}
	return false
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
			r.oneSide(at, m.start, m.end)
			at.Surfaces = union(at.Surfaces, m.word.kit.Surfaces)
		case m.is(length) && (r.ends(it.first) || r.lifted(it.first)):
			return
		case (m.is(length) || m.is(area)) && sized(at.Kind) && at.SizeM == 0 && (!apart[next.text] || next.is("in") && !r.at(m.end+1).in("to", "front")) && (!comma || m.q.unit != units.Metre || next.pauses()) && !(next.in("to") && r.at(m.end+1).in("her", "him")):
			r.size(at, m)
		case m.is(bareNumber) && sized(at.Kind) && at.Kind != "led" && at.SizeM == 0 && m.start == it.end && (m.end == len(r.toks) || next.pauses() && !next.is("-") || next.in("at", "vs", "versus", "or") || m.q.v >= 60 && r.leavesSize(m.end)) && r.bareSize(at, m):
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

// lifted reports whether the thing at token i is being moved up or down: "lower
// the panel 20 cm".
func (r *reader) lifted(i int) bool {
	return r.before(i, 2, "lower", "raise", "lift", "drop")
}

// ends reports whether the thing at token i is the far end of a distance
// whose near end stands right before it: "flash to panel 1 m", "panel–face".
func (r *reader) ends(i int) bool {
	if i >= 2 && r.toks[i-1].is("to") {
		return r.placeAt(i-2) != nowhere
	}
	return i >= 1 && r.toks[i].glued && r.toks[i].kind == wordToken && r.placeAt(i-1) != nowhere
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
