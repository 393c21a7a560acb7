package hear

import (
	_ "embed"
	"sort"
	"strings"
)

// ordinaryWords are common English words that lie one slip away from a word
// of the lexicon and are no slip: "share" is not "shade". Sorted, a word a line.
//
//go:embed ordinary.txt
var ordinaryWords string

// A speller mends slips of the thumb: a letter swapped, missing, doubled or
// too many, vowels left out, a space left out. It never touches numbers, and it
// never turns one good word into another.
type speller struct {
	lex       *vocabulary
	byLength  map[int][]string  // words of the lexicon that may be mended to
	skeletons map[string]string // word without its vowels → word; "" where two share it
	ordinary  map[string]bool
}

func newSpeller(lex *vocabulary) *speller {
	s := &speller{lex: lex, byLength: map[int][]string{}, skeletons: map[string]string{}, ordinary: set(ordinaryWords)}
	words := make([]string, 0, len(lex.words))
	for w := range lex.words {
		words = append(words, w)
	}
	sort.Strings(words)
	for w := range spelt {
		s.skeletons[skeleton(w)] = w
	}
	for _, w := range words {
		if len(w) < 4 || fillers[w] || idle[w] || numberWords[w] != 0 {
			continue
		}
		s.byLength[len(w)] = append(s.byLength[len(w)], w)
		s.bones(w)
	}
	for _, list := range []map[string]bool{sitters, lightNouns, spelt} {
		for w := range list {
			if len(w) >= 5 && w != "please" {
				s.byLength[len(w)] = append(s.byLength[len(w)], w)
			}
			s.bones(w)
		}
	}
	for _, words := range s.byLength {
		sort.Strings(words)
	}
	return s
}

// spelt are words of the reader's own that are mended too.
var spelt = set(`shutter aperture minutes camera distance power people person please from with under without through metres meters feet inch away behind front sync between background subject degrees gusting metered lens`)

// bones files a word under its consonants.
func (s *speller) bones(w string) {
	bones := skeleton(w)
	if len(bones) < 3 || len(bones) == len(w) {
		return
	}
	other, taken := s.skeletons[bones]
	switch {
	case spelt[other]:
	case !taken, other != "" && s.lex.whole[w] && !s.lex.whole[other]:
		s.skeletons[bones] = w
	case other == w || other == "" || s.lex.whole[w] != s.lex.whole[other] || stemOf(w) == other || stemOf(other) == w || slip(w, other) < 99:
	default:
		s.skeletons[bones] = "" // two words share it: neither can be meant
	}
}

// grammar reports whether a word is known without the playbook.
func grammar(w string) bool {
	if fillers[w] || idle[w] || noBefore[w] || noThrough[w] || wishWords[w] || sitters[w] || reachEnds[w] || havingVerbs[w] || thingNouns[w] || lightNouns[w] {
		return true
	}
	_, number := numberWords[w]
	return number || month(w) > 0 || deniesBehind[w]
}

// deniesBehind are the words of the phrases that deny what stands before them.
var deniesBehind = func() map[string]bool {
	out := map[string]bool{}
	for _, list := range [][][]string{noAfter, goneAfter} {
		for _, words := range list {
			for _, w := range words {
				out[w] = true
			}
		}
	}
	return out
}()

func (s *speller) knows(w string) bool {
	if s.lex.words[w] || grammar(w) || s.ordinary[w] || unitLike[w] {
		return true
	}
	stem := stemOf(w)
	return stem != "" && (s.lex.words[stem] || s.ordinary[stem] || grammar(stem))
}

// unitLike are the spellings that quantity.go reads.
var unitLike = set(`iso asa ev gn guide nd wb lux lx kelvin sync shutter ss tv power pwr zoom zoomed lat lon long latitude longitude mm cm inch inches feet foot metre metres meter meters
	yard yards kmh kph mph knots knot kts beaufort bft kg kgs kilo kilos lb lbs pounds degrees degree deg celsius fahrenheit minus min mins minute minutes sec secs second seconds hour hours
	hrs stop stops click clicks year years yrs month months weeks utc gmt aged age th st rd ws joules watt watts mil mtr mtrs gust gusts gusting quarter half full eighth output aperture exposure oclock
	north south east west ratio percent`)

