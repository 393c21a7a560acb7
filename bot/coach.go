// Package bot is the coach: one message in, one answer out.
//
// The way of a message: coach.go hears it and decides what kind of answer it
// gets; setup.go judges the playbook and picks what to stage; stage.go puts a
// set-up up before the facts and solves its dials (gear.go and daylight.go say
// what kit and light are physically, tones.go what picture is wanted);
// measure.go writes its numbers, working.go how they came about, rank.go orders
// what was staged. A follow-up goes another way: thread.go remembers the set-ups
// of a talk, plan.go what follow-ups made of one, change.go finds the adjustment
// that answers, move.go makes its moves, and the set-up is staged again. why.go
// answers questions about it. Nothing here touches a clock, a file or a network.
package bot

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"panelhand/bot/answer"
	"panelhand/bot/drill"
	"panelhand/bot/hear"
	"panelhand/bot/render"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// MaxMessage is the length in bytes of the longest message that is read.
const MaxMessage = hear.MaxBytes

// A Coach answers messages by one playbook. It is built once and safe for
// concurrent use; what a thread remembers is in its Thread.
type Coach struct {
	book   *rules.Book
	ear    *hear.Ear
	labels render.Labels
	terms  []termPhrase
	topics drill.Topics
}

// New builds a coach from a playbook that loaded without errors.
func New(book *rules.Book) *Coach {
	return &Coach{book: book, ear: hear.New(book.Words, book.Questions...), labels: render.LabelsFrom(book.Phrase), terms: termPhrases(book), topics: drill.NewTopics(book)}
}

// Book is the playbook that the coach answers by.
func (c *Coach) Book() *rules.Book { return c.book }

// A Message is what a person typed, and what is not in the text.
type Message struct {
	Text    string
	Full    bool      // with the trace of every rule
	Buttons bool      // with the follow-ups that fit, for a channel that can show them
	Now     time.Time // zero where nobody said
	Zone    string
	Team    string
	Person  string    // who said it, as the channel names them; whose drills these are
	Lead    bool      // who said it leads the crew
	Seed    uint64    // of what is drawn for a drill
	When    time.Time // when it came in by the program's clock, for what comes again in training; never to light by

	// Ground is what lies under the message: the crew's kit list and the
	// venue's rules. Nil where there is none.
	Ground *Ground
}

// Answer reads a message into its thread and answers it. Any text gets an
// answer, nonsense too.
func (c *Coach) Answer(t *Thread, m Message) *answer.Answer {
	reading := c.ear.Read(m.Text, t.facts)
	a := &answer.Answer{Unheard: reading.Leftover}
	switch {
	case reading.TooLong:
		return c.plain(a, reading, answer.KindUnsure, "too-long")
	case reading.Empty:
		return c.plain(a, reading, answer.KindUnsure, "empty")
	}
	if c.train(a, t, reading, m) {
		return a
	}
	t.training.Last = "" // "why" is of what is talked of now
	t.asksOn(&reading, m.Text)
	t.asked = ""
	before := t.facts
	facts := hear.Merge(t.facts, reading.Facts)
	t.facts = facts
	facts = m.Ground.under(facts) // the thread keeps only what was said in it
	t.style = newer(reading.Style, t.style)
	reading.Style = t.style
	a.Facts, a.Told = facts, t.told
	a.Heard = fact.HeardJSON(facts)
	raised := c.book.Raise(rules.Env{Facts: facts})
	a.Kind = c.kind(reading.Facts, raised, m.Text, t.standing() != nil)
	planned := t.planning && (replans(reading.Facts) || t.standing() == nil && ofThePlan(reading.Facts))
	if planned && !stops(raised) {
		a.Kind = answer.KindPlan
	}
	if reading.Facts.Has("ask", "what-if") { // shown, not kept
		was := *t
		was.facts, was.states, was.told = before, slices.Clone(t.states), slices.Clone(t.told)
		defer func() {
			supposed := t.standing()
			*t = was
			if supposed != nil && len(a.Changed) > 0 { // "do that" puts it up after all
				next := *supposed
				t.undone = &next
			}
		}()
	}
	switch {
	case reading.Facts.Has("ask", "restart") && !(reading.Facts.Has("ask", "first") && t.standing() != nil):
		*t = Thread{style: t.style, training: training{People: t.training.People}}
		return c.plain(a, reading, answer.KindChange, "started-over")
	case stops(raised):
		if reading.Facts.Has("ask", "plan") || planned { // the stop is told, the plan stays in the document
			t.planning = true
			c.plan(a, reading, facts, m)
		}
		c.decline(a, reading, raised)
		c.beside(a, reading, dated(facts, m), nil)
	case a.Kind == answer.KindPlan && !reading.Facts.Has("ask", "number"):
		t.planning = true
		c.plan(a, reading, facts, m)
	case a.Kind == answer.KindChange && reading.Facts.Has("ask", "first"):
		c.undoAll(a, t, reading)
	case a.Kind == answer.KindChange && reading.Facts.Has("ask", "undo"):
		c.undo(a, t, reading)
		c.beside(a, reading, dated(t.facts, m), a.Numbers) // "undo that, and what power": of what stands again
	case a.Kind == answer.KindChange && reading.Facts.Has("ask", "redo"):
		c.redo(a, t, reading)
	case c.question(a, reading, dated(facts, m), c.numbers(t, reading)):
		if t.standing() != nil {
			t.facts = unmoved(before, t.facts, reading.Facts)
		}
	case a.Kind == answer.KindChange && onlyAsks(reading.Facts):
		t.facts = before // a question moves no dial
		return c.stillOpen(c.plain(a, reading, answer.KindUnsure, "number-unknown", "number-example-1", "number-example-2"), t)
	case a.Kind == answer.KindSafety:
		c.caution(a, reading, raised)
	case a.Kind == answer.KindMeaning:
		t.facts = before // a question changes nothing
		switch {
		case reading.Facts.Has("ask", "hands") && c.hands(a, t, reading):
		case reading.Facts.Has("ask", "cost") && c.cost(a, t, reading):
		case reading.Facts.Has("ask", "why") && c.why(a, t, reading, m.Text):
		default:
			c.meaning(a, reading, m.Text)
		}
	case a.Kind == answer.KindPlan, ahead(reading.Facts):
		t.planning = true
		c.plan(a, reading, facts, m)
	case a.Kind == answer.KindHelp:
		return c.plain(a, reading, answer.KindHelp, "help-1", "help-2", "help-3", "help-4")
	case a.Kind == answer.KindUnsure:
		return c.stillOpen(c.unsure(a, reading), t)
	case a.Kind == answer.KindChange && reading.Facts.Has("ask", "keep-it"):
		c.keepIt(a, t, reading)
	case a.Kind == answer.KindChange:
		c.change(a, t, reading, m.Full)
	default:
		c.light(a, t, reading, m.Full)
	}
	if a.Numbers != nil {
		t.last = a.Numbers
	}
	t.asked = a.Question
	if m.Buttons {
		a.Next = c.next(a, t, reading)
	}
	a.Text = render.Text(a.Sections, c.labels)
	for _, text := range a.Telling() {
		if !slices.Contains(t.told, text) {
			t.told = append(t.told, text)
		}
	}
	return a
}

