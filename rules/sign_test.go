package rules_test

import (
	"slices"
	"testing"
	"testing/fstest"

	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/source"
)

func oneFile(t *testing.T, name, data string) *rules.Book {
	t.Helper()
	book, problems := rules.Load(fstest.MapFS{name: {Data: []byte(data)}})
	if len(problems) > 0 {
		t.Fatal(source.Format(problems, 0))
	}
	return book
}

// The first sign of a fault whose lines hold is the one; an Unknown line does
// not hold, and faults are told in the order of the book.
func TestSeen(t *testing.T) {
	book := oneFile(t, "signs/a.yaml", `
- sign: in-the-sun
  fault: squint
  when:
    - kind("sun")
  see: Squinting
  cause: the sun
  words: Eyes closed.
  source: common practice
- sign: squint
  see: Squinting
  cause: something bright
  panel: {say: Black side in the way., side: black}
  move: Turn round.
  source: common practice
- sign: flat-face
  see: Flat
  cause: light all round
  flash: {say: From the side., needs: [led, stand]}
  words: Turn.
  source: common practice
`)
	s := &fact.Set{}
	s.Add("faults", "flat-face", fact.Value{})
	s.Add("faults", "squint", fact.Value{})
	ids := func() (out []string) {
		for _, x := range book.Seen(rules.Env{Facts: s}) {
			out = append(out, x.Sign.ID)
			for _, r := range x.Remedies {
				out = append(out, r.Effort)
			}
		}
		return out
	}
	check := func(what string, want ...string) {
		t.Helper()
		if got := ids(); !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	check("nothing known of the light, no kit", "squint", "move", "flat-face", "words")
	s.SetKit([]fact.Item{{Kind: "panel"}, {Kind: "led"}})
	check("an LED without the stand it needs", "squint", "move", "panel", "flat-face", "words")
	s.SetKit([]fact.Item{{Kind: "reflector"}, {Kind: "led"}, {Kind: "stand"}})
	check("a reflector has no black side", "squint", "move", "flat-face", "words", "flash")
	s.Add("limits", "no-stands", fact.Value{})
	check("no stands", "squint", "move", "flat-face", "words")
	s.Put("light.kind", fact.Value{Text: "sun"})
	check("sun", "in-the-sun", "words", "flat-face", "words")
}

// A trade-off whose lines are Unknown, or that cannot tell all its numbers, is
// left out; of several expressions the first that has a value counts.
func TestWeigh(t *testing.T) {
	book := oneFile(t, "tradeoffs/a.yaml", `
- tradeoff: lamp-by-day
  when:
    - has("led")
    - ev100 >= 10
  wins: daylight
  say: "{short} short"
  with:
    short: {stops: ['ev100 - ev_from_lux(lamp("led"))', "ev100 - ev_from_lux(400)"]}
  source: trade handbook T32
- tradeoff: nearer
  when:
    - has("led")
  wins: softness
  say: "{half} for {panel_subject_m}, {iso}"
  with:
    half: {m: "numbers.panel_subject_m / 2"}
  source: common practice
`)
	s := &fact.Set{}
	s.SetKit([]fact.Item{{Kind: "led"}})
	near := func(what string, env rules.Env, want ...float64) {
		t.Helper()
		var got []float64
		for _, w := range book.Weigh(env) {
			got = append(got, w.Values...)
		}
		if !slices.EqualFunc(got, want, func(a, b float64) bool { return a-b < 0.01 && b-a < 0.01 }) {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	near("no level known", rules.Env{Facts: s})
	s.Put("light.ev100", fact.Value{Number: 12})
	// 400 lux is EV 7.3 (trade handbook N46), 1600 two more.
	near("an LED of which nothing was said", rules.Env{Facts: s}, 4.68)
	s.SetKit([]fact.Item{{Kind: "led", Lux1m: 1600}})
	near("an LED of 1600 lux", rules.Env{Facts: s}, 2.68)
	near("a number is missing", rules.Env{Facts: s, Numbers: map[string]float64{"panel_subject_m": 1.2}}, 2.68)
	near("all numbers", rules.Env{Facts: s, Numbers: map[string]float64{"panel_subject_m": 1.2, "iso": 100}}, 2.68, 0.6)
}
