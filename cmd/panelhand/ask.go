package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"strings"

	"panelhand/bot"
	"panelhand/bot/answer"
)

// shape is how answers are to be printed.
type shape struct{ json, full bool }

func (s *shape) define(f *flag.FlagSet) {
	f.BoolVar(&s.json, "json", false, "the answer as one JSON object")
	f.BoolVar(&s.full, "full", false, "with working, alternatives and trace")
}

// ask answers one message.
func (p process) ask(args []string) error {
	var s shape
	words, err := p.flags("ask", args, s.define)
	if err != nil {
		return err
	}
	text, err := p.message(words)
	if err != nil {
		return err
	}
	coach, err := p.coach()
	if err != nil {
		return err
	}
	return p.print(coach.Answer(new(bot.Thread), bot.Message{Text: text, Full: s.full}), s)
}

// message joins the words of the command line; "-" reads standard input.
func (p process) message(words []string) (string, error) {
	switch {
	case len(words) == 0:
		return "", usageError{`no message; try: panelhand ask "open shade, flash + 40in panel"`}
	case len(words) == 1 && words[0] == "-":
		return bounded(p.in)
	}
	return strings.Join(words, " "), nil
}

// bounded reads a message of which only the length matters once it is too
// long: the coach answers "too long" without holding the rest.
func bounded(r io.Reader) (string, error) {
	data, err := io.ReadAll(io.LimitReader(r, bot.MaxMessage+1))
	if err != nil {
		return "", fmt.Errorf("reading the message: %w", err)
	}
	return string(data), nil
}

// print writes one answer: a line of JSON, or the phone text.
func (p process) print(a *answer.Answer, s shape) error {
	if s.json {
		out := json.NewEncoder(p.out)
		out.SetEscapeHTML(false)
		return out.Encode(a)
	}
	text := a.Text
	if s.full {
		text += a.Details()
	}
	_, err := fmt.Fprintln(p.out, text)
	return err
}
