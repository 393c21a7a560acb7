package slack

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"net/http"
	"slices"
	"sync"
	"time"

	"github.com/slack-go/slack"
)

// A parcel is an answer that is ready to be posted, as a claim keeps it.
type parcel struct {
	Keys   []string     `json:"keys"` // the messages it answers; the last is the one it is posted for
	For    said         `json:"for"`
	Text   string       `json:"text"`
	Blocks slack.Blocks `json:"blocks"`
}

func (p parcel) lead() string { return p.Keys[len(p.Keys)-1] }

// outcome is what became of an attempt to post.
type outcome int

const (
	posted  outcome = iota
	wait            // too many requests: later
	unsent          // nobody was reached: again
	unclear         // it may have been posted: look before posting again
	refused         // it never will be
	fatal           // nothing ever will be: the token is no good
)

// judge tells outcomes apart. What Slack does not answer in so many words
// may have been posted.
func judge(ts string, err error) (outcome, string, time.Duration) {
	const unsaid = 30 * time.Second // how long to wait where nobody says
	var limited *slack.RateLimitedError
	var status slack.StatusCodeError
	var said slack.SlackErrorResponse
	var op *net.OpError
	var dns *net.DNSError
	switch {
	case err == nil && ts != "":
		return posted, "", 0
	case err == nil:
		return unclear, "no answer", 0
	case errors.As(err, &limited):
		return wait, "ratelimited", limited.RetryAfter
	case errors.As(err, &status) && status.Code == http.StatusTooManyRequests:
		return wait, "ratelimited", unsaid
	case errors.As(err, &status) && status.Code >= 500:
		return unclear, status.Status, 0
	case errors.As(err, &status):
		return refused, status.Status, 0
	case errors.As(err, &said):
		switch said.Err {
		case "ratelimited", "rate_limited", "message_limit_exceeded":
			return wait, said.Err, unsaid
		case "internal_error", "fatal_error", "service_unavailable", "request_timeout", "team_added_to_org":
			return unclear, said.Err, 0
		}
		if hopeless[said.Err] {
			return fatal, said.Err, 0
		}
		return refused, said.Err, 0
	case errors.As(err, &op) && op.Op == "dial", errors.As(err, &dns):
		return unsent, "unreachable", 0
	}
	return unclear, "no answer", 0
}

// unlaid are refusals of the layout, not of the words.
var unlaid = []string{"invalid_blocks", "invalid_blocks_format", "msg_blocks_too_long", "invalid_attachments", "msg_too_long"}

// unwelcome are channels that the bot cannot post to: the asker is told
// elsewhere.
var unwelcome = []string{
	"not_in_channel", "channel_not_found", "is_archived", "restricted_action", "restricted_action_read_only_channel",
	"restricted_action_thread_only_channel", "restricted_action_thread_locked", "restricted_action_non_threadable_channel",
	"messages_tab_disabled", "cannot_reply_to_message", "ekm_access_denied", "missing_scope",
}

// Receipts of answers that have no stamp of their own.
const (
	receiptDeleted = "question deleted"
	receiptSilent  = "silent"
	receiptFailed  = "failed"
	receiptUnknown = "unknown"
	receiptDry     = "dry run"
	receiptLate    = "too late"
)

// mostAttempts is how often an answer of which nobody knows whether it
// arrived is posted again after looking for it.
const mostAttempts = 3

// deliver posts a parcel once and returns its receipt, or an error if it has
// to wait for the next start. seek says that it may have been posted before.
func (b *Bot) deliver(ctx context.Context, p parcel, seek bool) (string, error) {
	if b.dry {
		b.log.Info("would post", "channel", p.For.Channel, "thread", p.For.Parent, "alone", p.For.Alone, "text", p.Text)
		return receiptDry, nil
	}
	if p.For.Alone {
		return b.whisper(ctx, p, seek)
	}
	for attempt := 1; ; {
		if seek {
			ts, err := b.seek(ctx, p)
			switch {
			case ts != "":
				return ts, nil
			case ctx.Err() != nil:
				return "", ctx.Err()
			case err != nil: // rather no answer than two
				b.log.Warn("cannot tell whether an answer was posted; it is not posted again", "key", p.lead(), "cause", err)
				b.count("lost")
				return receiptUnknown, nil
			}
		}
		if err := b.paces.wait(ctx, p.For.Channel); err != nil {
			return "", err
		}
		if b.deleted.has(p.For.Key) {
			return receiptDeleted, nil
		}
		ts, parent, err := b.post(ctx, p)
		what, why, after := judge(ts, err)
		if what != posted {
			b.log.Warn("not posted", "key", p.lead(), "why", why, "cause", err)
		}
		switch what {
		case posted:
			b.count("posted")
			if p.For.Parent != "" && parent != p.For.Parent {
				// The thread was deleted meanwhile: what lies in the channel
				// now answers nothing.
				b.count("unthreaded")
				if _, _, err := b.api.DeleteMessageContext(ctx, p.For.Channel, ts); err != nil {
					b.log.Warn("an answer without its thread stays", "channel", p.For.Channel, "cause", err)
				}
				return receiptDeleted, nil
			}
			return ts, nil
		case wait:
			b.count("limited")
			b.paces.hold(p.For.Channel, after)
			continue
		case unsent:
			if err := sleep(ctx, b.pace.Again); err != nil {
				return "", err
			}
			continue
		case unclear:
			if attempt++; attempt > mostAttempts {
				b.count("lost")
				return receiptUnknown, nil
			}
			seek = true
			continue
		case fatal:
			b.fail(fatalError{why})
			return "", err
		}
		if slices.Contains(unlaid, why) && p.Blocks.BlockSet != nil {
			p.Blocks.BlockSet = nil
			p.Text = shorten(p.Text)
			continue
		}
		b.count("refused")
		if slices.Contains(unwelcome, why) {
			b.excuse(ctx, p.For, why)
		}
		return "refused: " + why, nil
	}
}

