package bot

import (
	"context"
	"encoding/json"
	"errors"
	"hash/maphash"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"time"

	"panelhand/bot/answer"
	"panelhand/bot/channel"
	"panelhand/bot/hear"
	"panelhand/bot/memory"
	"panelhand/bot/render"
	"panelhand/calc/units"
	"panelhand/rules/fact"
)

// A Session is the coach with a memory: the one handler that channels know.
// It is safe for concurrent use.
type Session struct {
	Coach *Coach
	Store memory.Store

	// Shelf gives the coach where a team's playbook may be edited while the
	// program runs; nil leaves it to Coach.
	Shelf *Shelf

	// Clock tells when something was said where the message does not; nil is
	// no time at all. It is never used to light by.
	Clock func() time.Time
	// Keep is how long messages are kept; 0 is memory.Retention.
	Keep time.Duration
	// Seed fixes what is drawn for drills; 0 draws anew each time.
	Seed uint64

	// One message of a thread is answered at a time. Threads share locks by
	// their names' hash: a wait now and then, and nothing to clean up.
	busy [64]sync.Mutex
}

var _ channel.Handler = (*Session)(nil)

// talk is a thread as it is kept.
type talk struct {
	Thread  *Thread        `json:"thread,omitempty"`
	Said    []string       `json:"said,omitempty"` // the last messages, for the record
	Venue   string         `json:"venue,omitempty"`
	Allowed []string       `json:"allowed,omitempty"` // bans that a site contact lifted in this talk
	Record  int64          `json:"record,omitempty"`  // saved or found last
	Setup   *memory.Record `json:"setup,omitempty"`   // what would be saved
}

// mostSaid bounds what a thread drags along, so that the two-hundredth message
// costs what the second does.
const mostSaid = 12

// A turn is one message being answered.
type turn struct {
	*Session
	Coach   *Coach // that answers this message from beginning to end
	ctx     context.Context
	in      channel.Message
	team    string
	now     time.Time
	state   memory.ThreadState
	talk    talk
	thread  *Thread
	reading hear.Reading // with what the thread knew
	ground  *Ground
	venue   string        // that the message is about, or the thread is at
	notes   []memory.Note // of the venue
	deleted bool          // the thread is to be forgotten
}

// coach is the one that answers now.
func (s *Session) coach() *Coach {
	if s.Shelf != nil {
		return s.Shelf.Coach()
	}
	return s.Coach
}

// Answer answers one message of a thread. Where the memory fails an answer
// still comes, and says so; the error is the cause, for whoever looks after the
// program.
func (s *Session) Answer(ctx context.Context, m channel.Message) (*answer.Answer, error) {
	lock := &s.busy[maphash.String(seed, m.Team+"\x00"+m.Thread)%uint64(len(s.busy))]
	lock.Lock()
	defer lock.Unlock()
	for try := 0; ; try++ {
		t := &turn{Session: s, Coach: s.coach(), ctx: ctx, in: m, team: m.Team, now: m.Now}
		if t.now.IsZero() && s.Clock != nil {
			t.now = s.Clock()
		}
		var a *answer.Answer
		err := t.load()
		if err == nil {
			a, err = t.answer()
		}
		if err == nil {
			err = t.save()
		}
		switch {
		case err == nil:
			return a, nil
		case errors.Is(err, memory.ErrStale) && wrote(a):
			return a, nil // what it was to keep is kept
		case errors.Is(err, memory.ErrStale) && try < mostTries:
			continue // another process was quicker
		}
		return t.withoutMemory(a, err), err
	}
}

// mostTries is how often a message is answered anew where another process
// answers the same thread.
const mostTries = 5

var seed = maphash.MakeSeed()

// wrote reports whether an answer has already changed the memory: such a
// message must not be answered twice.
func wrote(a *answer.Answer) bool { return a != nil && a.Record != nil && a.Record.Saved != "" }

// Report keeps an answer that somebody found wrong, with what was wrong in
// their words; a lead makes a case of it.
func (s *Session) Report(ctx context.Context, team string, d memory.Draft) (id int64, err error) {
	d.Kind = memory.DraftMend
	return s.Store.AddDraft(ctx, team, d)
}

