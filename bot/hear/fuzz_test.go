package hear

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"panelhand/rules/fact"
)

// Whatever is typed, reading it neither panics nor makes a number that is
// none, every span lies in the message, and a believed number is in its row's bounds.
func FuzzRead(f *testing.F) {
	for _, file := range []string{"../../testdata/corpus.jsonl", "../../testdata/phrasings.jsonl"} {
		for n, c := range talks(f, file) {
			if n%9 == 0 {
				f.Add(c.Turns[0].Say)
			}
		}
	}
	for _, say := range []string{
		"", " ", "\x00", "\xff\xfe panel", "½", "3½", "&", "&#39;&amp;&bogus;", "1/0", "f/0 ISO 0 -3 m", "no no no no", "1/1/1/1", "80x80x80cm", "gn gn gn 1e9", "9999999999999999999999 kg",
		strings.Repeat("no flash or ", 300), strings.Repeat("1/8 ", 500), strings.Repeat("🌧", 200), strings.Repeat("a", 8192), "ｆ２．８", "m m m m 1 m m", "-", "--1--", "''''''", "from to behind 1 m from", "SELECT * FROM panel; --", "für 3 Personen", "三个人 逆光",
	} {
		f.Add(say)
	}
	ear := house(f)
	thread := ear.Read("dusk, one flash, 40in panel, 2 people", nil).Facts
	f.Fuzz(func(t *testing.T, say string) {
		for _, known := range []*fact.Set{nil, thread} {
			r := ear.Read(say, known)
			check(t, say, r)
			merged := Merge(known, r.Facts)
			if _, err := json.Marshal(fact.HeardJSON(merged)); err != nil {
				t.Fatalf("%q: %v", say, err)
			}
		}
	})
}

func check(t *testing.T, say string, r Reading) {
	t.Helper()
	inside := func(what string, s fact.Span) {
		if s.Start < 0 || s.End < s.Start || s.End > len(say) {
			t.Fatalf("%q: %s has span %v outside the message", say, what, s)
		}
	}
	for _, row := range fact.Table {
		if v, ok := r.Facts.Get(row.Path); ok {
			inside(row.Path, v.Span)
			if row.Kind == fact.Number && !(v.Number >= row.Low && v.Number <= row.High) {
				t.Fatalf("%q: %s is %v, believed from %v to %v", say, row.Path, v.Number, row.Low, row.High)
			}
		}
		for _, c := range r.Facts.Choices(row.Path) {
			v, _ := r.Facts.ChoiceValue(row.Path, c)
			inside(row.Path+" "+c, v.Span)
		}
	}
	for _, a := range r.Amounts {
		inside("an amount", a.Span)
		if math.IsNaN(a.Value) || math.IsInf(a.Value, 0) {
			t.Fatalf("%q: amount %+v", say, a)
		}
	}
	for _, item := range r.Facts.Kit() {
		inside(item.Kind, item.Span)
		for _, v := range []float64{item.SizeM, item.Size2M, item.GuideM, item.GuideMM, item.EnergyWs, item.Lux1m, item.Power, item.ZoomMM, item.Stops, item.WeightKg, item.HeightM} {
			if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
				t.Fatalf("%q: kit %+v", say, item)
			}
		}
		if item.Kind == "" || item.Count < 0 {
			t.Fatalf("%q: kit %+v", say, item)
		}
	}
	for _, note := range r.Notes {
		if utf8.ValidString(say) && !utf8.ValidString(note) {
			t.Fatalf("%q: note %q", say, note)
		}
	}
}

// Plain text maps back into the message, byte for byte in order.
func FuzzNormalise(f *testing.F) {
	for _, say := range []string{"3½ ft", "“quoted”", "ＡＢＣ", "a&amp;b", "\xc3\x28", "e\u0301", "ﬁlm", "🧑🏽‍🎨", "İstanbul"} {
		f.Add(say)
	}
	f.Fuzz(func(t *testing.T, say string) {
		p := normalise(say)
		if !utf8.ValidString(p.text) {
			t.Fatalf("%q became %q", say, p.text)
		}
		last := 0
		for i := range len(p.text) + 1 {
			at := p.origin(i)
			if at < last || at > len(say) {
				t.Fatalf("%q: byte %d of %q comes from %d after %d", say, i, p.text, at, last)
			}
			last = at
		}
		end := 0
		for _, tok := range tokenise(p.text) {
			if tok.start < end || tok.end <= tok.start || tok.end > len(p.text) {
				t.Fatalf("%q: token %+v after %d", say, tok, end)
			}
			end = tok.end
		}
	})
}
