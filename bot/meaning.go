package bot

import (
	"cmp"
	"slices"
	"strings"

	"panelhand/bot/answer"
	"panelhand/bot/hear"
	"panelhand/rules"
)

// A termPhrase is one way of saying a term.
type termPhrase struct {
	say  string
	term *rules.Term
}

// termPhrases lists all ways of saying all terms, the longest first.
func termPhrases(book *rules.Book) []termPhrase {
	var all []termPhrase
	for i := range book.Terms {
		for _, say := range book.Terms[i].Say {
			all = append(all, termPhrase{" " + hear.Plain(say) + " ", &book.Terms[i]})
		}
	}
	slices.SortStableFunc(all, func(a, b termPhrase) int { return cmp.Compare(len(b.say), len(a.say)) })
	return all
}

// termsIn finds the terms a message names, in the order of the message. A
// longer way of saying hides the shorter ones inside it.
func (c *Coach) termsIn(text string) []*rules.Term {
	type place struct {
		at   int
		term *rules.Term
	}
	var found []place
	rest := " " + hear.Plain(text) + " "
	for _, p := range c.terms {
		at := strings.Index(rest, p.say)
		if at < 0 {
			continue
		}
		rest = rest[:at+1] + strings.Repeat("\x00", len(p.say)-2) + rest[at+len(p.say)-1:]
		if !slices.ContainsFunc(found, func(f place) bool { return f.term == p.term }) {
			found = append(found, place{at, p.term})
		}
	}
	slices.SortFunc(found, func(a, b place) int { return cmp.Compare(a.at, b.at) })
	terms := make([]*rules.Term, len(found))
	for i, f := range found {
		terms[i] = f.term
	}
	return terms
}

// mostTerms is how many terms one answer explains.
const mostTerms = 3

// meaning explains the terms a message asks about.
func (c *Coach) meaning(a *answer.Answer, reading hear.Reading, text string) {
	terms := c.termsIn(text)
	if len(terms) == 0 {
		a.Headline = c.book.Phrase("no-term")
		a.Compose(c.book.Phrase, reading.Style, a.Headline, c.book.Phrase("no-term-next"))
		return
	}
	var lines []string
	for _, t := range terms[:min(mostTerms, len(terms))] {
		lines = append(lines, t.Means.Value)
		for _, more := range []string{t.Why.Value, t.Not.Value} {
			if more != "" {
				lines = append(lines, more)
			}
		}
	}
	a.Headline = lines[0]
	a.Compose(c.book.Phrase, reading.Style, lines...)
}
