package hear

import (
	"math"

	"panelhand/rules/fact"
)

// people counts who is in the picture and who helps.
func (r *reader) people() {
	total := 0.0          // said as such: "7 in all", "family of 4"
	var totalAt fact.Span //
	adults, kids := 0, 0  // counted noun by noun
	several, plurals := 0, 0
	couple := 0 // "couple", "twins", "trio"
	counted, open := false, false
	var uncounted fact.Value // of a plural without a number
	var first, last = -1, -1
	seen := map[string]bool{}
	for k := range r.marks {
		m := &r.marks[k]
		if m.word == nil || m.denied {
			continue
		}
		for _, meaning := range m.word.Means {
			switch meaning.Path {
			case "helpers":
				n := meaning.Number
				if meaning.Hole {
					n = m.number
				} else if c, ok := r.countBefore(k); ok {
					n = float64(c)
				}
				r.put("helpers", n, r.span(m.start, m.end))
			case "subject.people":
				if meaning.Hole {
					if m.number > total && m.number > 1 {
						total, totalAt = m.number, r.span(m.start, m.end)
					}
					continue
				}
				if first < 0 {
					first = k
				}
				last = k
				n, ok := r.countBefore(k)
				singled := r.at(m.start).in("just", "only", "single", "solo", "lone", "one", "1") || r.severally(m)
				plural := !ok && !singled && r.stems[m.end-1] != "" && meaning.Number == 1 && r.lex.words[r.stems[m.end-1]]
				if !ok {
					n = 1
					if m.start > 0 && r.toks[m.start-1].is("a") || singled {
						ok = true
					}
				}
				if plural && r.at(m.end).in("stall", "shop", "place", "kiosk", "boat", "van", "counter", "birthday", "bday", "camp", "corner") {
					continue // "the fishmongers stall", typed without its apostrophe; "kids birthday"
				}
				if plural && (r.contracted(m.end-1) != "" || m.start > 1 && r.toks[m.start-1].is("of") && r.severalAt(m.start-2)) {
					continue // "mum's lap", "trio of sisters"
				}
				if plural {
					open = true
					uncounted = fact.Value{Origin: fact.Said, Span: r.span(m.start, m.end)}
					continue
				}
				if !ok && meaning.Number == 1 && r.peopleAt(m.end) {
					continue // "newborn twins"
				}
				if meaning.Number > 1 {
					if hasChoice(m.word, "subject.traits", "couple") {
						couple += n * int(meaning.Number)
					} else {
						several = max(several, n*int(meaning.Number))
					}
					counted = true
					continue
				}
				word := r.toks[m.end-1].text
				if seen[word] && !ok || !ok && r.owned(m) {
					continue
				}
				seen[word] = true
				counted = counted || ok
				switch {
				case hasChoice(m.word, "subject.traits", "child", "baby"):
					kids += n
				case n > 1:
					adults += n
					plurals += n
				default:
					adults += n
				}
			}
		}
	}
	for _, m := range r.across { // "even on all 6"
		for _, meaning := range m.word.Means {
			if meaning.Path == "subject.people" && meaning.Hole && m.number > total {
				total, totalAt = m.number, r.span(m.start, m.end)
			}
		}
	}
	for k := range r.marks { // "three potters": a number before a word for an occupation
		m := &r.marks[k]
		if m.is(bareNumber) && !m.used && r.smallCount(k) && r.markStarting(m.end) < 0 && (occupation(r.at(m.end)) || r.at(m.end).kind == wordToken && !idle[r.at(m.end).text] && !fillers[r.at(m.end).text] && r.markStarting(m.end+1) < 0 && occupation(r.at(m.end+1))) {
			adults += int(m.q.v)
			counted = true
			m.used = true
			if first < 0 {
				first = k
			}
			last = k
		}
		if m.is(age) {
			m.used = true
			at := fact.Value{Origin: fact.Said, Span: r.span(m.start, m.end)}
			if m.q.v <= 2 { // too young to look away when told
				r.out.Facts.Add("hazards", "infant", at)
			}
			switch {
			case m.q.v < 2:
				r.out.Facts.Add("subject.traits", "baby", at)
				r.out.Facts.Add("limits", "children", at)
			case m.q.v < 18:
				r.out.Facts.Add("subject.traits", "child", at)
				r.out.Facts.Add("limits", "children", at)
			}
		}
	}
	if total == 0 && uncounted.Span.End > 0 {
		r.out.Facts.Add("subject.traits", "group", uncounted) // "kids": several, nobody said how many
	}
	switch {
	case total > 0:
		r.put("subject.people", total, totalAt)
	case first >= 0 && !open:
		// a couple's man and woman are the couple; the twins' mother is one more
		n := max(couple, adults, several+adults-plurals) + kids
		if couple == 0 && several == 0 && !counted && adults+kids < 2 {
			return // "trader": one, or not said how many
		}
		r.put("subject.people", float64(n), r.span(r.marks[first].start, r.marks[last].end))
	case first < 0:
		for _, m := range r.across { // "sun behind the couple"
			if hasChoice(m.word, "subject.traits", "couple") {
				r.put("subject.people", 2, r.span(m.start, m.end))
			}
		}
	}
}

