package rules_test

import (
	"testing"

	"panelhand/rules"
	"panelhand/rules/playbook"
	"panelhand/rules/source"
)

// The house playbook has no mistakes; its warnings are printed with -v.
func TestHouseBook(t *testing.T) {
	book, problems := rules.Load(playbook.Files)
	problems = append(problems, book.Check(playbook.Files)...)
	if source.Errors(problems) > 0 {
		t.Errorf("%d mistakes\n%s", source.Errors(problems), source.Format(problems, 60))
	} else if len(problems) > 0 {
		t.Logf("warnings\n%s", source.Format(problems, 60))
	}
}