// withoutMemory is the answer where the memory failed: what the coach can say
// without it, or only the sentence about the failure.
func (t *turn) withoutMemory(a *answer.Answer, err error) *answer.Answer {
	calm := memory.Calm(err)
	if t.reading.Facts == nil {
		t.reading = t.Coach.ear.Read(t.in.Text, nil)
	}
	if a == nil || a.Kind == answer.KindRecord {
		fresh := t.Coach.remember(t.reading, &answer.Record{}, calm)
		if a == nil && t.request().deed == noDeed {
			fresh = t.Coach.Answer(new(Thread), t.message())
			fresh.Sections = append(fresh.Sections, answer.Section{Part: answer.Prose, Lines: []string{calm}})
			fresh.Text = render.Text(fresh.Sections, t.Coach.labels)
		}
		return fresh
	}
	a.Sections = append(a.Sections, answer.Section{Part: answer.Prose, Lines: []string{calm}})
	a.Text = render.Text(a.Sections, t.Coach.labels)
	return a
}

// load reads the thread and what lies under its messages.
func (t *turn) load() error {
	t.thread, t.ground = new(Thread), &Ground{}
	if len(t.in.Text) > MaxMessage {
		t.reading = t.Coach.ear.Read(t.in.Text, nil)
		return nil
	}
	var err error
	if t.state, err = t.Store.Thread(t.ctx, t.team, t.in.Thread); err != nil {
		return err
	}
	if len(t.state.Data) > 0 {
		if err := json.Unmarshal(t.state.Data, &t.talk); err != nil {
			return err
		}
	}
	if t.talk.Thread != nil {
		t.thread = t.talk.Thread
	}
	if t.ground.Kit, err = t.Store.Kit(t.ctx, t.team); err != nil {
		return err
	}
	t.thread.style = newer(t.thread.style, houseStyle(t.ground.Kit))
	// Progress is people's, not the talk's: it is the same in all of theirs.
	if t.thread.training.People, err = t.Store.Training(t.ctx, t.team); err != nil {
		return err
	}
	t.reading = t.Coach.ear.Read(t.in.Text, t.thread.facts)
	return t.loadVenue()
}

func last[T any](all []T, n int) []T { return all[max(0, len(all)-n):] }

func (t *turn) request() request { return t.Coach.request(t.in.Text, t.reading) }

// answer lets the memory or the coach answer.
func (t *turn) answer() (*answer.Answer, error) {
	if t.reading.TooLong || t.reading.Empty {
		return t.Coach.Answer(new(Thread), t.message()), nil
	}
	r := t.request()
	if r.before != "" {
		whole := t.in.Text
		t.in.Text = r.before
		first := t.light()
		t.in.Text = whole
		kept, err := t.remember(r)
		if err != nil || kept == nil {
			return first, err
		}
		first.Record = kept.Record
		first.Sections = append(first.Sections, answer.Section{Part: answer.Prose, Lines: []string{kept.Headline}})
		first.Text = render.Text(first.Sections, t.Coach.labels)
		return first, nil
	}
	if r.deed != noDeed {
		if a, err := t.remember(r); a != nil || err != nil {
			return a, err
		}
	}
	return t.light(), nil
}

// message is what the coach gets to read.
func (t *turn) message() Message {
	seed := t.Seed
	if seed == 0 {
		seed = rand.Uint64()
	}
	return Message{Text: t.in.Text, Full: t.in.Full, Buttons: t.in.Buttons, Now: t.in.Now, Zone: t.in.Zone, Team: t.in.Team, Person: t.in.Person, Lead: t.lead(), Seed: seed, When: t.now, Ground: t.ground}
}

// light is the coach's own answer, with the ground under the message.
func (t *turn) light() *answer.Answer {
	a := t.Coach.Answer(t.thread, t.message())
	if t.reading.Facts.Has("ask", "restart") {
		t.talk = talk{}
		return a
	}
	if a.Kind == answer.KindDrill {
		return a
	}
	t.tellVenue(a)
	t.talk.Venue = t.venue
	t.talk.Said = last(append(t.talk.Said, t.in.Text), mostSaid)
	if a.Setup != nil && a.Numbers != nil && !t.reading.Facts.Has("ask", "what-if") {
		t.talk.Setup = recordOf(a)
		t.talk.Setup.Said = slices.Clone(t.talk.Said)
	}
	return a
}

