package rules_test

import (
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/source"
)

func load(t testing.TB, files map[string]string) (*rules.Book, fstest.MapFS) {
	t.Helper()
	m := fstest.MapFS{}
	for name, data := range files {
		m[name] = &fstest.MapFile{Data: []byte(data)}
	}
	book, problems := rules.Load(m)
	if len(problems) > 0 {
		t.Fatal(source.Format(problems, 0))
	}
	return book, m
}

// quay is a small playbook of the Tide crew at the harbour market.
var quay = map[string]string{
	"setups/quay.yaml": `
- setup: roof-edge-bounce
  title: Edge of the roof, flash off the white panel
  technique: [bounce, edge]
  serves: {softer: 3, brighter-eyes: 3, "fault:dark-sockets": 2}
  needs: [flash|strobe, panel|reflector]
  hands: 1
  seconds: 60
  when:
    - not limit("no-flash")
    - from("overhead")
    - any:
        - kind("canopy", "open-shade")
        - trait("hat")
  prefer:
    - {when: ['people <= 2'], points: 1}
    - {when: ['moving'], points: -2}
  helper: ["White, hoop at the forehead."]
  why: The panel makes the flash as wide as itself.
  source: common practice
- setup: shade-edge
  title: Edge of the shade
  technique: [edge]
  serves: {softer: 2}
  seconds: 15
  when:
    - kind("canopy", "open-shade")
    - people <= 2
  why: The open side is a big light.
  source: common practice
- setup: two-hands
  title: Panel over, white below
  technique: [scrim, fill]
  serves: {softer: 3}
  hands: 2
  when:
    - any:
        - all:
            - kind("sun")
            - moving
        - limit("heat")
  helper: ["Hold."]
  why: Shade above, light below.
  source: common practice
`,
	"safety/quay.yaml": `
- caution: gusty
  raises: wind
  when:
    - limit("wind")
  text: Two hands on the panel.
  source: common practice
- caution: gust-unknown
  raises: wind
  when:
    - gust > 8
    - has("panel")
  text: Ask for the gusts before a panel goes up.
  source: common practice
- caution: gale
  raises: wind
  stop: true
  when:
    - gust > 11
  text: The panel stays folded.
  instead: {title: In the lee, place: [Behind the fish hall.]}
  source: common practice
- caution: quay-edge
  raises: edge
  when:
    - limit("water")
  text: Nobody walks backwards here.
  source: common practice
- caution: storm
  raises: thunder
  when:
    - hazard("thunder")
  text: Everything comes down.
  source: common practice
- caution: strong-flash
  raises: eyes
  when:
    - technique("bare")
    - numbers.flash_power > 0.25
  text: A metre at least from the eyes.
  source: common practice
`,
	"defaults.yaml": `
- default: light.kind
  when:
    - from("overhead")
    - limit("rain")
  value: canopy
  say: under the market roof
  why: overhead light in the rain
- default: light.ev100
  when: [kind("canopy")]
  value: 10
  say: "market roof, EV {value}"
  why: nobody metered it
- default: light.ev100
  value: 12
  say: "shade, EV {value}"
  why: nobody metered it
- default: light.background_ev100
  value: = ev100 + 3
  say: "sunlit behind, EV {value}"
  why: a sunlit background runs three stops over shade
- default: subject.moving
  value: false
  say: they stand still
  why: nobody said that they move
- default: camera.iso
  value: = ev100 / people
  say: ISO
  why: it cannot be computed
`,
}

func at(v rules.Verdict) string { return v.Outcome.String() + ": " + v.Why }

