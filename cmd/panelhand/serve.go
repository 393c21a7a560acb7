package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"net"
	"net/http"
	"os/signal"
	"sync"
	"syscall"
	"time"

	"panelhand/bot"
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
	coach, news, err := p.team(kept)
	if err != nil {
		return err
	}
	p.tell(news)
	say := coach.Coach.Book().Phrase
	phone := slack.NewPhone(say)
	here, err := slack.New(slack.Config{
		BotToken: p.getenv("SLACK_BOT_TOKEN"), AppToken: p.getenv("SLACK_APP_TOKEN"), APIURL: p.getenv("SLACK_API_URL"),
		Handler: coach, Claims: claims(kept), View: phone, Windows: slack.Forms{Phone: phone, Notebook: notebook{coach}}, Phrase: say, Log: p.err, DryRun: dry,
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
	if coach.Shelf != nil {
		var watching sync.WaitGroup
		watching.Go(func() { p.watch(ctx, coach.Shelf, here) })
		defer watching.Wait()
		defer stop()
	}
	return here.Run(ctx)
}

// lookEvery is how often the team's folder is looked at.
const lookEvery = 3 * time.Second

// watch reads the team's folder again when it was edited, and tells the
// playbook's owner what is wrong with an edit.
func (p process) watch(ctx context.Context, shelf *bot.Shelf, here *slack.Bot) {
	look := time.NewTicker(lookEvery)
	defer look.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-look.C:
		}
		news := shelf.Refresh()
		p.tell(news)
		if owner := shelf.Coach().Book().Crew.Owner.Value; news != "" && owner != "" {
			if err := here.Tell(ctx, owner, news); err != nil {
				p.tell("the playbook's owner could not be told: " + err.Error())
			}
		}
	}
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
