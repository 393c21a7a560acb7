package bot

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"panelhand/bot/answer"
	"panelhand/bot/drill"
	"panelhand/bot/hear"
	"panelhand/bot/render"
	"panelhand/rules"
)

// A Trainee is who is being asked drills: what was asked before and when it is
// now. The same Seed and progress give the same question.
type Trainee struct {
	Progress drill.Progress
	Now      time.Time
	Seed     uint64
	// Team is what the crew's leads may see; nil where whoever asks is none.
	Team func() (map[string]drill.Progress, error)

	// Learned is what the message changes of the progress; nil for nothing.
	Learned func(drill.Progress) drill.Progress
}

// quiz is the training of one talk: the question that waits for an answer, how
// many were asked, and the progress, where nobody keeps it by person.
type quiz struct {
	Open     *drill.Question `json:"open,omitempty"`
	Asked    uint64          `json:"asked,omitempty"`
	Progress drill.Progress  `json:"progress,omitzero"`
}

// The grammar of training, beside the playbook's word for a drill.
var (
	theDay    = form(`(?:(?:show(?:\s+me)?|tell\s+me(?:\s+about)?|what(?:['’]?s|\s+is)(?:\s+on)?|training|for)\s+)?(?:training\s+)?day\s*(?P<day>\d{1,3}|one|two|three|four|five|six|seven)(?:\s+(?:of\s+)?(?:training|(?:the\s+)?first\s+week))?\s*[?.!]*$`)
	theWeek   = form(`(?:(?:show(?:\s+me)?|tell\s+me(?:\s+about)?|what(?:['’]?s|\s+is)(?:\s+in)?)\s+)?(?:(?:the|my)\s+)?(?:first\s+week|week\s+(?:one|1)|training\s+week|new\s+assistant(?:['’]?s)?(?:\s+week)?)\s*[?.!]*$`)
	progress  = form(`(?:(?:show(?:\s+me)?|what(?:['’]?s|\s+is)|how(?:['’]?s|\s+is))\s+)?my\s+(?:week|training|progress|drills?|marks|score)(?:\s+so\s+far)?\s*[?.!]*$`)
	shareWeek = form(`share\s+my\s+(?:week|training|progress)(?:\s+with\s+(?:the\s+|my\s+)?leads?)?\s*[.!]*$`)
	hideWeek  = form(`(?:keep\s+my\s+(?:week|training|progress)\s+private|(?:stop\s+sharing|don['’]?t\s+share|unshare|hide)\s+my\s+(?:week|training|progress))\s*[.!]*$`)
	teamWeek  = form(`(?:(?:show(?:\s+me)?|how\s+is)\s+)?(?:the\s+)?(?:team|crew)(?:['’]?s)?\s+(?:training|drills?|progress)(?:\s+week)?\s*[?.!]*$`)
	noMore    = form(`(?:end|quit|exit|leave|close|enough(?:\s+of)?|no\s+more|stop)\s+(?:the\s+|this\s+)?(?:drills?|training|questions?|quiz(?:zes)?|testing)\s*[.!]*$`)
	onceMore  = form(`(?:what\s+was\s+(?:the|that)\s+question|repeat(?:\s+the\s+question)?|say\s+(?:it|that)\s+again|the\s+question(?:\s+again)?)(?:\s+again)?(?:\s+please)?\s*[?.!]*$`)
	anyDay    = regexp.MustCompile(`(?i)\bday\s*([1-9]\d?)\b`)
	cardAsked = form(`(?:(?:show(?:\s+(?:me|us))?|give\s+(?:me|us)|what\s+are|print|the|our|a|list)\s+)*(?P<card>.+?)\s*(?:card)?(?:\s+please)?\s*[?.!]*$`)
)

