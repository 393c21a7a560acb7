package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"
	"time"

	"panelhand/bot"
)

// drill asks training questions, one after the other, until the input ends or
// someone types quit. What is no answer is answered as in a chat, and the question
// stays open.
func (p process) drill(args []string) error {
	var seed uint64
	matter, err := p.flags("drill", args, func(f *flag.FlagSet) {
		f.Uint64Var(&seed, "seed", 0, "the numbers to draw; the same seed asks the same questions")
	})
	if err != nil {
		return err
	}
	coach, err := p.coach()
	if err != nil {
		return err
	}
	if seed == 0 {
		seed = uint64(time.Now().UnixNano())
	}
	thread := new(bot.Thread)
	ask := func(text string) bool {
		a := coach.Answer(thread, bot.Message{Text: text, Seed: seed})
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
