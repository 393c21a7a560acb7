package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"

	"panelhand/bot/channel"
	"panelhand/bot/memory"
)

// drill asks training questions, one after the other, until the input ends or
// someone types quit. What is no answer is answered as in a chat, and the question
// stays open. Progress is kept, but for a run whose seed is given.
func (p process) drill(args []string) error {
	var seed uint64
	matter, err := p.flags("drill", args, func(f *flag.FlagSet) {
		f.Uint64Var(&seed, "seed", 0, "the numbers to draw; the same seed asks the same questions")
	})
	if err != nil {
		return err
	}
	kept := memory.New() // a seed asks the same whoever asked what before, so it keeps nothing
	if seed == 0 {
		if kept, err = p.open(); err != nil {
			return err
		}
		kept = memory.Apart(kept)
	}
	defer func() { kept.Close() }()
	session, err := p.session(kept)
	if err != nil {
		return err
	}
	session.Seed = seed
	ask := func(text string) bool {
		a, err := session.Answer(context.Background(), channel.Message{Team: "local", Text: text})
		if err != nil { // the answer says it calmly; the cause is for the log
			fmt.Fprintln(p.err, "panelhand: "+err.Error())
		}
		fmt.Fprintln(p.out, a.Text)
		return a.Drill != nil && a.Drill.Mark != ""
	}
	next, done := p.lines()
	defer done()
	ask("drill " + strings.Join(matter, " "))
	for {
		text, err := next()
		if quits := strings.ToLower(strings.TrimSpace(text)); quits == "quit" || quits == "exit" || quits == "q" || text == "" && errors.Is(err, io.EOF) {
			fmt.Fprintln(p.out)
			ask("my progress")
			return nil
		}
		if text != "" {
			fmt.Fprintln(p.out)
			if ask(text) && err == nil {
				fmt.Fprintln(p.out)
				ask("next")
			}
		}
		if err != nil && !errors.Is(err, io.EOF) {
			return fmt.Errorf("reading the answers: %w", err)
		}
	}
}
