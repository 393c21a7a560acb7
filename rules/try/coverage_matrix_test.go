package try_test

import (
	"cmp"
	"slices"
	"strings"
	"testing"

	"panelhand/calc/area"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/playbook"
)

// A bag is kit that a message may name, and what a lead would expect the best
// answer to be made of: one technique at least, no limit against it. Source:
// trade handbook §3G and common practice.
type bag struct {
	name  string
	items []fact.Item
	uses  []string // by shade, cloud and lamps
	inSun []string // in high sun, where a small flash is weak
}

var bags = []bag{
	{"nothing said", nil, []string{"edge", "turn", "window"}, []string{"edge", "turn"}},
	{"reflector", kit("reflector"), []string{"reflect", "negative-fill"}, []string{"reflect"}},
	{"panel", kit("panel"), []string{"reflect", "negative-fill"}, []string{"reflect", "scrim"}},
	{"flash", kit("flash"), []string{"fill", "wall", "bare", "window", "turn"}, []string{"fill", "bare"}},
	{"flash and panel", kit("flash", "panel"), []string{"bounce", "through", "window", "reflect"}, []string{"reflect", "scrim", "through", "bounce"}},
	{"flash and umbrella", kit("flash", "umbrella"), []string{"umbrella"}, []string{"umbrella"}},
	{"flash and softbox", kit("flash", "softbox"), []string{"softbox"}, []string{"softbox"}},
	{"LED", kit("led"), []string{"led", "window"}, []string{"turn", "edge"}},
	{"two flashes and panel", []fact.Item{{Kind: "flash", Count: 2}, {Kind: "panel"}}, []string{"bounce", "through", "window", "reflect"}, []string{"reflect", "scrim", "through", "bounce"}},
	{"strobe", kit("strobe"), []string{"bare", "wall", "window"}, []string{"bare"}},
	{"reflector and LED", kit("reflector", "led"), []string{"led", "reflect", "negative-fill"}, []string{"reflect"}},
}

func kit(kinds ...string) []fact.Item {
	var items []fact.Item
	for _, kind := range kinds {
		items = append(items, fact.Item{Kind: kind, Count: 1})
	}
	return items
}

// lightKinds are all kinds of light, and "" for none said.
func lightKinds(t *testing.T) []string {
	f, ok := fact.Lookup("light.kind")
	if !ok {
		t.Fatal("there is no fact light.kind")
	}
	return append([]string{""}, f.Choices...)
}

// houseBook is the house playbook, defaults and all.
func houseBook(t *testing.T) *rules.Book {
	book, problems := rules.Load(playbook.Files)
	for _, p := range problems {
		if !p.Warning {
			t.Fatal(p)
		}
	}
	return book
}

// scene is what is known after the defaults.
func scene(book *rules.Book, kind string, items []fact.Item, set func(*fact.Set)) *fact.Set {
	s := &fact.Set{}
	if kind != "" {
		s.Put("light.kind", fact.Value{Text: kind, Origin: fact.Said})
	}
	s.SetKit(slices.Clone(items))
	if set != nil {
		set(s)
	}
	book.Assume(s, nil)
	return s
}

// firing are the set-ups that fire, the best first.
func firing(book *rules.Book, s *fact.Set) []*rules.Setup {
	var fires []rules.Verdict
	for _, v := range book.Judge(rules.Env{Facts: s}) {
		if v.Outcome == rules.Fires {
			fires = append(fires, v)
		}
	}
	slices.SortStableFunc(fires, func(a, b rules.Verdict) int { return cmp.Compare(b.Score.Total(), a.Score.Total()) })
	var out []*rules.Setup
	for _, v := range fires {
		out = append(out, v.Setup)
	}
	return out
}

func has(list []string, words ...string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(list, w) })
}

func flashes(s *rules.Setup) bool {
	for _, light := range []*rules.Light{s.Key, s.Rim, s.BackgroundLight} {
		if light != nil && light.Light != "" && light.Light != "led" {
			return true
		}
	}
	return has(s.Technique, "through", "bounce", "umbrella", "softbox", "wall", "bare", "rim", "gel", "background-light", "fill")
}