// mend mends the words of the message that nobody knows.
func (r *reader) mend() {
	r.letters()
	for i := 0; i < len(r.toks); i++ {
		t := &r.toks[i]
		if t.kind == numberToken && t.text == "2" && tooBefore[r.at(i+1).text] && !t.glued && !r.at(i+1).glued {
			*t = token{wordToken, "too", 0, t.start, t.end, t.glued} // "bg 2 bright"
			continue
		}
		if t.kind != wordToken || r.spell.knows(t.text) || r.name(i) {
			continue
		}
		if base := r.contracted(i); base != "" && r.spell.knows(base) {
			continue
		}
		if w := r.spell.mend(t.text); w != "" {
			t.text = w
			continue
		}
		if first, second, at := r.spell.split(t.text); second != "" {
			cut := t.start + at
			rest := token{wordToken, second, 0, cut, t.end, true}
			t.text, t.end = first, cut
			r.toks = append(r.toks[:i+1], append([]token{rest}, r.toks[i+1:]...)...)
			i++
		}
	}
	r.stems = make([]string, len(r.toks))
	for i, t := range r.toks {
		if t.kind == wordToken {
			r.stems[i] = stemOf(t.text)
			if base := r.contracted(i); base != "" {
				r.stems[i] = base
			}
		}
	}
}

// contracted returns the word that token i is with "is" or a possessive tied to
// it, "bg's blown", or nothing.
func (r *reader) contracted(i int) string {
	t := r.toks[i]
	if s := r.plain.text[t.start:t.end]; len(t.text) < 3 || !strings.HasSuffix(s, "'s") || !strings.HasSuffix(t.text, "s") {
		return ""
	}
	return t.text[:len(t.text)-1]
}

// name reports whether token i is written as a name: with a capital inside a
// sentence, in a message that does not begin every word with one.
func (r *reader) name(i int) bool {
	if i == 0 || r.toks[i-1].breaks() || r.toks[i].glued || !r.capital(i) {
		return false
	}
	return r.small > 2 || r.small > 0 && r.toks[i-1].in(namesFollow...)
}

// letters notes how the message uses capitals: whether it is nothing else, and
// how many of its longer words have none.
func (r *reader) letters() {
	r.shouts = strings.ToUpper(r.message) == r.message
	for i, t := range r.toks {
		if t.kind == wordToken && len(t.text) > 2 && !r.capital(i) {
			r.small++
		}
	}
}

// namesFollow are words after which a capital is a name's, however short the message.
var namesFollow = []string{"in", "at", "near", "from", "to", "outside", "by", "and", "with", "for", "called", "helper", "assistant", "my", "mate", "ask", "tell"}

// tooBefore are the words before which a lone 2 is "too".
var tooBefore = set(`bright brite dark long hot hard harsh flat cold warm dim shiny strong soft close far much high low deep shallow orange blue green yellow big small dramatic moody flashy busy windy late near red`)

// mend returns the word that w is a slip of, or an empty string.
func (s *speller) mend(w string) string {
	for _, squeezed := range squeeze(w) {
		if s.knows(squeezed) {
			return squeezed
		}
	}
	if bones := skeleton(w); len(bones) >= 3 && !strings.ContainsAny(w[1:], "aeiou") {
		if full := s.skeletons[bones]; full != "" {
			return full
		}
		if stem := strings.TrimSuffix(bones, "s"); len(stem) >= 3 {
			if full := s.skeletons[stem]; full != "" {
				return full
			}
		}
	}
	if bones := skeleton(w); len(bones) >= 5 { // "backgrnd": some of the vowels left out
		if full := s.skeletons[bones]; len(full) > len(w) && within(w, full) {
			return full
		}
	}
	if len(w) < 4 {
		return ""
	}
	best, bestCost := "", 99
	for _, length := range []int{len(w), len(w) + 1, len(w) - 1} {
		for _, candidate := range s.byLength[length] {
			cost := slip(w, candidate)
			if !s.lex.whole[candidate] {
				cost += 10 // rather a word that says something by itself
			}
			if cost < bestCost && cost < 99 {
				best, bestCost = candidate, cost
			}
		}
	}
	if best == "" && len(w) >= 5 && strings.HasSuffix(w, "s") { // the plural of a slip
		return s.mend(w[:len(w)-1])
	}
	return best
}

