package hear

import (
	"strings"

	"panelhand/rules"
	"panelhand/rules/fact"
)

// A lexicon holds every phrase of the playbook's words in one tree of tokens.
// A phrase may hold
//
//	<n>     a number, also as a word or "a pair of"
//	<her>   any word for a sitter: a pronoun, or a noun that counts a person
//	<light> any word for the light that is there: light, sun, lamp …
//	<side>  left, right, one side …
//	<text>  words up to the next word of the phrase or the end of the clause
//	<want>  (first, takes no room) a wish was spoken earlier in the sentence
//	(a|b|)  any of these, an empty one for none
//
// Small words (the, her, is, too, very …) between a phrase's words are
// skipped, a singular in the phrase matches the plural in the message.
//
// What the message is about and what only cautions or the kind of answer read
// (hazards, ask, term) are two lexicons over the same words: "the rooftop" is
// an edge to light by and a public place, and neither reading hides the other.
type lexicon struct {
	root node
	*vocabulary
}

// A vocabulary is every word that the lexicons know.
type vocabulary struct {
	words   map[string]bool // every literal, for spelling
	persons map[string]bool // nouns that count one person
	whole   map[string]bool // words that are a phrase by themselves
}

type node struct {
	next    map[string]*node
	slots   [slotCount]*node
	phrases []*phrase
}

type slot uint8

const (
	numberSlot slot = iota
	herSlot
	lightSlot
	sideSlot
	textSlot
	slotCount
)

var slotNames = map[string]slot{"<n>": numberSlot, "<her>": herSlot, "<light>": lightSlot, "<side>": sideSlot, "<text>": textSlot}

// A phrase is one way of saying a word.
type phrase struct {
	word   *entry
	wished bool // only after a wish
}

// An entry is a rules.Word made ready for matching.
type entry struct {
	rules.Word
	notBefore, notAfter, onlyBefore, onlyAfter map[string]bool
	kit                                        *fact.Item // of a word that names kit or a field of kit
	fills                                      string
	person                                     bool // counts one person
}

// newLexicons sorts the words into what the message is about and what only
// cautions and the kind of answer read. A file that names dangers or kinds of
// answer is of the second sort, but for the words in it that say what the first is about.
func newLexicons(words []rules.Word) (matter, manner *lexicon) {
	known := &vocabulary{words: map[string]bool{}, persons: map[string]bool{}, whole: map[string]bool{}}
	matter, manner = &lexicon{vocabulary: known}, &lexicon{vocabulary: known}
	second := map[string]bool{}
	for i := range words {
		second[words[i].Pos.File] = second[words[i].Pos.File] || means(&words[i], "hazards", "ask", "term")
	}
	for i := range words {
		e := &entry{Word: words[i]}
		lex := matter
		if means(&words[i], "hazards", "ask", "term") || second[e.Pos.File] && !means(&words[i], "kit", "light.kind", "light.from", "wants", "subject.people", "helpers") {
			lex = manner
		}
		e.notBefore, e.notAfter = lex.guard(e.NotBefore), lex.guard(e.NotAfter)
		e.onlyBefore, e.onlyAfter = lex.guard(e.OnlyBefore), lex.guard(e.OnlyAfter)
		for k := range e.Means {
			switch m := &e.Means[k]; m.Path {
			case "kit":
				e.kit, e.fills = &m.Item, m.Fills
			case "subject.people":
				e.person = m.Number == 1 && !m.Hole
			}
		}
		for _, say := range e.Say {
			for _, one := range alternatives(say) {
				lex.add(e, one)
			}
		}
	}
	return matter, manner
}

// means reports whether a word makes one of the paths known.
func means(w *rules.Word, paths ...string) bool {
	for _, list := range [][]rules.Meaning{w.Means, w.Negated} {
		for _, m := range list {
			if contains(paths, m.Path) {
				return true
			}
		}
	}
	return false
}

// guard makes a set of the words of a guard.
func (lex *lexicon) guard(words []string) map[string]bool {
	if len(words) == 0 {
		return nil
	}
	set := make(map[string]bool, len(words))
	for _, w := range words {
		set[w] = true
	}
	return set
}

