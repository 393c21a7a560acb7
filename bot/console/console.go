// Package console is the coach on a terminal or a pipe: a message a line, one
// conversation. Like every adapter it knows a channel.Handler and never the
// coach behind it.
package console

import (
	"context"
	"errors"
	"fmt"
	"io"

	"panelhand/bot/answer"
	"panelhand/bot/channel"
)

// A Console is one conversation.
type Console struct {
	Handler channel.Handler
	Frame   channel.Message            // what every message has besides its text
	Next    func() (string, error)     // the next line; with io.EOF, the last one or none
	Show    func(*answer.Answer) error // for the person
	Trouble string                     // shown where there is no answer
	Log     func(err error)            // for whoever looks after the program
}

// Run answers line by line until there are none, or until an answer cannot be
// shown. One that fails does not end the conversation.
func (c Console) Run(ctx context.Context) error {
	for ctx.Err() == nil {
		text, err := c.Next()
		if text != "" || err == nil {
			if err := c.answer(ctx, text); err != nil {
				return err
			}
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("reading the conversation: %w", err)
		}
	}
	return ctx.Err()
}

func (c Console) answer(ctx context.Context, text string) error {
	m := c.Frame
	m.Text = text
	a, err := c.ask(ctx, m)
	if err != nil {
		c.Log(err)
	}
	if a == nil {
		a = &answer.Answer{Kind: answer.KindUnsure, Headline: c.Trouble, Text: c.Trouble}
	}
	return c.Show(a)
}

func (c Console) ask(ctx context.Context, m channel.Message) (a *answer.Answer, err error) {
	defer func() {
		if r := recover(); r != nil {
			a, err = nil, fmt.Errorf("the coach broke: %v", r)
		}
	}()
	return c.Handler.Answer(ctx, m)
}
