package slack

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"runtime/debug"
	"strings"
	"sync"
	"time"

	"github.com/slack-go/slack"

	"panelhand/bot/answer"
	"panelhand/bot/channel"
)

// A Config is what a Bot needs.
type Config struct {
	BotToken string // xoxb-…: speaks
	AppToken string // xapp-…: listens
	APIURL   string // "" for Slack's own; else https, or http on this machine

	Handler channel.Handler
	Claims  channel.Claims
	View    View
	Windows Windows                // nil for none
	Phrase  func(id string) string // the playbook's sentences
	Log     io.Writer              // tokens are blotted out on the way
	DryRun  bool                   // posts nothing, logs what it would post
	Pace    Pace                   // zero fields have their usual values
}

// A Pace is how long things may take; tests are in more of a hurry.
type Pace struct {
	Ack     time.Duration // after which an envelope is acknowledged, come what may
	Form    time.Duration // a form's answer may take
	Request time.Duration // a request to Slack may take
	Store   time.Duration // the claims may take
	Think   time.Duration // an answer may take
	Ping    time.Duration // without a ping, a socket is opened anew
	Deaf    time.Duration // without a byte, a socket is given up
	Open    time.Duration // between two openings of a socket, after the first few
	Post    time.Duration // between two posts in a channel, after the first few
	Again   time.Duration // before somebody unreachable is tried again
	Look    time.Duration // before an answer that may have been posted is looked for
	Orphan  time.Duration // untouched for so long, a claim's owner is taken for dead
	Own     time.Duration // a thread stays ours after its last answer
	Keep    time.Duration // claims are kept
	Double  time.Duration // within which a second press of a button is the same
	Stop    time.Duration // to finish what was begun, when stopping
}

// usual are Slack's own limits, kept with some room (source: Slack handbook
// §1.1 and §4: 3 s to acknowledge, a post a second in a channel, a ping within
// 30 s).
var usual = Pace{
	Ack: time.Second, Form: 2 * time.Second, Request: 10 * time.Second, Store: 500 * time.Millisecond, Think: 10 * time.Second,
	Ping: 30 * time.Second, Deaf: 90 * time.Second, Open: 5 * time.Second, Post: time.Second, Again: 2 * time.Second, Look: time.Second,
	Orphan: 15 * time.Second, Own: 24 * time.Hour, Keep: 48 * time.Hour, Double: 2 * time.Second, Stop: 8 * time.Second,
}

// filled puts the usual value where there is none.
func (p Pace) filled() Pace {
	for _, f := range []struct {
		have *time.Duration
		want time.Duration
	}{
		{&p.Ack, usual.Ack}, {&p.Form, usual.Form}, {&p.Request, usual.Request}, {&p.Store, usual.Store}, {&p.Think, usual.Think},
		{&p.Ping, usual.Ping}, {&p.Deaf, usual.Deaf}, {&p.Open, usual.Open}, {&p.Post, usual.Post}, {&p.Again, usual.Again}, {&p.Look, usual.Look},
		{&p.Orphan, usual.Orphan}, {&p.Own, usual.Own}, {&p.Keep, usual.Keep}, {&p.Double, usual.Double}, {&p.Stop, usual.Stop},
	} {
		if *f.have <= 0 {
			*f.have = f.want
		}
	}
	return p
}

// What may wait, and from when on one post answers several messages.
const (
	mostWaiting = 1000
	mostApart   = 5
	burst       = 3
	sockets     = 2 // of the ten that Slack allows: while one is opened anew, the other listens
)

// A Bot is the coach's place in one Slack workspace.
type Bot struct {
	appToken string
	apiURL   string
	api      *slack.Client
	web      *http.Client
	handler  channel.Handler
	claims   channel.Claims
	view     View
	windows  Windows
	phrase   func(string) string
	log      *slog.Logger
	blot     blot
	dry      bool
	pace     Pace
	now      func() time.Time

	self     self
	read     reader
	lanes    lanes
	paces    paces
	deleted  recent
	pressed  recent
	excused  recent
	unknown  recent
	last     lastAnswers
	intake   chan *envelope
	aside    sync.WaitGroup // windows being opened
	failed   chan error
	counters counters
	hearing  hearing
	working  context.Context // outlives the sockets while work is finished
}