// alternatives spells out (a|b) in a phrase.
func alternatives(say string) []string {
	open := strings.IndexByte(say, '(')
	if open < 0 {
		return []string{say}
	}
	length := strings.IndexByte(say[open:], ')')
	if length < 0 {
		return []string{say}
	}
	var out []string
	for _, choice := range strings.Split(say[open+1:open+length], "|") {
		out = append(out, alternatives(say[:open]+choice+say[open+length+1:])...)
	}
	return out
}

func (lex *lexicon) add(e *entry, say string) {
	ph := &phrase{word: e}
	at := &lex.root
	literals := 0
	fields := strings.Fields(say)
	for _, field := range fields {
		if field == "<want>" {
			ph.wished = true
			continue
		}
		if s, ok := slotNames[field]; ok {
			if at.slots[s] == nil {
				at.slots[s] = &node{}
			}
			at = at.slots[s]
			continue
		}
		for _, t := range tokenise(normalise(field).text) {
			if at.next == nil {
				at.next = map[string]*node{}
			}
			if at.next[t.text] == nil {
				at.next[t.text] = &node{}
			}
			at = at.next[t.text]
			literals++
			if t.kind == wordToken {
				lex.words[t.text] = true
				if len(fields) > 1 {
					continue
				}
				lex.whole[t.text] = true
				if e.person {
					lex.persons[t.text] = true
				}
			}
		}
	}
	if literals == 0 {
		return // a phrase of nothing but holes would match everywhere
	}
	at.phrases = append(at.phrases, ph)
}

// A match is a phrase found in the message.
type match struct {
	word   *entry
	end    int
	score  int // how much it says: more words win
	number float64
	text   string
}

// wordAt finds the phrase at token i that says most.
func (r *reader) wordAt(i int) (best match) {
	r.walk(&r.lex.root, i, i, match{}, &best, true)
	return best
}

