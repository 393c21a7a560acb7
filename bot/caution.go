package bot

import (
	"panelhand/bot/answer"
	"panelhand/bot/hear"
	"panelhand/rules"
)

// decline answers what would hurt someone or break a rule: the stop, why, and
// the nearest safe picture. Nothing is lit.
func (c *Coach) decline(a *answer.Answer, reading hear.Reading, raised []rules.Raised) {
	a.Kind = answer.KindSafety
	a.Raised, a.Safety = raised, cautions(raised, nil, reading)
	a.Headline = a.Safety[0].Text
	a.Setup = &answer.Setup{ID: "decline", Title: a.Headline, Technique: []string{"decline"}, Source: raised[0].Rule.Source}
	if safe := raised[0].Instead; safe != nil {
		a.Instead = &answer.Instead{Title: safe.Title.Value}
		for _, p := range safe.Place {
			a.Instead.Place = append(a.Instead.Place, p.Value)
		}
	}
	a.Compose(c.book.Phrase, reading.Style)
}

// caution answers a question about safety that nothing stops: the cautions,
// then who decides.
func (c *Coach) caution(a *answer.Answer, reading hear.Reading, raised []rules.Raised) {
	a.Raised, a.Safety = raised, cautions(raised, nil, reading)
	a.Headline = a.Safety[0].Text
	var lines []string
	for _, s := range a.Safety {
		lines = append(lines, s.Text)
	}
	lines = append(append(lines, reading.Notes...), c.book.Phrase("defer"))
	a.Sections = []answer.Section{{Part: answer.Prose, Lines: lines}}
}