// remember does what a message asks of the memory. A nil answer says that it
// was meant for the coach after all.
func (t *turn) remember(r request) (*answer.Answer, error) {
	switch r.deed {
	case saveSetup:
		return t.saveRecord(r)
	case addNote:
		return t.addNote(r)
	case find:
		return t.find(r)
	case listPlaybook:
		return t.listPlaybook(r)
	case showKit:
		return t.showKit(), nil
	case putKit:
		return t.putKit(r)
	case dropKit:
		return t.dropKit(r)
	case clearKit:
		return t.clearKit()
	case deleteOne:
		return t.deleteOne(r)
	case showOne:
		return t.showOne(r)
	case renameOne:
		return t.renameOne(r)
	case lightAgain:
		return t.lightAgain(r)
	case whoSees:
		return t.say("memory-who-sees"), nil
	case forgetTalk:
		return t.forgetTalk()
	case export:
		return t.export(r)
	case calibrate:
		return t.calibrate(r)
	case makeRule:
		return t.makeRule(r)
	case listDrafts:
		return t.listDrafts()
	case showDraft:
		return t.showDraft(r)
	case approveDraft:
		return t.approveDraft(r)
	case refuseDraft:
		return t.refuseDraft(r)
	case ruleHistory:
		return t.ruleHistory(r)
	case ruleDiff:
		return t.ruleDiff(r)
	case revertRule:
		return t.revertRule(r)
	case reportWrong:
		return t.reportWrong(r)
	}
	return nil, nil
}

// save keeps the thread and logs the message, and lets old messages go.
func (t *turn) save() error {
	if t.deleted || t.reading.TooLong {
		return nil
	}
	learned := t.thread.training.learned
	t.thread.training.People, t.thread.training.learned = nil, nil
	t.talk.Thread = t.thread
	data, err := json.Marshal(t.talk)
	if err != nil {
		return err
	}
	t.state.Data, t.state.When = data, t.now
	if _, err := t.Store.SaveThread(t.ctx, t.team, t.in.Thread, t.state); err != nil {
		return err
	}
	for _, l := range learned {
		if err := t.Store.ChangeTraining(t.ctx, t.team, l.person, l.change); err != nil {
			return err
		}
	}
	if err := t.Store.AddMessage(t.ctx, t.team, memory.Message{Thread: t.in.Thread, Who: t.in.Person, When: t.now, Text: t.in.Text}); err != nil {
		return err
	}
	if t.now.IsZero() {
		return nil
	}
	keep := t.Keep
	if keep == 0 {
		keep = memory.Retention
	}
	return t.Store.Expire(t.ctx, t.team, t.now.Add(-keep))
}

// say answers in the playbook's sentences, with what stands for their marks:
// "<title>", title, …
func (t *turn) say(phrase string, marks ...string) *answer.Answer {
	return t.tell(&answer.Record{}, t.Coach.phrase(phrase, marks...))
}

// phrase is a sentence of the playbook with its marks filled in.
func (c *Coach) phrase(id string, marks ...string) string {
	return strings.NewReplacer(marks...).Replace(c.book.Phrase(id))
}

// tell answers with lines about what was kept or found.
func (t *turn) tell(r *answer.Record, lines ...string) *answer.Answer {
	return t.Coach.remember(t.reading, r, lines...)
}

// remember composes an answer of the memory.
func (c *Coach) remember(reading hear.Reading, r *answer.Record, lines ...string) *answer.Answer {
	a := &answer.Answer{Kind: answer.KindRecord, Headline: lines[0], Record: r, Facts: reading.Facts}
	if reading.Facts != nil {
		a.Heard = fact.HeardJSON(reading.Facts)
	}
	for i, l := range lines {
		lines[i] = oneLine(l)
	}
	a.Compose(c.book.Phrase, units.Style{}, lines...)
	a.Text = render.Text(a.Sections, c.labels)
	return a
}

// longestLine bounds a line that holds what was typed, in runes.
const longestLine = 240

// oneLine puts a text on one line of a phone.
func oneLine(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if runes := []rune(s); len(runes) > longestLine {
		s = string(runes[:longestLine-1]) + "…"
	}
	return s
}
