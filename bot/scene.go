package bot

import (
	"slices"
	"strings"

	"panelhand/rules/fact"
)

// onlyTells reports whether a fact is of what a message may say that leaves the
// scene as it is: dials, amounts, complaints, questions, and hazards, which are
// judged for themselves. Anything else changes the scene.
func onlyTells(path string) bool {
	return slices.Contains([]string{"turn", "faults", "wants", "keep", "ask", "term", "hazards"}, path) ||
		strings.HasPrefix(path, "amount.") || slices.ContainsFunc(dialled, func(d dial) bool { return d.path == path })
}

// changesScene reports whether a message says more than what to turn: another
// light, other people, other kit. What the thread knows already is no change,
// nor is what only names the complaint: "glare in the glasses" puts no glasses
// on anybody.
func changesScene(before, said *fact.Set) bool {
	complaints := spans(said, "faults", "wants", "turn")
	within := func(s fact.Span) bool { return slices.ContainsFunc(complaints, s.Overlaps) }
	gelled := said.Has("turn", "gel-on")
	for _, row := range fact.Table {
		if onlyTells(row.Path) || row.Path == "light.cast" && len(said.Choices("faults")) > 0 { // a cast beside a complaint is what the frame shows
			continue
		}
		switch row.Kind {
		case fact.Kit:
			if slices.ContainsFunc(said.Kit(), func(i fact.Item) bool {
				if gelled { // what is turned is the gel, and nothing else of what wears it
					if i.Gel = ""; i.Kind == "gel" {
						return false
					}
				}
				return !onlyTurns(i) && !had(before, i) && !(within(i.Span) && i.SizeM+i.GuideM+i.EnergyWs+i.Lux1m == 0)
			}) {
				return true
			}
		case fact.List:
			for _, choice := range said.Choices(row.Path) {
				if v, _ := said.ChoiceValue(row.Path, choice); !before.Has(row.Path, choice) && !within(v.Span) {
					return true
				}
			}
		default:
			v, ok := said.Get(row.Path)
			was, knew := before.Get(row.Path)
			same := knew && was.Number == v.Number && was.Text == v.Text && was.Flag == v.Flag
			if ok && !same && !within(v.Span) {
				return true
			}
		}
	}
	return false
}

// spans are where the choices of some lists were said.
func spans(said *fact.Set, paths ...string) []fact.Span {
	var out []fact.Span
	for _, path := range paths {
		for _, choice := range said.Choices(path) {
			v, _ := said.ChoiceValue(path, choice)
			out = append(out, v.Span)
		}
	}
	return out
}

// had reports whether kit of the kind is known, and nothing new is said of it.
func had(before *fact.Set, i fact.Item) bool {
	old, ok := before.Item(i.Kind)
	return ok && i.Count <= max(1, old.Count) && (i.SizeM == 0 || i.SizeM == old.SizeM) && (i.GuideM == 0 || i.GuideM == old.GuideM) &&
		(i.Gel == "" || i.Gel == old.Gel) && (!i.HSS || old.HSS) && i.EnergyWs == 0 && i.Lux1m == 0
}

// otherLight reports whether a message names another light than the one the
// set-up stands in.
func otherLight(said *fact.Set) bool {
	for _, row := range fact.Table {
		if !strings.HasPrefix(row.Path, "light.") {
			continue
		}
		if _, ok := said.Get(row.Path); ok || len(said.Choices(row.Path)) > 0 {
			return true
		}
	}
	return said.Has("ask", "moved")
}

// onlyTurns reports whether kit is named for its dial alone: "flash at 1/4".
func onlyTurns(i fact.Item) bool {
	return i.Count <= 1 && (i.Kind == "flash" || i.Kind == "panel" || i.Kind == "strobe") && i.SizeM == 0 && i.GuideM == 0 && i.EnergyWs == 0 && i.Gel == "" && !i.HSS
}

// put sets a number that an earlier message or the set-up that stands gave.
func put(facts *fact.Set, path string, v float64) {
	facts.Drop(path)
	facts.Put(path, fact.Value{Number: v, Origin: fact.Kept})
}
