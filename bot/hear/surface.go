package hear

import (
	"slices"

	"panelhand/rules/fact"
)

func union(a, b []string) []string {
	for _, s := range b {
		if !slices.Contains(a, s) {
			a = append(a, s)
		}
	}
	return a
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
	alone := panels == 0 && (slices.Contains(run, "silver") || slices.Contains(run, "gold")) && r.pausedBefore(m.start) && (r.marks[last].end == len(r.toks) || r.at(r.marks[last].end).pauses() || r.at(r.marks[last].end).kind == numberToken)
	if !had && !alone && !(len(run) >= 2 && panels == 0 && last > first && (first == 0 || r.pausedBefore(m.start))) {
		return
	}
	for k := first; k <= last; k++ {
		if r.isSurface(k) {
			r.marks[k].used = true
		}
	}
	if panels == 1 {
		r.oneSide(&panel.item, m.start, r.marks[last].end)
		panel.item.Surfaces = union(panel.item.Surfaces, run)
		return
	}
	if panels == 0 {
		r.items = append(r.items, kitMark{item: fact.Item{Kind: "reflector", Surfaces: run, Count: 1}, first: m.start, end: r.marks[last].end, mark: first})
		r.rightOf(len(r.items) - 1)
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

// oneSide forgets the other sides of a panel with five where one alone, named
// from token start to end, is told to be there: "5in1, only its black side".
func (r *reader) oneSide(item *fact.Item, start, end int) {
	if len(item.Surfaces) != 5 {
		return
	}
	if r.at(end).in("side", "sides") {
		end++
	}
	if r.before(start, 2, "only", "just") || r.at(end).in("only") {
		item.Surfaces = nil
	}
}
