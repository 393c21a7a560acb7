package bot

import (
	"io/fs"

	"panelhand/bot/answer"
	"panelhand/bot/drill"
	"panelhand/bot/hear"
	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/try"
)

// Bench is this coach as the cases of its playbook are run on: the same
// hearing and the same answers that people get.
func (c *Coach) Bench(files fs.FS) try.Bench {
	return try.Bench{
		Book:  c.book,
		Files: files,
		Mark: func(id string, numbers map[string]float64, say string) (string, bool) {
			m, ok := drill.Reply(c.book, drill.Question{Drill: id, Values: numbers}, say)
			return string(m.Mark), ok
		},
		Hear: func(say string) *fact.Set { return c.ear.Read(say, nil).Facts },
		Answer: func(thread ...string) try.Answer {
			t := new(Thread)
			var a *answer.Answer
			for _, say := range thread {
				a = c.Answer(t, Message{Text: say})
			}
			out := try.Answer{Raised: a.Raised, Heard: a.Facts, Env: a.Env, Asked: a.Asked, Stood: a.Stood, Adjusted: a.Adjusted}
			if a.Setup != nil {
				out.Winner = a.Setup.ID
			}
			if a.Result != nil {
				out.Result = try.Result{Name: a.Result.Name, Value: a.Result.Value, Text: a.Result.Text}
			}
			return out
		},
	}
}

// An Explanation is what a message was heard to say, and what every rule made
// of it.
type Explanation struct {
	Reading  hear.Reading
	Assumed  []rules.Assumption
	Verdicts []rules.Verdict
	Raised   []rules.Raised
	Seen     []rules.Seen    // of the set-up that wins
	Weighed  []rules.Weighed // for the set-up that wins
	Events   []rules.Event
}

// Explain hears and judges a message in a thread of its own and keeps every
// step.
func (c *Coach) Explain(text string) Explanation {
	e := Explanation{Reading: c.ear.Read(text, nil)}
	watch := func(event rules.Event) { e.Events = append(e.Events, event) }
	e.Raised = c.book.Raise(rules.Env{Facts: e.Reading.Facts})
	facts := e.Reading.Facts.Clone()
	e.Assumed = c.book.Assume(facts, nil)
	e.Verdicts = c.book.Judge(rules.Env{Facts: facts, Numbers: before(facts), Watch: watch})
	if a := c.Answer(new(Thread), Message{Text: text}); a.Env.Facts != nil {
		e.Seen, e.Weighed = c.book.Seen(a.Env), c.book.Weigh(a.Env)
	}
	return e
}