// A self is who we are in the workspace.
type self struct{ user, bot string }

// New checks what can be checked without a network.
func New(c Config) (*Bot, error) {
	blot := newBlot(c.BotToken, c.AppToken)
	endpoint, err := CheckAPI(c.APIURL)
	if err != nil {
		return nil, err
	}
	switch {
	case c.BotToken == "" || c.AppToken == "":
		return nil, errors.New("two tokens are needed: SLACK_BOT_TOKEN (xoxb-…, from the app's page \"OAuth & Permissions\") and SLACK_APP_TOKEN (xapp-…, from \"Basic Information\", scope connections:write)")
	case strings.HasPrefix(c.BotToken, "xapp-") && strings.HasPrefix(c.AppToken, "xoxb-"):
		return nil, errors.New("the two Slack tokens are swapped: SLACK_BOT_TOKEN takes xoxb-…, SLACK_APP_TOKEN takes xapp-…")
	case !strings.HasPrefix(c.BotToken, "xoxb-"):
		return nil, errors.New("SLACK_BOT_TOKEN is no bot token: those begin with xoxb-")
	case !strings.HasPrefix(c.AppToken, "xapp-"):
		return nil, errors.New("SLACK_APP_TOKEN is no app-level token: those begin with xapp-")
	}
	pace := c.Pace.filled()
	web := &http.Client{Timeout: pace.Request, Transport: http.DefaultTransport.(*http.Transport).Clone()}
	log := c.Log
	if log == nil {
		log = io.Discard
	}
	b := &Bot{
		appToken: c.AppToken, apiURL: endpoint,
		api: slack.New(c.BotToken, slack.OptionAPIURL(endpoint), slack.OptionHTTPClient(web)),
		web: web, handler: c.Handler, claims: c.Claims, view: c.View, windows: c.Windows, phrase: c.Phrase,
		log: slog.New(slog.NewTextHandler(blot.writer(log), nil)), blot: blot, dry: c.DryRun, pace: pace, now: time.Now,
		paces:  paces{every: pace.Post, burst: burst, began: time.Now()},
		intake: make(chan *envelope, mostWaiting), failed: make(chan error, 1), working: context.Background(),
	}
	b.lanes = lanes{most: mostWaiting, batch: mostApart, work: b.work}
	b.hearing.deaf = pace.Deaf
	return b, nil
}

// Run serves until ctx ends, then finishes what was begun and returns nil; it
// returns an error only where going on is pointless, such as for a token that
// is refused. No token is in its words.
func (b *Bot) Run(ctx context.Context) error {
	if err := b.introduce(ctx); err != nil {
		return b.blot.error(err)
	}
	listening, hush := context.WithCancel(ctx)
	defer hush()
	working, stop := context.WithCancel(context.WithoutCancel(ctx))
	defer stop()
	b.working = working

	var parts sync.WaitGroup
	for i := range sockets {
		parts.Go(func() { b.listen(listening, i) })
	}
	parts.Go(func() { b.takeIn(listening) })
	parts.Go(func() { b.tidy(listening) })

	var err error
	select {
	case <-ctx.Done():
	case err = <-b.failed:
		b.hearing.fail()
	}
	hush()
	parts.Wait()
	b.finish(stop)
	return b.blot.error(err)
}

// finish gives what was begun its time, and leaves the rest to the claims.
func (b *Bot) finish(stop context.CancelFunc) {
	deadline := time.Now().Add(b.pace.Stop)
	for b.lanes.depth() > 0 && time.Now().Before(deadline) {
		time.Sleep(b.pace.Stop / 200)
	}
	b.lanes.close()
	stop()
	done := make(chan struct{})
	go func() { b.lanes.workers.Wait(); b.aside.Wait(); close(done) }()
	select {
	case <-done:
	case <-time.After(b.pace.Stop / 8): // a handler that does not heed its context
		b.log.Warn("stopped with work in hand; the next start finishes it")
	}
	b.web.CloseIdleConnections()
}

