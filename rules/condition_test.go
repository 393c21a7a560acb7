package rules_test

import (
	"fmt"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// bookOf is a playbook of one set-up whose lines are the conditions.
func bookOf(conditions ...string) (*rules.Book, []source.Problem) {
	var b strings.Builder
	b.WriteString("- setup: quay-shade\n  title: Edge of the shade\n  technique: [edge]\n  serves: {softer: 2}\n  why: A big light.\n  source: common practice\n  when:\n")
	for _, c := range conditions {
		fmt.Fprintf(&b, "    - '%s'\n", strings.ReplaceAll(c, "'", "''"))
	}
	files := fstest.MapFS{"setups/quay.yaml": {Data: []byte(b.String())}}
	book, problems := rules.Load(files)
	for _, p := range book.Check(files) {
		if p.Code != "no-cases" {
			problems = append(problems, p)
		}
	}
	return book, problems
}

// judge returns what one condition comes to and why it has no value.
func judge(t *testing.T, condition string, env rules.Env) (rules.Truth, rules.Event) {
	t.Helper()
	book, problems := bookOf(condition)
	if len(problems) > 0 {
		t.Fatalf("%s\n%s", condition, source.Format(problems, 0))
	}
	var line rules.Event
	env.Watch = func(e rules.Event) {
		if e.Step == rules.StepLine {
			line = e
		}
	}
	book.Judge(env)
	return line.Truth, line
}

func number(x float64) fact.Value { return fact.Value{Number: x, Origin: fact.Said} }
func word(s string) fact.Value    { return fact.Value{Text: s, Origin: fact.Said} }
func flagged(b bool) fact.Value   { return fact.Value{Flag: b, Origin: fact.Said} }

// scene knows a market roof, three people, and what is in the bag.
func scene() *fact.Set {
	s := &fact.Set{}
	s.Put("light.kind", word("canopy"))
	s.Put("light.ev100", number(10))
	s.Put("subject.people", number(3))
	s.Put("subject.moving", flagged(true))
	s.Put("venue", word("station hall"))
	s.Add("light.from", "overhead", word(""))
	s.Add("wants", "softer", word(""))
	s.Add("limits", "no-stands", word(""))
	s.Deny("wind", fact.Span{})
	s.Deny("sun", fact.Span{})
	s.Deny("light.hard", fact.Span{})
	s.SetKit([]fact.Item{
		{Kind: "flash", Count: 2, HSS: true},
		{Kind: "panel", SizeM: 1.016},
		{Kind: "reflector", Surfaces: []string{"silver"}},
		{Kind: "gel", Gel: "full-cto"},
		{Kind: "umbrella"},
	})
	return s
}

func TestConditions(t *testing.T) {
	solved := rules.Env{Numbers: map[string]float64{"flash_power": 0.5}, Technique: []string{"bounce", "edge"}}
	tests := []struct {
		condition string
		want      rules.Truth
		solved    bool
	}{
		// lists are closed: unsaid is none
		{`from("overhead")`, rules.True, false},
		{`from("front", "overhead")`, rules.True, false},
		{`from("front")`, rules.False, false},
		{`not wants("harder")`, rules.True, false},
		{`limit("no-stands")`, rules.True, false},
		{`trait("glasses")`, rules.False, false},
		// choices are open
		{`kind("canopy", "window")`, rules.True, false},
		{`kind("window")`, rules.False, false},
		{`look("moody")`, rules.Unknown, false},
		{`not look("moody")`, rules.Unknown, false},
		{`framing("headshot")`, rules.Unknown, false},
		// numbers, flags and texts
		{`people <= 2`, rules.False, false},
		{`people in [2, 3]`, rules.True, false},
		{`people not in [2, 3]`, rules.False, false},
		{`ev100 + 3 >= 13`, rules.True, false},
		{`-ev100 < 0`, rules.True, false},
		{`2 ** people == 8`, rules.True, false},
		{`people / 2 == 1.5`, rules.True, false},
		{`moving`, rules.True, false},
		{`not moving`, rules.False, false},
		{`moving == true`, rules.True, false},
		{`venue == "station hall"`, rules.True, false},
		{`venue in ["pier", "quay"]`, rules.False, false},
		{`temp >= 33`, rules.Unknown, false},
		{`not (temp >= 33)`, rules.Unknown, false},
		{`people + temp > 0`, rules.Unknown, false},
		// what was denied judges false
		{`denied("wind")`, rules.True, false},
		{`denied("rain")`, rules.False, false},
		{`wind > 8`, rules.False, false},
		{`wind <= 4`, rules.True, false}, // "no wind" is calm
		{`hard`, rules.False, false},
		{`not hard`, rules.True, false},
		// known is closed
		{`known("ev100")`, rules.True, false},
		{`known("gust")`, rules.False, false},
		{`known("wants")`, rules.True, false},
		{`known("has")`, rules.True, false},
		// kit
		{`has("strobe", "flash")`, rules.True, false},
		{`has("led")`, rules.False, false},
		{`count("flash") >= 2`, rules.True, false},
		{`count("flash", "panel") == 3`, rules.True, false},
		{`count("led") == 0`, rules.True, false},
		{`size("panel") >= 0.6`, rules.True, false},
		{`size("panel", "reflector") > 1`, rules.True, false},
		{`size("umbrella") > 0.5`, rules.Unknown, false},
		{`size("softbox") > 0.5`, rules.False, false}, // there is none to measure
		{`size("softbox") < 0.5`, rules.False, false},
		{`surface("silver")`, rules.True, false},
		{`surface("black")`, rules.True, false}, // a panel of which nothing was said shows all five
		{`hss()`, rules.True, false},
		{`gel("full-cto", "half-cto")`, rules.True, false},
		{`gel("quarter-cto")`, rules.False, false},
		// formulas: f/4 at 1/125 and ISO 100 is log2(16·125) = EV 10.966
		{`exposure_ev(4, 1/125, 100) > 10.965`, rules.True, false},
		{`exposure_ev(4, 1/125, 100) >= 10.967`, rules.False, false},
		{`not (lux(ev100) > 2560)`, rules.True, false}, // 2.5·2^10
		{`exposure_ev(aperture, 1/125, 100) > 3`, rules.Unknown, false},
		{`exposure_ev(0, 1/125, 100) > 3`, rules.Unknown, false}, // no lens is f/0
		{`technique("bounce")`, rules.Unknown, false},
		{`numbers.flash_power > 0.25`, rules.Unknown, false},
		{`technique("bounce")`, rules.True, true},
		{`technique("bare")`, rules.False, true},
		{`numbers.flash_power > 0.25`, rules.True, true},
		{`numbers.ballast_kg > 10`, rules.False, true}, // it has no stand
		{`not (numbers.ballast_kg > 10)`, rules.False, true},
	}
	for _, tt := range tests {
		env := rules.Env{Facts: scene()}
		if tt.solved {
			env.Numbers, env.Technique = solved.Numbers, solved.Technique
		}
		if got, event := judge(t, tt.condition, env); got != tt.want {
			t.Errorf("%s = %s, want %s (%s)", tt.condition, got, tt.want, event.Why)
		}
	}
}

// A choice of which every word was denied is false; one word left open leaves
// it unknown.
func TestDeniedChoice(t *testing.T) {
	s := &fact.Set{}
	s.Deny("sun", fact.Span{})
	for condition, want := range map[string]rules.Truth{
		`kind("sun")`:           rules.False,
		`not kind("sun")`:       rules.True,
		`kind("sun", "window")`: rules.Unknown,
	} {
		if got, _ := judge(t, condition, rules.Env{Facts: s}); got != want {
			t.Errorf("%s = %s, want %s", condition, got, want)
		}
	}
}

// The expression library takes 1/0 > 3 for true. Here a reckoning without a
// finite result leaves its condition unknown, wherever it stands.
func TestNoConditionComesFromInfinity(t *testing.T) {
	s := scene()
	s.Put("helpers", number(0))
	for _, condition := range []string{
		`1 / 0 > 3`, `people / helpers > 3`, `people / helpers < 3`, `helpers / helpers == 1`, `not (1 / 0 > 3)`,
		`1 / (1 / helpers) == 0`, `10 ** 300 * 10 ** 300 > 1`, `(0 - 8) ** 0.5 < 1`, `1e308 * 10 > 1`, `1e308 + 1e308 > 1`, `-1e308 - 1e308 < 1`,
	} {
		got, event := judge(t, condition, rules.Env{Facts: s})
		if got != rules.Unknown || event.Why == "" {
			t.Errorf("%s = %s (%q), want unknown and why", condition, got, event.Why)
		}
	}
}

// The library finds a comparison with a missing value false, or fails at run
// time. Here a missing value is unknown and says which fact it waits for.
func TestMissingIsUnknown(t *testing.T) {
	for _, condition := range []string{`aperture < 4`, `aperture == 4`, `aperture != 4`, `not (aperture == 4)`, `moving == true`, `venue == "quay"`, `aperture in [4]`} {
		got, event := judge(t, condition, rules.Env{Facts: &fact.Set{}})
		if got != rules.Unknown || len(event.Waits) != 1 {
			t.Errorf("%s = %s waiting for %v, want unknown waiting for one fact", condition, got, event.Waits)
		}
	}
}

// Integers are numbers like the others: nothing wraps round.
func TestNumbersDoNotWrap(t *testing.T) {
	if got, event := judge(t, `9223372036854775807 + 9223372036854775807 > 0`, rules.Env{Facts: &fact.Set{}}); got != rules.True {
		t.Errorf("got %s (%s)", got, event.Why)
	}
}

// Attacks are refused when the book is checked, within a blink and a few
// megabytes, and a book that holds one judges it unknown.
func TestAttacksAreRefused(t *testing.T) {
	attacks := map[string]string{
		"text doubled by reduce":   `reduce(1..30, #acc + #acc, "xxxxxxxxxxxxxxxx") == ""`,
		"a huge range":             `len(1..1000000000) > 1`,
		"a range after in":         `people in 1..1000000000`,
		"nested maps":              `map(1..9999, map(1..9999, map(1..9999, #))) == []`,
		"deep parentheses":         strings.Repeat("(", 240) + "people" + strings.Repeat(")", 240) + " > 1",
		"deep lists":               strings.Repeat("[", 240) + "1" + strings.Repeat("]", 240) + " == 1",
		"deep braces":              strings.Repeat("{a:", 160) + "1",
		"deep calls":               strings.Repeat("known(", 70) + `"wind"` + strings.Repeat(")", 70),
		"parentheses beside texts": `")" == ")" in [` + strings.Repeat("(", 100),
		"a long condition":         `people in [` + strings.Repeat("1,", 300) + `1]`,
		"many parts":               `people > ` + strings.Repeat("1+", 200) + "1",
		"many nots":                strings.Repeat("not ", 120) + "moving",
		"many signs":               `people > ` + strings.Repeat("-", 450) + "1",
		"ternaries":                strings.Repeat("moving ? ", 40) + "1",
		"let":                      `let a = "x"; a + a == ""`,
		"the environment":          `$env["people"] > 1`,
		"get from the environment": `get($env, "people") > 1`,
		"a pipe":                   `people | abs() > 1`,
		"text added":               `venue + venue == ""`,
		"text repeated":            `repeat("x", 1000000000) == ""`,
		"a clock":                  `now().Unix() > 0`,
		"a date":                   `date("2024-01-01") == date`,
		"a regular expression":     `venue matches "(a+)+$"`,
		"a predicate":              `filter([1, 2, 3], # > 1) == []`,
		"count with a predicate":   `count([1, 2], # > 1) > 0`,
		"a method":                 `venue.String() == ""`,
		"an index":                 `numbers["flash_power"] > 0`,
		"an optional part":         `numbers?.flash_power > 0`,
		"the finite check":         `finite#(1) > 0`,
		"bytes":                    `b"abc" == b"abc"`,
		"a map":                    `{"a": 1}.a == 1`,
		"a line break":             "people > 1\nor true",
		"nothing":                  ` `,
	}
	for name, attack := range attacks {
		t.Run(name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			start := time.Now()
			book, problems := bookOf(attack)
			verdicts := book.Judge(rules.Env{Facts: scene()})
			took := time.Since(start)
			runtime.ReadMemStats(&after)
			if len(problems) == 0 {
				t.Errorf("%s was accepted", attack)
			}
			if len(verdicts) == 1 && verdicts[0].Outcome == rules.Fires {
				t.Errorf("%s fires", attack)
			}
			if grown := after.TotalAlloc - before.TotalAlloc; grown > 8<<20 {
				t.Errorf("%d bytes were allocated", grown)
			}
			if took > time.Second { // they take well under a millisecond; a loaded machine is slow
				t.Errorf("it took %v", took)
			}
		})
	}
}