// unmoved is what a thread with a set-up knows after a question: its distances
// and dials are asked about, not turned.
func unmoved(before, after, said *fact.Set) *fact.Set {
	out := after.Clone()
	for _, row := range fact.Table {
		_, now := said.Get(row.Path)
		if !now || !strings.HasPrefix(row.Path, "distance.") && !strings.HasPrefix(row.Path, "camera.") {
			continue
		}
		out.Drop(row.Path)
		if v, had := before.Get(row.Path); had {
			out.Put(row.Path, v)
		}
	}
	return out
}

// numbers is the state of the set-up that stands in a thread; nil where none
// does. A thread that a store has had has lost it, and it is staged again.
func (c *Coach) numbers(t *Thread, reading hear.Reading) *answer.Numbers {
	if last := t.standing(); t.last == nil && last != nil {
		if f := c.follower(last, last.Facts, reading); f != nil {
			t.last = f.on.numbers
		}
	}
	return t.last
}

// plain answers in the playbook's own sentences.
func (c *Coach) plain(a *answer.Answer, reading hear.Reading, kind answer.Kind, phrases ...string) *answer.Answer {
	a.Kind, a.Headline = kind, c.book.Phrase(phrases[0])
	lines := append([]string(nil), reading.Notes...)
	for _, id := range phrases {
		lines = append(lines, c.book.Phrase(id))
	}
	a.Compose(c.book.Phrase, reading.Style, lines...)
	a.Text = render.Text(a.Sections, c.labels)
	return a
}

// unsure says what was understood, what was not, and two messages near to
// what was typed that would work.
func (c *Coach) unsure(a *answer.Answer, reading hear.Reading) *answer.Answer {
	phrases := []string{"unsure", "unsure-example-1", "unsure-example-2"}
	asks := func(what ...string) bool {
		return slices.ContainsFunc(what, func(w string) bool { return reading.Facts.Has("ask", w) })
	}
	switch {
	case asks("moved"):
		phrases = []string{"same-look-1", "same-look-2"}
		a.AskBack = c.book.Phrase("same-look-ask")
	case asks("undo", "redo", "first", "again", "more", "less", "keep-it", "what-if", "other-side", "change"):
		phrases = append([]string{"none-stands"}, phrases[1:]...)
	case len(reading.Facts.Choices("ask")) > 0 && !asks("help", "number"):
		phrases = append([]string{"not-yet"}, phrases[1:]...)
	}
	return c.plain(a, reading, answer.KindUnsure, phrases...)
}

// newer fills what a style leaves open from the one before.
func newer(style, before units.Style) units.Style {
	return units.Style{
		Length:      cmp.Or(style.Length, before.Length),
		Wind:        cmp.Or(style.Wind, before.Wind),
		Temperature: cmp.Or(style.Temperature, before.Temperature),
	}
}

func stops(raised []rules.Raised) bool { return len(raised) > 0 && raised[0].Stop }
