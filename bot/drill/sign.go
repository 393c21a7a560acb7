package drill

import (
	"slices"
	"strings"

	"panelhand/bot/hear"
	"panelhand/rules"
)

// sign marks what was said of a sign: its cause and the first thing that helps,
// half a point each. Words that belong to any sign's answer read as one; a
// question, or a list of kit, does not.
func sign(book *rules.Book, d *rules.Drill, asked, text string, forced bool) (Marked, bool) {
	words := strings.Fields(hear.Plain(text))
	m := Marked{Mark: NotYet, Of: remedied(book, d)}
	cause, remedy := saysOne(words, d.Cause), saysOne(words, d.Remedy)
	switch said := read(text, asked, bare); {
	case said.passed:
		m.Why = "passed"
	case said.stop && len(words) == 1:
		m.Why = "no-stop-needed"
	case !forced && (strings.Contains(text, "?") || slices.ContainsFunc(words, func(w string) bool { return asksForLight[w] })):
		return m, false
	case cause && remedy:
		m.Mark, m.Why = Right, "right"
	case cause:
		m.Mark, m.Why = Half, "cause-alone"
	case remedy:
		m.Mark, m.Why = Half, "remedy-alone"
	case forced || slices.ContainsFunc(book.Drills, func(d rules.Drill) bool { return saysOne(words, d.Cause) || saysOne(words, d.Remedy) }):
		m.Why = "off"
	default:
		return m, false
	}
	return m, true
}

// asksForLight are words by which a message wants a set-up, not to answer.
var asksForLight = wordSet("want wants have got need needs ive weve setup softer")

// remedied is the sign's cause and what helps, the least effort first.
func remedied(book *rules.Book, d *rules.Drill) string {
	s, ok := book.Sign(d.Sign)
	if !ok {
		return ""
	}
	text := s.Cause.Value + "."
	if remedies := s.Remedies(); len(remedies) > 0 {
		text += " " + remedies[0].Say.Value
		if i := slices.IndexFunc(remedies, func(r *rules.Remedy) bool { return r.Effort == "move" }); i > 0 {
			text += " Or: " + remedies[i].Say.Value
		}
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

// saysOne reports whether any of the ways of saying it is said.
func saysOne(words []string, ways []string) bool {
	return slices.ContainsFunc(ways, func(way string) bool {
		return !slices.ContainsFunc(strings.Fields(hear.Plain(way)), func(w string) bool { return !says(words, w) })
	})
}

// says reports whether a word is said, in whatever form, and not denied.
func says(words []string, word string) bool {
	for i, w := range words {
		if w != word && !(len(word) >= 3 && strings.HasPrefix(w, word) && len(w) <= len(word)+4) && !(len(w) >= 4 && strings.HasPrefix(word, w) && len(word) <= len(w)+2) {
			continue
		}
		if i > 0 && (words[i-1] == "not" || words[i-1] == "no" || words[i-1] == "never" || words[i-1] == "dont") && word != "no" {
			continue
		}
		return true
	}
	return false
}
