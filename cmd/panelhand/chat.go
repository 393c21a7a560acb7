package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"

	"panelhand/bot"
)

// chat answers one message a line, in one thread with memory.
func (p process) chat(args []string) error {
	var s shape
	rest, err := p.flags("chat", args, s.define)
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return usageError{p.usage("chat") + "; messages come from standard input"}
	}
	message, err := s.frame()
	if err != nil {
		return err
	}
	coach, err := p.coach()
	if err != nil {
		return err
	}
	thread := new(bot.Thread)
	lines := bufio.NewReader(p.in)
	for {
		text, err := line(lines)
		if text != "" || err == nil {
			message.Text = text
			if err := p.print(coach.Answer(thread, message), s); err != nil {
				return err
			}
			if !s.json {
				fmt.Fprintln(p.out)
			}
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("reading the conversation: %w", err)
		}
	}
}

// line reads one line without its end. Of a line longer than a message may
// be only the first part is kept, enough to be answered "too long".
func line(r *bufio.Reader) (string, error) {
	var kept []byte
	for {
		part, err := r.ReadSlice('\n')
		if room := bot.MaxMessage + 1 - len(kept); room > 0 {
			kept = append(kept, part[:min(room, len(part))]...)
		}
		if errors.Is(err, bufio.ErrBufferFull) {
			continue
		}
		for len(kept) > 0 && (kept[len(kept)-1] == '\n' || kept[len(kept)-1] == '\r') {
			kept = kept[:len(kept)-1]
		}
		return string(kept), err
	}
}