// answerEvent is the type of the metadata by which an answer is found again.
const answerEvent = "panelhand_answer"

func (b *Bot) post(ctx context.Context, p parcel) (ts, parent string, err error) {
	ctx, cancel := context.WithTimeout(ctx, b.pace.Request)
	defer cancel()
	options := []slack.MsgOption{
		slack.MsgOptionText(p.Text, false),
		slack.MsgOptionDisableLinkUnfurl(),
		slack.MsgOptionDisableMediaUnfurl(),
		slack.MsgOptionMetadata(slack.SlackMetadata{EventType: answerEvent, EventPayload: map[string]any{"key": p.lead()}}),
	}
	if p.For.Parent != "" {
		options = append(options, slack.MsgOptionTS(p.For.Parent))
	}
	if p.Blocks.BlockSet != nil {
		options = append(options, slack.MsgOptionBlocks(p.Blocks.BlockSet...))
	}
	_, ts, sent, err := b.api.PostMessageWithResponseContext(ctx, p.For.Channel, options...)
	return ts, sent.ThreadTimestamp, err
}

// seek looks for an answer that may have been posted: its stamp, "" where it
// is not there, an error where nobody can tell.
func (b *Bot) seek(ctx context.Context, p parcel) (string, error) {
	if err := sleep(ctx, b.pace.Look); err != nil {
		return "", err
	}
	cursor := ""
	for range 5 {
		var messages []slack.Message
		var err error
		asking, cancel := context.WithTimeout(ctx, b.pace.Request)
		if p.For.Parent != "" {
			messages, _, cursor, err = b.api.GetConversationRepliesContext(asking, &slack.GetConversationRepliesParameters{
				ChannelID: p.For.Channel, Timestamp: p.For.Parent, Oldest: p.For.TS, Cursor: cursor, Limit: 200, IncludeAllMetadata: true,
			})
		} else {
			var found *slack.GetConversationHistoryResponse
			found, err = b.api.GetConversationHistoryContext(asking, &slack.GetConversationHistoryParameters{
				ChannelID: p.For.Channel, Oldest: p.For.TS, Cursor: cursor, Limit: 200, IncludeAllMetadata: true,
			})
			if err == nil {
				messages, cursor = found.Messages, found.ResponseMetaData.NextCursor
			}
		}
		cancel()
		switch what, why, after := judge("found", err); {
		case what == wait:
			if err := sleep(ctx, after); err != nil {
				return "", err
			}
			continue
		case why == "thread_not_found" || why == "channel_not_found":
			return "", nil
		case err != nil:
			return "", err
		}
		for _, m := range messages {
			if m.Metadata.EventType == answerEvent && m.Metadata.EventPayload["key"] == p.lead() {
				return m.Timestamp, nil
			}
		}
		if cursor == "" {
			return "", nil
		}
	}
	return "", errors.New("the thread is too long to look through")
}

// whisper answers where only the asker sees it. An answer that may have
// arrived is not sent again: the asker has only to ask again.
func (b *Bot) whisper(ctx context.Context, p parcel, seek bool) (string, error) {
	if seek {
		return receiptUnknown, nil
	}
	for {
		err := b.respond(ctx, p.For, Post{p.Text, p.Blocks.BlockSet})
		what, why, after := judge("sent", err)
		switch what {
		case posted:
			b.count("posted")
			return "alone", nil
		case wait:
			b.count("limited")
			err = sleep(ctx, after)
		case unsent:
			err = sleep(ctx, b.pace.Again)
		default:
			b.log.Warn("not told", "key", p.lead(), "why", why, "cause", err)
			b.count("refused")
			return "refused: " + why, nil
		}
		if err != nil {
			return "", err
		}
	}
}

