package hear

// Negation. A negator reaches the first thing named after it and, over "or",
// "nor" and lists that end in them, the things joined to it. A comma, a full
// stop, "but", "just" and "only" end its reach: "no flash, panel is fine".

// denying words that stand before a noun.
var noBefore = set(`no without zero lost forgot forgotten nor neither lack lacking missing minus avoid avoiding hates hate dislikes instead never not isnt arent wasnt
	werent aint hasnt havent hadnt nae cannae dinnae non geen sin banned forbidden prohibited bans forbid forbids`)

// denying auxiliaries: they deny a thing only through a verb of having,
// wanting or allowing ("can't have flash", never "can't see, bright sun").
var noThrough = set(`dont doesnt didnt cant cannot couldnt wont wouldnt shouldnt mustnt never not`)

var havingVerbs = set(`have has had use using want wanting need needing like bring brought get got getting put take fire pop shoot allow allowed allowing own carry set
	do be make let go wear wears wearing show think work permitted permit fancy love see`)

// words that end the reach of a negation.
var reachEnds = set(`but just only except though however because cos cuz so apart whatever instead then plus which where got`)

// words that deny what stood before them.
var noAfter = [][]string{
	{"not", "allowed"}, {"isnt", "allowed"}, {"arent", "allowed"}, {"not", "permitted"}, {"isnt", "permitted"}, {"arent", "permitted"}, {"not", "possible"}, {"not", "an", "option"}, {"not", "available"},
	{"banned"}, {"forbidden"}, {"prohibited"}, {"verboten"}, {"neither"}, {"off", "limits"}, {"not", "ok"}, {"not", "okay"}, {"isnt", "ok"}, {"no", "go"}, {"nope"}, {"refused"},
	{"wont", "be", "allowed"}, {"cant", "be", "used"}, {"a", "no"}, {"not", "welcome"}, {"disallowed"},
}

// words that say of kit that it is not at hand.
var goneAfter = [][]string{
	{"dead"}, {"died"}, {"broken"}, {"bust"}, {"busted"}, {"broke"}, {"not", "working"}, {"isnt", "working"}, {"at", "home"}, {"missing"}, {"left", "behind"}, {"forgotten"}, {"stolen"}, {"didnt", "come"},
	{"not", "here"}, {"in", "the", "car"}, {"at", "the", "studio"}, {"kaput"}, {"knackered"}, {"folded"}, {"furled"}, {"stowed"}, {"put", "away"}, {"packed", "away"}, {"the", "van"}, {"packed", "up"}, {"gone"},
}

// deny marks what the message says is not so.
func (r *reader) deny() {
	for i := 0; i < len(r.toks); i++ {
		if r.none(i) {
			r.denyNext(i+1, false)
			continue
		}
		if r.inside(i) {
			continue
		}
		t := r.toks[i]
		switch {
		case t.in("🚫", "❌", "⛔", "✖", "✗", "🙅"):
			if k := r.markEnding(i); k >= 0 && (i+1 == len(r.toks) || r.toks[i+1].pauses() || r.affirmed()) {
				r.marks[k].denied = true
			} else {
				r.denyNext(i+1, false)
			}
		case t.kind != wordToken:
		case t.is("no") && r.noBehind(i):
			r.marks[r.markEnding(i)].denied = true
		case t.is("not") && r.at(i+1).in("enough", "only", "sure", "just", "sharp", "bothered", "fussed", "firing", "working", "changing", "touching", "allowed", "permitted", "possible", "ok", "okay", "here", "available", "an"):
			if r.at(i+1).in("allowed", "permitted") && r.at(i+2).kind == wordToken && r.markEnding(i) < 0 {
				r.denyNext(i+2, true)
			}
		case t.is("never") && r.at(i+1).is("mind"), t.in("forget", "skip", "ditch") && r.at(i+1).in("the", "my", "our"):
			r.denyNext(i+2, false)
		case t.in("folded", "furled", "stowed") && !noThrough[r.at(i-1).text] && r.at(i+1).in("the", "my", "our", "that", "all"):
			r.denyNext(i+2, false) // "folded the panel"
		case noThrough[t.text] && !t.in("never", "not"):
			if end, ok := r.having(i + 1); ok {
				r.denyNext(end, true)
			}
		case t.is("left") && r.at(i+1).in("my", "the", "our", "it") && r.markStarting(i+2) >= 0 && r.marks[r.markStarting(i+2)].isKit():
			r.marks[r.markStarting(i+2)].denied = true // "left my umbrella on the tram"
		case t.in("except", "but") && r.at(i-1).in("everything", "all"):
			r.denyNext(i+1, false)
		case t.is("instead") && !r.at(i+1).is("of"):
		case t.in("minus", "stop", "missing", "banned", "forbidden", "prohibited") && r.markEnding(i) >= 0:
		case noBefore[t.text]:
			r.denyNext(i+1, !t.in("no", "without", "zero", "lost"))
		}
	}
	r.denyBehind()
}