// introduce learns who we are, which also tells whether the token is good.
func (b *Bot) introduce(ctx context.Context) error {
	for attempt := 1; ; attempt++ {
		asking, cancel := context.WithTimeout(ctx, b.pace.Request)
		me, err := b.api.AuthTestContext(asking)
		cancel()
		what, why, after := judge("asked", err)
		switch {
		case err == nil && me.UserID != "":
			b.self = self{user: me.UserID, bot: me.BotID}
			b.read = newReader(me.UserID, b.phrase("slack-emoji"))
			return nil
		case ctx.Err() != nil:
			return ctx.Err()
		case what == fatal:
			return fatalError{why}
		case what == wait:
			err = sleep(ctx, after)
		case what == refused || attempt == mostAttempts*mostAttempts:
			return fmt.Errorf("cannot reach Slack at %s: %s", b.apiURL, why)
		default:
			b.log.Warn("Slack does not answer yet", "cause", err)
			err = sleep(ctx, b.pace.Again)
		}
		if err != nil {
			return err
		}
	}
}

// tidy takes over what earlier runs left unfinished, and forgets old claims.
func (b *Bot) tidy(ctx context.Context) {
	start := b.now()
	for wait := time.Duration(0); ; wait = b.pace.Orphan {
		if sleep(ctx, wait) != nil {
			return
		}
		again, err := b.resume(ctx, start)
		if err == nil && !again {
			break
		}
	}
	for sleep(ctx, time.Hour) == nil {
		if err := b.claims.Forget(ctx, b.now().Add(-b.pace.Keep)); err != nil {
			b.noClaims(err)
		}
	}
}

// tooLate is after how long nobody waits for an answer any more.
const tooLate = time.Hour

// resume takes over the claims of before start whose owner seems dead; again
// tells that some owners may yet live.
func (b *Bot) resume(ctx context.Context, start time.Time) (again bool, err error) {
	open, err := b.claims.Unfinished(ctx)
	if err != nil {
		b.noClaims(err)
		return true, err
	}
	for _, claim := range open {
		if !claim.Touched.Before(start) {
			continue
		}
		if b.now().Sub(claim.Touched) < b.pace.Orphan {
			again = true
			continue
		}
		var s said
		if len(claim.Message) == 0 || json.Unmarshal(claim.Message, &s) != nil || s.Key != claim.Key {
			continue // not a message
		}
		if b.now().Sub(s.At) > tooLate {
			b.conclude(ctx, receiptLate, claim.Key)
			continue
		}
		if len(claim.Post) > 0 {
			var p parcel
			if json.Unmarshal(claim.Post, &p) != nil || len(p.Keys) == 0 || p.lead() != claim.Key {
				continue // posted for another message, which is in the list too
			}
			s.ready = &p
		}
		if !b.lanes.put(s.lane(), s) {
			return true, nil
		}
		b.count("resumed")
	}
	return again, nil
}

// lane is what must stay in order with s.
func (s said) lane() string { return s.Team + "|" + s.Thread }

// work answers what was said in one thread, several things together where too
// many wait.
func (b *Bot) work(batch []said) {
	var together []said
	for _, s := range batch {
		if s.ready != nil || s.Do != "" || s.Alone || s.Text == "" || len(batch) == 1 {
			b.workOn(together)
			together = nil
			b.workOn([]said{s})
			continue
		}
		together = append(together, s)
	}
	b.workOn(together)
}

