package bot

import (
	"slices"

	"panelhand/bot/answer"
	"panelhand/bot/hear"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// Bounds of the follow-ups that an answer offers.
const (
	mostNext  = 4  // a phone's row and a half of buttons
	mostTried = 12 // each try solves the dials once
)

// next are the follow-ups that fit the set-up that stands: the playbook's
// adjustments with a button whose lines hold here and that can be made. What
// was made last is not offered again; for that a crew says "still".
func (c *Coach) next(a *answer.Answer, t *Thread, reading hear.Reading) []answer.Next {
	last := t.standing()
	if last == nil || a.Numbers == nil || a.Setup == nil || a.Stops() || reading.Facts.Has("ask", "what-if") {
		return nil
	}
	// Only what the thread knows decides here, not what this message asked.
	f := c.follower(last, last.Facts, hear.Reading{Facts: new(fact.Set), Style: reading.Style})
	if f == nil {
		return nil
	}
	facts := f.facts.Clone()
	c.book.Assume(facts, nil)
	env := rules.Env{Facts: facts, Numbers: f.on.numbers.Map(), Technique: f.on.setup.Technique}
	var out []answer.Next
	tried := 0
	for _, adjustment := range c.book.Offers(env) {
		label := adjustment.Button.Value
		offered := slices.ContainsFunc(out, func(n answer.Next) bool { return n.Label == label })
		if offered || slices.Contains(a.Adjusted, adjustment.ID) {
			continue
		}
		if len(out) == mostNext || tried == mostTried {
			break
		}
		tried++
		if why, _, _ := f.trial(adjustment, 1); why == granted {
			out = append(out, answer.Next{Say: label, Label: label})
		}
	}
	return out
}