// none reports whether token i is a nought that counts what follows it: "0
// helpers", "zero shade".
func (r *reader) none(i int) bool {
	k := r.markStarting(i)
	if k < 0 || !r.marks[k].is(bareNumber) || r.marks[k].q.v != 0 || r.marks[k].end != i+1 {
		return false
	}
	next := r.markStarting(i + 1)
	return next >= 0 && r.marks[next].word != nil && !r.marks[next].empty()
}

// having reports whether a verb of having or allowing follows, and where it ends.
func (r *reader) having(i int) (end int, ok bool) {
	for k := 0; k < 4; k++ {
		t := r.at(i + k)
		if havingVerbs[t.text] {
			return i + k + 1, true
		}
		if m := r.markStarting(i + k); m >= 0 && r.marks[m].word != nil {
			return i + k, k == 0 || true
		}
		if t.kind != wordToken || !fillers[t.text] && !t.in("to", "really", "actually", "any", "we", "i", "they", "you") {
			return i, false
		}
	}
	return i, false
}

// denyNext denies the first thing named from token i on, and what is joined to it.
func (r *reader) denyNext(i int, verb bool) {
	loose := 0
	for ; i < len(r.toks); i++ {
		t := r.toks[i]
		k := r.markStarting(i)
		if k < 0 {
			if t.pauses() && !t.is("-") || reachEnds[t.text] || t.in("and", "+", "&") && loose > 0 {
				return
			}
			if verb && !havingVerbs[t.text] && !fillers[t.text] && !adjectives[t.text] && !t.in("to", "any", "with", "at", "usual", "proper", "all", "being", "as", "on", "in") {
				return // "not close to the window" says nothing of the window
			}
			if loose++; loose > 5 {
				return
			}
			continue
		}
		if m := &r.marks[k]; m.word == nil || m.empty() {
			i = m.end - 1 // a size or a swallowed word on the way: "no 40in panel"
			continue
		}
		r.denyJoined(k, verb)
		return
	}
}

// denyJoined denies mark k and the marks that "or" joins to it.
func (r *reader) denyJoined(k int, verb bool) {
	m := &r.marks[k]
	// "no white panel": the colour goes with the panel
	if m.word.kit != nil && m.word.kit.Kind == "" && k+1 < len(r.marks) && r.marks[k+1].start == m.end && r.marks[k+1].isKit() {
		m.denied = true
		r.denyJoined(k+1, verb)
		return
	}
	m.denied = true
	i := m.end
	for r.at(i).in("at", "all", "allowed", "whatsoever", "today", "here", "in", "on", "with", "me") && r.markStarting(i) < 0 && !r.at(i+1).pauses() && r.at(i).in("at", "all", "allowed") {
		i++
	}
	joined := false
	switch t := r.at(i); {
	case t.in("or", "nor", "/", "neither"):
		joined = true
	case t.in("and", "&", "+", "n"):
		// "no stands and tripods": joined where a bare noun follows
		joined = r.markStarting(i+1) >= 0 && r.marks[r.markStarting(i+1)].word != nil && (verb || r.at(r.marks[r.markStarting(i+1)].end).in("allowed", "permitted", "here", "either"))
	case t.is(",") && r.listEndsInOr(i):
		joined = true
	}
	if !joined {
		return
	}
	for j := i + 1; j < len(r.toks) && j <= i+4; j++ {
		if next := r.markStarting(j); next >= 0 && r.marks[next].word != nil && !r.marks[next].empty() {
			r.denyJoined(next, verb)
			return
		}
		if r.toks[j].pauses() || reachEnds[r.toks[j].text] {
			return
		}
	}
}

