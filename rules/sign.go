package rules

import (
	"slices"

	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// A Sign is what is seen on a face or in a frame, why it is so, and what helps.
// Several may stand for one fault: the first whose lines hold is the one.
type Sign struct {
	ID     string      `source:"sign,required"`
	Fault  string      `source:"fault"` // a choice of fact faults; the id where none is written
	See    source.Text `source:"see,required"`
	Cause  source.Text `source:"cause,required"`
	When   Lines       `source:"when"`
	Words  *Remedy     `source:"words"` // spoken, at once
	Move   *Remedy     `source:"move"`  // a step or a turn
	Dial   *Remedy     `source:"dial"`  // on the camera, or on a flash that is up already
	Panel  *Remedy     `source:"panel"` // one more thing in a hand
	Flash  *Remedy     `source:"flash"` // one more light
	Source string      `source:"source,required"`
	Pos    source.Pos
}

// A Remedy is one thing that helps, and the kit it takes.
type Remedy struct {
	Effort string
	Say    source.Text
	Needs  []Need
	Side   string // of the panel, where one is needed
}

// Efforts are what a remedy takes, the least first.
var Efforts = []string{"words", "move", "dial", "panel", "flash"}

// usualNeeds is the kit of a remedy that does not say what it needs.
var usualNeeds = map[string][]Need{
	"panel": {{Kinds: []string{"panel", "reflector"}}},
	"flash": {{Kinds: []string{"flash", "strobe"}}},
}

// Decode reads a sign; its fault must be one that can be heard.
func (s *Sign) Decode(n source.Node) []source.Problem {
	type plain Sign
	problems := n.Decode((*plain)(s))
	key := "fault"
	if s.Fault == "" {
		key, s.Fault = "sign", s.ID
	}
	if fault, ok := n.Get(key); ok {
		problems = oneOf(fault, "faults", fact.Faults, problems)
	}
	free := false
	for i, r := range s.efforts() {
		if r == nil {
			continue
		}
		r.Effort = Efforts[i]
		if r.Needs == nil {
			r.Needs = usualNeeds[r.Effort]
		}
		free = free || len(r.Needs) == 0
	}
	if !free && n.Kind() == source.Map {
		problems = append(problems, n.Problem("no-remedy", "%s has no remedy that takes no kit; a crew may have none", s.ID))
	}
	return problems
}

// efforts are the remedies in the order of Efforts, nil where there is none.
func (s *Sign) efforts() []*Remedy {
	return []*Remedy{s.Words, s.Move, s.Dial, s.Panel, s.Flash}
}

// Remedies are what helps, the least effort first.
func (s *Sign) Remedies() []*Remedy {
	return slices.DeleteFunc(s.efforts(), func(r *Remedy) bool { return r == nil })
}

// Decode reads a line, or {say: …, needs: [flash|led], side: black}.
func (r *Remedy) Decode(n source.Node) []source.Problem {
	if n.Kind() == source.Scalar {
		return n.Decode(&r.Say)
	}
	var long struct {
		Say   source.Text `source:"say,required"`
		Needs []Need      `source:"needs"`
		Side  string      `source:"side"`
	}
	problems := n.Decode(&long)
	if side, ok := n.Get("side"); ok {
		problems = oneOf(side, "side", fact.Surfaces, problems)
	}
	r.Say, r.Needs, r.Side = long.Say, long.Needs, long.Side
	return problems
}

// A Seen is a sign that holds, with the remedies that this crew can use here.
type Seen struct {
	Sign     *Sign
	Remedies []*Remedy
}

// Seen returns the signs of the faults that are known, one a fault, in the
// order of the book. An Unknown line does not hold.
func (b *Book) Seen(env Env) []Seen {
	if env.Facts == nil || len(env.Facts.Choices("faults")) == 0 {
		return nil
	}
	s := b.scene(&env)
	defer b.idle.put(s)
	var out []Seen
	told := map[string]bool{}
	for i := range b.Signs {
		sign := &b.Signs[i]
		if told[sign.Fault] || !s.env.Facts.Has("faults", sign.Fault) {
			continue
		}
		if !s.holds(sign.When, StepSign, sign.ID, sign.Pos) {
			continue
		}
		told[sign.Fault] = true
		seen := Seen{Sign: sign}
		for _, r := range sign.Remedies() {
			if s.allows(r) {
				seen.Remedies = append(seen.Remedies, r)
			}
		}
		out = append(out, seen)
	}
	return out
}

// forbids is the kit that a limit rules out. A ban on flash covers any light
// that is lit until whoever runs the place says otherwise (trade handbook §7.1).
var forbids = map[string][]string{
	"no-flash":       {"flash", "strobe", "led"},
	"photosensitive": {"flash", "strobe"},
	"no-stands":      {"stand"},
}

// allows reports whether a remedy's kit is at hand and not forbidden.
func (s *scene) allows(r *Remedy) bool {
	for _, need := range r.Needs {
		if !slices.ContainsFunc(need.Kinds, func(kind string) bool { return s.kinds[kind] && !s.forbidden(kind) }) {
			return false
		}
	}
	return r.Side == "" || shows(s.env.Facts, r.Side)
}

func (s *scene) forbidden(kind string) bool {
	for limit, kinds := range forbids {
		if s.env.Facts.Has("limits", limit) && slices.Contains(kinds, kind) {
			return true
		}
	}
	return false
}