func needs(s *rules.Setup, kind string) bool {
	return slices.ContainsFunc(s.Needs, func(n rules.Need) bool { return len(n.Kinds) == 1 && n.Kinds[0] == kind })
}

// In every light with every bag something fires, and the best of it is made
// of what is in the bag.
func TestEverySceneIsLit(t *testing.T) {
	book := houseBook(t)
	for _, kind := range lightKinds(t) {
		for _, b := range bags {
			fires := firing(book, scene(book, kind, b.items, nil))
			if len(fires) == 0 {
				t.Errorf("%s, %s: nothing fires", cmp.Or(kind, "no light said"), b.name)
				continue
			}
			uses := b.uses
			switch kind {
			case "sun":
				uses = b.inSun
			case "low-sun":
				uses = append(slices.Clone(b.inSun), b.uses...)
			}
			if !has(fires[0].Technique, uses...) {
				t.Errorf("%s, %s: the best is %s (%s), and a lead would expect one of %s", cmp.Or(kind, "no light said"), b.name, fires[0].ID, strings.Join(fires[0].Technique, ", "), strings.Join(uses, ", "))
			}
		}
	}
}

// What a limit forbids does not fire, and something else does.
func TestLimitsHold(t *testing.T) {
	book := houseBook(t)
	outdoors := []string{"", "sun", "dappled", "open-shade", "overcast", "canopy", "street-night", "dusk", "low-sun"}
	limits := []struct {
		limit   string
		forbids string
		breaks  func(kind string, s *rules.Setup) bool
	}{
		{"no-flash", "flash", func(_ string, s *rules.Setup) bool { return flashes(s) }},
		{"photosensitive", "flash", func(_ string, s *rules.Setup) bool { return flashes(s) }},
		{"no-stands", "a stand", func(_ string, s *rules.Setup) bool { return needs(s, "stand") }},
		{"no-helper", "helpers' hands", func(_ string, s *rules.Setup) bool { return s.Hands > 0 }},
		{"wind", "a raised sail", func(kind string, s *rules.Setup) bool {
			return slices.Contains(outdoors, kind) && (has(s.Technique, "scrim", "umbrella", "softbox", "through", "clamshell", "negative-fill") || has(s.Technique, "bounce") && *s.Key.Up > 20)
		}},
		{"quiet", "flash or LED", func(kind string, s *rules.Setup) bool {
			return slices.Contains([]string{"tungsten", "fluorescent", "led-indoor", "stage"}, kind) && (flashes(s) || has(s.Technique, "led"))
		}},
	}
	said := [][]string{nil, {"through"}, {"umbrella"}, {"bounce"}, {"scrim"}, {"clamshell"}}
	for _, kind := range lightKinds(t) {
		for _, b := range bags {
			items := append(slices.Clone(b.items), fact.Item{Kind: "stand", Count: 1})
			for _, l := range limits {
				for _, words := range said {
					fires := firing(book, scene(book, kind, items, func(s *fact.Set) {
						s.Add("limits", l.limit, fact.Value{Origin: fact.Said})
						for _, w := range words {
							s.Add("says", w, fact.Value{Origin: fact.Said})
						}
					}))
					if len(fires) == 0 {
						t.Errorf("%s, %s, %s: nothing fires", kind, b.name, l.limit)
					}
					for _, s := range fires {
						if l.breaks(kind, s) {
							t.Errorf("%s, %s: %s fires, and %s forbids %s", kind, b.name, s.ID, l.limit, l.forbids)
						}
					}
				}
			}
		}
	}
}