func TestJudge(t *testing.T) {
	book, _ := load(t, quay)
	roof := func(change func(*fact.Set)) *fact.Set {
		s := &fact.Set{}
		s.Add("light.from", "overhead", word(""))
		s.Add("wants", "softer", word(""))
		s.Put("light.kind", word("canopy"))
		s.Put("subject.people", number(1))
		s.SetKit([]fact.Item{{Kind: "flash"}, {Kind: "panel", SizeM: 1}})
		if change != nil {
			change(s)
		}
		return s
	}
	tests := []struct {
		name   string
		change func(*fact.Set)
		want   []string
	}{
		{"all said", nil, []string{
			"fires: ", "fires: ", "ruled out: needs 2 helpers' hands, and there is one helper's hand"}},
		{"no flash in the bag", func(s *fact.Set) { s.SetKit([]fact.Item{{Kind: "panel"}}) }, []string{
			"ruled out: needs flash or strobe", "fires: ", "ruled out: needs 2 helpers' hands, and there is one helper's hand"}},
		{"flash forbidden", func(s *fact.Set) { s.Add("limits", "no-flash", word("")) }, []string{
			`ruled out: not limit("no-flash")`, "fires: ", "ruled out: needs 2 helpers' hands, and there is one helper's hand"}},
		{"no helper", func(s *fact.Set) { s.Add("limits", "no-helper", word("")) }, []string{
			"ruled out: needs one helper's hand, and there is no helper's hand", "fires: ", "ruled out: needs 2 helpers' hands, and there is no helper's hand"}},
		{"two helpers", func(s *fact.Set) { s.Put("helpers", number(2)) }, []string{
			"fires: ", "fires: ", `ruled out: any: all: kind("sun") · moving · limit("heat")`}},
		{"the light's kind unsaid", func(s *fact.Set) { s.Drop("light.kind"); s.Put("helpers", number(2)) }, []string{
			`waits: any: kind("canopy", "open-shade") · trait("hat")`, `waits: kind("canopy", "open-shade")`, `waits: any: all: kind("sun") · moving · limit("heat")`}},
		{"true beats unknown in any", func(s *fact.Set) { s.Drop("light.kind"); s.Add("subject.traits", "hat", word("")) }, []string{
			"fires: ", `waits: kind("canopy", "open-shade")`, "ruled out: needs 2 helpers' hands, and there is one helper's hand"}},
		{"false beats unknown in all", func(s *fact.Set) { s.Drop("light.kind"); s.Put("subject.people", number(9)) }, []string{
			`waits: any: kind("canopy", "open-shade") · trait("hat")`, `ruled out: people <= 2`, "ruled out: needs 2 helpers' hands, and there is one helper's hand"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			facts := roof(tt.change)
			var got []string
			quiet := book.Judge(rules.Env{Facts: facts})
			for _, v := range quiet {
				got = append(got, at(v))
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("-want +got\n%s", diff)
			}
			// Listening changes nothing.
			events := 0
			for i, v := range book.Judge(rules.Env{Facts: facts, Watch: func(rules.Event) { events++ }}) {
				if diff := cmp.Diff(quiet[i].WaitsFor, v.WaitsFor); at(v) != at(quiet[i]) || v.Score != quiet[i].Score || diff != "" {
					t.Errorf("watched: %s, unwatched: %s%s", at(v), at(quiet[i]), diff)
				}
			}
			if events == 0 {
				t.Error("no event was told")
			}
		})
	}
}

func TestVerdictNamesTheLine(t *testing.T) {
	book, _ := load(t, quay)
	s := &fact.Set{}
	s.Put("light.kind", word("sun"))
	v := book.Judge(rules.Env{Facts: s})[1]
	if got := v.At.String(); v.Why != `kind("canopy", "open-shade")` || got != "setups/quay.yaml:27:7" {
		t.Errorf("ruled out by %s at %s", v.Why, got)
	}
}

func TestScore(t *testing.T) {
	book, _ := load(t, quay)
	s := &fact.Set{}
	s.Add("light.from", "overhead", word(""))
	s.Add("wants", "softer", word(""))
	s.Add("faults", "dark-sockets", word(""))
	s.Put("light.kind", word("canopy"))
	s.Put("subject.people", number(2))
	s.Put("subject.moving", flagged(true))
	s.SetKit([]fact.Item{{Kind: "strobe"}, {Kind: "panel"}})
	// softer 3 and the fault 2; two people +1, moving −2; a minute and one hand.
	got := book.Judge(rules.Env{Facts: s})[0].Score
	if want := (rules.Score{Serves: 5, Prefer: -1, Effort: 1.5}); got != want || got.Total() != 2.5 {
		t.Errorf("score %+v = %g, want %+v = 2.5", got, got.Total(), want)
	}
}