// workOn answers what was said with one post.
func (b *Bot) workOn(batch []said) {
	if len(batch) == 0 {
		return
	}
	ctx := b.working
	s := batch[len(batch)-1]
	defer func() {
		if r := recover(); r != nil {
			b.count("panicked")
			b.log.Error("answering broke", "key", s.Key, "cause", fmt.Sprint(r), "stack", string(debug.Stack()))
			b.conclude(ctx, receiptFailed, keys(batch)...)
		}
	}()
	if s.ready != nil {
		b.send(ctx, *s.ready, true)
		return
	}
	if len(batch) == 1 && (s.Do != "" || s.Text == "") {
		b.offer(ctx, batch, b.wordless(s))
		return
	}
	var heard []said
	var answers []*answer.Answer
	for _, s := range batch {
		if b.deleted.has(s.Key) {
			b.conclude(ctx, receiptDeleted, s.Key)
			continue
		}
		a, err := b.ask(ctx, s)
		switch {
		case ctx.Err() != nil:
			return // stopping: the next start answers
		case a == nil:
			b.count("failed")
			b.log.Error("no answer", "key", s.Key, "cause", err)
			b.apologise(ctx, s)
			b.conclude(ctx, receiptFailed, s.Key)
			continue
		case a.Kind == answer.KindUnsure && s.Visitor && s.Aside:
			// People talk to each other in our thread.
			b.count("silent: " + string(toOthers))
			b.conclude(ctx, receiptSilent, s.Key)
			continue
		}
		if err != nil {
			b.log.Warn("an answer with trouble", "key", s.Key, "cause", err)
		}
		b.last.put(s.lane(), a)
		if a.Stops() && len(batch) > 1 { // a stop is never folded into another answer
			if len(heard) > 0 {
				b.offer(ctx, heard, b.lay(heard, answers))
			}
			b.offer(ctx, []said{s}, b.lay([]said{s}, []*answer.Answer{a}))
			heard, answers = nil, nil
			continue
		}
		heard, answers = append(heard, s), append(answers, a)
	}
	if len(heard) > 0 {
		b.offer(ctx, heard, b.lay(heard, answers))
	}
}

func keys(batch []said) []string {
	all := make([]string, len(batch))
	for i, s := range batch {
		all[i] = s.Key
	}
	return all
}

// ask has the coach answer one message; nil where there is no answer.
func (b *Bot) ask(ctx context.Context, s said) (a *answer.Answer, err error) {
	defer func() {
		if r := recover(); r != nil {
			b.count("panicked")
			a, err = nil, fmt.Errorf("the coach broke: %v\n%s", r, debug.Stack())
		}
	}()
	ctx, cancel := context.WithTimeout(ctx, b.pace.Think)
	defer cancel()
	return b.handler.Answer(ctx, channel.Message{Team: s.Team, Thread: s.Thread, Person: s.Person, Text: s.Text, Buttons: true, Now: s.At})
}

func (s said) asker() Asker {
	return Asker{Team: s.Team, Channel: s.Channel, Thread: s.Thread, Person: s.Person, Said: s.Text, Button: s.Button, Alone: s.Alone, Photo: s.Photo}
}

// wordless lays out what needs no coach.
func (b *Bot) wordless(s said) Post {
	switch {
	case s.Do == Show:
		return Post{Text: s.Text}
	case s.Do == Share:
		return b.view.Shared(s.Text, s.asker())
	case s.Photo:
		return b.view.Photo(b.last.get(s.lane()), s.asker())
	}
	return b.view.Help()
}

// lay lays out one answer for all that was heard: the last, which knows what
// was said before, with every caution of the others.
func (b *Bot) lay(heard []said, answers []*answer.Answer) Post {
	last := len(answers) - 1
	to := heard[last].asker()
	for _, s := range heard[:last] {
		to.Also = append(to.Also, s.Text)
		to.Photo = to.Photo || s.Photo
	}
	return b.view.Answer(merge(answers), to)
}

// offer keeps a post, then sends it.
func (b *Bot) offer(ctx context.Context, batch []said, p Post) {
	s := batch[len(batch)-1]
	if s.Alone {
		address(p.Blocks, s.Thread)
	}
	if err := p.Check(); err != nil {
		b.count("laid out wrong")
		b.log.Error("a layout that Slack would refuse; its text is posted alone", "key", s.Key, "cause", err)
		p = Post{Text: shorten(p.Text)}
	}
	made, data, err := pack(p, s, keys(batch)...)
	if err != nil {
		b.log.Error("an answer that cannot be posted", "cause", err)
		b.apologise(ctx, s)
		b.conclude(ctx, receiptFailed, keys(batch)...)
		return
	}
	if err := b.claims.Ready(ctx, data, b.now(), made.Keys...); err != nil {
		b.noClaims(err) // and posted all the same: the claim itself was made
	}
	b.send(ctx, made, false)
}

