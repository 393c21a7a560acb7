package rules

import (
	"regexp"
	"slices"
	"strings"
)

// forbidden tells a set-up of the team's that a stop of the house forbids in
// every message in which it fires: each of the stop's conditions follows from
// the set-up's own. What follows is read off the conditions as they are written:
// a condition follows from the same condition, a call from one that names fewer of
// its words, has(…) from what the set-up needs, technique(…) from its technique.
// Such advice could only ever be refused, or it is meant to get around the stop.
func (o *overlay) forbidden(b *Book) {
	for i := range b.Setups {
		s := &b.Setups[i]
		if ofHouse(s.Pos.File) {
			continue
		}
		for j := range b.Cautions {
			c := &b.Cautions[j]
			if c.Stop && !c.added && len(c.When) > 0 && followAll(c.When, s) {
				o.fail(s.Pos, "forbidden", "%s is advised only where %s (%s) stops the answer; take out the condition that asks for the danger, or the set-up", s.ID, c.ID, c.Pos)
				break
			}
		}
	}
}

func followAll(lines Lines, s *Setup) bool {
	for i := range lines {
		if !follows(&lines[i], s) {
			return false
		}
	}
	return true
}

// follows reports whether a condition holds wherever a set-up fires.
func follows(l *Line, s *Setup) bool {
	if l.All != nil {
		return followAll(l.All, s)
	}
	if l.Any != nil && slices.ContainsFunc(l.Any, func(one Line) bool { return follows(&one, s) }) {
		return true
	}
	if l.Any == nil {
		want := readCall(l.Text.Value)
		if want.name == "technique" && slices.ContainsFunc(s.Technique, want.has) {
			return true
		}
		if want.name == "has" && slices.ContainsFunc(s.Needs, func(n Need) bool { return want.covers(n.Kinds) }) {
			return true
		}
	}
	return slices.ContainsFunc(s.When, func(given Line) bool { return implies(&given, l) })
}

// implies reports whether a condition follows from another.
func implies(given, want *Line) bool {
	switch {
	case given.Any != nil:
		return !slices.ContainsFunc(given.Any, func(one Line) bool { return !implies(&one, want) })
	case given.All != nil:
		return slices.ContainsFunc(given.All, func(one Line) bool { return implies(&one, want) })
	case want.Any != nil:
		return slices.ContainsFunc(want.Any, func(one Line) bool { return implies(given, &one) })
	case want.All != nil:
		return !slices.ContainsFunc(want.All, func(one Line) bool { return !implies(given, &one) })
	}
	a, b := readCall(given.Text.Value), readCall(want.Text.Value)
	if a.name == "" || b.name == "" {
		return strings.Join(strings.Fields(given.Text.Value), " ") == strings.Join(strings.Fields(want.Text.Value), " ")
	}
	return a.name == b.name && b.covers(a.words)
}

// A wordCall is a condition that is one call with words: hazard("thunder").
type wordCall struct {
	name  string
	words []string
}

var wordCallShape = regexp.MustCompile(`^\s*([a-z_]+)\(\s*("[^"]*"(?:\s*,\s*"[^"]*")*)\s*\)\s*$`)

func readCall(text string) wordCall {
	m := wordCallShape.FindStringSubmatch(text)
	if m == nil {
		return wordCall{}
	}
	c := wordCall{name: m[1]}
	for i, part := range strings.Split(m[2], `"`) {
		if i%2 == 1 {
			c.words = append(c.words, part)
		}
	}
	return c
}

func (c wordCall) has(word string) bool { return slices.Contains(c.words, word) }

// covers reports whether any of the words makes the call true.
func (c wordCall) covers(words []string) bool {
	return len(words) > 0 && !slices.ContainsFunc(words, func(w string) bool { return !c.has(w) })
}
