package rules_test

import (
	"testing"
	"testing/fstest"

	"panelhand/rules"
	"panelhand/rules/playbook"
	"panelhand/rules/source"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// Every set-up and every case of the house comes back as it was written.
func TestWrittenIsRead(t *testing.T) {
	book, _ := rules.Load(playbook.Files)
	cases, _ := rules.Cases(playbook.Files)
	setups, err := rules.WriteSetups(book.Setups...)
	if err != nil {
		t.Fatal(err)
	}
	said, err := rules.WriteCases(cases...)
	if err != nil {
		t.Fatal(err)
	}
	files := fstest.MapFS{"setups/all.yaml": {Data: setups}, "setups/all.cases.yaml": {Data: said}}
	back, problems := rules.Load(files)
	if len(problems) > 0 {
		t.Fatal(source.Format(problems, 10))
	}
	saidBack, problems := rules.Cases(files)
	if len(problems) > 0 {
		t.Fatal(source.Format(problems, 10))
	}
	// Where a text stood is not written.
	places := cmp.Options{
		cmpopts.IgnoreTypes(source.Pos{}), cmpopts.IgnoreFields(source.Text{}, "InLine"), cmpopts.IgnoreUnexported(rules.Line{}), cmpopts.EquateEmpty(),
	}
	if diff := cmp.Diff(book.Setups, back.Setups, places); diff != "" {
		t.Errorf("set-ups (- house, + read back):\n%s", diff)
	}
	if diff := cmp.Diff(cases, saidBack, places); diff != "" {
		t.Errorf("cases (- house, + read back):\n%s", diff)
	}
	for i := range back.Setups {
		each(back.Setups[i].When, func(l rules.Line) {
			if !l.Text.InLine {
				t.Errorf("%s: the condition %q does not stand on its line as it is", back.Setups[i].ID, l.Text.Value)
			}
		})
	}
}

func each(lines rules.Lines, see func(rules.Line)) {
	for _, l := range lines {
		switch {
		case l.Any != nil:
			each(l.Any, see)
		case l.All != nil:
			each(l.All, see)
		default:
			see(l)
		}
	}
}
