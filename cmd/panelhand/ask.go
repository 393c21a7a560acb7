package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"strings"
	"time"
	_ "time/tzdata" // zones by name on any machine

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/bot/channel"
	"panelhand/bot/memory"
)

// shape is how answers are to be printed, and what enters them that is not in
// the message, so that the same call gives the same answer.
type shape struct {
	json, full      bool
	now, zone, team string
	person          string
}

func (s *shape) define(f *flag.FlagSet) {
	f.BoolVar(&s.json, "json", false, "the answer as one JSON object")
	f.BoolVar(&s.full, "full", false, "with working, alternatives and trace")
	f.StringVar(&s.now, "now", "", "the time, RFC 3339")
	f.StringVar(&s.zone, "zone", "", "the time zone by name")
	f.StringVar(&s.team, "team", "local", "the team that asks")
	f.StringVar(&s.person, "person", "", "who asks, as the team's crew.yaml names them")
}

// message is what the words of a command line ask, in its frame.
func (s *shape) message(p process, words []string) (channel.Message, error) {
	text, err := p.message(words)
	if err != nil {
		return channel.Message{}, err
	}
	m, err := s.frame()
	m.Text = text
	return m, err
}

// frame is the message around the text: when, where and who.
func (s *shape) frame() (channel.Message, error) {
	m := channel.Message{Full: s.full, Team: s.team, Zone: s.zone, Person: s.person}
	if s.now != "" {
		now, err := time.Parse(time.RFC3339, s.now)
		if err != nil {
			return m, usageError{fmt.Sprintf("--now %q is no time such as 2026-05-01T17:30:00+02:00", s.now)}
		}
		m.Now = now
	}
	if _, err := time.LoadLocation(s.zone); err != nil {
		return m, usageError{fmt.Sprintf("--zone %q is no time zone such as Europe/Lisbon", s.zone)}
	}
	return m, nil
}

// ask answers one message.
func (p process) ask(args []string) error {
	var s shape
	words, err := p.flags("ask", args, s.define)
	if err != nil {
		return err
	}
	message, err := s.message(p, words)
	if err != nil {
		return err
	}
	a, err := p.once(message)
	if err != nil {
		return err
	}
	return p.print(a, s)
}

// once answers a message that belongs to no conversation, with the team's kit
// list and venues. The store is made only where the answer keeps something; an
// answer comes even where it can't be read.
func (p process) once(m channel.Message) (*answer.Answer, error) {
	kept := memory.New()
	if p.exists() {
		opened, err := p.open()
		if err != nil {
			fmt.Fprintln(p.err, "panelhand: "+err.Error())
		} else {
			kept = opened
		}
	}
	defer func() { kept.Close() }()
	session, err := p.session(memory.Apart(kept))
	if err != nil {
		return nil, err
	}
	a, err := session.Answer(context.Background(), m)
	if err == nil && a.Record != nil && a.Record.Saved != "" && !p.exists() {
		if kept, err = p.open(); err != nil {
			return nil, err
		}
		session.Store = memory.Apart(kept)
		a, err = session.Answer(context.Background(), m)
	}
	if err != nil { // the answer says it calmly; the cause is for the log
		fmt.Fprintln(p.err, "panelhand: "+err.Error())
	}
	return a, nil
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
