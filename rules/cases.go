package rules

import (
	"fmt"
	"io/fs"
	"path"
	"strings"

	"panelhand/rules/source"
)

// A Case is a message and what the rules must make of it. It stands in
// NAME.cases.yaml beside NAME.yaml, whose rules it tests.
type Case struct {
	After   []source.Text `source:"after"` // messages of the thread before it
	Say     source.Text   `source:"say,required"`
	Fires   []source.Text `source:"fires"`   // set-ups that fire, defaults filled
	Sees    []source.Text `source:"sees"`    // signs that are seen
	Weighs  []source.Text `source:"weighs"`  // trade-offs that are told
	Plans   []source.Text `source:"plans"`   // lines that stand in the plan
	Adjusts []source.Text `source:"adjusts"` // adjustments that are made
	Not     []source.Text `source:"not"`     // set-ups that are ruled out or wait, signs that are not seen, trade-offs and lines of a plan that are not told, adjustments that are not made
	Best    source.Text   `source:"best"`    // the set-up that wins
	Raises  []source.Text `source:"raises"`  // cautions raised, by the contract's id or a rule's
	Quiet   []source.Text `source:"quiet"`   // cautions not raised
	Stop    *bool         `source:"stop"`    // whether any caution stops the answer
	Result  *Expected     `source:"result"`  // the number that a question gets
	Mend    source.Text   `source:"mend"`    // what is wrong with the answer: nothing of the case need come out yet
	Pos     source.Pos
}

// An Expected is the number that a case expects; the name "none" says that the
// message is no question.
type Expected struct {
	Name   source.Text `source:"name,required"`
	Value  *float64    `source:"value"`
	Within float64     `source:"within"` // half a percent where it is not said
	Text   string      `source:"text"`   // what the result's words hold
	Source string      `source:"source"`
}

// kept is what of a case of the house must come out under a team's playbook
// too: what is raised, and what stops the answer.
func (c Case) kept() Case {
	out := Case{After: c.After, Say: c.Say, Raises: c.Raises, Pos: c.Pos}
	if c.Stop != nil && *c.Stop {
		out.Stop = c.Stop
	}
	return out
}

// Cases reads every file of cases of a playbook but those of drills. Of a playbook laid over the
// house's it reads the team's, and of the house's what safety must still raise.
func Cases(files fs.FS) ([]Case, []source.Problem) {
	var cases []Case
	var problems []source.Problem
	_, laid := files.(layers)
	err := fs.WalkDir(files, ".", func(name string, entry fs.DirEntry, err error) error {
		if err == nil && hidden(name, entry) {
			return fs.SkipDir
		}
		if err != nil || entry.IsDir() || !strings.HasSuffix(name, CasesSuffix) || ofDrills(name) {
			return err
		}
		over := laid && ofHouse(name)
		data, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		root, bad := source.Parse(name, data)
		problems = append(problems, bad...)
		var read []Case
		problems = append(problems, list(root, &read)...)
		for _, c := range read {
			if over {
				if c = c.kept(); c.Raises == nil && c.Stop == nil {
					continue
				}
			}
			cases = append(cases, c)
		}
		rules := strings.TrimSuffix(name, CasesSuffix) + ".yaml"
		if _, err := fs.Stat(files, rules); err != nil && name != ToMend {
			problems = append(problems, source.Errorf(source.Pos{File: name}, "stray-file", "there is no %s beside it", path.Base(rules)))
		}
		return nil
	})
	if err != nil {
		problems = append(problems, source.Errorf(source.Pos{File: "."}, "unreadable", "cannot be read: %v", err))
	}
	for _, c := range cases {
		if !c.Expects() && c.Mend.Value == "" {
			problems = append(problems, source.Errorf(c.Pos, "no-cases", "the case expects nothing, so it cannot fail"))
		}
	}
	return cases, quoted(problems, files)
}

// OwnCases are the cases of a team's own files where a playbook is laid over
// the house's, else all of them.
func OwnCases(files fs.FS) ([]Case, []source.Problem) {
	if l, laid := files.(layers); laid {
		files = l.team
	}
	return Cases(files)
}

// Expects reports whether anything must come out.
func (c Case) Expects() bool {
	return c.AsksRules() || len(c.Raises)+len(c.Quiet) > 0 || c.Best.Value != "" || c.Stop != nil || c.Result != nil
}

// AsksRules reports whether anything is expected of rules that an answer alone
// does not show.
func (c Case) AsksRules() bool {
	return len(c.Fires)+len(c.Sees)+len(c.Weighs)+len(c.Plans)+len(c.Adjusts)+len(c.Not) > 0
}

// casesFile is the name of the file with the cases for rules in a file.
func casesFile(rules string) string { return strings.TrimSuffix(rules, ".yaml") + CasesSuffix }

func (e *Expected) String() string {
	if e.Value == nil {
		return strings.TrimSpace(e.Name.Value + " " + e.Text)
	}
	return fmt.Sprintf("%s %g", e.Name.Value, *e.Value)
}

// ofDrills reports whether a file of cases is one of typed answers, in
// whichever layer it lies.
func ofDrills(name string) bool {
	return strings.HasPrefix(name, drillFolder) || strings.Contains(name, "/"+drillFolder)
}
