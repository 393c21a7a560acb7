package rules

import (
	"slices"
	"strings"

	"panelhand/rules/fact"
)

// A guard knows what safety reads: the facts that conditions of cautions ask
// for, and of lists and choices which of their words. A team's playbook may not
// take any of it away.
type guard struct {
	paths map[string]*guarded
}

// guarded is what is read of one fact.
type guarded struct {
	whole   bool     // all of it
	choices []string // or these of its words
}

// guard reads the cautions' conditions. It must be bound.
func (b *Book) guard() *guard {
	g := &guard{paths: map[string]*guarded{}}
	for i := range b.Cautions {
		b.Cautions[i].When.each(func(l *Line) {
			if l.program == nil {
				return
			}
			for _, a := range b.programs.ready(l.program).atoms {
				words := a.words()
				for _, path := range a.facts {
					g.add(path, words)
				}
				if name, _, _ := strings.Cut(a.key, "("); name == "denied" {
					g.add(DeniedPath, words)
				}
			}
		})
	}
	g.add("ask", []string{"permission", "safety"}) // what makes an answer one about safety
	return g
}

func (g *guard) add(path string, words []string) {
	of := g.paths[path]
	if of == nil {
		of = &guarded{}
		g.paths[path] = of
	}
	if f, ok := fact.Lookup(path); path != DeniedPath && (!ok || f.Kind != fact.List && f.Kind != fact.Choice || len(words) == 0) {
		of.whole = true
	}
	of.choices = append(of.choices, words...)
}

// words are the words that an atom asks for, in quotes in its key.
func (a *atom) words() []string {
	parts := strings.Split(a.key, `"`)
	var out []string
	for i := 1; i < len(parts); i += 2 {
		out = append(out, parts[i])
	}
	return out
}

// meaning says what of a meaning safety reads, in the words of a condition,
// or nothing.
func (g *guard) meaning(m Meaning) string {
	of := g.paths[m.Path]
	if of == nil {
		return ""
	}
	if of.whole {
		return m.Path
	}
	for _, c := range m.Choices {
		if slices.Contains(of.choices, c) {
			return m.Path + " " + c
		}
	}
	return ""
}

// unsays says what safety reads and a meaning would make untrue whatever
// else the message holds: a denial, a flag that is false, a number that nobody
// typed.
func (g *guard) unsays(m Meaning) string {
	if m.Path == DeniedPath {
		for _, c := range m.Choices {
			for path, of := range g.paths {
				f, ok := fact.Lookup(path)
				if slices.Contains(of.choices, c) || ok && (f.Path == c || f.Name == c) {
					return c
				}
			}
		}
		return ""
	}
	f, ok := fact.Lookup(m.Path)
	if !ok || g.paths[m.Path] == nil {
		return ""
	}
	if f.Kind == fact.Flag && !m.Flag || f.Kind == fact.Number && !m.Hole && m.Fills == "" {
		return m.Path
	}
	return ""
}

// SafetyReads reports whether a caution of the book asks for what a meaning
// makes known or denies.
func (b *Book) SafetyReads(m Meaning) bool {
	b.guardOnce.Do(func() { b.guards = b.guard() })
	return b.guards.meaning(m) != "" || m.Path == DeniedPath && b.guards.unsays(m) != ""
}
