package hear

import (
	"bufio"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/playbook"
)

// house reads the words of the house playbook. Mistakes elsewhere in the book
// are its own tests' business.
func house(t testing.TB) *Ear {
	t.Helper()
	return New(houseWords(t))
}

func houseWords(t testing.TB) []rules.Word {
	t.Helper()
	book, problems := rules.Load(playbook.Files)
	for _, p := range problems {
		if strings.HasPrefix(p.File, "words/") {
			t.Fatal(p)
		}
	}
	if len(book.Words) == 0 {
		t.Fatal("the playbook has no words")
	}
	return book.Words
}

// A talk is one case of the corpus: the turns of a thread.
type talk struct {
	ID    string `json:"id"`
	Group string `json:"group"`
	Turns []turn `json:"turns"`
}

type turn struct {
	Say   string                     `json:"say"`
	Kind  []string                   `json:"kind"`
	Heard map[string]json.RawMessage `json:"heard"`
}

func talks(t testing.TB, file string) []talk {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out []talk
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		if len(lines.Bytes()) == 0 {
			continue
		}
		var one talk
		if err := json.Unmarshal(lines.Bytes(), &one); err != nil {
			t.Fatalf("%s: %v", lines.Text(), err)
		}
		out = append(out, one)
	}
	return out
}

// judge counts the assertions of a turn about what is heard, and those that fail.
// Their forms are those of the corpus: a number within 2 % or [value,
// tolerance], a text or a flag, {"has"}, {"lacks"}, null, partial items of kit.
func (u turn) judge(facts *fact.Set) (total int, failed []string) {
	encoded, err := json.Marshal(fact.HeardJSON(facts))
	if err != nil {
		return 1, []string{err.Error()}
	}
	var heard map[string]any
	if err := json.Unmarshal(encoded, &heard); err != nil {
		return 1, []string{err.Error()}
	}
	check := func(ok bool, format string, args ...any) {
		total++
		if !ok {
			failed = append(failed, fmt.Sprintf(format, args...))
		}
	}
	paths := []string{}
	for path := range u.Heard {
		paths = append(paths, path)
	}
	slices.Sort(paths)
	for _, path := range paths {
		var want any
		if err := json.Unmarshal(u.Heard[path], &want); err != nil {
			return 1, []string{err.Error()}
		}
		got := follow(heard, path)
		switch {
		case path == "kit" && want != nil:
			for _, item := range want.([]any) {
				check(anyItem(heard["kit"], item.(map[string]any)), "kit %v, want %v", got, item)
			}
		case path == "kit_lacks":
			for _, kind := range want.([]any) {
				check(!anyItem(heard["kit"], map[string]any{"kind": kind}), "kit %v must not have %v", heard["kit"], kind)
			}
		case want == nil:
			check(got == nil, "%s is %v, want nothing", path, got)
		default:
			if lists, ok := want.(map[string]any); ok {
				for how, choices := range lists {
					for _, choice := range choices.([]any) {
						check(holds(got, choice) == (how == "has"), "%s is %v: %s %v", path, got, how, choice)
					}
				}
				continue
			}
			check(near(got, want), "%s is %v, want %v", path, got, want)
		}
	}
	return total, failed
}

func follow(heard map[string]any, path string) any {
	var at any = heard
	for part := range strings.SplitSeq(path, ".") {
		m, ok := at.(map[string]any)
		if !ok {
			return nil
		}
		at = m[part]
	}
	return at
}

func holds(list, choice any) bool {
	all, _ := list.([]any)
	return slices.Contains(all, choice)
}

func near(got, want any) bool {
	switch w := want.(type) {
	case float64:
		g, ok := got.(float64)
		return ok && math.Abs(g-w) <= 0.02*math.Abs(w)
	case []any:
		g, ok := got.(float64)
		return ok && len(w) == 2 && math.Abs(g-w[0].(float64)) <= w[1].(float64)
	}
	return reflect.DeepEqual(got, want)
}

func anyItem(kit any, want map[string]any) bool {
	items, _ := kit.([]any)
	for _, item := range items {
		fits := true
		for key, value := range want {
			got := item.(map[string]any)[key]
			if all, ok := value.([]any); ok {
				for _, one := range all {
					fits = fits && holds(got, one)
				}
				continue
			}
			fits = fits && near(got, value)
		}
		if fits {
			return true
		}
	}
	return false
}

// ours reports whether a case belongs to the main job: one turn, and an answer
// that is a set-up, a caution, a meaning, help or "unsure".
func (c talk) ours() bool {
	if len(c.Turns) != 1 || len(c.Turns[0].Kind) == 0 {
		return false
	}
	for _, kind := range c.Turns[0].Kind {
		switch kind {
		case "setup", "safety", "meaning", "help", "unsure":
		default:
			return false
		}
	}
	return true
}

// score reads every turn of the talks, with the thread's memory, and tells
// what was misheard.
func score(t testing.TB, ear *Ear, all []talk, tell func(string, ...any)) (total, right int) {
	for _, c := range all {
		var thread *fact.Set
		for n, u := range c.Turns {
			thread = Merge(thread, ear.Read(u.Say, thread).Facts)
			asked, failed := u.judge(thread)
			total += asked
			right += asked - len(failed)
			for _, f := range failed {
				tell("%s turn %d %q: %s", c.ID, n+1, u.Say, f)
			}
		}
	}
	return total, right
}

func TestCorpus(t *testing.T) {
	ear := house(t)
	var main, other []talk
	for _, c := range talks(t, "../../testdata/corpus.jsonl") {
		if c.ours() {
			main = append(main, c)
		} else {
			other = append(other, c)
		}
	}
	if len(main) != 134 {
		t.Fatalf("%d one-turn cases of the main job, want 134", len(main))
	}
	total, right := score(t, ear, main, t.Logf)
	t.Logf("main job: %d of %d assertions", right, total)
	if float64(right) < 0.97*float64(total) {
		t.Errorf("%d of %d assertions of the main job hold, want 97 %%", right, total)
	}
	total, right = score(t, ear, other, t.Logf)
	t.Logf("all others, with the thread's memory: %d of %d assertions", right, total)
}

// Phrasings are messages of our own in voices that the corpus has not: a
// beginner, second-language writers, dictation without punctuation, slips, all
// capitals, emoji, inches, an old hand's shop talk. Each was written down with
// what a competent reader hears before the words were tuned to it.
func TestPhrasings(t *testing.T) {
	all := talks(t, "../../testdata/phrasings.jsonl")
	total, right := score(t, house(t), all, t.Logf)
	t.Logf("%d phrasings: %d of %d assertions", len(all), right, total)
	if float64(right) < 0.97*float64(total) {
		t.Errorf("%d of %d assertions hold, want 97 %%", right, total)
	}
}
