package rules_test

import (
	"math"
	"path/filepath"
	"testing"
	"testing/fstest"

	"golang.org/x/tools/txtar"

	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// Whatever stands in a rule file, reading, checking and judging it neither
// panics nor comes to a number that is none.
func FuzzRuleFile(f *testing.F) {
	names, err := filepath.Glob("../testdata/bad/*.txtar")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range names {
		archive, err := txtar.ParseFile(name)
		if err != nil {
			f.Fatal(err)
		}
		for _, file := range archive.Files {
			if file.Name != want {
				f.Add(file.Data)
			}
		}
	}
	for _, data := range quay {
		f.Add([]byte(data))
	}
	f.Add([]byte("- setup: [\n- &a {*a : *a}\n? x\n: - |\n  y\n# z"))
	f.Fuzz(func(t *testing.T, data []byte) {
		file := &fstest.MapFile{Data: data}
		files := fstest.MapFS{
			"words/a.yaml": file, "setups/a.yaml": file, "setups/a.cases.yaml": file, "safety/a.yaml": file, "signs/a.yaml": file, "tradeoffs/a.yaml": file,
			"terms/a.yaml": file, "phrases/a.yaml": file, "looks.yaml": file, "shifts.yaml": file, "defaults.yaml": file,
		}
		book, problems := rules.Load(files)
		problems = append(problems, book.Check(files)...)
		_ = source.Format(problems, 20)
		facts := scene()
		book.Assume(facts, nil)
		for _, field := range fact.Table {
			if x, ok := facts.Number(field.Path); ok && (math.IsNaN(x) || math.IsInf(x, 0)) {
				t.Errorf("%s is %v", field.Path, x)
			}
		}
		book.Shifting(rules.Env{Facts: facts})
		for _, w := range book.Weigh(rules.Env{Facts: facts, Numbers: map[string]float64{"iso": 100}}) {
			for _, v := range w.Values {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Errorf("%s weighs %v", w.Tradeoff.ID, v)
				}
			}
		}
		book.Seen(rules.Env{Facts: facts, Technique: []string{}})
		book.AskBack(book.Judge(rules.Env{Facts: facts}))
		book.Raise(rules.Env{Facts: facts, Numbers: map[string]float64{"iso": 100}, Watch: func(rules.Event) {}})
	})
}

// Whatever a condition says, it is judged within its budgets.
func FuzzCondition(f *testing.F) {
	for _, seed := range []string{
		`kind("canopy", "open-shade")`, `not (wind > 8)`, `size("panel") * 2 >= 0.6`, `people in [2, 3]`, `1 / 0 > 3`, `numbers.flash_power > 0.25`,
		`((((((((people)))))))) > 1`, `a ?? b`, `"\u0041" == venue`, "`x`", `reduce(1..9, #acc + #)`, `$env`, `-1e308 ** 3 < 0`, `not not not moving`, `x.y.z()`, `[][0]`, `{a: 1}`, `'`,
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, condition string) {
		book, problems := bookOf(condition)
		verdicts := book.Judge(rules.Env{Facts: scene()})
		if len(verdicts) == 1 && verdicts[0].Outcome == rules.Fires && source.Errors(problems) > 0 {
			t.Errorf("%q fires although it is refused:\n%s", condition, source.Format(problems, 5))
		}
	})
}