// train answers what belongs to training and reports whether the message does:
// a drill asked for, an answer to the one that is open, the first week, a card.
// Anything else is answered as ever, and the question stays open. What is said in
// training is nothing that the thread knows of the scene.
func (c *Coach) train(a *answer.Answer, t *Thread, m Message, reading hear.Reading) bool {
	who := m.Trainee
	if who == nil {
		who = &Trainee{Progress: t.quiz.Progress, Now: m.Now}
		defer func() {
			if who.Learned != nil {
				t.quiz.Progress = who.Learned(t.quiz.Progress)
			}
		}()
	}
	lines := c.lesson(a, t, m.Text, reading, who)
	if lines == nil {
		return false
	}
	a.Kind, a.Headline, a.Facts = answer.KindDrill, lines[0], t.facts
	a.Heard = map[string]any{}
	a.Compose(c.book.Phrase, reading.Style, lines...)
	// An answer may name a danger, and so may whoever has one before them.
	for _, r := range c.book.Raise(rules.Env{Facts: reading.Facts, Technique: []string{}}) {
		if r.Stop {
			a.Sections = append(a.Sections, answer.Section{Part: answer.Careful, Lines: []string{r.Text}})
			break
		}
	}
	a.Text = render.Text(a.Sections, c.labels)
	return true
}

// lesson is what training says to a message; nil where it is none of its own.
func (c *Coach) lesson(a *answer.Answer, t *Thread, text string, reading hear.Reading, who *Trainee) []string {
	if t.quiz.Open != nil {
		switch {
		case noMore.MatchString(text):
			t.quiz.Open = nil
			return []string{c.book.Phrase("drill-ended")}
		case onceMore.MatchString(text):
			if asked, ok := t.quiz.Open.Text(c.book); ok {
				a.Drill = &answer.Drill{Question: asked}
				return []string{c.phrase("drill-open", "{question}", asked)}
			}
		}
	}
	switch {
	case shareWeek.MatchString(text):
		who.Learned = func(p drill.Progress) drill.Progress { p.Shared = true; return p }
		return []string{c.book.Phrase("drill-shared")}
	case hideWeek.MatchString(text):
		who.Learned = func(p drill.Progress) drill.Progress { p.Shared = false; return p }
		return []string{c.book.Phrase("drill-private")}
	case progress.MatchString(text):
		return c.progress(who)
	case teamWeek.MatchString(text):
		return c.teamWeeks(who)
	case theWeek.MatchString(text):
		return c.week()
	}
	if d := theDay.FindStringSubmatch(text); d != nil {
		return c.day(group(theDay, d, "day"), who)
	}
	if card, ok := c.card(text); ok {
		lines := []string{card.Title.Value + ":"}
		return append(lines, twoByTwo(card.Lines)...)
	}
	if reading.Facts.Has("ask", "drill") && !anew(reading.Facts) {
		return c.ask(a, t, text, who)
	}
	return c.mark(a, t, text, who)
}

// twoByTwo puts the calls of a card on lines: two on each, so that the whole
// card stands on one screen of a phone.
func twoByTwo(calls []rules.Call) []string {
	var lines []string
	for pair := range slices.Chunk(calls, 2) {
		var both []string
		for _, l := range pair {
			both = append(both, l.Call.Value+": "+l.Means.Value)
		}
		lines = append(lines, strings.Join(both, " · "))
	}
	return lines
}

// ask draws a question on what the message names, of a day or a matter.
func (c *Coach) ask(a *answer.Answer, t *Thread, text string, who *Trainee) []string {
	var ids []string
	if day := anyDay.FindStringSubmatch(text); day != nil {
		n, _ := strconv.Atoi(day[1])
		d, ok := c.book.DayOf(n)
		if !ok {
			return []string{c.book.Phrase("week-no-day")}
		}
		ids = d.Drills
	} else {
		ids = drill.Topic(c.book, text)
	}
	q, ok := drill.Ask(c.book, who.Seed+t.quiz.Asked, who.Progress, who.Now, ids)
	if !ok {
		return []string{c.book.Phrase("drill-none")}
	}
	asked, _ := q.Text(c.book)
	t.quiz.Open, t.quiz.Asked = &q, t.quiz.Asked+1
	who.Learned = func(p drill.Progress) drill.Progress { p.Last = q.Drill; return p }
	a.Drill = &answer.Drill{Question: asked}
	return []string{asked}
}

// mark marks an answer to the open question, where the message reads as one.
func (c *Coach) mark(a *answer.Answer, t *Thread, text string, who *Trainee) []string {
	if t.quiz.Open == nil {
		return nil
	}
	q := *t.quiz.Open
	marked, ok := drill.Reply(c.book, q, text)
	if !ok {
		return nil
	}
	asked, _ := q.Text(c.book)
	t.quiz.Open = nil
	who.Learned = func(p drill.Progress) drill.Progress { return p.After(q, marked.Mark, who.Now) }
	a.Drill = &answer.Drill{Question: asked, Mark: string(marked.Mark), Of: marked.Of}
	return []string{c.book.Phrase("drill-" + marked.Why), marked.Of, c.book.Phrase("drill-more")}
}

