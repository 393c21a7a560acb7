package main

import (
	"context"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/bot/channel"
	"panelhand/bot/slack"
	"panelhand/bot/slack/fakeslack"
	"panelhand/rules/fact"
)

// TestNumbersArriveWhole: what a phone makes of a message, and Slack of that,
// is heard as the same message typed in plain ASCII is (fault 22 of the Slack
// handbook §8.2).
func TestNumbersArriveWhole(t *testing.T) {
	s := fakeslack.New(t)
	env := map[string]string{}
	book, err := process{getenv: func(k string) string { return env[k] }}.book()
	if err != nil {
		t.Fatal(err)
	}
	coach := bot.New(book)
	heard := make(chan map[string]any, 1)
	listen := func(_ context.Context, m channel.Message) (*answer.Answer, error) {
		a := coach.Answer(new(bot.Thread), bot.Message{Text: m.Text})
		heard <- a.Heard
		return a, nil
	}
	here, err := slack.New(slack.Config{
		BotToken: fakeslack.BotToken, AppToken: fakeslack.AppToken, APIURL: s.URL, Handler: channel.HandlerFunc(listen),
		Claims: new(channel.Memory), View: slack.NewPhone(book.Phrase), Phrase: book.Phrase,
	})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- here.Run(ctx) }()
	defer func() {
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	}()
	s.Wait("a socket", 10*time.Second, func() bool { return s.Open() > 0 })
	elsewhere := cmp.Comparer(func(fact.Span, fact.Span) bool { return true }) // a quote of another length moves what follows
	for _, c := range []struct{ phone, ascii string }{
		{"open shade, flash + 42” octa", `open shade, flash + 42" octa`},
		{"metered f/2.8 &amp; 1/125 at iso 100, flash", "metered f/2.8 & 1/125 at iso 100, flash"},
		{":zap: through a 40″ panel\u00a0at 1½\u00a0m", `flash through a 40" panel at 1.5 m`},
		{"overhead sun, background −1 EV, flash", "overhead sun, background -1 EV, flash"},
		{"I’ve a flash and a 1,4 m panel", "I've a flash and a 1.4 m panel"},
		{"<https://f2.example|f/4>, open shade, *flash*", "f/4, open shade, flash"},
	} {
		s.Say("U1", "D1", c.phone)
		got := <-heard
		if want := coach.Answer(new(bot.Thread), bot.Message{Text: c.ascii}).Heard; len(want) == 0 || !cmp.Equal(got, want, elsewhere) {
			t.Errorf("%q:\n%s", c.phone, cmp.Diff(want, got, elsewhere))
		}
	}
}
