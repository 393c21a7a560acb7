package bot

import (
	"panelhand/bot/answer"
	"panelhand/bot/hear"
	"panelhand/rules"
)

// sign is what the message says is seen, why it is so, and what of the
// remedies this crew can use here. Of several the first in the playbook is
// told: it reads a face from the eyes outward.
func (c *Coach) sign(env rules.Env, s *staging, reading hear.Reading) *answer.Sign {
	all := c.book.Seen(env)
	if len(all) == 0 {
		return nil
	}
	seen := all[0]
	out := &answer.Sign{ID: seen.Sign.Fault, See: seen.Sign.See.Value, Cause: seen.Sign.Cause.Value}
	for _, r := range seen.Remedies {
		if text, ok := answer.Fill(r.Say.Value, s.numbers, s.lengths, reading.Style); ok {
			out.Remedies = append(out.Remedies, answer.Remedy{Effort: r.Effort, Text: text})
		}
	}
	return out
}
