package bot

import (
	"fmt"
	"hash/fnv"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"panelhand/bot/answer"
	"panelhand/bot/drill"
	"panelhand/bot/hear"
	"panelhand/bot/render"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// training is what a thread remembers of its drills.
type training struct {
	Open  *drill.Question `json:"open,omitempty"`  // asked and not answered
	Aside bool            `json:"aside,omitempty"` // something else was talked of since
	Asked int             `json:"asked,omitempty"`
	Last  string          `json:"last,omitempty"`  // the working of the one marked last
	About []string        `json:"about,omitempty"` // the drills that were asked for; none are all

	// People is how each did, by the name that the channel has for them.
	People map[string]drill.Progress `json:"people,omitempty"`

	learned []lesson // by the message being answered
}

// A lesson is a change of somebody's progress.
type lesson struct {
	person string
	change func(drill.Progress) drill.Progress
}

// Progress is how a person did in the thread's drills.
func (t *Thread) Progress(person string) drill.Progress { return t.training.People[person] }

// SetProgress makes a person's progress known to a thread, from wherever it is kept.
func (t *Thread) SetProgress(person string, p drill.Progress) {
	if t.training.People == nil {
		t.training.People = map[string]drill.Progress{}
	}
	t.training.People[person] = p
}

// learn changes a person's progress. The change itself is remembered until the
// message is answered: a store makes it where others may have made theirs since.
func (t *Thread) learn(person string, change func(drill.Progress) drill.Progress) {
	t.SetProgress(person, change(t.Progress(person)))
	t.training.learned = append(t.training.learned, lesson{person, change})
}

// An order is a whole message that asks for something of the training.
type order int

const (
	noOrder order = iota
	showWeek
	showProgress
	shareWeek
	hideWeek
	crewWeek
	nextDrill
	hintDrill
	endDrills
	passMark
	whyDrill
)

var orders = map[string]order{
	"week": showWeek, "first week": showWeek, "week one": showWeek, "week 1": showWeek, "training week": showWeek, "training": showWeek, "training plan": showWeek, "im new": showWeek, "im new here": showWeek, "new here": showWeek,
	"my progress": showProgress, "my week": showProgress, "my drills": showProgress, "my marks": showProgress, "progress": showProgress, "how am i doing": showProgress,
	"my score": showProgress, "my scores": showProgress, "score": showProgress, "how many right": showProgress, "how many right so far": showProgress, "my results": showProgress, "how did i do": showProgress, "how am i getting on": showProgress,
	"who see my progress": showProgress, "who see my week": showProgress, "who see my drills": showProgress, "who see my drill results": showProgress, "who see my results": showProgress, "who see my marks": showProgress, "who see my scores": showProgress, "who sees my progress": showProgress, "who sees my drill results": showProgress, "who sees my week": showProgress, "who sees my marks": showProgress,
	"who my progress": showProgress, "who my week": showProgress, "who my drills": showProgress, "who my drill results": showProgress, "who my results": showProgress, "who my marks": showProgress, "who my scores": showProgress,
	"my progress private": showProgress, "my week private": showProgress, "my drill results private": showProgress, "my marks private": showProgress, "my results private": showProgress,
	"need repeat": showProgress, "repeat": showProgress, "should repeat": showProgress, "comes again": showProgress, "what comes again": showProgress, "need practise": showProgress, "need practice": showProgress, "practise": showProgress, "did get wrong": showProgress, "get wrong": showProgress, "did i get wrong": showProgress,
	"share my week": shareWeek, "share my progress": shareWeek, "share my drills": shareWeek,
	"keep my week private": hideWeek, "keep my progress private": hideWeek, "keep my drills private": hideWeek, "stop sharing my week": hideWeek, "dont share my week": hideWeek, "unshare my week": hideWeek,
	"make my week private": hideWeek, "make my progress private": hideWeek, "make my drills private": hideWeek, "make my results private": hideWeek, "make my week private again": hideWeek, "make it private": hideWeek, "make it private again": hideWeek, "hide my week": hideWeek, "hide my progress": hideWeek, "hide my drills": hideWeek, "hide my results": hideWeek, "stop sharing my progress": hideWeek, "stop sharing": hideWeek, "dont share my progress": hideWeek, "dont share my week any more": hideWeek, "dont share my week anymore": hideWeek, "my week is private": hideWeek, "take my week back": hideWeek,
	"crew week": crewWeek, "crews week": crewWeek, "team week": crewWeek, "teams week": crewWeek, "crew progress": crewWeek, "whos sharing": crewWeek, "whos sharing their week": crewWeek, "who shares": crewWeek, "who shares their week": crewWeek, "who is sharing": crewWeek, "who is sharing their week": crewWeek, "who sharing their week": crewWeek, "who shared their week": crewWeek,
	"hint": hintDrill, "a hint": hintDrill, "clue": hintDrill, "any hint": hintDrill, "need hint": hintDrill, "i need hint": hintDrill,
	"stop quizzing": endDrills, "stop quiz": endDrills, "stop drill": endDrills, "stop drills": endDrills, "stop drilling": endDrills, "stop testing": endDrills, "stop asking": endDrills, "end quiz": endDrills, "end drill": endDrills, "quit": endDrills, "quit quiz": endDrills,
	"no more questions": endDrills, "no more drills": endDrills, "enough": endDrills, "enough for today": endDrills, "enough questions": endDrills, "im done for today": endDrills, "thats all for today": endDrills, "done for today": endDrills, "thats enough": endDrills, "thats enough for now": endDrills, "enough for now": endDrills, "thats enough for today": endDrills, "thats all for now": endDrills, "im done": endDrills, "im done for now": endDrills, "done for now": endDrills, "no more for now": endDrills, "no more for today": endDrills, "no more": endDrills,
	"pass mark": passMark, "pass marks": passMark, "pass mark for week one": passMark, "pass mark for week 1": passMark, "pass mark for week": passMark, "pass mark for first week": passMark, "pass mark of first week": passMark, "pass mark first week": passMark, "how many need pass": passMark, "how many right pass": passMark, "how many pass": passMark,
	"why": whyDrill, "why is that": whyDrill, "how come": whyDrill, "why that": whyDrill, "why so": whyDrill, "explain": whyDrill, "explain that": whyDrill, "how so": whyDrill, "i dont get it": whyDrill,
	"next": nextDrill, "next one": nextDrill, "next question": nextDrill, "another": nextDrill, "another one": nextDrill, "another question": nextDrill, "one more": nextDrill, "more": nextDrill, "again": nextDrill, "go on": nextDrill,
}

// dayOrder are the days by their place in the week.
var dayOrder = map[string]int{"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7, "last": 7, "1st": 1, "2nd": 2, "3rd": 3, "4th": 4, "5th": 5, "6th": 6, "7th": 7}

var dayWords = map[string]int{"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7}

// dayNumber is the number in "day 3" or "third day", 0 where there is none.
func dayNumber(words []string) int {
	i := slices.Index(words, "day")
	if i > 0 && dayOrder[words[i-1]] > 0 {
		return dayOrder[words[i-1]]
	}
	if i < 0 || i+1 == len(words) {
		return 0
	}
	if n, err := strconv.Atoi(words[i+1]); err == nil {
		return n
	}
	return dayWords[words[i+1]]
}

// politely are words around an order that change nothing of it.
var politely = []string{"show", "me", "us", "the", "our", "please", "pls", "give", "see", "card", "a", "thanks", "ty", "ok"}

// wondering are the words by which an order is put as a question: "what are the
// hand signals again", "what do i learn the first week".
var wondering = []string{"what", "whats", "are", "is", "were", "again", "i", "do", "learn", "can", "could", "should", "you", "remind", "of", "about", "tell", "list", "have", "to", "know", "by", "heart"}

// without is a message less the words of lists.
func without(words []string, lists ...[]string) []string {
	return slices.DeleteFunc(slices.Clone(words), func(w string) bool {
		return slices.ContainsFunc(lists, func(list []string) bool { return slices.Contains(list, w) })
	})
}

// train answers what belongs to training: an order for a drill, an answer to the
// one that is open, a day of the first week, a card. It is false for any other
// message, which leaves an open question open. Nothing said in training becomes
// a fact of the thread.
func (c *Coach) train(a *answer.Answer, t *Thread, reading hear.Reading, m Message) bool {
	words := strings.Fields(hear.Plain(m.Text))
	bare := without(words, politely)
	plain := strings.Join(bare, " ")
	core := strings.Join(without(bare, wondering, []string{"in", "on"}), " ")
	dayAsked := dayNumber(words)
	ordinal := slices.Sorted(maps.Keys(dayOrder))
	numbered := slices.Sorted(maps.Keys(dayWords))
	ofDay := without(bare, wondering, ordinal, numbered, []string{"week", "training", "in", "on", "my", "for", "1", "2", "3", "4", "5", "6", "7"})
	onlyDay := dayAsked > 0 && len(ofDay) == 1 // "day"
	tr := &t.training
	asked := orders[plain]
	if asked == noOrder {
		asked = orders[core]
	}
	now := m.When
	if now.IsZero() {
		now = m.Now
	}
	if now.IsZero() { // without a clock a question takes a minute
		now = time.Unix(0, 0).UTC().Add(time.Duration(tr.Asked) * time.Minute)
	}
	dangerous := stops(c.book.Raise(rules.Env{Facts: reading.Facts}))
	topic := c.topics.In(m.Text)
	switch day, ok := c.book.DayOf(dayAsked); {
	case asked == endDrills && tr.Asked > 0 && !dangerous:
		tr.Open, tr.Aside = nil, true
		c.say(a, c.book.Phrase("drill-ended"))
	case asked == hintDrill && tr.Open != nil && !dangerous:
		hint := drill.Hint(c.book, *tr.Open)
		if hint == "" {
			hint = c.book.Phrase("drill-no-hint")
		}
		question, _ := tr.Open.Text(c.book)
		a.Drill = &answer.Drill{Question: question}
		c.say(a, hint)
	case tr.Open != nil && c.mark(a, t, m, now, dangerous):
	case reading.Facts.Has("ask", "drill") && (asked == noOrder || asked == nextDrill) && (!dangerous || len(topic) > 0 && len(words) <= mostTopic && !strings.Contains(m.Text, "?")):
		if ok {
			topic = day.Drills
		}
		tr.About = topic
		c.ask(a, t, m, now)
	case dangerous:
		return false
	case asked == whyDrill && tr.Last != "" && tr.Open == nil && !tr.Aside:
		c.say(a, tr.Last, c.book.Phrase("drill-more"))
	case asked == nextDrill && tr.Asked > 0 && !tr.Aside:
		c.ask(a, t, m, now)
	case ok && onlyDay:
		c.tellDay(a, day)
	case asked == passMark && len(c.book.Days) > 0:
		c.tellDay(a, &c.book.Days[len(c.book.Days)-1])
	case asked == showWeek && len(c.book.Days) > 0:
		c.tellWeek(a)
	case asked == showProgress, asked == shareWeek, asked == hideWeek:
		if asked != showProgress {
			t.learn(m.Person, func(p drill.Progress) drill.Progress { p.Shared = asked == shareWeek; return p })
		}
		p := t.Progress(m.Person)
		c.tellProgress(a, p.Week(m.Person, now), p.Shared)
	case asked == crewWeek:
		c.tellCrew(a, drill.Weeks(tr.People, now), m.Lead)
	default:
		card := c.card(words, plain)
		if card == nil && core != "" {
			card = c.card(nil, core)
		}
		call := ""
		if card == nil {
			call = c.call(words, m.Text)
		}
		switch {
		case card != nil:
			c.tellCard(a, card)
		case call != "":
			c.say(a, call)
		default:
			tr.Aside = tr.Open != nil
			return false
		}
	}
	a.Kind, a.Unheard = answer.KindDrill, nil
	if a.Facts = t.facts; a.Facts == nil {
		a.Facts = &fact.Set{}
	}
	a.Heard = fact.HeardJSON(a.Facts)
	a.Text = render.Text(a.Sections, c.labels)
	return true
}

// mostTopic is how many words an order for a drill has that only names a danger
// as its matter: "test me on thunder".
const mostTopic = 6

// ask asks the next drill.
func (c *Coach) ask(a *answer.Answer, t *Thread, m Message, now time.Time) {
	tr := &t.training
	h := fnv.New64a()
	fmt.Fprint(h, m.Seed, m.Now.UnixNano(), m.Person, tr.Asked)
	q, ok := drill.Ask(c.book, h.Sum64(), t.Progress(m.Person), now, tr.About)
	text, known := q.Text(c.book)
	if !ok || !known {
		c.say(a, c.book.Phrase("drill-none"))
		return
	}
	tr.Open, tr.Aside, tr.Asked = &q, false, tr.Asked+1
	a.Drill = &answer.Drill{Question: text}
	c.say(a, text)
}

// mark marks a message as the answer to the open question, if it reads as one.
// A message that safety stops is no answer, but for "stop" itself; nor is one
// after a set-up was talked of, unless it says so: "2 stops darker" is then for
// the set-up.
func (c *Coach) mark(a *answer.Answer, t *Thread, m Message, now time.Time, dangerous bool) bool {
	tr := &t.training
	marked, ok := drill.Reply(c.book, *tr.Open, m.Text)
	if !ok || dangerous && marked.Mark != drill.StopRight && !marked.Degrees {
		return false
	}
	if tr.Aside && t.standing() != nil && marked.Why != "passed" && !strings.HasPrefix(strings.ToLower(strings.TrimSpace(m.Text)), "answer:") {
		return false
	}
	question, _ := tr.Open.Text(c.book)
	q := *tr.Open
	t.learn(m.Person, func(p drill.Progress) drill.Progress { return p.After(q, marked.Mark, now) })
	tr.Open, tr.Aside, tr.Last = nil, false, marked.Of
	a.Drill = &answer.Drill{Question: question, Mark: string(marked.Mark), Of: marked.Of}
	if marked.Mark == drill.StopRight { // the contract knows three marks
		a.Drill.Mark, a.Drill.Stop = string(drill.Right), true
	}
	c.say(a, c.book.Phrase("drill-"+marked.Why), marked.Of, c.book.Phrase("drill-more"))
	return true
}

// stillOpen reminds of the question that a message left open.
func (c *Coach) stillOpen(a *answer.Answer, t *Thread) *answer.Answer {
	if t.training.Open == nil {
		return a
	}
	if text, ok := t.training.Open.Text(c.book); ok {
		a.Sections = append(a.Sections, answer.Section{Part: answer.Prose, Lines: []string{strings.ReplaceAll(c.book.Phrase("drill-open"), "{question}", text)}})
		a.Text = render.Text(a.Sections, c.labels)
	}
	return a
}

// card finds the card that a message asks for by name.
func (c *Coach) card(words []string, plain string) *rules.Card {
	whole := strings.Join(words, " ")
	for i := range c.book.Cards {
		for _, say := range c.book.Cards[i].Say {
			if s := hear.Plain(say); s == plain || s == whole {
				return &c.book.Cards[i]
			}
		}
	}
	return nil
}

// signalling are the words around a call whose meaning is asked.
var signalling = []string{"mean", "means", "meaning", "say", "says", "said", "closed", "clenched", "raised", "when", "lead", "if", "does", "did", "signal", "sign", "call", "calls", "shouts", "shows", "he", "she", "an", "and", "that", "it"}

// call finds the line of a card whose call is asked after, "what does a fist mean",
// unless it is one word, and one of the trade as well.
func (c *Coach) call(words []string, text string) string {
	asks := slices.ContainsFunc(words, func(w string) bool { return slices.Contains(signalling[:6], w) })
	core := without(words, politely, wondering, signalling)
	if len(core) == 0 || !asks && (len(core) < 2 || !strings.HasSuffix(strings.TrimSpace(text), "?")) || len(core) < 2 && len(c.termsIn(text)) > 0 {
		return ""
	}
	said := strings.Join(core, " ")
	for i := range c.book.Cards {
		for _, line := range c.book.Cards[i].Lines {
			for _, one := range append(strings.Split(line.Call.Value, "/"), line.Call.Value) {
				if strings.Join(without(strings.Fields(hear.Plain(one)), politely, wondering, signalling), " ") == said {
					return line.Call.Value + ": " + line.Means.Value
				}
			}
		}
	}
	return ""
}

// say makes lines the whole answer, the first its headline.
func (c *Coach) say(a *answer.Answer, lines ...string) {
	a.Headline = lines[0]
	a.Sections = []answer.Section{{Part: answer.Prose, Lines: lines}}
}

// told fills a phrase's holes, given as name and value by turns.
func (c *Coach) told(id string, with ...string) string {
	text := c.book.Phrase(id)
	for i := 0; i+1 < len(with); i += 2 {
		text = strings.ReplaceAll(text, "{"+with[i]+"}", with[i+1])
	}
	return text
}

func (c *Coach) tellWeek(a *answer.Answer) {
	lines := []string{c.book.Phrase("week-title")}
	for _, d := range c.book.Days {
		lines = append(lines, c.told("week-day", "day", strconv.Itoa(d.Day), "title", d.Title.Value))
	}
	c.say(a, append(lines, c.told("week-drill", "day", "1"))...)
}

func (c *Coach) tellDay(a *answer.Answer, d *rules.Day) {
	number := strconv.Itoa(d.Day)
	lines := []string{c.told("week-day", "day", number, "title", d.Title.Value)}
	for _, k := range d.Know {
		lines = append(lines, "· "+k.Value)
	}
	var terms, cards []string
	for _, id := range d.Terms {
		if term, ok := c.book.Term(id); ok && len(term.Say) > 0 {
			terms = append(terms, term.Say[0])
		}
	}
	for _, id := range d.Cards {
		if card, ok := c.book.Card(id); ok {
			cards = append(cards, "“"+strings.ToLower(card.Title.Value)+"”")
		}
	}
	if len(terms) > 0 {
		lines = append(lines, c.told("week-terms", "terms", strings.Join(terms, ", ")))
	}
	if len(cards) > 0 {
		lines = append(lines, c.told("week-cards", "cards", strings.Join(cards, ", ")))
	}
	lines = append(lines,
		c.told("week-pass", "pass", strings.TrimSuffix(d.Pass.Value, "."), "right", strconv.Itoa(d.Marks.Right), "of", strconv.Itoa(d.Marks.Of)),
		c.told("week-drill", "day", number))
	c.say(a, lines...)
}

// cardWidth is how many characters of calls stand on one line of a card.
const cardWidth = 105

func (c *Coach) tellCard(a *answer.Answer, card *rules.Card) {
	lines := []string{card.Title.Value}
	for _, call := range card.Lines {
		text := call.Call.Value + ": " + call.Means.Value
		if last := len(lines) - 1; last > 0 && len([]rune(lines[last]))+len([]rune(text))+3 <= cardWidth {
			lines[last] += " · " + text
			continue
		}
		lines = append(lines, text)
	}
	c.say(a, lines...)
}

func (c *Coach) weekLine(w drill.Week) string {
	return c.told("drill-progress", "asked", strconv.Itoa(w.Asked), "right", strconv.Itoa(w.Right), "half", strconv.Itoa(w.Half))
}

func (c *Coach) tellProgress(a *answer.Answer, w drill.Week, shared bool) {
	lines := []string{c.weekLine(w)}
	if len(w.Again) > 0 {
		lines = append(lines, c.told("drill-again", "drills", strings.ReplaceAll(strings.Join(w.Again, ", "), "-", " ")))
	}
	whose := "drill-private"
	if shared {
		whose = "drill-shared"
	}
	c.say(a, append(lines, c.book.Phrase(whose))...)
}

// tellCrew tells a lead the week of those who agreed to it.
func (c *Coach) tellCrew(a *answer.Answer, weeks []drill.Week, lead bool) {
	switch {
	case !lead:
		c.say(a, c.book.Phrase("drill-leads-only"))
		return
	case len(weeks) == 0:
		c.say(a, c.book.Phrase("drill-nobody-shares"))
		return
	}
	var lines []string
	for _, w := range weeks {
		lines = append(lines, strings.TrimPrefix(w.Person+": "+c.weekLine(w), ": "))
	}
	c.say(a, lines...)
}