// Tell writes to one person of the program's own accord. It is not tried again:
// whoever calls has it in the log too.
func (b *Bot) Tell(ctx context.Context, person, text string) error {
	if b.dry {
		b.log.Info("would tell", "person", person, "text", text)
		return nil
	}
	ctx, cancel := context.WithTimeout(ctx, b.pace.Request)
	defer cancel()
	_, _, err := b.api.PostMessageContext(ctx, person, slack.MsgOptionText(cut(text, mostTold), true), slack.MsgOptionDisableLinkUnfurl())
	return b.blot.error(err)
}

// mostTold is how many characters of the program's own news are posted.
const mostTold = 3000

// respond sends to one person: by the URL that came with what they did, which
// works wherever they are, or else within the channel.
func (b *Bot) respond(ctx context.Context, to said, p Post) error {
	ctx, cancel := context.WithTimeout(ctx, b.pace.Request)
	defer cancel()
	if to.URL == "" {
		options := []slack.MsgOption{slack.MsgOptionText(p.Text, false)}
		if p.Blocks != nil {
			options = append(options, slack.MsgOptionBlocks(p.Blocks...))
		}
		if to.Parent != "" && to.Parent != to.TS { // in a thread that has others
			options = append(options, slack.MsgOptionTS(to.Parent))
		}
		_, err := b.api.PostEphemeralContext(ctx, to.Channel, to.Person, options...)
		return err
	}
	message := &slack.WebhookMessage{Text: p.Text, ResponseType: slack.ResponseTypeEphemeral}
	if p.Blocks != nil {
		message.Blocks = &slack.Blocks{BlockSet: p.Blocks}
	}
	return slack.PostWebhookCustomHTTPContext(ctx, to.URL, b.web, message)
}

// excuse tells a person, once an hour for each channel, why nothing is
// answered there.
func (b *Bot) excuse(ctx context.Context, s said, why string) {
	if !b.excused.add(s.Channel+"|"+s.Person, b.now(), time.Hour) || b.dry {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, b.pace.Request)
	defer cancel()
	calm := b.view.Error(b.phrase("slack-unwelcome"))
	var err error
	if s.URL != "" {
		err = b.respond(ctx, s, calm)
	} else {
		options := []slack.MsgOption{slack.MsgOptionText(calm.Text, false)}
		if calm.Blocks != nil {
			options = append(options, slack.MsgOptionBlocks(calm.Blocks...))
		}
		_, _, err = b.api.PostMessageContext(ctx, s.Person, options...)
	}
	if err != nil {
		b.log.Warn("the asker could not be told", "why", why, "cause", err)
	}
}

// shorten cuts a text to what Slack takes as one message's.
func shorten(text string) string {
	const most = 3900
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return text
}

// paces keep posts to one channel as far apart as Slack wants them.
type paces struct {
	every time.Duration // one post in a channel, in the long run
	burst int           // that may come at once
	began time.Time     // nobody knows what was posted just before: no burst then

	mu   sync.Mutex
	next map[string]time.Time // when the channel's burst is full again
}

// wait waits until a post may go to the channel.
func (p *paces) wait(ctx context.Context, channel string) error {
	p.mu.Lock()
	now := time.Now()
	if p.next == nil {
		p.next = map[string]time.Time{}
	}
	if len(p.next) > mostRecent {
		for c, t := range p.next {
			if t.Before(now) {
				delete(p.next, c)
			}
		}
	}
	full, known := p.next[channel]
	if !known {
		full = p.began.Add(time.Duration(p.burst-1) * p.every)
	}
	if full.Before(now) {
		full = now
	}
	full = full.Add(p.every)
	p.next[channel] = full
	p.mu.Unlock()
	return sleep(ctx, full.Sub(now)-time.Duration(p.burst)*p.every)
}

// hold lets nothing go to the channel for a while.
func (p *paces) hold(channel string, d time.Duration) {
	p.mu.Lock()
	defer p.mu.Unlock()
	until := time.Now().Add(d + time.Duration(p.burst-1)*p.every)
	if p.next == nil {
		p.next = map[string]time.Time{}
	}
	if p.next[channel].Before(until) {
		p.next[channel] = until
	}
}

// sleep waits, unless ctx ends first.
func sleep(ctx context.Context, d time.Duration) error {
	if d <= 0 {
		return ctx.Err()
	}
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// pack makes a parcel of a post.
func pack(p Post, s said, keys ...string) (parcel, []byte, error) {
	if p.Text == "" {
		return parcel{}, nil, fmt.Errorf("an answer to %s has no text", s.Key)
	}
	made := parcel{Keys: keys, For: s, Text: p.Text, Blocks: slack.Blocks{BlockSet: p.Blocks}}
	data, err := json.Marshal(made)
	return made, data, err
}
