package rules_test

import (
	"fmt"
	"io/fs"
	"path"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/formula"
	"panelhand/rules/playbook"
	"panelhand/rules/source"
)

func team(files ...string) fstest.MapFS {
	out := fstest.MapFS{}
	for i := 0; i < len(files); i += 2 {
		out[files[i]] = &fstest.MapFile{Data: []byte(files[i+1])}
	}
	return out
}

// safetyReads is a second way of finding what cautions ask for, apart from the
// compiler: the names in their conditions as they are written.
func safetyReads(t *testing.T, book *rules.Book) map[string]string {
	t.Helper()
	texts := map[string]string{} // path → the conditions that read it
	add := func(text string) {
		for i := range fact.Table {
			f := &fact.Table[i]
			called := f.Kind == fact.Choice || f.Kind == fact.List || f.Kind == fact.Kit
			for word := range strings.FieldsFuncSeq(text, func(r rune) bool { return !(r == '_' || r >= 'a' && r <= 'z' || r >= '0' && r <= '9') }) {
				if word == f.Name && (!called || strings.Contains(text, f.Name+"(")) {
					texts[f.Path] += text + "\n"
					break
				}
			}
		}
	}
	var walk func(lines rules.Lines)
	walk = func(lines rules.Lines) {
		for i := range lines {
			add(lines[i].Text.Value)
			walk(lines[i].Any)
			walk(lines[i].All)
		}
	}
	for i := range book.Cautions {
		walk(book.Cautions[i].When)
	}
	if len(texts) < 10 {
		t.Fatalf("cautions read only %d facts", len(texts))
	}
	return texts
}

// Nothing that safety reads or prints can be taken away by a team's folder:
// every caution, every word whose facts a caution asks for, every default of such
// a fact and every phrase that cautions are printed with is replaced and switched
// off in turn, and each is refused where it stands.
func TestSafetyCannotBeTakenAway(t *testing.T) {
	house, problems := rules.Load(playbook.Files)
	if source.Errors(problems) > 0 {
		t.Fatal(source.Format(problems, 5))
	}
	reads := safetyReads(t, house)
	tried := map[string]int{}
	files, off := map[string]string{}, "off:\n"
	var attempts []string // "caution thunder"
	try := func(kind, id, file, text string) {
		tried[kind]++
		files[file] += text
		off += fmt.Sprintf("  - %s %s\n", kind, id)
		attempts = append(attempts, kind+" "+id)
	}
	for i := range house.Cautions {
		c := &house.Cautions[i]
		try("caution", c.ID, "safety/own.yaml", fmt.Sprintf("- caution: %s\n  raises: %s\n  when: [people > 90]\n  text: All is well.\n  source: nobody\n", c.ID, c.Raises))
	}
	for i := range house.Words {
		w := &house.Words[i]
		read := slices.ContainsFunc(w.Means, func(m rules.Meaning) bool {
			texts, ok := reads[m.Path]
			return ok && slices.ContainsFunc(m.Choices, func(c string) bool { return strings.Contains(texts, `"`+c+`"`) })
		})
		if read {
			try("word", w.ID, "words/own.yaml", fmt.Sprintf("- word: %s\n  say: [nothing of the sort]\n  means: {}\n  hears: {x: {}}\n", w.ID))
		}
	}
	defaulted := map[string]bool{}
	for i := range house.Defaults {
		d := &house.Defaults[i]
		if _, ok := reads[d.Path]; ok && !defaulted[d.Path] {
			defaulted[d.Path] = true
			value := d.Value.Text()
			if strings.HasPrefix(value, "=") {
				value = "1"
			}
			try("default", d.Path, "defaults.yaml", fmt.Sprintf("- default: %s\n  value: %s\n  say: taken\n  why: we say so\n", d.Path, value))
		}
	}
	for i := range house.Phrases {
		if p := &house.Phrases[i]; p.Safety {
			try("phrase", p.ID, "phrases/own.yaml", fmt.Sprintf("- phrase: %s\n  text: fine\n", p.ID))
		}
	}
	refused := func(how string, folder fs.FS) {
		_, problems := rules.LoadOver(playbook.Files, folder)
		told := map[string]bool{}
		for _, p := range problems {
			if p.Code == "guarded" && !p.Warning && p.Line > 0 && p.Column > 0 && p.Text != "" {
				told[p.Message[:strings.IndexAny(p.Message+":", ":")]] = true
			}
		}
		for _, attempt := range attempts {
			_, id, _ := strings.Cut(attempt, " ")
			if !told[attempt+" cannot be "+how] && !told[id+" takes no default of a team's"] {
				t.Errorf("%s was %s", attempt, how)
			}
		}
	}
	replaced := fstest.MapFS{}
	for name, text := range files {
		replaced[name] = &fstest.MapFile{Data: []byte(text)}
	}
	refused("replaced by one of the same id", replaced)
	refused("switched off", team("off.yaml", off))
	for _, kind := range []string{"caution", "word", "default", "phrase"} {
		if tried[kind] < 3 {
			t.Errorf("no %s was tried", kind)
		}
	}
	t.Logf("tried %v", tried)
}

