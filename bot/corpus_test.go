package bot_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"panelhand/bot"
	"panelhand/rules"
	"panelhand/rules/playbook"
)

// A corpusCase is one thread of the open corpus: messages and what any
// competent reader would agree they say (testdata/corpus.md has the form).
type corpusCase struct {
	ID    string       `json:"id"`
	Group string       `json:"group"`
	Turns []corpusTurn `json:"turns"`
}

type corpusTurn struct {
	Say           string                     `json:"say"`
	Kind          []string                   `json:"kind"`
	Heard         map[string]json.RawMessage `json:"heard"`
	TechniqueAny  []string                   `json:"technique_any"`
	TechniqueNone []string                   `json:"technique_none"`
	Numbers       map[string]json.RawMessage `json:"numbers"`
	SafetyHas     []string                   `json:"safety_has"`
	Stop          *bool                      `json:"stop"`
	Result        *struct {
		Name  string   `json:"name"`
		Value *float64 `json:"value"`
		Tol   float64  `json:"tol"`
	} `json:"result"`
}

// inScope are the kinds that this program answers by now. A case counts where
// every kind it allows is among them.
var inScope = []string{"setup", "safety", "meaning", "help", "unsure"}

// floor is the share of assertions that must hold.
const floor = 0.97

func houseCoach(t testing.TB) *bot.Coach {
	t.Helper()
	book, problems := rules.Load(playbook.Files)
	for _, p := range problems {
		t.Errorf("%v", p)
	}
	return bot.New(book)
}

