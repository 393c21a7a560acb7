package main

import (
	"flag"
	"fmt"

	"panelhand/bot/slack"
)

// slack runs the commands around the team's Slack.
func (p process) slack(args []string) error {
	if len(args) == 0 {
		return usageError{p.usage("slack")}
	}
	if args[0] != "manifest" {
		return usageError{unknown("slack command", args[0], []string{"manifest"})}
	}
	var m slack.Manifest
	rest, err := p.flags("slack", args[1:], func(f *flag.FlagSet) {
		f.BoolVar(&m.Threads, "threads", false, "follow threads without being mentioned each time")
		f.BoolVar(&m.Reactions, "reactions", false, "may acknowledge with an emoji")
	})
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return usageError{p.usage("slack")}
	}
	data, err := m.JSON()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(p.out, string(data))
	return err
}