// peopleAt reports whether another word for people starts at token i.
func (r *reader) peopleAt(i int) bool {
	k := r.markStarting(i)
	return k >= 0 && r.marks[k].word != nil && means(&r.marks[k].word.Word, "subject.people")
}

// severally reports whether a phrase tells of pictures with one person each:
// "18 staff one at a time", "30 headshots".
func (r *reader) severally(m *mark) bool {
	for i := m.start; i < m.end; i++ {
		if r.toks[i].in("individual", "individually", "separately", "singly", "turn", "time", "other", "headshots", "portraits") {
			return true
		}
	}
	return false
}

// severalAt reports whether a word for more than one person ends with token i.
func (r *reader) severalAt(i int) bool {
	k := r.owner[i]
	if k < 0 || r.marks[k].word == nil {
		return false
	}
	for _, m := range r.marks[k].word.Means {
		if m.Path == "subject.people" && m.Number > 1 {
			return true
		}
	}
	return false
}

// owned reports whether a person is only there as someone's: "dad's knee".
func (r *reader) owned(m *mark) bool {
	end := r.toks[m.end-1].end
	s := r.plain.text
	return end >= 2 && s[end-2:end] == "'s" && r.at(m.end).in("knee", "lap", "arms", "shoulders", "shoulder", "hand", "friend", "place", "stall", "shop", "dress", "hat", "face", "eyes", "jacket")
}

// countBefore reads the number that counts the thing at mark k.
func (r *reader) countBefore(k int) (int, bool) {
	m := &r.marks[k]
	i := m.start - 1
	for i >= 0 && r.owner[i] < 0 && (adjectives[r.toks[i].text] || r.toks[i].in("young", "old", "tall", "little", "small", "other", "local", "adult", "grown", "happy", "elderly", "teenage", "of", "male", "female", "smiling", "my", "the", "x")) {
		i--
	}
	if i > 0 && r.owner[i] < 0 && r.toks[i].kind == wordToken && !idle[r.toks[i].text] && !fillers[r.toks[i].text] && r.stems[m.end-1] != "" && r.owner[i-1] >= 0 {
		i-- // "two tango dancers"
	}
	for i >= 0 && r.owner[i] >= 0 && r.marks[r.owner[i]].word != nil && r.marks[r.owner[i]].end == i+1 && !r.marks[r.owner[i]].word.person && r.traitMark(r.owner[i]) {
		i = r.marks[r.owner[i]].start - 1 // "2 bald guys"
	}
	if i < 0 || r.owner[i] < 0 {
		return 0, false
	}
	n := &r.marks[r.owner[i]]
	if n.used || !(n.is(bareNumber) || n.is(multiples)) || n.q.v != math.Trunc(n.q.v) || n.q.v < 1 || r.before(n.start, 1, "f", "@") {
		return 0, false
	}
	if n.q.v > 500 {
		n.used = true
		r.say("“" + r.typed(n.start, m.end) + "”: more than I can light, so I left the number out.")
		return 0, false
	}
	n.used = true
	return int(n.q.v), true
}

func (r *reader) traitMark(k int) bool {
	for _, m := range r.marks[k].word.Means {
		if m.Path == "subject.traits" {
			return true
		}
	}
	return false
}

func hasChoice(e *entry, path string, choices ...string) bool {
	for _, m := range e.Means {
		if m.Path != path {
			continue
		}
		for _, c := range m.Choices {
			if contains(choices, c) {
				return true
			}
		}
	}
	return false
}

// occupation reports whether a plural names people by what they do.
func occupation(t token) bool {
	if t.kind != wordToken || len(t.text) < 5 || notPeople[t.text] {
		return false
	}
	for _, ending := range []string{"ers", "ors", "ists", "ians", "men", "women", "mongers", "wives", "ees"} {
		if len(t.text) > len(ending)+1 && t.text[len(t.text)-len(ending):] == ending {
			return true
		}
	}
	return false
}

var notPeople = set(`containers corners towers layers speakers computers meters filters sensors mirrors doors floors colours colors flowers rivers papers numbers letters covers counters shutters
	powers orders hours drawers stickers posters banners timers chargers lasers projectors heaters radiators motors tractors trailers boarders pictures tiers monitors metres fingers corridors
	stickers trees bees knees degrees fees offers others users members ladders skewers burgers dinners buckets ushers chambers planters timbers shelters scooters`)

// company takes back that nobody helps where somebody is named in the same
// breath: "just me and an assistant".
func (r *reader) company() {
	if n, said := r.out.Facts.Number("helpers"); said && n >= 1 {
		r.out.Facts.Remove("limits", "no-helper")
	}
}
