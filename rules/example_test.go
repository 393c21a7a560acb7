package rules_test

import (
	"fmt"
	"testing/fstest"

	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// A condition that reads what nobody said waits; one that is false rules out
// and is named.
func ExampleBook_Judge() {
	book, problems := rules.Load(fstest.MapFS{"setups/roof.yaml": {Data: []byte(`
- setup: roof-edge-bounce
  title: Edge of the roof, flash off the white panel
  technique: [bounce, edge]
  serves: {softer: 3}
  needs: [flash|strobe, panel]
  when:
    - kind("canopy")
    - not limit("no-flash")
  why: The panel makes the flash as wide as itself.
  source: common practice
`)}})
	fmt.Print(source.Format(problems, 20))

	facts := &fact.Set{}
	facts.SetKit([]fact.Item{{Kind: "flash"}, {Kind: "panel", SizeM: 1}})
	show := func() {
		v := book.Judge(rules.Env{Facts: facts})[0]
		fmt.Printf("%s %v %q\n", v.Outcome, v.WaitsFor, v.Why)
	}
	show()
	facts.Put("light.kind", fact.Value{Text: "canopy", Origin: fact.Said})
	show()
	facts.Add("limits", "no-flash", fact.Value{Origin: fact.Said})
	show()
	// Output:
	// waits [light.kind] "kind(\"canopy\")"
	// fires [] ""
	// ruled out [] "not limit(\"no-flash\")"
}

// A mistake is told with its place, the line and the nearest name.
func ExampleBook_Check() {
	files := fstest.MapFS{"defaults.yaml": {Data: []byte(`
- default: light.ev100
  when:
    - kind("canpoy")
  value: 10
  say: "market roof, EV {value}"
  why: nobody metered it
`)}}
	book, _ := rules.Load(files)
	fmt.Print(source.Format(book.Check(files), 20))
	// Output:
	// defaults.yaml:4:13: "canpoy" is not a choice of light.kind; did you mean canopy? [unknown-choice]
	//         - kind("canpoy")
	//                 ^
}