// walk follows the tree from node n with the token at i. A phrase ends with a
// word of its own, not with a small word skipped: whole says that the last
// step was one.
func (r *reader) walk(n *node, start, i int, m match, best *match, whole bool) {
	if i > start && whole {
		for _, ph := range n.phrases {
			if ph.wished && !r.wished[start] {
				continue
			}
			score := m.score
			if ph.wished {
				score++
			}
			if ph.word.onlyBefore != nil || ph.word.onlyAfter != nil {
				score++
			}
			if score > best.score || score == best.score && i > best.end {
				if r.guarded(ph.word, start, i) {
					m.word, m.end = ph.word, i
					held := m
					held.score = score
					*best = held
				}
			}
		}
	}
	if i >= len(r.toks) {
		return
	}
	t := &r.toks[i]
	said := m
	said.score += 4
	if child := n.next[t.text]; child != nil {
		r.walk(child, start, i+1, said, best, true)
	}
	if s := r.stems[i]; s != "" {
		if child := n.next[s]; child != nil {
			r.walk(child, start, i+1, said, best, true)
		}
	}
	if child := n.slots[numberSlot]; child != nil {
		if number, ok := r.numeral(i); ok && number.den == 0 {
			counted := m
			counted.score += 3
			counted.number = number.v
			r.walk(child, start, number.end, counted, best, true)
		} else if ok && number.v > 0 && number.v <= 64 {
			counted := m
			counted.score += 3
			counted.number = number.v
			r.walk(child, start, number.end, counted, best, true)
		}
	}
	if child := n.slots[herSlot]; child != nil {
		if end := r.sitterAt(i); end > i {
			named := m
			named.score += 3
			r.walk(child, start, end, named, best, true)
		}
	}
	if child := n.slots[lightSlot]; child != nil && (lightNouns[t.text] || lightNouns[r.stems[i]]) {
		named := m
		named.score += 3
		r.walk(child, start, i+1, named, best, true)
	}
	if child := n.slots[sideSlot]; child != nil {
		if end := r.sideAt(i); end > i {
			named := m
			named.score += 3
			r.walk(child, start, end, named, best, true)
		}
	}
	if child := n.slots[textSlot]; child != nil {
		for end := i + 1; end <= len(r.toks) && end <= i+6 && !r.toks[end-1].breaks(); end++ {
			texted := m
			texted.text = r.typed(i, end)
			r.walk(child, start, end, texted, best, true)
		}
	}
	if i > start && fillers[t.text] {
		r.walk(n, start, i+1, m, best, false)
	}
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
	for ; i >= 0 && i < len(r.toks); i += step {
		t := r.toks[i]
		if set[t.text] || r.stems[i] != "" && set[r.stems[i]] || t.kind == numberToken && set["<n>"] || set["<her>"] && r.person(i) || set["<light>"] && lightNouns[t.text] {
			return true
		}
		if !fillers[t.text] {
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

// sitterAt reads a word for the sitter at i, with "her face" and "the man's
// eyes" as one; it returns i where there is none.
func (r *reader) sitterAt(i int) int {
	j := i
	for j < len(r.toks) && j < i+3 && (fillers[r.toks[j].text] || r.toks[j].in("old", "young", "tall", "small", "little")) && !r.person(j) {
		j++
	}
	if j >= len(r.toks) || !r.person(j) {
		return i
	}
	j++
	if j < len(r.toks) && r.toks[j].in("face", "faces", "eyes", "eye", "nose", "head", "heads", "cheek", "skin") {
		j++
	}
	return j
}

func (r *reader) person(i int) bool {
	t := r.toks[i]
	return t.kind == wordToken && (sitters[t.text] || r.lex.persons[t.text] || r.stems[i] != "" && r.lex.persons[r.stems[i]])
}

func (r *reader) sideAt(i int) int {
	j := i
	for j < len(r.toks) && j < i+3 && (fillers[r.toks[j].text] || r.toks[j].in("one", "camera", "hand", "far", "street", "hard", "left", "right") && j+1 < len(r.toks) && r.toks[j+1].in("left", "right", "side", "hand")) {
		j++
	}
	if j < len(r.toks) && r.toks[j].in("left", "right", "side", "sides", "sideways", "lhs", "rhs", "lh", "rh", "l", "r") {
		j++
		if j < len(r.toks) && r.toks[j].in("side", "hand") {
			j++
			if j < len(r.toks) && r.toks[j].in("side") {
				j++
			}
		}
		return j
	}
	return i
}

// set makes a set of words.
func set(words string) map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields(words) {
		out[w] = true
	}
	return out
}

// fillers are the small words that may stand between the words of a phrase.
var fillers = set(`the a an my his her their our your its this that these those is are was were be been being am im hes shes theyre its it theres looks look
	looking seems seem very v really so too bit a-bit little touch tad way just all quite rather pretty kind kinda sort sorta of still now also both
	some any more-or-less totally completely literally basically much super proper actually even slightly r comes coming out gets get getting going go goes gone turn turns turned became become becomes
	have has got been there me us you nice nicely big`)

// sitters are the pronouns and plain words for who is in the picture.
var sitters = set(`her him them she he they us it sitter sitters subject subjects subj model models talent client face faces eyes everyone everybody people person ppl folks someone somebody couple group kids family`)

// lightNouns are words for the light that is there.
var lightNouns = set(`light lights sun sunlight sunshine daylight lamp lamps lamplight tubes tube bulb bulbs glow spots spot spotlights spotlight downlights downlight downlighters floodlight floodlights skylight skylights window windows sky lite lites lanterns led leds lighting neon streetlamp streetlight luminaires rays beam`)

// stemOf returns the singular of a plural, or an empty string.
func stemOf(w string) string {
	n := len(w)
	switch {
	case n < 4 || w[n-1] != 's' || w[n-2] == 's':
		return ""
	case n > 5 && (strings.HasSuffix(w, "shes") || strings.HasSuffix(w, "ches") || strings.HasSuffix(w, "xes") || strings.HasSuffix(w, "sses")):
		return w[:n-2]
	case n > 4 && strings.HasSuffix(w, "ies"):
		return w[:n-3] + "y"
	case strings.HasSuffix(w, "us"), strings.HasSuffix(w, "is"):
		return ""
	}
	return w[:n-1]
}