// A folder has no place for facts and formulas: they are the program's, and a
// file of them is refused.
func TestFactsAndFormulasAreNotTheTeams(t *testing.T) {
	if len(fact.Table) == 0 || len(formula.Table) == 0 {
		t.Fatal("no facts, no formulas")
	}
	for _, name := range []string{"facts.yaml", "formulas.yaml", "facts/weather.yaml", "formula/wind.yaml"} {
		_, problems := rules.LoadOver(playbook.Files, team(name, "- fact: weather.wind_ms\n"))
		if source.Errors(problems) == 0 || problems[0].Code != "stray-file" || problems[0].File != name {
			t.Errorf("%s: %s", name, source.Format(problems, 3))
		}
	}
}

// A caution that a team adds never speaks in the place of one of the house.
func TestAddedCautionsOnlyAdd(t *testing.T) {
	house, _ := rules.Load(playbook.Files)
	for i := range house.Cautions {
		c := &house.Cautions[i]
		if i%10 != 0 {
			continue
		}
		calm := fmt.Sprintf("- caution: all-calm\n  raises: %s\n  when: ['not known(\"gust\")']\n  text: All is well.\n  source: nobody\n", c.Raises)
		over, problems := rules.LoadOver(playbook.Files, team("safety/own.yaml", calm))
		if source.Errors(problems) > 0 {
			t.Fatal(source.Format(problems, 3))
		}
		set := fact.Set{}
		before, after := house.Raise(rules.Env{Facts: &set}), over.Raise(rules.Env{Facts: &set})
		for _, b := range before {
			if !slices.ContainsFunc(after, func(a rules.Raised) bool { return a.ID == b.ID && a.Text == b.Text && a.Stop == b.Stop }) {
				t.Errorf("%s is no longer raised as %q", b.ID, b.Text)
			}
		}
	}
}

// No set-up of the house is advised only where a stop of the house holds, so
// the check that refuses such set-ups of a team can be passed.
func TestHouseAdvisesNothingForbidden(t *testing.T) {
	files := fstest.MapFS{}
	if err := fs.WalkDir(playbook.Files, "setups", func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		data, err := fs.ReadFile(playbook.Files, name)
		files[path.Clean(name)] = &fstest.MapFile{Data: data}
		return err
	}); err != nil {
		t.Fatal(err)
	}
	_, problems := rules.LoadOver(playbook.Files, files)
	if source.Errors(problems) > 0 {
		t.Error(source.Format(problems, 10))
	}
}

// An empty folder takes nothing away: every part of the house's book is there.
func TestEmptyFolderLeavesTheHouse(t *testing.T) {
	house, _ := rules.Load(playbook.Files)
	over, problems := rules.LoadOver(playbook.Files, fstest.MapFS{})
	if len(problems) > 0 {
		t.Fatal(source.Format(problems, 5))
	}
	want, got := reflect.ValueOf(house).Elem(), reflect.ValueOf(over).Elem()
	for i := range want.NumField() {
		if f := want.Type().Field(i); f.IsExported() && f.Type.Kind() == reflect.Slice && got.Field(i).Len() != want.Field(i).Len() {
			t.Errorf("%s: %d of %d are left", f.Name, got.Field(i).Len(), want.Field(i).Len())
		}
	}
}