// A way of lighting that the message names wins wherever the kit has it.
func TestWhatWasSaidWins(t *testing.T) {
	book := houseBook(t)
	ways := []struct {
		says   string
		items  []fact.Item
		except []string // kinds of light in which it makes no sense
	}{
		{"through", kit("flash", "panel"), nil},
		{"bounce", kit("flash", "panel"), nil},
		{"umbrella", kit("flash", "umbrella"), nil},
		{"softbox", kit("flash", "softbox"), nil},
		{"bare", kit("flash", "panel"), nil},
		{"wall", kit("flash"), []string{"", "sun", "dappled", "open-shade", "overcast", "canopy", "street-night", "dusk", "low-sun"}},
		{"scrim", kit("panel"), []string{"", "dappled", "open-shade", "overcast", "canopy", "window", "tungsten", "fluorescent", "led-indoor", "street-night", "dusk", "low-sun", "stage"}},
		{"reflect", kit("flash", "panel"), []string{"dappled"}},
		{"negative-fill", kit("flash", "panel"), []string{"sun", "tungsten", "fluorescent", "led-indoor", "street-night", "dusk", "low-sun", "stage"}},
		{"rim", []fact.Item{{Kind: "flash", Count: 2}, {Kind: "panel"}}, []string{"sun"}},
		{"background-light", []fact.Item{{Kind: "flash", Count: 2}, {Kind: "panel"}}, []string{"", "sun", "low-sun", "dappled", "open-shade", "overcast"}},
		{"led", kit("led", "panel"), []string{"sun"}},
		{"fill", kit("flash", "panel"), []string{"window", "tungsten", "fluorescent", "led-indoor", "street-night", "dusk", "stage"}},
	}
	for _, w := range ways {
		for _, kind := range lightKinds(t) {
			if slices.Contains(w.except, kind) {
				continue
			}
			fires := firing(book, scene(book, kind, w.items, func(s *fact.Set) { s.Add("says", w.says, fact.Value{Origin: fact.Said}) }))
			if len(fires) == 0 || !has(fires[0].Technique, w.says) {
				best := "nothing"
				if len(fires) > 0 {
					best = fires[0].ID
				}
				t.Errorf("%s said in %s: %s wins", w.says, cmp.Or(kind, "no light said"), best)
			}
		}
	}
}

// evenOver reports whether a set-up's cloth is far enough off to light a line of
// five, 2.4 m, or a row of six, 3 m, to half a stop. Source of the widths: trade
// handbook D71, D72.
func evenOver(t *testing.T, s *rules.Setup, people float64) bool {
	if s.Key == nil || s.Key.Distance == nil || s.Key.Size == nil {
		return false
	}
	row := units.Metres(2.4)
	if people >= 6 {
		row = 3
	}
	size := units.Metres(s.Key.Size.Metres(1))
	even, err := area.EvenWidth(area.RoundPanel(size), units.Metres(s.Key.Distance.Metres(float64(size))), 0.5)
	if err != nil {
		t.Fatal(err)
	}
	return even >= row
}

// Heads, glare and small children rule out what would light them badly.
func TestPeopleRuleOut(t *testing.T) {
	book := houseBook(t)
	for _, kind := range lightKinds(t) {
		for _, b := range bags {
			many := func(n float64) func(*fact.Set) {
				return func(s *fact.Set) { s.Put("subject.people", fact.Value{Number: n, Origin: fact.Said}) }
			}
			for _, n := range []float64{2, 3, 5, 9, 14} {
				fires := firing(book, scene(book, kind, b.items, many(n)))
				if len(fires) == 0 {
					t.Errorf("%s, %s, %g people: nothing fires", kind, b.name, n)
				}
				for _, s := range fires {
					if n >= 4 && has(s.Technique, "through", "bounce", "umbrella", "softbox", "clamshell", "scrim") && !evenOver(t, s, n) {
						t.Errorf("%s, %s: %s fires for %g people, and a panel covers two", kind, b.name, s.ID, n)
					}
				}
			}
			baby := firing(book, scene(book, kind, b.items, func(s *fact.Set) { s.Add("subject.traits", "baby", fact.Value{Origin: fact.Said}) }))
			if len(baby) == 0 {
				t.Errorf("%s, %s, baby: nothing fires", kind, b.name)
			}
			for _, s := range baby {
				if has(s.Technique, "bare", "scrim", "clamshell") {
					t.Errorf("%s, %s: %s fires for a baby", kind, b.name, s.ID)
				}
			}
			for _, s := range firing(book, scene(book, kind, b.items, func(s *fact.Set) { s.Add("light.from", "below", fact.Value{Origin: fact.Said}) })) {
				if has(s.Technique, "clamshell") || s.Technique[0] == "reflect" {
					t.Errorf("%s, %s: %s fires under glare from below", kind, b.name, s.ID)
				}
			}
		}
	}
}
