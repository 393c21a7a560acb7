package hear

import "strings"

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
	for j := i; j < i+3 && j+1 < len(r.toks); j++ { // "the street side"
		if r.toks[j+1].is("side") && r.toks[j].kind == wordToken && !r.toks[j].in("every", "any", "each", "back", "front", "this", "by") {
			return j + 2
		}
		if !fillers[r.toks[j].text] {
			break
		}
	}
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
var sitters = set(`her him them she he hes shes theyre they us it sitter sitters subject subjects subj model models talent client face faces eyes everyone everybody people person ppl folks someone somebody couple group kids family`)

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
