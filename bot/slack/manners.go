package slack

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"sync"
	"time"
)

// A said is one thing a human said to the coach and everything it takes to
// answer it, also after a crash: it is what a claim keeps.
type said struct {
	Key     string    `json:"key"`
	Team    string    `json:"team"`
	Channel string    `json:"channel"`
	Parent  string    `json:"parent,omitempty"` // the thread to answer in; "" for none
	TS      string    `json:"ts,omitempty"`     // the message's own stamp
	Thread  string    `json:"thread"`           // the conversation, as the coach knows it
	Person  string    `json:"person"`
	Text    string    `json:"text"`
	URL     string    `json:"url,omitempty"` // where an answer for the asker alone goes
	At      time.Time `json:"at"`
	Alone   bool      `json:"alone,omitempty"`   // only the asker is to see the answer
	Button  bool      `json:"button,omitempty"`  // Text is a button's
	Photo   bool      `json:"photo,omitempty"`   // a photo came with it
	Direct  bool      `json:"direct,omitempty"`  // in a direct message
	Aside   bool      `json:"aside,omitempty"`   // overheard in our thread: said to us or not
	Visitor bool      `json:"visitor,omitempty"` // and not by the one whose thread it is
	Do      string    `json:"do,omitempty"`      // Show or Share, where nothing is asked

	ready *parcel // its answer, by an earlier run, which may have been posted
}

// silence is why something is not answered; it names a metric.
type silence string

const (
	fromBot    silence = "bot"
	edited     silence = "edit"
	otherKind  silence = "subtype"
	notForUs   silence = "not addressed"
	toOthers   silence = "to others"
	redelivery silence = "delivered again"
	farewell   silence = "farewell"
	noStore    silence = "store down"
	overload   silence = "overload"
)

// spoken are the subtypes of messages that a person typed; "" is the plain
// message. All others are Slack's own, or changes to what was said.
var spoken = map[string]bool{"": true, "file_share": true, "thread_broadcast": true, "me_message": true}

// slackbot is the user id under which Slack itself speaks.
const slackbot = "USLACKBOT"

// message makes of a message or mention what was said to the coach, or tells
// why it stays silent. The same human message gets the same key whether it
// comes as mention, as message, or again.
func (b *Bot) message(ctx context.Context, o outer) (said, silence, error) {
	team, e := o.Team, o.Event
	switch {
	case e.Bot != "" || e.User == "" || e.User == b.self.user || e.User == slackbot || e.App != "" && e.App == o.App:
		if e.Subtype == "" || e.Subtype == "bot_message" {
			return said{}, fromBot, nil
		}
		return said{}, otherKind, nil
	case len(e.Edited) > 0 && string(e.Edited) != "null":
		return said{}, edited, nil
	case !spoken[e.Subtype] || e.Hidden:
		return said{}, otherKind, nil
	}
	us, othersFirst, rich := b.read.mentionsIn(e.Blocks)
	if !rich {
		us, othersFirst = b.read.mentions(e.Text)
	}
	s := said{
		Key: messageKey(team, e.Channel, e.TS), Team: team, Channel: e.Channel, TS: e.TS, Parent: e.Parent,
		Person: e.User, Text: b.read.plain(e.text()), At: when(e.TS), Photo: e.photo(), Direct: e.Kind == "im",
	}
	switch {
	case s.Direct:
		s.Thread = e.Channel
		if e.Parent != "" {
			s.Thread += "/" + e.Parent
		}
		return s, "", nil
	case e.Parent == "":
		if !us {
			return said{}, notForUs, nil
		}
		s.Parent, s.Thread = e.TS, e.Channel+"/"+e.TS
		return s, "", nil
	}
	own, ok, err := b.owned(ctx, team, e.Channel, e.Parent)
	switch {
	case err != nil:
		return said{}, noStore, err
	case !us && !ok:
		return said{}, notForUs, nil
	case !us && othersFirst:
		return said{}, toOthers, nil
	case !us && b.bye(s.Text):
		return said{}, farewell, b.disown(ctx, team, e.Channel, e.Parent)
	}
	s.Thread = e.Channel + "/" + e.Parent
	if ok {
		s.Thread = own.Thread
	}
	s.Aside, s.Visitor = !us, ok && own.By != e.User
	return s, "", nil
}

