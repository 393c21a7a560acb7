package hear

// leftovers lists the words that nothing could use.
func (r *reader) leftovers(heard []int) {
	for i, t := range r.toks {
		if t.kind == symbolToken || r.inside(i) || heard != nil && heard[i] >= 0 || fillers[t.text] || idle[t.text] || noBefore[t.text] || noThrough[t.text] || wishWords[t.text] || sitters[t.text] || reachEnds[t.text] || havingVerbs[t.text] {
			continue
		}
		if r.taken(i) {
			continue
		}
		r.out.Leftover = append(r.out.Leftover, r.typed(i, i+1))
	}
}

// idle words carry nothing that could be missed.
var idle = set(`and or n with on in at to from of for by as off up down out into onto over under near next behind front left right side back again also ok okay hi hey hello
	thanks thx cheers please pls plz yes yep no not i im ive id we weve were you u he she do does did done can could will would shall may might if when while then than what whats which who
	how why where there here today tonight tomorrow now later soon about around only just one two like want need get make take use using stand help today team guys mate lol haha um uh er
	well right gonna wanna gotta lets let says said say thing things stuff bit more less most much many few lot lots same other another each every because since before after until during
	between across along against thru through via per plus vs`)

// taken reports whether token i stands inside what was read as an item of kit.
func (r *reader) taken(i int) bool {
	for _, it := range r.items {
		if i >= it.first && i < it.end {
			return true
		}
	}
	return false
}
