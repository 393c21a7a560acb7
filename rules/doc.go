// Package rules reads a playbook and judges it against what is known.
//
// A file is read into a tree (package source), the tree into a Book of words,
// set-ups, adjustments, signs, trade-offs, cautions, looks, shifts, defaults, terms, phrases and drills. Conditions are
// compiled when first judged; equal ones share a program. Judging has three
// values: a condition that reads an open fact nobody said is Unknown, and so is
// its not. All-of is the least of its lines, any the greatest, with false < unknown
// < true. Each step of judging is one Event; explaining, failing cases and
// coverage all listen to the same stream.
//
//	book.go                  Book, Load: the folders of a playbook and what they hold
//	setup.go adjust.go sign.go tradeoff.go dayplan.go caution.go words.go shift.go default.go drill.go week.go cases.go drillcase.go
//	                         what stands in them, each with its YAML keys
//	quantity.go numbers.go   measures with units; the numbers that texts and conditions name
//	lines.go                 conditions as written: a list, any, all
//	program.go confine.go compile.go
//	                         one condition: confined, parsed, checked, compiled
//	atom.go                  what a condition can read, and when that has no value
//	deal.go                  a drill reckoned for the numbers drawn
//	judge.go assume.go       a scene judged: verdicts, cautions, assumptions, the question back
//	rule.go                  every rule as lists and explanations show it
//	check.go                 the whole book against itself
//
// What a condition can say is a small part of the expression library's language,
// on purpose: see exprCompiler. Adding a fact is a row in rules/fact, adding a
// formula a row in rules/formula; both can be named in conditions at once. Adding a
// function that reads the kit is a row in calls (atom.go).
package rules
