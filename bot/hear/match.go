package hear

import (
	"strings"

	"panelhand/rules/fact"
)

// A match is a phrase found in the message.
type match struct {
	word   *entry
	end    int
	score  int // how much it says: more words win
	number float64
	text   string
	denied bool // "not" stood inside it

	skipped int // small words since the last word of the phrase
}

// maxSkipped is how many small words may stand between two words of a phrase:
// "face [is just way too] dark". More is another sentence, and without an end
// a message of nothing but small words takes minutes.
const maxSkipped = 4

// wordAt finds the phrase at token i that says most.
func (r *reader) wordAt(i int) (best match) {
	t := &r.toks[i]
	for _, ph := range r.lex.byWord[t.text] {
		r.follow(ph, 0, nil, i, i, match{}, &best)
	}
	if s := r.stems[i]; s != "" {
		for _, ph := range r.lex.byWord[s] {
			r.follow(ph, 0, nil, i, i, match{}, &best)
		}
	}
	for s := range slotCount {
		if len(r.lex.bySlot[s]) == 0 || s != textSlot && !r.fillsSlot(s, i) {
			continue
		}
		for _, ph := range r.lex.bySlot[s] {
			r.follow(ph, 0, nil, i, i, match{}, &best)
		}
	}
	return best
}

// fillsSlot reports whether what stands at token i can fill a slot.
func (r *reader) fillsSlot(s slot, i int) bool {
	switch s {
	case numberSlot:
		n, ok := r.numeral(i)
		return ok && (n.den == 0 || n.v > 0)
	case herSlot:
		return r.sitterAt(i) > i
	case lightSlot:
		return lightNouns[r.toks[i].text] || lightNouns[r.stems[i]]
	case sideSlot:
		return r.sideAt(i) > i
	}
	return true
}

// follow matches the rest of a phrase with the tokens from i on: first the
// atoms of row, then the parts from number p on.
func (r *reader) follow(ph *phrase, p int, row []atom, start, i int, m match, best *match) {
	if len(row) > 0 {
		r.step(ph, p, row, start, i, m, best)
		return
	}
	if p == len(ph.parts) {
		if i > start {
			r.found(ph, start, i, m, best)
		}
		return
	}
	for _, choice := range ph.parts[p] {
		r.follow(ph, p+1, choice, start, i, m, best)
	}
}

// step matches the first atom of row, skipping small words before it.
func (r *reader) step(ph *phrase, p int, row []atom, start, i int, m match, best *match) {
	if i >= len(r.toks) {
		return
	}
	a, rest := row[0], row[1:]
	if i > start && m.skipped < maxSkipped {
		past := m
		if r.stride[i] > 0 && ph.word.kit == nil { // "bg half a stop too bright"
			past.skipped++
			r.step(ph, p, row, start, i+r.stride[i], past, best)
			past = m
		}
		switch n := r.moreOfList(i); {
		case r.passed(i):
			past.skipped++
			r.step(ph, p, row, start, i+1, past, best)
		case n > 0:
			past.skipped += n
			r.step(ph, p, row, start, i+n, past, best)
		case r.toks[i].in("isnt", "arent", "wasnt", "werent", "not", "aint", "doesnt", "dont") && ph.word.kit == nil && len(ph.word.Means) > 0 && !m.denied && !r.toks[i].is(a.text):
			past.skipped, past.denied = past.skipped+1, true // "the light isn't hard"
			r.step(ph, p, row, start, i+1, past, best)
		}
	}
	m.skipped = 0
	if a.text != "" {
		if r.toks[i].text == a.text || r.stems[i] == a.text {
			m.score += 4
			r.follow(ph, p, rest, start, i+1, m, best)
		}
		return
	}
	m.score += 3
	switch a.slot {
	case numberSlot:
		if n, ok := r.numeral(i); ok && (n.den == 0 || n.v > 0 && n.v <= 64) {
			m.number = n.v
			r.follow(ph, p, rest, start, n.end, m, best)
		}
	case herSlot:
		if end := r.sitterAt(i); end > i {
			r.follow(ph, p, rest, start, end, m, best)
		}
	case lightSlot:
		if lightNouns[r.toks[i].text] || lightNouns[r.stems[i]] {
			r.follow(ph, p, rest, start, i+1, m, best)
		}
	case sideSlot:
		if end := r.sideAt(i); end > i {
			r.follow(ph, p, rest, start, end, m, best)
		}
	case textSlot:
		m.score -= 3
		for end := i + 1; end <= len(r.toks) && end <= i+6 && !r.toks[end-1].breaks(); end++ {
			m.text = r.typed(i, end)
			r.follow(ph, p, rest, start, end, m, best)
		}
	}
}

// moreOfList returns the length of one more comparative of a list at token i:
// "darker, calmer backdrop" holds "darker backdrop".
func (r *reader) moreOfList(i int) int {
	if i == 0 || !r.toks[i].in(",", "and", "&", "+") || i+2 >= len(r.toks) || !comparative(r.toks[i-1]) || !comparative(r.toks[i+1]) {
		return 0
	}
	return 2
}

func comparative(t token) bool {
	return t.kind == wordToken && len(t.text) > 4 && strings.HasSuffix(t.text, "er")
}

// found keeps a phrase that matches if it says more than the best so far.
func (r *reader) found(ph *phrase, start, end int, m match, best *match) {
	if ph.wished {
		if !r.wished[start] {
			return
		}
		m.score++
	}
	if ph.word.onlyBefore != nil || ph.word.onlyAfter != nil {
		m.score++
	}
	if (m.score > best.score || m.score == best.score && end > best.end) && r.guarded(ph.word, start, end) {
		m.word, m.end = ph.word, end
		*best = m
	}
}

// passed reports whether token i may be skipped inside a phrase: a small word,
// or one of those that turn a plain phrase into a wish ("face should be brighter").
func (r *reader) passed(i int) bool {
	t := r.toks[i]
	return fillers[t.text] || t.in("must", "should", "needs", "need", "ought") || t.is("to") && i > 0 && r.toks[i-1].in("have", "has", "need", "needs", "ought", "got")
}

// guarded checks the words before and after a phrase.
func (r *reader) guarded(e *entry, start, end int) bool {
	if e.notBefore != nil && r.near(e.notBefore, end, 1) || e.onlyBefore != nil && !r.near(e.onlyBefore, end, 1) {
		return false
	}
	return (e.notAfter == nil || !r.near(e.notAfter, start-1, -1)) && (e.onlyAfter == nil || r.near(e.onlyAfter, start-1, -1))
}

// near reports whether the token at i, or the first that is no small word
// from there on, is in the set.
func (r *reader) near(set map[string]bool, i, step int) bool {
	for n := 0; i >= 0 && i < len(r.toks); i, n = i+step, n+1 {
		t := r.toks[i]
		if set[t.text] || r.stems[i] != "" && set[r.stems[i]] || t.kind == numberToken && set["<n>"] || set["<her>"] && r.person(i) || set["<light>"] && lightNouns[t.text] {
			return true
		}
		if !fillers[t.text] || n > maxSkipped {
			return false
		}
	}
	return set["<end>"]
}

// typed returns the message as typed between two tokens.
func (r *reader) typed(i, end int) string {
	s := r.span(i, end)
	return strings.TrimSpace(r.message[s.Start:s.End])
}

func (r *reader) span(i, end int) fact.Span {
	return fact.Span{Start: r.plain.origin(r.toks[i].start), End: r.plain.origin(r.toks[end-1].end)}
}