// progress tells a person's own week.
func (c *Coach) progress(who *Trainee) []string {
	lines := c.told("drill-progress", who.Progress.Week("", who.Now))
	if who.Progress.Shared {
		return append(lines, c.book.Phrase("drill-shared"))
	}
	return append(lines, c.book.Phrase("drill-private"))
}

// told is a week in a sentence, and what of it comes again.
func (c *Coach) told(phrase string, w drill.Week) []string {
	lines := []string{c.phrase(phrase, "{person}", w.Person, "{asked}", strconv.Itoa(w.Asked), "{right}", strconv.Itoa(w.Right), "{half}", strconv.Itoa(w.Half))}
	if len(w.Again) > 0 {
		lines = append(lines, c.phrase("drill-again", "{drills}", strings.ReplaceAll(strings.Join(last(w.Again, mostFound), ", "), "-", " ")))
	}
	return lines
}

// teamWeeks tells a lead the weeks of those who agreed to it.
func (c *Coach) teamWeeks(who *Trainee) []string {
	if who.Team == nil {
		return []string{c.book.Phrase("drill-leads-only")}
	}
	people, err := who.Team()
	weeks := drill.Weeks(people, who.Now)
	if err != nil || len(weeks) == 0 {
		return []string{c.book.Phrase("drill-nobody-shares")}
	}
	var lines []string
	for _, w := range weeks {
		lines = append(lines, c.told("drill-week-of", w)...)
	}
	return lines
}

// week lists the days of the first week.
func (c *Coach) week() []string {
	lines := []string{c.book.Phrase("week-title")}
	for _, d := range c.book.Days {
		lines = append(lines, c.phrase("week-day", "{day}", strconv.Itoa(d.Day), "{title}", d.Title.Value))
	}
	return append(lines, c.phrase("week-drill", "{day}", "1"))
}

// day tells what a day is about, and how far it is passed.
func (c *Coach) day(number string, who *Trainee) []string {
	n, err := strconv.Atoi(number)
	if err != nil {
		n = 1 + slices.Index(strings.Fields("one two three four five six seven"), strings.ToLower(number))
	}
	d, ok := c.book.DayOf(n)
	if !ok {
		return []string{c.book.Phrase("week-no-day")}
	}
	day := strconv.Itoa(d.Day)
	lines := []string{c.phrase("week-day", "{day}", day, "{title}", d.Title.Value)}
	for _, k := range d.Know {
		lines = append(lines, k.Value)
	}
	names := func(phrase, mark string, ids []string, name func(string) string) {
		var all []string
		for _, id := range ids {
			all = append(all, name(id))
		}
		if len(all) > 0 {
			lines = append(lines, c.phrase(phrase, mark, strings.Join(all, ", ")))
		}
	}
	names("week-terms", "{terms}", d.Terms, func(id string) string { return strings.ReplaceAll(id, "-", " ") })
	names("week-cards", "{cards}", d.Cards, func(id string) string {
		card, _ := c.book.Card(id)
		return strings.ToLower(card.Title.Value)
	})
	right := 0
	for _, id := range d.Drills {
		if m := who.Progress.Drills[id].Last; m == drill.Right || m == drill.StopRight {
			right++
		}
	}
	return append(lines,
		c.phrase("week-pass", "{pass}", d.Pass.Value, "{right}", strconv.Itoa(d.Marks.Right), "{of}", strconv.Itoa(d.Marks.Of), "{so far}", strconv.Itoa(right)),
		c.phrase("week-drill", "{day}", day))
}

// card finds the card that a message asks for and does nothing else.
func (c *Coach) card(text string) (*rules.Card, bool) {
	m := cardAsked.FindStringSubmatch(text)
	if m == nil {
		return nil, false
	}
	asked := hear.Plain(group(cardAsked, m, "card"))
	for i := range c.book.Cards {
		card := &c.book.Cards[i]
		if slices.ContainsFunc(append([]string{card.Title.Value}, card.Say...), func(s string) bool { return hear.Plain(s) == asked || hear.Plain(s) == asked+" card" }) {
			return card, true
		}
	}
	return nil, false
}
