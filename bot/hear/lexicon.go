package hear

import (
	"strings"

	"panelhand/rules"
	"panelhand/rules/fact"
)

// A lexicon holds every phrase of the playbook's words, filed by the word that
// it begins with. A phrase may hold
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
	byWord  map[string][]*phrase // by each word that may be the phrase's first
	bySlot  [slotCount][]*phrase // those that may begin with a slot
	phrases int
	*vocabulary
}

// A vocabulary is every word that the lexicons know.
type vocabulary struct {
	words   map[string]bool // every literal, for spelling
	persons map[string]bool // nouns that count one person
	whole   map[string]bool // words that are a phrase by themselves
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

// A phrase is one way of saying a word: parts in a row, each with its choices.
type phrase struct {
	word   *entry
	wished bool // only after a wish
	parts  []part
}

// A part is a list of choices, each a row of atoms, an empty row for none.
type part [][]atom

// An atom is one token of a phrase: a literal, or a slot where text is empty.
type atom struct {
	text string
	slot slot
}

// An entry is a rules.Word made ready for matching.
type entry struct {
	rules.Word
	notBefore, notAfter, onlyBefore, onlyAfter map[string]bool
	kit                                        *fact.Item // of a word that names kit or a field of kit
	fills                                      string
	person                                     bool // counts one person
}

// newLexicons sorts the words into what the message is about, what only
// cautions and the kind of answer read, and what it asks to be turned: each is
// heard beside the others. A file that names dangers or kinds of answer is of the
// second sort, but for the words in it that say what the first is about.
func newLexicons(words []rules.Word) (matter, manner, turns *lexicon) {
	known := &vocabulary{words: map[string]bool{}, persons: map[string]bool{}, whole: map[string]bool{}}
	empty := func() *lexicon { return &lexicon{vocabulary: known, byWord: map[string][]*phrase{}} }
	matter, manner, turns = empty(), empty(), empty()
	second := map[string]bool{}
	for i := range words {
		second[words[i].Pos.File] = second[words[i].Pos.File] || means(&words[i], "hazards", "ask", "term")
	}
	for i := range words {
		e := &entry{Word: words[i]}
		lex := matter
		switch {
		case means(&words[i], "turn"):
			lex = turns
		case means(&words[i], "hazards", "ask", "term") || second[e.Pos.File] && !means(&words[i], "kit", "light.kind", "light.from", "wants", "subject.people", "helpers"):
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
			lex.add(e, say)
		}
	}
	return matter, manner, turns
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

// add files a phrase.
func (lex *lexicon) add(e *entry, say string) {
	ph := &phrase{word: e}
	literal, words := false, 0
	for _, field := range fields(say) {
		if field == "<want>" {
			ph.wished = true
			continue
		}
		var p part
		for _, choice := range strings.Split(strings.Trim(field, "()"), "|") {
			row := atoms(choice)
			for _, a := range row {
				literal = literal || a.text != ""
			}
			p = append(p, row)
		}
		words++
		ph.parts = append(ph.parts, p)
	}
	if !literal {
		return // nothing but holes would match everywhere
	}
	lex.phrases++
	lex.know(ph)
	seen := map[string]bool{}
	for _, p := range ph.parts {
		optional := false
		for _, row := range p {
			switch {
			case len(row) == 0:
				optional = true
			case row[0].text == "":
				lex.bySlot[row[0].slot] = append(lex.bySlot[row[0].slot], ph)
			case !seen[row[0].text]:
				seen[row[0].text] = true
				lex.byWord[row[0].text] = append(lex.byWord[row[0].text], ph)
			}
		}
		if !optional {
			break
		}
	}
}

// know takes the words of a phrase into the vocabulary.
func (lex *lexicon) know(ph *phrase) {
	for _, p := range ph.parts {
		for _, row := range p {
			for _, a := range row {
				if a.text != "" && isLetter(a.text, 0) {
					lex.words[a.text] = true
				}
			}
			if len(ph.parts) == 1 && len(row) == 1 && row[0].text != "" {
				lex.whole[row[0].text] = true
				if ph.word.person {
					lex.persons[row[0].text] = true
				}
			}
		}
	}
}

// fields cuts a phrase at its spaces, but not inside brackets.
func fields(say string) []string {
	var out []string
	depth, start := 0, -1
	for i := 0; i < len(say); i++ {
		switch c := say[i]; {
		case c == ' ' && depth == 0:
			if start >= 0 {
				out = append(out, say[start:i])
			}
			start = -1
			continue
		case c == '(':
			depth++
		case c == ')' && depth > 0:
			depth--
		}
		if start < 0 {
			start = i
		}
	}
	if start >= 0 {
		out = append(out, say[start:])
	}
	return out
}

// atoms reads one choice: "head on", "<her>", "5in1".
func atoms(choice string) []atom {
	var row []atom
	for _, field := range strings.Fields(choice) {
		if s, ok := slotNames[field]; ok {
			row = append(row, atom{slot: s})
			continue
		}
		if plainWord(field) {
			row = append(row, atom{text: field})
			continue
		}
		for _, t := range tokenise(normalise(field).text) {
			row = append(row, atom{text: t.text})
		}
	}
	return row
}

func plainWord(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < 'a' || s[i] > 'z' {
			return false
		}
	}
	return true
}