// listEndsInOr reports whether the list that goes on at a comma ends in "or".
func (r *reader) listEndsInOr(i int) bool {
	loose := 0
	for i++; i < len(r.toks); i++ {
		switch t := r.toks[i]; {
		case t.in("or", "nor"):
			return true
		case t.breaks(), t.in("and", "+", "&", "but", "no", "have", "got", "with"):
			return false
		case t.kind == wordToken && r.markStarting(i) < 0 && !r.inside(i):
			if loose++; loose > 2 {
				return false
			}
		case t.kind == numberToken:
			return false
		}
	}
	return false
}

// noBehind reports whether the "no" at i belongs to the thing before it:
// "reflector yes, flash no."
func (r *reader) noBehind(i int) bool {
	if r.at(i-1).is("?") && i >= 2 && r.owner[i-2] >= 0 && r.marks[r.owner[i-2]].isKit() && (i+1 == len(r.toks) || r.toks[i+1].pauses()) {
		r.marks[r.owner[i-2]].denied = true // "flash? no."
		return false
	}
	if k := r.markEnding(i); k < 0 {
		return false
	}
	next := r.at(i + 1)
	return i+1 == len(r.toks) || next.pauses() || next.in("and", "+", "&") && r.affirmed()
}

// affirmed reports whether the message says yes to something.
func (r *reader) affirmed() bool {
	for _, t := range r.toks {
		if t.in("yes", "ok", "okay", "yep", "✅", "✔", "👍", "👌") {
			return true
		}
	}
	return false
}

// denyBehind denies things by what follows them: "flash and stands not
// allowed", "flash: no", "flash is dead".
func (r *reader) denyBehind() {
	for k := range r.marks {
		m := &r.marks[k]
		if m.word == nil || m.denied || m.empty() {
			continue
		}
		i := m.end
		for r.at(i).in("is", "are", "its", "in", "here", "inside", "there", "today", "also", "both", "theyre", "was", "were", "just", "now", "has", "have", "been", "=", ":", "been", "this", "building", "get", "gets", "strictly", "totally", "absolutely", "use", "photography") && i < m.end+4 {
			i++
		}
		gone := r.follows(i, noAfter)
		if r.at(i).is("no") && i > m.end && r.at(i-1).is(":") && (i+1 == len(r.toks) || r.at(i+1).pauses()) {
			gone = true
		}
		if !gone && m.isKit() {
			gone = r.follows(i, goneAfter) && !(r.at(i).is("folded") && r.at(i+1).in("in", "to", "over", "round")) || r.at(i).is("away") && (i+1 == len(r.toks) || r.toks[i+1].pauses())
		}
		if !gone {
			continue
		}
		m.denied = true
		// back over "flash and stands"
		for k > 0 && r.marks[k-1].word != nil && !r.marks[k-1].empty() && r.marks[k-1].end == m.start-1 && r.at(m.start-1).in("and", "or", "&", "/", "+", "nor", "n") {
			k--
			m = &r.marks[k]
			m.denied = true
		}
	}
}

func (r *reader) follows(i int, phrases [][]string) bool {
	for _, words := range phrases {
		ok := true
		for k, w := range words {
			if !r.at(i+k).is(w) || r.at(i+k).kind != wordToken {
				ok = false
				break
			}
		}
		if ok {
			return true
		}
	}
	return false
}
