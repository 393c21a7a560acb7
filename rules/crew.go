package rules

import (
	"slices"
	"strings"

	"panelhand/rules/source"
)

// crewFile is where a team says who may do what.
const crewFile = "crew.yaml"

// A Crew is who may do what with a team's playbook. People are named as the
// channel names them. The zero Crew names nobody.
type Crew struct {
	Owner      source.Text   `source:"owner"`      // is told when an edit is broken
	Leads      []source.Text `source:"leads"`      // make rules, approve each other's, change a venue's
	Assistants []source.Text `source:"assistants"` // ask, save and train
	Pos        source.Pos
}

// Decode reads the crew and refuses a person of two roles.
func (c *Crew) Decode(n source.Node) []source.Problem {
	type plain Crew
	problems := n.Decode((*plain)(c))
	for _, a := range c.Assistants {
		if names(c.Leads, a.Value) {
			problems = append(problems, source.Errorf(a.Pos, "two-roles", "%s is on the list of leads too; keep one of the two", a.Value))
		}
	}
	return problems
}

// Lead reports whether a person leads the crew. Where no lead is named
// everybody does who is not an assistant.
func (c *Crew) Lead(person string) bool {
	if len(c.Leads) == 0 {
		return !names(c.Assistants, person)
	}
	return names(c.Leads, person)
}

func names(people []source.Text, person string) bool {
	return slices.ContainsFunc(people, func(p source.Text) bool { return strings.EqualFold(p.Value, strings.TrimSpace(person)) })
}