// within reports whether the letters of w stand in full, in their order.
func within(w, full string) bool {
	i := 0
	for j := 0; j < len(full) && i < len(w); j++ {
		if full[j] == w[i] {
			i++
		}
	}
	return i == len(w)
}

// slip returns what it costs to take typed for meant: 1 to 4 for one slip of
// the thumb, 99 where more than one is needed. Words of up to five letters
// may not have a letter taken for another, and the first letter is kept but
// for a swap.
func slip(typed, meant string) int {
	i := 0
	for i < len(typed) && i < len(meant) && typed[i] == meant[i] {
		i++
	}
	switch {
	case len(typed) == len(meant) && i+1 < len(typed) && typed[i] == meant[i+1] && typed[i+1] == meant[i] && typed[i+2:] == meant[i+2:]:
		return 2
	case i == 0:
		return 99
	case len(typed)+1 == len(meant) && typed[i:] == meant[i+1:]:
		if strings.IndexByte("aeiou", meant[i]) >= 0 {
			return 1 // "shde": phones leave out vowels
		}
		return 2
	case len(typed) == len(meant)+1 && typed[i+1:] == meant[i:]:
		if len(meant) < 5 {
			return 99 // "stands" for "stand" is grammar, "flask" for "flas" nothing
		}
		return 3
	case len(typed) == len(meant) && len(meant) >= 6 && i < len(typed) && typed[i+1:] == meant[i+1:] && neighbours(typed[i], meant[i]):
		return 4
	}
	return 99
}

// neighbours reports whether two letters lie side by side on a keyboard.
func neighbours(a, b byte) bool {
	for _, row := range [...]string{"qwertyuiop", "asdfghjkl", "zxcvbnm", "qaz", "wsx", "edc", "rfv", "tgb", "yhn", "ujm", "ik", "ol"} {
		i, j := strings.IndexByte(row, a), strings.IndexByte(row, b)
		if i >= 0 && j >= 0 && (i-j == 1 || j-i == 1) {
			return true
		}
	}
	return strings.IndexByte("aeiou", a) >= 0 && strings.IndexByte("aeiou", b) >= 0
}

// split cuts a word where a space was left out.
func (s *speller) split(w string) (first, second string, at int) {
	if len(w) < 6 {
		return "", "", 0
	}
	for at := len(w) - 2; at >= 2; at-- {
		a, b := w[:at], w[at:]
		lexical := len(b) >= 4 && s.lex.words[b] || len(a) >= 4 && s.lex.words[a] || len(a) >= 3 && len(b) >= 3 && s.lex.words[a] && s.lex.whole[b]
		if lexical && s.whole(a) && s.whole(b) {
			return a, b, at
		}
	}
	return "", "", 0
}

func (s *speller) whole(w string) bool {
	if len(w) < 2 {
		return false
	}
	if len(w) == 2 {
		return w == "no" || w == "in" || w == "at" || w == "on" || w == "of" || w == "to" || w == "my" || w == "is"
	}
	return s.lex.words[w] || grammar(w) || s.lex.words[stemOf(w)]
}

// squeeze spells a word in which a letter is typed three times and more
// ("sooo sunnnyyy") with two and with one of each; nil for any other word.
func squeeze(w string) []string {
	var twice, once strings.Builder
	long := false
	for i := 0; i < len(w); {
		n := 1
		for i+n < len(w) && w[i+n] == w[i] {
			n++
		}
		switch {
		case n > 2:
			long = true
			once.WriteByte(w[i])
			twice.WriteString(w[i : i+2])
		default:
			once.WriteString(w[i : i+n])
			twice.WriteString(w[i : i+n])
		}
		i += n
	}
	if !long {
		return nil
	}
	return []string{once.String(), twice.String()}
}

// skeleton is a word without its vowels but the first letter, as phones shorten it.
func skeleton(w string) string {
	var b strings.Builder
	for i := 0; i < len(w); i++ {
		if i > 0 && strings.IndexByte("aeiou", w[i]) >= 0 {
			continue
		}
		if i > 0 && w[i] == w[i-1] {
			continue
		}
		b.WriteByte(w[i])
	}
	return b.String()
}
