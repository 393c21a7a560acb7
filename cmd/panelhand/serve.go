package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"net"
	"net/http"
	"os/signal"
	"syscall"
	"time"

	"panelhand/bot/channel"
	"panelhand/bot/memory"
	"panelhand/bot/slack"
	"panelhand/bot/store"
)

// serve answers in the team's Slack until it is told to stop. Then it
// finishes what it can within ten seconds; the next start does the rest.
func (p process) serve(args []string) error {
	var dry bool
	var health string
	rest, err := p.flags("serve", args, func(f *flag.FlagSet) {
		f.BoolVar(&dry, "dry-run", false, "post nothing, log what would be posted")
		f.StringVar(&health, "health", "", "serve /healthz and /metrics at this address")
	})
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return usageError{p.usage("serve")}
	}
	kept, err := p.open()
	if err != nil {
		return err
	}
	defer kept.Close()
	book, err := p.book()
	if err != nil {
		return err
	}
	phone, coach := slack.NewPhone(book.Phrase), session(book, kept)
	here, err := slack.New(slack.Config{
		BotToken: p.getenv("SLACK_BOT_TOKEN"), AppToken: p.getenv("SLACK_APP_TOKEN"), APIURL: p.getenv("SLACK_API_URL"),
		Handler: coach, Claims: claims(kept), View: phone, Windows: slack.Forms{Phone: phone, Notebook: notebook{coach}}, Phrase: book.Phrase, Log: p.err, DryRun: dry,
	})
	if err != nil {
		return usageError{err.Error()}
	}
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGINT, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // a second signal ends the program at once
	if health != "" {
		shut, err := serveHealth(health, here)
		if err != nil {
			return err
		}
		defer shut()
	}
	return here.Run(ctx)
}

// claims are kept where all else is.
func claims(kept memory.Store) channel.Claims {
	if s, ok := kept.(*store.Store); ok {
		return s.Claims()
	}
	return new(channel.Memory)
}

// serveHealth answers at an address until shut is called.
func serveHealth(address string, h http.Handler) (shut func(), err error) {
	listener, err := net.Listen("tcp", address)
	if err != nil {
		return nil, usageError{fmt.Sprintf("--health can't listen at %q: %v", address, errors.Unwrap(err))}
	}
	server := &http.Server{Handler: h, ReadHeaderTimeout: 5 * time.Second, WriteTimeout: 5 * time.Second}
	go func() { _ = server.Serve(listener) }()
	return func() { _ = server.Close() }, nil
}