// bye tells whether a text only takes leave.
func (b *Bot) bye(text string) bool {
	text = strings.ToLower(strings.Trim(text, " .!"))
	for word := range strings.SplitSeq(b.phrase("slack-farewells"), ",") {
		if text == strings.TrimSpace(word) {
			return true
		}
	}
	return false
}

// messageKey names a human message: a mention comes as two events that share
// nothing but the message's stamp.
func messageKey(team, channel, ts string) string {
	return fmt.Sprintf("message|%s|%s|%s", team, channel, ts)
}

// A holding is what a claim on a thread keeps: whose thread it is, and which
// conversation goes on there.
type holding struct {
	By     string `json:"by"`
	Thread string `json:"thread"`
}

// A thread of a channel is ours while the claim on it lasts. Once we took
// leave its receipt says so.
func threadKey(team, channel, ts string) string {
	return fmt.Sprintf("thread|%s|%s|%s", team, channel, ts)
}

const (
	held = "ours"
	left = "left"
)

func (b *Bot) owned(ctx context.Context, team, channel, ts string) (holding, bool, error) {
	ctx, cancel := context.WithTimeout(ctx, b.pace.Store)
	defer cancel()
	claim, ok, err := b.claims.Find(ctx, threadKey(team, channel, ts))
	if err != nil || !ok || claim.Receipt == left || b.now().Sub(claim.Touched) > b.pace.Own {
		return holding{}, false, err
	}
	var h holding
	if err := json.Unmarshal(claim.Message, &h); err != nil {
		return holding{}, false, nil
	}
	return h, true, nil
}

// own makes a thread ours, or ours for longer.
func (b *Bot) own(ctx context.Context, team, channel, ts string, h holding) error {
	data, err := json.Marshal(h)
	if err != nil {
		return err
	}
	key := threadKey(team, channel, ts)
	if _, err := b.claims.Claim(ctx, key, data, b.now()); err != nil {
		return err
	}
	return b.claims.Finish(ctx, held, b.now(), key)
}

func (b *Bot) disown(ctx context.Context, team, channel, ts string) error {
	return b.claims.Finish(ctx, left, b.now(), threadKey(team, channel, ts))
}

// A private conversation is one person's with the coach in one channel, by
// slash commands that nobody else sees. Once it was shared it goes on in the
// open, and the next slash command begins a new one.
func privateKey(team, channel, person string) string {
	return fmt.Sprintf("private|%s|%s|%s", team, channel, person)
}

func (b *Bot) private(ctx context.Context, team, channel, person string) (string, error) {
	ctx, cancel := context.WithTimeout(ctx, b.pace.Store)
	defer cancel()
	claim, _, err := b.claims.Find(ctx, privateKey(team, channel, person))
	thread := channel + "/" + person
	if claim.Receipt != "" {
		thread += "/" + claim.Receipt
	}
	return thread, err
}

func (b *Bot) publish(ctx context.Context, team, channel, person, ts string) error {
	key := privateKey(team, channel, person)
	if _, err := b.claims.Claim(ctx, key, nil, b.now()); err != nil {
		return err
	}
	return b.claims.Finish(ctx, ts, b.now(), key)
}

// A recent set remembers what happened within a while, for things that need
// no more: double presses and deleted questions.
type recent struct {
	mu   sync.Mutex
	seen map[string]time.Time
}

// mostRecent bounds a recent set.
const mostRecent = 4096

// add reports whether key was new within the last while.
func (r *recent) add(key string, now time.Time, while time.Duration) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	if at, ok := r.seen[key]; ok && now.Sub(at) < while {
		return false
	}
	if r.seen == nil || len(r.seen) >= mostRecent {
		kept := map[string]time.Time{}
		for k, at := range r.seen {
			if now.Sub(at) < while && len(kept) < mostRecent/2 {
				kept[k] = at
			}
		}
		r.seen = kept
	}
	r.seen[key] = now
	return true
}

func (r *recent) has(key string) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	_, ok := r.seen[key]
	return ok
}
