package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"

	"panelhand/bot/memory"
)

// drill asks questions of training, one after the other, and marks what is typed
// until the input ends. Words name what they are about: a matter, or a day of the
// first week. What was learned is kept with everything else.
func (p process) drill(args []string) error {
	var s shape
	var seed uint64
	about, err := p.flags("drill", args, func(f *flag.FlagSet) {
		s.define(f)
		f.Uint64Var(&seed, "seed", 0, "a number that fixes the questions; 0 asks others each time")
	})
	if err != nil {
		return err
	}
	message, err := s.frame()
	if err != nil {
		return err
	}
	kept, err := p.open()
	if err != nil {
		return err
	}
	kept = memory.Apart(kept)
	defer kept.Close()
	session, err := p.session(kept)
	if err != nil {
		return err
	}
	session.Seed = seed
	question := strings.TrimSpace("drill " + strings.Join(about, " "))
	next, done := p.lines()
	defer done()
	ask := true // whether no question waits for an answer
	for {
		if ask {
			if _, err := p.answer(session, message, question, s); err != nil {
				return err
			}
			ask = false
		}
		text, err := next()
		if text != "" {
			a, err := p.answer(session, message, text, s)
			if err != nil {
				return err
			}
			ask = a.Drill != nil && a.Drill.Mark != ""
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("reading the answers: %w", err)
		}
	}
}