// send posts what was kept, and finishes its claims.
func (b *Bot) send(ctx context.Context, p parcel, seek bool) {
	receipt, err := b.deliver(ctx, p, seek)
	if err != nil {
		return // unfinished: the next start posts it
	}
	if p.For.Do == Share && when(receipt) != (time.Time{}) {
		h := holding{By: p.For.Person, Thread: p.For.Thread}
		if err := errors.Join(b.own(ctx, p.For.Team, p.For.Channel, receipt, h), b.publish(ctx, p.For.Team, p.For.Channel, p.For.Person, receipt)); err != nil {
			b.noClaims(err)
		}
	}
	b.conclude(ctx, receipt, p.Keys...)
}

func (b *Bot) conclude(ctx context.Context, receipt string, keys ...string) {
	// Also when stopping: what was posted must not be posted again.
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), b.pace.Store)
	defer cancel()
	if err := b.claims.Finish(ctx, receipt, b.now(), keys...); err != nil {
		b.noClaims(err)
	}
}

// apologise tells the asker, and nobody else, that something broke.
func (b *Bot) apologise(ctx context.Context, s said) {
	if b.dry {
		return
	}
	if err := b.respond(ctx, s, b.view.Error(b.phrase("slack-trouble"))); err != nil {
		b.log.Warn("the asker could not be told of trouble", "cause", err)
	}
}

func (b *Bot) noClaims(err error) {
	b.count("store failed")
	b.hearing.store(b.now())
	b.log.Error("the store of claims does not answer; nothing is taken on that could be answered twice", "cause", err)
}

// fail ends Run.
func (b *Bot) fail(err error) {
	select {
	case b.failed <- err:
	default:
	}
}

// hopeless are answers that no waiting mends.
var hopeless = map[string]bool{
	"invalid_auth": true, "not_authed": true, "account_inactive": true, "token_revoked": true, "token_expired": true,
	"not_allowed_token_type": true, "no_permission": true, "org_login_required": true, "team_access_not_granted": true, "app_missing_action_url": true,
}

// A fatalError is a code of Slack's that ends the bot, told in words.
type fatalError struct{ code string }

func (e fatalError) Error() string {
	does := "look at the app's settings"
	switch e.code {
	case "invalid_auth", "not_authed", "token_expired":
		does = "copy both tokens anew from the app's pages: SLACK_BOT_TOKEN (xoxb-…) and SLACK_APP_TOKEN (xapp-…)"
	case "token_revoked", "account_inactive":
		does = "the app was taken out of the workspace or its token withdrawn: install it again and copy the new tokens"
	case "not_allowed_token_type":
		does = "SLACK_APP_TOKEN has to be an app-level token (xapp-…), SLACK_BOT_TOKEN a bot token (xoxb-…)"
	case "no_permission":
		does = "the app-level token needs the scope connections:write, and Socket Mode has to be on"
	}
	return fmt.Sprintf("Slack refuses the token (%s): %s", e.code, does)
}

// address makes the buttons of a post that only one person sees lead back to
// their private conversation, which the post's place does not tell.
func address(blocks []slack.Block, thread string) {
	n := 0
	for _, block := range blocks {
		if actions, ok := block.(*slack.ActionBlock); ok {
			n++
			actions.BlockID = fmt.Sprintf("%s%s:%d", inThread, thread, n)
		}
	}
}

const inThread = "in:"

// addressed is the conversation that address wrote, "" for none.
func addressed(block string) string {
	thread, ok := strings.CutPrefix(block, inThread)
	if i := strings.LastIndexByte(thread, ':'); ok && i > 0 {
		return thread[:i]
	}
	return ""
}
