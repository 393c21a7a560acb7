// Package channel is what the coach and a team's channel know of each other: a
// message comes in, a document goes out. Adapters (a terminal, a team's chat)
// turn their events into Messages and show Answers; they know a Handler and never
// the coach behind it.
package channel

import (
	"context"
	"time"

	"panelhand/bot/answer"
)

// A Message is what one person said, wherever they said it.
type Message struct {
	Team    string    // whose kit, playbook and records count
	Thread  string    // one conversation; messages of a thread come one after another
	Person  string    // who said it, as the channel names them; shown only beside a venue note that they made
	Text    string    // as typed
	Full    bool      // with the trace of every rule
	Buttons bool      // with the follow-ups that fit, where the channel can show them
	Now     time.Time // when it was said; zero where nobody knows
	Zone    string    // the person's time zone by name, "" where nobody knows
}

// A Handler answers messages. It is safe for concurrent use; an error is for
// the log, and the answer that comes with it, if any, is still for the crew.
type Handler interface {
	Answer(context.Context, Message) (*answer.Answer, error)
}

// HandlerFunc makes a Handler of a function.
type HandlerFunc func(context.Context, Message) (*answer.Answer, error)

// Answer calls the function.
func (f HandlerFunc) Answer(ctx context.Context, m Message) (*answer.Answer, error) { return f(ctx, m) }
