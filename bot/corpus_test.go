package bot_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/bot/channel"
	"panelhand/bot/memory"
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
	Result        *corpusResult              `json:"result"`
	Changed       []corpusChange             `json:"changed"`
	Same          []string                   `json:"same"`
}

type corpusResult struct {
	Name  string   `json:"name"`
	Value *float64 `json:"value"`
	Tol   float64  `json:"tol"`
}

type corpusChange struct {
	Name  string      `json:"name"`
	Dir   string      `json:"dir"`
	Stops *[2]float64 `json:"stops"`
}

// floor is the share of assertions that must hold; of safety's all must.
const floor = 0.99

func houseCoach(t testing.TB) *bot.Coach {
	t.Helper()
	book, problems := rules.Load(playbook.Files)
	for _, p := range problems {
		t.Errorf("%v", p)
	}
	return bot.New(book)
}

// long keeps a test of many messages out of a short run: the race detector is
// ten times slower, and nothing is shared there.
func long(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("many messages, one goroutine")
	}
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

// TestCorpus answers the open corpus, each case in a thread and with a memory
// of its own, and counts what holds, group by group.
func TestCorpus(t *testing.T) {
	long(t)
	coach := houseCoach(t)
	type count struct{ right, all, cases int }
	groups, total := map[string]*count{}, count{}
	for _, c := range readCorpus(t, "corpus.jsonl") {
		if groups[c.Group] == nil {
			groups[c.Group] = &count{}
		}
		g, session := groups[c.Group], &bot.Session{Coach: coach, Store: memory.New()}
		g.cases++
		var before gotAnswer
		for _, turn := range c.Turns {
			said, err := session.Answer(t.Context(), channel.Message{Team: "tide", Thread: c.ID, Text: turn.Say})
			if err != nil {
				t.Fatal(err)
			}
			r, a, wrong, got := judgeAnswer(said, turn, before)
			g.right, g.all, before = g.right+r, g.all+a, got
			for _, w := range wrong {
				t.Logf("%s %q: %s", c.ID, turn.Say, w)
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(groups)) {
		g := groups[name]
		t.Logf("%-9s %3d cases, %4d of %4d assertions hold", name, g.cases, g.right, g.all)
		if name == "safety" && g.right < g.all {
			t.Errorf("%d of safety's assertions do not hold", g.all-g.right)
		}
		total.right, total.all, total.cases = total.right+g.right, total.all+g.all, total.cases+g.cases
	}
	t.Logf("open corpus: %d of %d assertions hold (%.1f %%) in %d cases", total.right, total.all, 100*float64(total.right)/float64(total.all), total.cases)
	if total.cases < 150 {
		t.Fatalf("only %d cases", total.cases)
	}
	if float64(total.right) < floor*float64(total.all) {
		t.Errorf("under %.0f %%", 100*floor)
	}
}

// A gotAnswer is what of an answer's JSON the corpus asks about.
type gotAnswer struct {
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
	Result *struct {
		Name  string  `json:"name"`
		Value float64 `json:"value"`
	} `json:"result"`
	Changed []struct {
		Name     string  `json:"name"`
		From, To float64 `json:",omitempty"`
		Stops    float64 `json:"stops"`
	} `json:"changed"`
}

// judgeAnswer counts the assertions that hold of an answer.
func judgeAnswer(a *answer.Answer, turn corpusTurn, before gotAnswer) (right, all int, wrong []string, got gotAnswer) {
	data, err := json.Marshal(a)
	if err == nil {
		err = json.Unmarshal(data, &got)
	}
	if err != nil {
		return 0, 1, []string{err.Error()}, got
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
	if want := turn.Result; want != nil {
		ok := got.Result != nil && got.Result.Name == want.Name && (want.Value == nil || math.Abs(got.Result.Value-*want.Value) <= want.Tol)
		assert(ok, "result is %+v, wanted %s", got.Result, want.Name)
	}
	for _, want := range turn.Changed {
		ok := false
		for _, c := range got.Changed {
			ok = ok || c.Name == want.Name && (want.Dir == "up") == (c.To > c.From) && (want.Stops == nil || math.Abs(c.Stops-want.Stops[0]) <= want.Stops[1])
		}
		assert(ok, "changed is %+v, wanted %+v", got.Changed, want)
	}
	for _, key := range turn.Same {
		assert(got.Numbers[key] == before.Numbers[key], "%s went from %v to %v", key, before.Numbers[key], got.Numbers[key])
	}
	return right, all, wrong, got
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
