package hear

import (
	"strings"
	"testing"

	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/playbook"
)

// Every word's own cases: sentences in which it must be heard, and traps in
// which it must not.
func TestWordCases(t *testing.T) {
	book, _ := rules.Load(playbook.Files)
	ear := New(book.Words)
	ran := 0
	for _, w := range book.Words {
		for _, h := range w.Hears {
			ran++
			said := ear.Read(h.Say, nil).Facts
			for _, m := range h.Means {
				if !known(said, m) {
					t.Errorf("%s: %s: %q must be heard as %s; heard %v", w.Pos, w.ID, h.Say, show(m), fact.HeardJSON(said))
				}
			}
		}
		for _, h := range w.Traps {
			ran++
			said := ear.Read(h.Say, nil).Facts
			for _, m := range h.Means {
				if known(said, m) {
					t.Errorf("%s: %s: %q must not be heard as %s; heard %v", w.Pos, w.ID, h.Say, show(m), fact.HeardJSON(said))
				}
			}
		}
	}
	t.Logf("%d words, %d cases", len(book.Words), ran)
}

func show(m rules.Meaning) string {
	m.Pos.File = ""
	return m.Path + " " + strings.Join(m.Choices, " ")
}

// known reports whether a set holds a meaning.
func known(s *fact.Set, m rules.Meaning) bool {
	if m.Path == rules.DeniedPath {
		for _, c := range m.Choices {
			if !s.Denied(c) {
				return false
			}
		}
		return true
	}
	row, _ := fact.Lookup(m.Path)
	v, ok := s.Get(m.Path)
	switch row.Kind {
	case fact.List:
		for _, c := range m.Choices {
			if !s.Has(m.Path, c) {
				return false
			}
		}
		return true
	case fact.Kit:
		for _, item := range s.Kit() {
			if fits(item, m.Item) {
				return true
			}
		}
		return false
	case fact.Number:
		return ok && (m.Hole || near(v.Number, m.Number))
	case fact.Flag:
		return ok && v.Flag == m.Flag
	}
	return ok && (m.Hole || v.Text == m.Text)
}

func fits(got, want fact.Item) bool {
	number := func(g, w float64) bool { return w == 0 || near(g, w) }
	for _, s := range want.Surfaces {
		if !contains(got.Surfaces, s) {
			return false
		}
	}
	return (want.Kind == "" || got.Kind == want.Kind) && (want.Count == 0 || got.Count == want.Count) && (want.Gel == "" || got.Gel == want.Gel) && (!want.HSS || got.HSS) &&
		number(got.SizeM, want.SizeM) && number(got.Size2M, want.Size2M) && number(got.Power, want.Power) && number(got.ZoomMM, want.ZoomMM) && number(got.GuideM, want.GuideM) &&
		number(got.EnergyWs, want.EnergyWs) && number(got.WeightKg, want.WeightKg) && number(got.HeightM, want.HeightM) && number(got.Stops, want.Stops) && number(got.Lux1m, want.Lux1m)
}

// No phrase, spelt out and without guards, may mean two things within one lexicon.
func TestNoPhraseMeansTwoThings(t *testing.T) {
	book, _ := rules.Load(playbook.Files)
	matter, _ := newLexicons(book.Words)
	var walk func(n *node, path string)
	walk = func(n *node, path string) {
		var plain *phrase
		for _, ph := range n.phrases {
			w := ph.word
			if w.notAfter != nil || w.notBefore != nil || w.onlyAfter != nil || w.onlyBefore != nil || ph.wished {
				continue
			}
			if plain != nil && plain.word != w {
				t.Errorf("%q means one thing in %s and another in %s", strings.TrimSpace(path), plain.word.ID, w.ID)
			}
			plain = ph
		}
		for text, child := range n.next {
			walk(child, path+" "+text)
		}
		for s, child := range n.slots {
			if child != nil {
				for name, k := range slotNames {
					if k == slot(s) {
						walk(child, path+" "+name)
					}
				}
			}
		}
	}
	walk(&matter.root, "")
}
