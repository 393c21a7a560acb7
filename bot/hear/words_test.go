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
			if covers(item, m.Item) {
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

func covers(got, want fact.Item) bool {
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
	matter, _, _ := newLexicons(houseWords(t))
	owner := map[string]*entry{}
	seen := map[*phrase]bool{}
	for _, list := range matter.byWord {
		for _, ph := range list {
			w := ph.word
			if seen[ph] || ph.wished || w.notAfter != nil || w.notBefore != nil || w.onlyAfter != nil || w.onlyBefore != nil {
				continue
			}
			seen[ph] = true
			for _, say := range ways(ph.parts) {
				if first, taken := owner[say]; taken && first != w {
					t.Errorf("%q means one thing in %s and another in %s", say, first.ID, w.ID)
				}
				owner[say] = w
			}
		}
	}
}

// ways spells out every way of saying a row of parts.
func ways(parts []part) []string {
	if len(parts) == 0 {
		return []string{""}
	}
	var out []string
	rest := ways(parts[1:])
	for _, row := range parts[0] {
		var say string
		for _, a := range row {
			if a.text != "" {
				say += a.text + " "
				continue
			}
			for name, s := range slotNames {
				if s == a.slot {
					say += name + " "
				}
			}
		}
		for _, tail := range rest {
			out = append(out, say+tail)
		}
	}
	return out
}
