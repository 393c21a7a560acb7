package main

import (
	"fmt"
	"strings"

	"panelhand/rules/fact"
	"panelhand/rules/formula"
)

// facts prints the fact table: what can be heard, and how rules ask for it.
func (p process) facts(args []string) error {
	if len(args) > 0 {
		return usageError{p.usage("facts")}
	}
	for _, f := range fact.Table {
		fmt.Fprintf(p.out, "%-30s %s\n", f.Path, f.Doc)
		fmt.Fprintf(p.out, "    in rules: %s\n", inRules(f))
		if len(f.Choices) > 0 {
			fmt.Fprintf(p.out, "    one of: %s\n", strings.Join(f.Choices, " · "))
		}
	}
	return nil
}

// inRules shows how a condition reads a fact.
func inRules(f fact.Fact) string {
	switch f.Kind {
	case fact.Number:
		unit := ""
		if f.Unit != "" {
			unit = " " + f.Unit
		}
		return fmt.Sprintf("%s, a number from %.6g to %.6g%s", f.Name, f.Low, f.High, unit)
	case fact.Flag:
		return f.Name + ", true or false"
	case fact.Text:
		return f.Name + ", a text"
	}
	return fmt.Sprintf("%s(%q)", f.Name, f.Choices[0])
}

// formulas prints the formula table: what rules may call, with its source.
func (p process) formulas(args []string) error {
	if len(args) > 0 {
		return usageError{p.usage("formulas")}
	}
	for _, f := range formula.Table {
		fmt.Fprintf(p.out, "%s\n    %s\n    %s%s\n", f.Signature(), f.Doc, f.Written, inUnit(f.Unit))
		for _, a := range f.Args {
			fmt.Fprintf(p.out, "    %s: %.6g to %.6g%s\n", a.Name, a.Low, a.High, inUnit(a.Unit))
		}
		fmt.Fprintf(p.out, "    source: %s\n", f.Source)
	}
	return nil
}

func inUnit(unit string) string {
	if unit == "" {
		return ""
	}
	return " " + unit
}
