package slack_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	lib "github.com/slack-go/slack"

	"panelhand/bot/answer"
	"panelhand/bot/channel"
	"panelhand/bot/slack"
	"panelhand/bot/slack/fakeslack"
)

// TestMain runs many tests at a time: they mostly wait.
func TestMain(m *testing.M) {
	flag.Parse()
	if flag.Lookup("test.fuzz").Value.String() == "" {
		if err := flag.Set("test.parallel", "12"); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}

// hurry is Slack's pace twenty times as fast, as the fake's is.
var hurry = slack.Pace{
	Ack: slower * 50 * time.Millisecond, Form: slower * 80 * time.Millisecond, Request: slower * time.Second, Store: slower * 100 * time.Millisecond, Think: slower * time.Second,
	Ping: slower * 800 * time.Millisecond, Deaf: slower * 2 * time.Second, Open: slower * 250 * time.Millisecond, Post: slower * 50 * time.Millisecond, Again: slower * 50 * time.Millisecond, Look: slower * 50 * time.Millisecond,
	Orphan: slower * 150 * time.Millisecond, Double: slower * 150 * time.Millisecond, Stop: slower * time.Second,
}

// plainView is text alone, with one button for each kind of action.
type plainView struct{}

func (plainView) Answer(a *answer.Answer, to slack.Asker) slack.Post {
	text := escape(a.Text)
	if len(to.Also) > 0 {
		text += " (also: " + escape(strings.Join(to.Also, "; ")) + ")"
	}
	if to.Photo {
		text += " (no photo is seen)"
	}
	button := func(action, value string) lib.BlockElement {
		return lib.NewButtonBlockElement(action, value, lib.NewTextBlockObject("plain_text", action, false, false))
	}
	buttons := []lib.BlockElement{button("say:softer", "softer"), button("show:working", "N = 56"), button("kit", "")}
	if to.Alone {
		buttons = append(buttons, button("share", a.Text))
	}
	return slack.Post{Text: text, Blocks: []lib.Block{
		lib.NewSectionBlock(lib.NewTextBlockObject("mrkdwn", text, false, false), nil, nil),
		lib.NewActionBlock("", buttons...),
	}}
}

func (plainView) Photo(last *answer.Answer, _ slack.Asker) slack.Post {
	if last == nil {
		return slack.Post{Text: "photo: what do you see?"}
	}
	return slack.Post{Text: "photo after " + escape(last.Headline)}
}

func (plainView) Shared(text string, by slack.Asker) slack.Post {
	return slack.Post{Text: "shared: " + escape(text)}
}
func (plainView) Error(calm string) slack.Post { return slack.Post{Text: "calm: " + calm} }
func (plainView) Help() slack.Post             { return slack.Post{Text: "help"} }

func escape(s string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace(s)
}

// A parrot is a handler that repeats what it hears, and remembers it.
type parrot struct {
	mu    sync.Mutex
	heard []channel.Message
	delay time.Duration
	gate  chan struct{} // where not nil, an answer waits for it
	odd   func(channel.Message) (*answer.Answer, error)
}

func (p *parrot) Answer(ctx context.Context, m channel.Message) (*answer.Answer, error) {
	p.mu.Lock()
	p.heard = append(p.heard, m)
	delay, gate, odd := p.delay, p.gate, p.odd
	p.mu.Unlock()
	if gate != nil {
		select {
		case <-gate:
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
	if delay > 0 {
		time.Sleep(delay)
	}
	if odd != nil {
		if a, err := odd(m); a != nil || err != nil {
			return a, err
		}
	}
	text := "re: " + m.Text
	return &answer.Answer{Kind: answer.KindSetup, Headline: text, Text: text, Setup: &answer.Setup{ID: "x", Title: text}}, nil
}

func (p *parrot) messages() []channel.Message {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Clone(p.heard)
}

// A stage is a bot before a fake Slack.
type stage struct {
	*fakeslack.Slack
	t      testing.TB
	parrot *parrot
	claims channel.Claims
	config slack.Config
	bot    *slack.Bot
	log    *safeBuffer
	stop   context.CancelFunc
	ended  chan error
}

type safeBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (b *safeBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.b.Write(p)
}

func (b *safeBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.b.String()
}

func phrase(id string) string {
	switch id {
	case "slack-farewells":
		return "thanks, stop"
	case "slack-emoji":
		return "zap flash, sunny sun"
	}
	return id
}

// build makes a stage without its bot running.
func build(t testing.TB, change ...func(*stage)) *stage {
	t.Helper()
	s := &stage{Slack: fakeslack.New(t), t: t, parrot: new(parrot), claims: new(channel.Memory), log: new(safeBuffer)}
	s.Pace = hurry.Post
	s.AckWithin, s.PingEvery, s.Patience = slower*s.AckWithin, slower*s.PingEvery, slower
	s.config = slack.Config{BotToken: fakeslack.BotToken, AppToken: fakeslack.AppToken, APIURL: s.URL, Handler: s.parrot, View: plainView{}, Phrase: phrase, Log: s.log, Pace: hurry}
	for _, c := range change {
		c(s)
	}
	return s
}

// run starts the bot; it ends with the test.
func (s *stage) run() {
	s.t.Helper()
	s.config.Claims = s.claims
	bot, err := slack.New(s.config)
	if err != nil {
		s.t.Fatal(err)
	}
	s.bot = bot
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- bot.Run(ctx) }()
	s.ended = ended
	var once sync.Once
	s.stop = func() { once.Do(cancel) }
	s.t.Cleanup(func() {
		s.stop()
		select {
		case <-ended:
		case <-time.After(slower * 5 * time.Second):
			s.t.Error("the bot does not stop")
		}
		s.Slack.Close()
		for _, secret := range []string{fakeslack.BotToken, fakeslack.AppToken, "ticket=ticket"} {
			if strings.Contains(s.log.String(), secret) {
				s.t.Errorf("%q is in the log", secret)
			}
		}
		if s.t.Failed() {
			s.t.Log(s.log.String())
		}
	})
}

// start makes a stage whose bot listens.
func start(t testing.TB, change ...func(*stage)) *stage {
	t.Helper()
	s := build(t, change...)
	s.run()
	s.Wait("both sockets", 5*time.Second, func() bool { return s.Open() == 2 && s.bot.Health().OK })
	return s
}

const mention = "<@" + fakeslack.Bot + "> "

// texts are the bot's posts, told shortly.
func (s *stage) texts(channel string) []string {
	var out []string
	for _, p := range s.Posts(channel) {
		out = append(out, p.Text)
	}
	return out
}

// settled waits until n posts are there, and a while longer, checks what
// always holds, and returns the posts.
func (s *stage) settled(n int) []fakeslack.Message {
	s.t.Helper()
	s.Wait(fmt.Sprintf("%d posts", n), 8*time.Second, func() bool { return len(s.Posts("")) >= n })
	s.still()
	posts := s.Posts("")
	if len(posts) != n {
		s.t.Errorf("%d posts, want %d: %q", len(posts), n, s.texts(""))
	}
	return posts
}

// still waits until nothing that came can still cause anything, and checks
// what always holds.
func (s *stage) still() {
	s.t.Helper()
	s.Wait("an idle bot", 8*time.Second, func() bool { return s.bot.Health().Waiting == 0 })
	time.Sleep(2 * s.AckWithin) // redelivery and loop-back
	s.Wait("an idle bot", 8*time.Second, func() bool { return s.bot.Health().Waiting == 0 })
	s.Wait("acknowledgements", 8*time.Second, s.Acked)
	s.Check()
}

func (s *stage) want(posts []fakeslack.Message, texts ...string) {
	s.t.Helper()
	var got []string
	for _, p := range posts {
		got = append(got, p.Text)
	}
	if !slices.Equal(got, texts) {
		s.t.Errorf("posts\n%q\nwant\n%q", got, texts)
	}
}