func readCorpus(t testing.TB, name string) []corpusCase {
	t.Helper()
	file, err := os.Open(filepath.Join("..", "testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	var cases []corpusCase
	lines := bufio.NewScanner(file)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var c corpusCase
		if err := json.Unmarshal(lines.Bytes(), &c); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		cases = append(cases, c)
	}
	if err := lines.Err(); err != nil {
		t.Fatal(err)
	}
	return cases
}

// TestCorpus answers the open corpus and counts what holds, case by case.
func TestCorpus(t *testing.T) {
	coach := houseCoach(t)
	right, all, cases := 0, 0, 0
	for _, c := range readCorpus(t, "corpus.jsonl") {
		if len(c.Turns) != 1 || len(c.Turns[0].Kind) == 0 || slices.ContainsFunc(c.Turns[0].Kind, func(k string) bool { return !slices.Contains(inScope, k) }) {
			continue
		}
		cases++
		r, a, wrong := judge(coach, c.Turns[0])
		right, all = right+r, all+a
		for _, w := range wrong {
			t.Logf("%s %q: %s", c.ID, c.Turns[0].Say, w)
		}
	}
	t.Logf("open corpus: %d of %d assertions hold (%.1f %%) in %d cases", right, all, 100*float64(right)/float64(all), cases)
	if cases < 100 {
		t.Fatalf("only %d cases in scope", cases)
	}
	if float64(right) < floor*float64(all) {
		t.Errorf("under %.0f %%", 100*floor)
	}
}

// judge answers one message and counts the assertions that hold.
func judge(coach *bot.Coach, turn corpusTurn) (right, all int, wrong []string) {
	a := coach.Answer(new(bot.Thread), bot.Message{Text: turn.Say})
	data, err := json.Marshal(a)
	if err != nil {
		return 0, 1, []string{err.Error()}
	}
	var got struct {
		Kind    string         `json:"kind"`
		Heard   map[string]any `json:"heard"`
		Numbers map[string]any `json:"numbers"`
		Safety  []struct {
			ID   string `json:"id"`
			Stop bool   `json:"stop"`
		} `json:"safety"`
		Setup *struct {
			ID        string   `json:"id"`
			Technique []string `json:"technique"`
		} `json:"setup"`
	}
	if err := json.Unmarshal(data, &got); err != nil {
		return 0, 1, []string{err.Error()}
	}
	assert := func(holds bool, format string, args ...any) {
		all++
		if holds {
			right++
			return
		}
		wrong = append(wrong, fmt.Sprintf(format, args...))
	}
	if len(turn.Kind) > 0 {
		assert(slices.Contains(turn.Kind, got.Kind), "kind is %s, wanted one of %v", got.Kind, turn.Kind)
	}
	for path, want := range turn.Heard {
		value, there := at(got.Heard, strings.TrimSuffix(path, "_lacks"))
		assert(agrees(path, value, there, want), "heard %s is %v, wanted %s", path, value, want)
	}
	var technique []string
	id := ""
	if got.Setup != nil {
		technique, id = got.Setup.Technique, got.Setup.ID
	}
	if len(turn.TechniqueAny) > 0 {
		assert(slices.ContainsFunc(turn.TechniqueAny, func(w string) bool { return slices.Contains(technique, w) }), "technique is %v (%s), wanted any of %v", technique, id, turn.TechniqueAny)
	}
	for _, none := range turn.TechniqueNone {
		assert(!slices.Contains(technique, none), "technique has %s (%s)", none, id)
	}
	for key, want := range turn.Numbers {
		value, there := got.Numbers[key]
		assert(inRange(value, there, want), "number %s is %v, wanted %s", key, value, want)
	}
	stop := false
	var ids []string
	for _, s := range got.Safety {
		ids = append(ids, s.ID)
		stop = stop || s.Stop
	}
	for _, want := range turn.SafetyHas {
		assert(slices.Contains(ids, want), "safety is %v, wanted %s", ids, want)
	}
	if turn.Stop != nil {
		assert(stop == *turn.Stop, "stop is %v", stop)
	}
	return right, all, wrong
}

func at(tree map[string]any, path string) (any, bool) {
	var value any = tree
	for key := range strings.SplitSeq(path, ".") {
		branch, ok := value.(map[string]any)
		if !ok {
			return nil, false
		}
		if value, ok = branch[key]; !ok {
			return nil, false
		}
	}
	return value, true
}

func agrees(path string, value any, there bool, raw json.RawMessage) bool {
	var want any
	if err := json.Unmarshal(raw, &want); err != nil {
		return false
	}
	switch path {
	case "kit":
		items, _ := want.([]any)
		if want == nil {
			return !there
		}
		return !slices.ContainsFunc(items, func(item any) bool { return !hasItem(value, item.(map[string]any)) })
	case "kit_lacks":
		kinds := list(want)
		items, _ := value.([]any)
		return !slices.ContainsFunc(items, func(item any) bool { return slices.Contains(kinds, item.(map[string]any)["kind"].(string)) })
	}
	switch want := want.(type) {
	case nil:
		return !there
	case float64:
		got, ok := value.(float64)
		return ok && math.Abs(got-want) <= 0.02*math.Abs(want)
	case []any:
		got, ok := value.(float64)
		return ok && len(want) == 2 && math.Abs(got-want[0].(float64)) <= want[1].(float64)
	case map[string]any:
		for _, w := range list(want["has"]) {
			if !slices.Contains(list(value), w) {
				return false
			}
		}
		for _, w := range list(want["lacks"]) {
			if slices.Contains(list(value), w) {
				return false
			}
		}
		return true
	}
	return value == want
}

func list(value any) []string {
	var out []string
	items, _ := value.([]any)
	for _, item := range items {
		if s, ok := item.(string); ok {
			out = append(out, s)
		}
	}
	return out
}

func hasItem(kit any, want map[string]any) bool {
	items, _ := kit.([]any)
	return slices.ContainsFunc(items, func(item any) bool {
		got, _ := item.(map[string]any)
		for key, w := range want {
			switch w := w.(type) {
			case float64:
				g, ok := got[key].(float64)
				if !ok || math.Abs(g-w) > 0.02*w {
					return false
				}
			case []any:
				for _, s := range list(any(w)) {
					if !slices.Contains(list(got[key]), s) {
						return false
					}
				}
			default:
				if got[key] != w {
					return false
				}
			}
		}
		return true
	})
}

func inRange(value any, there bool, raw json.RawMessage) bool {
	got, ok := value.(float64)
	if !there || !ok {
		return false
	}
	var pair [2]float64
	if json.Unmarshal(raw, &pair) == nil {
		return math.Abs(got-pair[0]) <= pair[1]
	}
	var bounds struct{ Min, Max *float64 }
	if json.Unmarshal(raw, &bounds) != nil {
		return false
	}
	return (bounds.Min == nil || got >= *bounds.Min) && (bounds.Max == nil || got <= *bounds.Max)
}
