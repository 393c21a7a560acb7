package hear

import (
	"unicode"
	"unicode/utf8"

	"panelhand/rules/fact"
)

// nameBefore are the words after which a place's name is typed, whatever its case.
var nameBefore = [][]string{
	{"last", "time", "at"}, {"last", "time", "in"}, {"last", "time", "on"}, {"we", "know", "about"}, {"you", "know", "about"}, {"note", "for"}, {"notes", "for"}, {"notes", "on"}, {"note", "about"}, {"notes", "about"},
	{"notes", "from"}, {"venue"}, {"venue", "is"}, {"did", "at"}, {"used", "at"}, {"do", "at"}, {"note", "on"}, {"rules", "at"}, {"rules", "for"}, {"remember", "about"}, {"shoot", "at"},
}

// placeNouns are what named places are called.
var placeNouns = set(`hall yard market garden gardens pier quay station square park street church museum library harbour harbor bridge house office theatre theater school hotel cafe wharf dock terrace
	arcade tower court lane road chapel gallery club pub bar mill works warehouse studio loft rooftop beach steps passage alley centre center marina jetty exchange depot shed`)

// venue finds the name of a place as typed: after "note for", "last time at",
// or two and more capitalised words of which one is what places are called.
func (r *reader) venue() {
	for i := range r.toks {
		for _, words := range nameBefore {
			if i+len(words) < len(r.toks) && r.follows(i, [][]string{words}) {
				if r.nameAt(i+len(words), words) {
					return
				}
			}
		}
	}
	r.capitalised()
}

func (r *reader) nameAt(i int, words []string) bool {
	if r.at(i).is(":") {
		i++
	}
	if r.at(i).is("the") {
		i++
	}
	end := i
	place := false
	for end < len(r.toks) && end < i+5 && !r.toks[end].pauses() && r.toks[end].kind == wordToken && !r.toks[end].in("with", "when", "where", "in", "at", "on", "for", "and", "last", "we", "but", "is", "was") {
		place = place || placeNouns[r.toks[end].text]
		end++
	}
	if end == i || !place && !r.capital(i) {
		return false
	}
	r.out.Facts.Put("venue", fact.Value{Text: r.typed(i, end), Origin: fact.Said, Span: r.span(i, end)})
	return true
}

// capital reports whether token i was typed with a capital, in a message that
// is not all capitals.
func (r *reader) capital(i int) bool {
	s := r.message[r.plain.origin(r.toks[i].start):]
	c, _ := utf8.DecodeRuneInString(s)
	return unicode.IsUpper(c) && !r.shouts
}

func (r *reader) capitalised() {
	for i := 0; i < len(r.toks); i++ {
		if r.toks[i].kind != wordToken || !r.capital(i) {
			continue
		}
		end := i
		place := false
		for end < len(r.toks) && r.toks[end].kind == wordToken && r.capital(end) {
			place = place || placeNouns[r.toks[end].text]
			end++
		}
		if end-i >= 2 && place && end-i <= 5 {
			r.out.Facts.Put("venue", fact.Value{Text: r.typed(i, end), Origin: fact.Said, Span: r.span(i, end)})
			return
		}
		i = end
	}
}
