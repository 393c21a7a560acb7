package hear

import (
	"slices"

	"panelhand/rules/fact"
)

// leftovers lists the words that nothing could use, and counts those that
// could have said something. heard says which tokens the second reading took;
// it may be nil.
func (r *reader) leftovers(heard []int) {
	for i, t := range r.toks {
		if t.symbol() {
			continue
		}
		used := r.inside(i) && !r.idleNumber(i) || (heard != nil && heard[i] >= 0) || (r.turn != nil && r.turn[i] >= 0) || r.taken(i)
		if !used && small(t.text) {
			continue
		}
		r.out.Content++
		if !used {
			r.out.Leftover = append(r.out.Leftover, r.typed(i, i+1))
			r.out.left = append(r.out.left, r.span(i, i+1))
		}
	}
}

// MostlyUnheard reports whether more than half of the words that could say
// something were left over, of three or more: an answer then rests on scraps
// of the message, and should say so.
func (r Reading) MostlyUnheard() bool { return r.Content >= 3 && 2*len(r.Leftover) > r.Content }

// idleNumber reports whether token i is a number that says nothing of what it
// counts: "led at 70".
func (r *reader) idleNumber(i int) bool {
	k := r.owner[i]
	return k >= 0 && r.marks[k].is(bareNumber) && !r.marks[k].used && !r.taken(i) && len(r.out.Asked) == 0
}

// LeftBeside reports whether words were left over outside a stretch of the
// message.
func (r Reading) LeftBeside(s fact.Span) bool {
	return slices.ContainsFunc(r.left, func(l fact.Span) bool { return !s.Overlaps(l) })
}

// small reports whether a word carries nothing that could be missed.
func small(w string) bool {
	return fillers[w] || idle[w] || noBefore[w] || noThrough[w] || wishWords[w] || sitters[w] || reachEnds[w] || havingVerbs[w]
}

// taken reports whether token i stands inside what was read as an item of kit.
func (r *reader) taken(i int) bool {
	for _, it := range r.items {
		if i >= it.first && i < it.end {
			return true
		}
	}
	return false
}

// idle words carry nothing that could be missed.
var idle = set(`and or n w with on in at to from of for by as off up down out into onto over under near next behind front left right side back again also ok okay hi hey hello
	thanks thx cheers please pls plz yes yep no not i im ive id we weve were you u he she do does did done can could will would shall may might if when while then than what whats which who
	how why where there here today tonight tomorrow now later soon about around only just one two like want need get make take use using stand help today team guys mate lol haha um uh er
	well right gonna wanna gotta lets let says said say thing things stuff bit more less most much many few lot lots same other another each every found spare bag van because since before after until during
	keep keeps between across along against thru through via per plus vs`)