func TestRaise(t *testing.T) {
	book, _ := load(t, quay)
	tests := []struct {
		name   string
		change func(*fact.Set, *rules.Env)
		want   []string
	}{
		{"nothing known but the panel: gusts may be strong, and that is shown", nil, []string{"wind gust-unknown unknown"}},
		{"calm", func(s *fact.Set, _ *rules.Env) { s.Put("weather.gust_ms", number(2)) }, nil},
		{"no panel", func(s *fact.Set, _ *rules.Env) { s.SetKit(nil) }, nil},
		{"a sure caution stands before one that may hold", func(s *fact.Set, _ *rules.Env) { s.Add("limits", "wind", word("")) }, []string{"wind gusty true"}},
		{"a stop takes the place of a caution, and comes first", func(s *fact.Set, _ *rules.Env) {
			s.Add("limits", "wind", word(""))
			s.Add("limits", "water", word(""))
			s.Add("hazards", "thunder", word(""))
			s.Put("weather.gust_ms", number(12))
		}, []string{"wind gale true STOP In the lee", "thunder storm true", "edge quay-edge true"}},
		{"on the solved set-up", func(s *fact.Set, e *rules.Env) {
			s.SetKit(nil)
			e.Technique, e.Numbers = []string{"bare"}, map[string]float64{"flash_power": 0.5}
		}, []string{"eyes strong-flash true"}},
		{"solved without a flash", func(s *fact.Set, e *rules.Env) {
			s.SetKit(nil)
			e.Technique, e.Numbers = []string{"bare"}, map[string]float64{"iso": 100}
		}, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := &fact.Set{}
			s.SetKit([]fact.Item{{Kind: "panel"}})
			env := rules.Env{Facts: s, Technique: []string{}}
			if tt.change != nil {
				tt.change(s, &env)
			}
			var got []string
			for _, r := range book.Raise(env) {
				text := strings.Join([]string{r.ID, r.Rule.ID, r.Truth.String()}, " ")
				if r.Stop {
					text += " STOP " + r.Instead.Title.Value
				}
				got = append(got, text)
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("-want +got\n%s", diff)
			}
		})
	}
}

func TestAssume(t *testing.T) {
	book, _ := load(t, quay)
	told := func(s *fact.Set) []string {
		var out []string
		for _, a := range book.Assume(s, nil) {
			out = append(out, a.Fact+": "+a.Text)
		}
		return out
	}

	s := &fact.Set{}
	s.Put("light.kind", word("canopy"))
	want := []string{"light.ev100: market roof, EV 10", "light.background_ev100: sunlit behind, EV 13", "subject.moving: they stand still"}
	if diff := cmp.Diff(want, told(s)); diff != "" {
		t.Errorf("-want +got\n%s", diff)
	}
	if v, ok := s.Get("light.background_ev100"); !ok || v.Number != 13 || v.Origin != fact.Assumed || v.Why == "" {
		t.Errorf("background is %+v", v)
	}
	if diff := cmp.Diff([]string(nil), told(s)); diff != "" {
		t.Errorf("assumed twice: %s", diff)
	}

	// A default sees what the one before it assumed; what was said or denied stands.
	s = &fact.Set{}
	s.Add("light.from", "overhead", word(""))
	s.Add("limits", "rain", word(""))
	s.Put("light.background_ev100", number(9))
	s.Deny("moving", fact.Span{})
	want = []string{"light.kind: under the market roof", "light.ev100: market roof, EV 10"}
	if diff := cmp.Diff(want, told(s)); diff != "" {
		t.Errorf("-want +got\n%s", diff)
	}
}

func TestAskBack(t *testing.T) {
	book, _ := load(t, quay)
	s := &fact.Set{}
	s.Add("light.from", "overhead", word(""))
	s.Put("subject.people", number(1))
	s.SetKit([]fact.Item{{Kind: "flash"}, {Kind: "panel"}})

	// Two set-ups wait for the light's kind; a default may fill it, so the
	// book does not ask.
	if f := book.AskBack(book.Judge(rules.Env{Facts: s})); f != nil {
		t.Errorf("asks for %s, which has a default", f.Path)
	}
	without := map[string]string{"setups/quay.yaml": quay["setups/quay.yaml"]}
	book, _ = load(t, without)
	if f := book.AskBack(book.Judge(rules.Env{Facts: s})); f == nil || f.Path != "light.kind" {
		t.Errorf("asks for %v, want light.kind", f)
	}
	// Nobody asks how many people there are: the fact has no question.
	s = &fact.Set{}
	s.Put("light.kind", word("canopy"))
	if f := book.AskBack(book.Judge(rules.Env{Facts: s})); f != nil {
		t.Errorf("asks for %s, want nothing", f.Path)
	}
}

// One book serves many messages at once, each program compiled once.
func TestBookIsShared(t *testing.T) {
	book, _ := load(t, quay)
	var wg sync.WaitGroup
	results := make([][]string, 8)
	for i := range results {
		wg.Go(func() {
			for _, v := range book.Judge(rules.Env{Facts: scene()}) {
				results[i] = append(results[i], at(v))
			}
		})
	}
	wg.Wait()
	for _, r := range results[1:] {
		if !slices.Equal(r, results[0]) {
			t.Errorf("%v and %v", results[0], r)
		}
	}
}
