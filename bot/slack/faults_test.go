package slack_test

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"
	lib "github.com/slack-go/slack"

	"panelhand/bot/answer"
	"panelhand/bot/channel"
	"panelhand/bot/slack"
	"panelhand/bot/slack/fakeslack"
)

// The faults of the Slack handbook §8.2, by their numbers.

// question is a mention that is yet to be delivered.
func (s *stage) question(text string) map[string]any {
	ts := s.Say("U1", "C1", mention+text, fakeslack.Words{Silent: true})
	return map[string]any{"type": "app_mention", "channel": "C1", "user": "U1", "text": mention + text, "ts": ts}
}

func TestFault01SameEnvelopeTwice(t *testing.T) {
	t.Parallel()
	s := start(t)
	event := s.question("open shade")
	id := s.Event(event)
	s.Wait("an acknowledgement", 2*time.Second, func() bool { d := s.Deliveries(); return len(d) > 0 && len(d[0].Acks) == 1 })
	s.Again(id, event, 0, s.Deliveries()[0].Envelope)
	s.settled(1)
	if d := s.Deliveries()[0]; d.Copies != 2 || len(d.Acks) != 2 {
		t.Errorf("delivered %d times, acknowledged %d times; want 2 and 2", d.Copies, len(d.Acks))
	}
}

func TestFault02RedeliveredInANewEnvelope(t *testing.T) {
	t.Parallel()
	s := start(t)
	event := s.question("open shade")
	id := s.Event(event)
	s.Wait("an answer", 2*time.Second, func() bool { return len(s.Posts("")) == 1 })
	for attempt := 1; attempt <= 3; attempt++ {
		s.Again(id, event, attempt, "")
		s.Again(id, event, attempt, "") // the same attempt twice has been seen
	}
	s.settled(1)
	for _, d := range s.Deliveries() {
		if len(d.Acks) != 1 {
			t.Errorf("attempt %d was acknowledged %d times", d.Attempt, len(d.Acks))
		}
	}
}

func TestFault03MentionAndMessage(t *testing.T) {
	t.Parallel()
	for _, how := range []fakeslack.Words{
		{}, {MentionFirst: true}, {Gap: 25 * time.Millisecond}, {Gap: 25 * time.Millisecond, MentionFirst: true}, {MentionOnly: true},
	} {
		t.Run(fmt.Sprintf("first=%v only=%v gap=%v", how.MentionFirst, how.MentionOnly, how.Gap), func(t *testing.T) {
			t.Parallel()
			s := start(t)
			ts := s.Say("U1", "C1", mention+"open shade", how)
			posts := s.settled(1)
			if posts[0].Thread != ts {
				t.Errorf("answered in thread %q, want %q", posts[0].Thread, ts)
			}
			if n := len(s.parrot.messages()); n != 1 {
				t.Errorf("the coach was asked %d times", n)
			}
		})
	}
}

func TestFault04DisconnectWhileComputing(t *testing.T) {
	t.Parallel()
	s := start(t, func(s *stage) { s.parrot.gate = make(chan struct{}) })
	s.Say("U1", "C1", mention+"open shade")
	s.Wait("the coach", 2*time.Second, func() bool { return len(s.parrot.messages()) == 1 })
	for _, k := range s.Sockets() {
		k.Disconnect("warning")
	}
	cut := time.Now()
	s.Wait("new sockets", time.Second, func() bool { return s.Open() == 2 })
	if took := time.Since(cut); took > slower*time.Second {
		t.Errorf("reconnecting took %v", took)
	}
	close(s.parrot.gate)
	s.settled(1)
}

func TestFault05CutBeforeTheAck(t *testing.T) {
	t.Parallel()
	slow := &slowClaims{Memory: new(channel.Memory), delay: 40 * time.Millisecond}
	s := start(t, func(s *stage) { s.claims = slow })
	s.Say("U1", "C1", mention+"open shade", fakeslack.Words{MentionOnly: true})
	s.Wait("a delivery", time.Second, func() bool { return len(s.Deliveries()) == 1 })
	for _, k := range s.Sockets() {
		k.Cut()
	}
	s.settled(1)
	if d := s.Deliveries(); len(d) < 2 || !d[0].Lost {
		t.Error("the event was not lost and delivered again: this test tests nothing")
	}
}

// slowClaims take their time, and may be gone.
type slowClaims struct {
	*channel.Memory
	delay time.Duration
	gone  func() bool
}

func (c *slowClaims) Claim(ctx context.Context, key string, message []byte, now time.Time) (bool, error) {
	if c.gone != nil && c.gone() {
		return false, errors.New("the store is gone")
	}
	select {
	case <-time.After(c.delay):
	case <-ctx.Done():
		return false, ctx.Err()
	}
	return c.Memory.Claim(ctx, key, message, now)
}

func TestFault06HalfOpen(t *testing.T) {
	t.Parallel()
	s := start(t, func(s *stage) {
		s.PingEvery = 0
		s.config.Pace.Deaf = slower * 400 * time.Millisecond
	})
	began := time.Now()
	s.Wait("degraded health", 3*time.Second, func() bool { return !s.bot.Health().OK })
	s.Lock(func() { s.PingEvery = slower * 100 * time.Millisecond })
	s.Wait("sockets opened anew", 3*time.Second, func() bool { return len(s.Opens()) >= 4 })
	if took := time.Since(began); took > 2*hurry.Ping+slower*time.Second {
		t.Errorf("a half-open socket was found after %v", took)
	}
	s.Wait("health", 3*time.Second, func() bool { return s.bot.Health().OK && s.Open() == 2 })
	s.Say("U1", "C1", mention+"open shade")
	s.settled(1)
}

func TestFault07DisconnectAfterEveryHello(t *testing.T) {
	t.Parallel()
	for _, reason := range []string{"link_disabled", "too_many_websockets", "refresh_requested"} {
		t.Run(reason, func(t *testing.T) {
			t.Parallel()
			s := build(t, func(s *stage) {
				s.OnHello = func(k *fakeslack.Socket) { k.Disconnect(reason) }
			})
			s.run()
			time.Sleep(slower * 1500 * time.Millisecond)
			// Two sockets, each three at once and then one every 250 ms.
			if n := len(s.Opens()); n > 2*(3+6+1) || n < 8 {
				t.Errorf("%d sockets were opened in 1.5 s", n)
			}
			opens := s.Opens()
			if gap := opens[len(opens)-1].Sub(opens[len(opens)-5]); gap < hurry.Open {
				t.Errorf("the latest openings came within %v", gap)
			}
			if !strings.Contains(s.log.String(), "keeps closing") {
				t.Error("the log does not say so")
			}
		})
	}
}

func TestFault08OpeningFails(t *testing.T) {
	t.Parallel()
	t.Run("mends", func(t *testing.T) {
		for name, fault := range map[string]fakeslack.Fault{
			"hang": {Hang: true}, "500": {Status: 500}, "429": {Status: 429, RetryAfter: "1"}, "cut": {Cut: true}, "no error": {Body: `{"ok":false}`}, "html": {Body: "<html>"},
		} {
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				s := build(t, func(s *stage) { s.config.Pace.Request = slower * 300 * time.Millisecond })
				s.Fail("apps.connections.open", fault, fault)
				began := time.Now()
				s.run()
				s.Wait("sockets", 6*time.Second, func() bool { return s.Open() == 2 })
				if name == "429" && time.Since(began) < time.Second {
					t.Error("Retry-After was not heeded")
				}
				s.Say("U1", "C1", mention+"open shade")
				s.settled(1)
			})
		}
	})
	t.Run("ends", func(t *testing.T) {
		for _, c := range []struct{ method, code, says string }{
			{"auth.test", "invalid_auth", "SLACK_BOT_TOKEN"},
			{"auth.test", "account_inactive", "install it again"},
			{"auth.test", "not_allowed_token_type", "xoxb"},
			{"apps.connections.open", "invalid_auth", "SLACK_APP_TOKEN"},
			{"apps.connections.open", "not_allowed_token_type", "xapp"},
			{"apps.connections.open", "token_revoked", "install it again"},
			{"apps.connections.open", "no_permission", "connections:write"},
		} {
			t.Run(c.method+" "+c.code, func(t *testing.T) {
				t.Parallel()
				s := build(t)
				for range 4 {
					s.Fail(c.method, fakeslack.Fault{Error: c.code})
				}
				s.run()
				select {
				case err := <-s.ended:
					s.ended <- err // for the cleanup
					if err == nil || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), c.code) {
						t.Errorf("ended with %v, want words on %q", err, c.says)
					}
				case <-time.After(slower * 3 * time.Second):
					t.Error("did not end")
				}
			})
		}
	})
}

func TestFault09TooManyRequests(t *testing.T) {
	t.Parallel()
	s := start(t)
	fault := fakeslack.Fault{Status: 429, RetryAfter: "1"}
	s.Fail("chat.postMessage", fault, fault)
	began := time.Now()
	ts := s.Say("U1", "C1", mention+"one")
	s.Wait("the first", time.Second, func() bool { return len(s.Requests("chat.postMessage")) == 1 })
	s.Say("U1", "C1", "two", fakeslack.Words{Thread: ts})
	time.Sleep(20 * time.Millisecond)
	s.Say("U1", "C1", "three", fakeslack.Words{Thread: ts})
	s.want(s.settled(3), "re: one", "re: two", "re: three")
	if took := time.Since(began); took < 2*time.Second {
		t.Errorf("two waits of a second took %v", took)
	}
}

func TestFault10StoredAndThenFailed(t *testing.T) {
	t.Parallel()
	for name, fault := range map[string]fakeslack.Fault{
		"500": {Stored: true, Status: 500}, "cut": {Stored: true, Cut: true}, "empty": {Stored: true, Body: `{"ok":false}`},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := start(t)
			s.Fail("chat.postMessage", fault)
			s.Say("U1", "C1", mention+"open shade")
			s.settled(1)
			if len(s.Requests("conversations.replies")) == 0 {
				t.Error("it did not look before posting again")
			}
		})
		t.Run(name+" without the scope to look", func(t *testing.T) {
			t.Parallel()
			s := start(t, func(s *stage) { s.NoHistory = true })
			s.Fail("chat.postMessage", fault)
			s.Say("U1", "C1", mention+"open shade")
			s.settled(1)
			if !strings.Contains(s.log.String(), "not posted again") {
				t.Error("the log does not tell")
			}
		})
	}
	t.Run("lost before it was stored", func(t *testing.T) {
		t.Parallel()
		s := start(t)
		s.Fail("chat.postMessage", fakeslack.Fault{Status: 503}, fakeslack.Fault{Cut: true})
		s.Say("U1", "C1", mention+"open shade")
		s.settled(1)
	})
}

func TestFault11SlowPost(t *testing.T) {
	t.Parallel()
	s := start(t, func(s *stage) { s.AddChannel("C2", "channel") })
	s.Fail("chat.postMessage", fakeslack.Fault{Hang: true})
	ts := s.Say("U1", "C1", mention+"one")
	s.Wait("the hanging post", time.Second, func() bool { return len(s.Requests("chat.postMessage")) == 1 })
	s.Say("U1", "C1", mention+"another thread")
	s.Say("U2", "C2", mention+"two")
	s.Wait("the other channel's answer", hurry.Request/2, func() bool { return len(s.Posts("C2")) == 1 })
	s.settled(3) // the request timed out, was looked for and posted again
	var one int
	for _, p := range s.Posts("C1") {
		if p.Thread == ts {
			one++
		}
	}
	if one != 1 {
		t.Errorf("the slow answer was posted %d times", one)
	}
}

func TestFault12Refusals(t *testing.T) {
	t.Parallel()
	for _, code := range []string{"not_in_channel", "channel_not_found", "is_archived", "restricted_action"} {
		t.Run(code, func(t *testing.T) {
			t.Parallel()
			s := start(t)
			s.Fail("chat.postMessage", fakeslack.Fault{Error: code})
			s.Say("U1", "C1", mention+"open shade")
			s.Wait("a word to the asker", 2*time.Second, func() bool { return len(s.Posts("D1")) == 1 })
			s.Fail("chat.postMessage", fakeslack.Fault{Error: code})
			s.Say("U1", "C1", mention+"open shade again")
			s.want(s.settled(1), "calm: slack-unwelcome") // once
			if n := len(s.Requests("chat.postMessage")); n != 3 {
				t.Errorf("%d calls for two refusals and one word", n)
			}
		})
	}
	for _, code := range []string{"msg_blocks_too_long", "invalid_blocks"} {
		t.Run(code, func(t *testing.T) {
			t.Parallel()
			s := start(t)
			s.Fail("chat.postMessage", fakeslack.Fault{Error: code})
			s.Say("U1", "C1", mention+"open shade")
			if posts := s.settled(1); posts[0].Blocks != nil || posts[0].Text != "re: open shade" {
				t.Errorf("posted %q with blocks %s, want the text alone", posts[0].Text, posts[0].Blocks)
			}
		})
	}
	t.Run("for ever", func(t *testing.T) {
		t.Parallel()
		s := start(t)
		for range 10 {
			s.Fail("chat.postMessage", fakeslack.Fault{Error: "invalid_blocks"})
		}
		s.Say("U1", "C1", mention+"open shade")
		s.settled(0)
		s.Wait("the refusals", 2*time.Second, func() bool { return len(s.Requests("chat.postMessage")) == 2 })
		time.Sleep(200 * time.Millisecond)
		if n := len(s.Requests("chat.postMessage")); n != 2 {
			t.Errorf("%d calls: with blocks, and without", n)
		}
	})
}

func TestFault13NoAnswerToSpeakOf(t *testing.T) {
	t.Parallel()
	for name, body := range map[string]string{"no error": `{"ok":false}`, "html": "<html>maintenance</html>", "truncated": `{"ok":true,"ts":"17`, "null": "null", "array": "[]"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := start(t)
			s.Fail("chat.postMessage", fakeslack.Fault{Body: body})
			s.Say("U1", "C1", mention+"open shade")
			s.settled(1)
		})
	}
	t.Run("every time", func(t *testing.T) {
		t.Parallel()
		s := start(t)
		for range 20 {
			s.Fail("chat.postMessage", fakeslack.Fault{Body: `{"ok":false}`})
		}
		s.Say("U1", "C1", mention+"open shade")
		s.Wait("attempts", 3*time.Second, func() bool { return len(s.Requests("chat.postMessage")) == 3 })
		s.settled(0)
		if n := len(s.Requests("chat.postMessage")); n != 3 {
			t.Errorf("%d attempts, want 3", n)
		}
	})
}

func TestFault14MalformedFrames(t *testing.T) {
	t.Parallel()
	bad := []byte(`{"type":"events_api","envelope_id":`)
	for _, c := range []struct {
		name   string
		send   func(*fakeslack.Socket)
		reopen bool
	}{
		{"one", func(k *fakeslack.Socket) { _ = k.Send(bad) }, false},
		{"three", func(k *fakeslack.Socket) { repeat(3, func() { _ = k.Send(bad) }) }, false},
		{"twelve", func(k *fakeslack.Socket) { repeat(12, func() { _ = k.Send([]byte(`{"type" 5}`)) }) }, true},
		{"binary", func(k *fakeslack.Socket) { _ = k.Write(websocket.BinaryMessage, []byte{0, 1, 2}) }, false},
		{"2 MB", func(k *fakeslack.Socket) {
			_ = k.Send([]byte(`{"type":"events_api","envelope_id":"big","payload":"` + strings.Repeat("x", 2<<20) + `"}`))
		}, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := start(t)
			before := len(s.Opens())
			for _, k := range s.Sockets() {
				c.send(k)
			}
			if c.reopen {
				s.Wait("new sockets", 3*time.Second, func() bool { return len(s.Opens()) >= before+2 && s.Open() == 2 })
			} else {
				time.Sleep(100 * time.Millisecond)
				if n := len(s.Opens()); n != before {
					t.Errorf("%d sockets were opened anew", n-before)
				}
			}
			s.Say("U1", "C1", mention+"open shade")
			s.settled(1)
		})
	}
}

func repeat(n int, do func()) {
	for range n {
		do()
	}
}

func TestFault15Unknown(t *testing.T) {
	t.Parallel()
	s := start(t)
	for range 3 {
		s.Envelope("weather_report", map[string]any{"a": 1})
		s.Event(map[string]any{"type": "moon_phase_changed", "channel": "C1"})
		s.Event(map[string]any{"type": "app_mention", "user": 123, "text": mention + "x", "channel": "C1", "ts": "1.1"})
		s.Envelope("interactive", map[string]any{"type": "block_actions", "actions": "none"})
		s.Envelope("interactive", map[string]any{"type": "never_heard_of"})
		s.Envelope("slash_commands", []int{1})
	}
	s.settled(0)
	if n := len(s.Deliveries()); n != 18 {
		t.Errorf("%d deliveries, want 18: something was delivered again", n)
	}
	if n := strings.Count(s.log.String(), "weather_report"); n == 0 || n > 2 {
		t.Errorf("the log tells of the unknown type %d times, want once:\n%s", n, s.log)
	}
	s.Say("U1", "C1", mention+"open shade")
	s.settled(1)
}

func TestFault16Bots(t *testing.T) {
	t.Parallel()
	s := start(t)
	ts := s.Say("U1", "C1", mention+"open shade")
	s.settled(1)
	for _, with := range []map[string]any{
		{"user": fakeslack.Bot}, {"bot_id": fakeslack.BotID}, {"bot_id": "B2"}, {"user": "USLACKBOT"}, {"subtype": "bot_message", "bot_id": "B3", "user": ""},
		{"bot_id": "BWF", "workflow_id": "Wf1"}, {"app_id": fakeslack.App}, {"user": ""},
	} {
		s.Say("U9", "C1", mention+"ping", fakeslack.Words{Thread: ts, With: with})
		s.Say("U9", "D9", "ping", fakeslack.Words{With: with})
	}
	s.settled(1)
}

func TestFault17Edits(t *testing.T) {
	t.Parallel()
	s := start(t)
	ts := s.Say("U1", "C1", mention+"open shade")
	other := s.Say("U1", "C1", "not for the coach")
	s.settled(1)
	s.Edit("U1", "C1", ts, mention+"open shade, softer")
	s.Edit("U1", "C1", other, mention+"for the coach after all")
	s.Event(map[string]any{"type": "message", "subtype": "message_changed", "hidden": true, "channel": "C1", "channel_type": "channel", "ts": "1.2",
		"message":          map[string]any{"user": "U1", "text": mention + "open shade", "ts": ts, "attachments": []any{map[string]any{"title": "a link"}}},
		"previous_message": map[string]any{"user": "U1", "text": mention + "open shade", "ts": ts}})
	s.Event(map[string]any{"type": "message", "subtype": "tombstone", "hidden": true, "channel": "C1", "channel_type": "channel", "ts": "1.3", "user": "USLACKBOT", "text": mention})
	s.Event(map[string]any{"type": "message", "subtype": "message_replied", "channel": "C1", "channel_type": "channel", "ts": "1.4", "user": "U1", "text": mention})
	s.settled(1)
}

func TestFault18DeletedMeanwhile(t *testing.T) {
	t.Parallel()
	t.Run("the question", func(t *testing.T) {
		t.Parallel()
		s := start(t, func(s *stage) { s.parrot.gate = make(chan struct{}) })
		ts := s.Say("U1", "C1", mention+"open shade")
		s.Wait("the coach", 2*time.Second, func() bool { return len(s.parrot.messages()) == 1 })
		s.Delete("C1", ts)
		time.Sleep(50 * time.Millisecond)
		close(s.parrot.gate)
		s.settled(0)
	})
	t.Run("the thread, unnoticed", func(t *testing.T) {
		t.Parallel()
		s := start(t, func(s *stage) { s.parrot.gate = make(chan struct{}) })
		parent := s.Say("U1", "C1", "who lights the fish stall?")
		s.Say("U1", "C1", mention+"open shade", fakeslack.Words{Thread: parent})
		s.Wait("the coach", 2*time.Second, func() bool { return len(s.parrot.messages()) == 1 })
		s.Lock(func() {}) // nobody tells the bot
		s.Forget("C1", parent)
		close(s.parrot.gate)
		s.Wait("the answer's end", 2*time.Second, func() bool { return len(s.Requests("chat.delete")) == 1 })
		s.settled(0)
	})
}

func TestFault19Subtypes(t *testing.T) {
	t.Parallel()
	s := start(t)
	for _, subtype := range []string{"never_heard_of", "channel_join", "huddle_thread", "channel_topic", "pinned_item", "reminder_add", "assistant_app_thread"} {
		s.Say("U1", "D1", "open shade", fakeslack.Words{Subtype: subtype})
	}
	s.settled(0)
	s.Say("U1", "D1", "one", fakeslack.Words{Subtype: "file_share", Files: []string{"application/pdf"}})
	s.Say("U2", "D2", "two", fakeslack.Words{Subtype: "thread_broadcast", Thread: s.Say("U2", "D2", "x", fakeslack.Words{Silent: true})})
	s.Say("U3", "D3", "three", fakeslack.Words{Subtype: "me_message"})
	s.want(s.settled(3), "re: one", "re: two", "re: three")
}

func TestFault20Mentions(t *testing.T) {
	t.Parallel()
	rich := func(elements string) string {
		return `[{"type":"rich_text","block_id":"b","elements":[` + elements + `]}]`
	}
	user := func(id string) string { return `{"type":"user","user_id":"` + id + `"}` }
	word := `{"type":"text","text":" open shade"}`
	for _, c := range []struct {
		name, text, blocks string
		want               []string
	}{
		{"code span", "look: `" + mention + "open shade`", "", nil},
		{"code block", "```" + mention + "open shade```", "", nil},
		{"quote", "&gt; " + mention + "open shade\nwhat was that?", "", nil},
		{"code span, as blocks", mention + "x", rich(`{"type":"rich_text_section","elements":[{"type":"user","user_id":"UBOT","style":{"code":true}},` + word + `]}`), nil},
		{"code block, as blocks", mention + "x", rich(`{"type":"rich_text_preformatted","elements":[` + user("UBOT") + `]}`), nil},
		{"quote, as blocks", mention + "x", rich(`{"type":"rich_text_quote","elements":[` + user("UBOT") + `]}`), nil},
		{"as blocks", mention + "open shade", rich(`{"type":"rich_text_section","elements":[` + user("UBOT") + `,` + word + `]}`), []string{"re: open shade"}},
		{"in a list", mention + "open shade", rich(`{"type":"rich_text_list","style":"bullet","elements":[{"type":"rich_text_section","elements":[` + user("UBOT") + `,` + word + `]}]}`), []string{"re: open shade"}},
		{"others first", "<@U2> " + mention + "open shade", "", []string{"re: open shade"}},
		{"others only", "<@U2> open shade", "", nil},
		{"at the end, twice", "open shade " + mention + mention, "", []string{"re: open shade"}},
		{"nothing else", mention, "", []string{"help"}},
		{"nothing else, named", "<@UBOT|coach>", "", []string{"help"}},
		{"nobody", "open shade", "", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := start(t)
			s.Say("U1", "C1", c.text, fakeslack.Words{Blocks: c.blocks})
			s.want(s.settled(len(c.want)), c.want...)
		})
	}
}

func TestFault21MonstrousTexts(t *testing.T) {
	t.Parallel()
	s := start(t)
	deep := strings.Repeat(`{"type":"rich_text_section","elements":[`, 400) + strings.Repeat(`]}`, 400)
	texts := []fakeslack.Words{
		{With: map[string]any{"text": mention + strings.Repeat("word ", 8000)}},
		{With: map[string]any{"text": mention + strings.Repeat(":zap:", 5000)}},
		{With: map[string]any{"text": mention + "\u202eedahs nepo\u202c"}},
		{With: map[string]any{"text": mention + "open\u200bshade\x00"}},
		{With: map[string]any{"text": mention + strings.Repeat("<", 20000)}},
		{With: map[string]any{"text": mention + strings.Repeat("*_~`", 10000)}},
		{Blocks: `[{"type":"rich_text","elements":[` + deep + `]}]`},
	}
	for i, w := range texts {
		began := time.Now()
		s.Say("U1", "C1", mention+"x", w)
		s.Wait(fmt.Sprintf("an answer to text %d", i), 2*time.Second, func() bool { return len(s.parrot.messages()) >= min(i+1, 6) })
		if took := time.Since(began); took > slower*400*time.Millisecond {
			t.Errorf("text %d took %v", i, took)
		}
		time.Sleep(2 * hurry.Post)
	}
	for _, m := range s.parrot.messages() {
		if len(m.Text) > 32<<10 || strings.ContainsAny(m.Text, "\x00") {
			t.Errorf("the coach was given %d bytes, %.20q…", len(m.Text), m.Text)
		}
	}
	s.still()
}

func TestFault22TypedOnAPhone(t *testing.T) {
	t.Parallel()
	s := start(t)
	for _, c := range []struct{ typed, plain string }{
		{"1½ stop", "1½ stop"}, // read by the ear: see TestNumbersArriveWhole in cmd/panelhand
		{"42” octa", "42” octa"},
		{"f/2.8 &amp; &lt;1/125", "f/2.8 & <1/125"},
		{":zap: key", "flash key"},
		{"<https://x|label>", "label"},
		{"<http://f/2.8.pro|f/2.8.pro>", "f/2.8.pro"},
		{"key at −1 EV, 16:9, 12:30:15", "key at −1 EV, 16:9, 12:30:15"},
		{"a\u00a0panel", "a panel"},
		{"*soft* _light_ ~hard~ `f/4`", "soft light hard f/4"},
		{"2*3 file_name_x", "2*3 file_name_x"},
		{"&amp;lt; &copy=1", "&lt; &copy=1"},
		{"in <#C9|market> with <@U2> and <!here>", "in market with and"},
	} {
		before := len(s.parrot.messages())
		s.Say("U1", "D1", c.typed)
		s.Wait(c.typed, 2*time.Second, func() bool { return len(s.parrot.messages()) > before })
		if got := s.parrot.messages()[before].Text; got != c.plain {
			t.Errorf("%q is heard as %q, want %q", c.typed, got, c.plain)
		}
	}
	s.still()
}

func TestFault23Injection(t *testing.T) {
	t.Parallel()
	s := start(t)
	s.Say("U1", "C1", mention+"&lt;!channel&gt; open shade")
	s.Slash("U1", "C1", "<!here> open shade")
	s.Slash("U1", "C1", "*`&lt;!everyone&gt;")
	s.Say("U2", "C1", mention+"<https://evil.example|<!channel>> x")
	s.Wait("the whispers", 2*time.Second, func() bool { return len(s.Whispers()) == 2 })
	s.settled(2)
	for _, m := range s.Posts("") {
		if strings.Contains(m.Text, "<!") {
			t.Errorf("posted %q", m.Text)
		}
	}
}

func TestFault24Interactions(t *testing.T) {
	t.Parallel()
	t.Run("pressed twice", func(t *testing.T) {
		t.Parallel()
		s := start(t)
		s.Say("U1", "C1", mention+"open shade")
		first := s.settled(1)[0]
		action, value, block := fakeslack.Button(first.Blocks, "say")
		press := fakeslack.Press{Channel: "C1", Message: first.TS, Thread: first.Thread, Action: action, Value: value, Block: block}
		s.Press("U2", press)
		s.Press("U2", press)
		posts := s.settled(2)
		s.want(posts, "re: open shade", "re: softer")
		if posts[1].Thread != first.Thread {
			t.Error("not answered in the thread of the button")
		}
		if m := s.parrot.messages(); m[1].Thread != m[0].Thread || m[1].Person != "U2" {
			t.Errorf("said as %+v", m[1])
		}
		s.Press("U2", press) // later it is another press
		s.settled(3)
	})
	t.Run("on an old message", func(t *testing.T) {
		t.Parallel()
		s := start(t)
		s.Say("U1", "C1", "x", fakeslack.Words{Silent: true})
		s.Press("U1", fakeslack.Press{Channel: "C1", Message: "1700000000.000100", Action: "say:softer", Value: "softer"})
		s.Wait("an end", 2*time.Second, func() bool { return len(s.Requests("chat.postMessage")) == 1 })
		s.still()
	})
	t.Run("show", func(t *testing.T) {
		t.Parallel()
		s := start(t)
		s.Press("U1", fakeslack.Press{Channel: "C1", Message: "1700000000.000100", Action: "show:working", Value: "N = 56"})
		s.Wait("a whisper", 2*time.Second, func() bool { return len(s.Whispers()) == 1 })
		if w := s.Whispers()[0]; w.To != "U1" || w.Text != "N = 56" || !w.Slash {
			t.Errorf("whispered %+v", w)
		}
		s.settled(0)
	})
	t.Run("response url gone", func(t *testing.T) {
		t.Parallel()
		s := start(t, func(s *stage) { s.parrot.delay = 100 * time.Millisecond })
		s.Slash("U1", "C1", "open shade")
		s.Wait("the coach", 2*time.Second, func() bool { return len(s.parrot.messages()) == 1 })
		s.Expire()
		s.settled(0)
	})
	t.Run("form whose trigger expired", func(t *testing.T) {
		t.Parallel()
		s := start(t, func(s *stage) { s.config.Windows = forms{delay: 30 * time.Millisecond} })
		s.Fail("views.open", fakeslack.Fault{Error: "expired_trigger_id"})
		s.Press("U1", fakeslack.Press{Channel: "C1", Message: "1700000000.000100", Action: "kit"})
		s.Wait("a friendly word", 2*time.Second, func() bool { return len(s.Whispers()) == 1 })
		if w := s.Whispers()[0]; w.Text != "calm: slack-no-form" {
			t.Errorf("said %q", w.Text)
		}
		s.still()
	})
	t.Run("form", func(t *testing.T) {
		t.Parallel()
		s := start(t, func(s *stage) { s.config.Windows = forms{} })
		s.Press("U1", fakeslack.Press{Channel: "C1", Message: "1700000000.000100", Action: "kit", Value: "v"})
		s.Shortcut("U1", "kit")
		s.Wait("two forms", 2*time.Second, func() bool { return len(s.Views()) == 2 })
		s.Submit("U1", "kit", `{"values":{"kit":{"kit":{"type":"plain_text_input","value":"flash"}}}}`)
		s.want(s.settled(1), "re: my kit: flash")
		s.Submit("U1", "kit", "")                                                                    // no state
		s.Submit("U1", "kit", `{"values":{"kit":{"kit":{"type":"plain_text_input","value":null}}}}`) // nothing typed
		s.Submit("U1", "slow", `{"values":{}}`)                                                      // too slow
		s.Submit("U1", "broken", `{"values":{}}`)                                                    // panics
		s.settled(1)
		var errs int
		for _, d := range s.Deliveries() {
			if strings.Contains(string(d.Answer), `"errors":{"kit":`) {
				errs++
			}
		}
		if errs != 2 {
			t.Errorf("%d forms were refused at the right field, want 2", errs)
		}
	})
	t.Run("own page, raced", func(t *testing.T) {
		t.Parallel()
		s := start(t, func(s *stage) { s.config.Windows = forms{} })
		s.Fail("views.publish", fakeslack.Fault{Error: "hash_conflict"})
		s.OpenHome("U1")
		s.Wait("a page", 2*time.Second, func() bool { return len(s.Requests("views.publish")) == 1 })
		time.Sleep(hurry.Double)
		s.OpenHome("U1")
		s.Wait("a page", 2*time.Second, func() bool { return len(s.Views()) == 1 })
		s.still()
	})
}

// forms are the least that Windows can be.
type forms struct{ delay time.Duration }

func (f forms) Home(context.Context, slack.Asker) (lib.HomeTabViewRequest, error) {
	return lib.HomeTabViewRequest{Type: "home"}, nil
}

func (f forms) Open(_ context.Context, _ slack.Asker, action, value string) (*lib.ModalViewRequest, error) {
	time.Sleep(f.delay)
	return &lib.ModalViewRequest{Type: "modal", CallbackID: action, Title: lib.NewTextBlockObject("plain_text", "Kit", false, false)}, nil
}

func (f forms) Submit(ctx context.Context, _ slack.Asker, form lib.View) (*lib.ViewSubmissionResponse, string, error) {
	switch form.CallbackID {
	case "slow":
		<-ctx.Done()
		return nil, "", ctx.Err()
	case "broken":
		panic("a form that breaks")
	}
	kit := ""
	if form.State != nil {
		kit = form.State.Values["kit"]["kit"].Value
	}
	if kit == "" {
		return lib.NewErrorsViewSubmissionResponse(map[string]string{"kit": "Name one thing."}), "", nil
	}
	return nil, "my kit: " + kit, nil
}

func TestFault25LoadAndLife(t *testing.T) {
	t.Parallel()
	t.Run("500 messages over 20 threads", func(t *testing.T) {
		t.Parallel()
		s := start(t, func(s *stage) {
			for i := range 20 {
				s.AddChannel(fmt.Sprint("C", 100+i), "channel")
			}
		})
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		parents := make([]string, 20)
		for i := range parents {
			parents[i] = s.Say("U1", fmt.Sprint("C", 100+i), mention+"message 0")
		}
		s.Wait("the threads", 3*time.Second, func() bool { return len(s.Posts("")) == 20 })
		for n := 1; n < 25; n++ {
			for i, parent := range parents {
				s.Say("U1", fmt.Sprint("C", 100+i), fmt.Sprint("message ", n), fakeslack.Words{Thread: parent})
			}
			time.Sleep(20 * time.Millisecond) // 500 in ten seconds, at the fake's pace
		}
		answered := func() int {
			n := 0
			for _, p := range s.Posts("") {
				n += strings.Count(p.Text, "message")
			}
			return n
		}
		s.Wait("500 answers", 30*time.Second, func() bool { return answered() == 500 })
		s.still()
		if n := answered(); n != 500 {
			t.Errorf("%d answers", n)
		}
		for i, parent := range parents {
			s.inOrder(fmt.Sprint("C", 100+i), parent)
		}
		runtime.ReadMemStats(&after)
		if after.HeapAlloc > before.HeapAlloc+64<<20 {
			t.Errorf("the heap grew from %d to %d MB", before.HeapAlloc>>20, after.HeapAlloc>>20)
		}
	})
	t.Run("stopped in the middle", func(t *testing.T) {
		t.Parallel()
		s := start(t, func(s *stage) { s.parrot.gate, s.config.Pace.Think = make(chan struct{}), time.Minute })
		s.Say("U1", "C1", mention+"open shade")
		s.Wait("the coach", 2*time.Second, func() bool { return len(s.parrot.messages()) == 1 })
		began := time.Now()
		s.stop()
		select {
		case err := <-s.ended:
			s.ended <- err
		case <-time.After(slower * 3 * time.Second):
			t.Fatal("does not stop")
		}
		if took := time.Since(began); took > 2*hurry.Stop {
			t.Errorf("stopping took %v", took)
		}
		if len(s.Posts("")) != 0 {
			t.Fatal("answered with nobody's leave")
		}
		s.parrot.mu.Lock()
		s.parrot.gate = nil
		s.parrot.mu.Unlock()
		s.run() // what was claimed is finished now
		s.settled(1)
	})
	t.Run("killed between post and receipt", func(t *testing.T) {
		t.Parallel()
		for _, stored := range []bool{true, false} {
			s := build(t)
			ts := s.Say("U1", "C1", mention+"open shade", fakeslack.Words{Silent: true})
			key := "message|T1|C1|" + ts
			message := `{"key":"` + key + `","team":"T1","channel":"C1","parent":"` + ts + `","ts":"` + ts + `","thread":"C1/` + ts + `","person":"U1","text":"open shade","at":"` + time.Now().UTC().Format(time.RFC3339) + `"}`
			old := time.Now().Add(-time.Minute)
			if _, err := s.claims.Claim(t.Context(), key, []byte(message), old); err != nil {
				t.Fatal(err)
			}
			if err := s.claims.Ready(t.Context(), []byte(`{"keys":["`+key+`"],"for":`+message+`,"text":"worked out before","blocks":null}`), old, key); err != nil {
				t.Fatal(err)
			}
			if stored {
				s.Put("C1", ts, "worked out before", key)
			}
			s.run()
			s.want(s.settled(1), "worked out before")
			if n := len(s.parrot.messages()); n != 0 {
				t.Errorf("stored=%v: worked out again", stored)
			}
			claim, _, _ := s.claims.Find(t.Context(), key)
			if claim.Receipt != s.Posts("")[0].TS {
				t.Errorf("stored=%v: receipt %q", stored, claim.Receipt)
			}
			s.stop()
		}
	})
	t.Run("two replicas", func(t *testing.T) {
		t.Parallel()
		s := start(t)
		s.Lock(func() { s.Pace = 0 }) // replicas do not share a pace; Slack's 429 keeps it for them
		second := *s
		second.run()
		s.Wait("four sockets", 3*time.Second, func() bool { return s.Open() == 4 })
		for i := range 10 {
			s.Say("U1", "C1", mention+fmt.Sprint("question ", i))
		}
		s.settled(10)
	})
	t.Run("the store is gone", func(t *testing.T) {
		t.Parallel()
		gone := make(chan struct{})
		claims := &slowClaims{Memory: new(channel.Memory), gone: func() bool {
			select {
			case <-gone:
				return false
			default:
				return true
			}
		}}
		s := start(t, func(s *stage) { s.claims = claims })
		s.Say("U1", "C1", mention+"open shade")
		s.Wait("bad health", 2*time.Second, func() bool { return !s.bot.Health().OK })
		s.settled(0)
		close(gone)
		s.Say("U1", "C1", mention+"open shade again")
		s.settled(1)
	})
}

// inOrder checks that a channel's one thread is answered in the order in which
// the coach was asked. (Two sockets may deliver neighbours in the other order;
// TestLanesSort has what is done about that.)
func (s *stage) inOrder(channel, parent string) {
	s.t.Helper()
	var asked, got []string
	for _, m := range s.parrot.messages() {
		if m.Thread == channel+"/"+parent {
			asked = append(asked, m.Text)
		}
	}
	for _, p := range s.Posts(channel) {
		if p.Thread != parent {
			s.t.Errorf("an answer in thread %q, want %q", p.Thread, parent)
		}
		// A merged answer names what it answers after its own message.
		own, rest, merged := strings.Cut(strings.TrimPrefix(p.Text, "re: "), " (also: ")
		if merged {
			got = append(got, strings.Split(strings.TrimSuffix(rest, ")"), "; ")...)
		}
		got = append(got, own)
	}
	if !slices.Equal(got, asked) {
		s.t.Errorf("answered %q, asked %q", got, asked)
	}
}

func TestTokenRevokedWhileRunning(t *testing.T) {
	t.Parallel()
	s := start(t)
	s.Fail("chat.postMessage", fakeslack.Fault{Error: "token_revoked"})
	s.Say("U1", "C1", mention+"open shade")
	select {
	case err := <-s.ended:
		s.ended <- err
		if err == nil || !strings.Contains(err.Error(), "token_revoked") {
			t.Errorf("ended with %v", err)
		}
	case <-time.After(slower * 5 * time.Second):
		t.Fatal("runs on without a token")
	}
	if s.bot.Health().OK {
		t.Error("health is fine")
	}
	open, _ := s.claims.Unfinished(t.Context())
	if len(open) != 1 {
		t.Errorf("%d claims wait for the next start, want 1", len(open))
	}
}

func TestHandlerThatBreaks(t *testing.T) {
	t.Parallel()
	s := start(t, func(s *stage) {
		s.parrot.odd = func(m channel.Message) (*answer.Answer, error) {
			switch m.Text {
			case "panic":
				panic("a coach that breaks")
			case "error":
				return nil, errors.New("no store for " + fakeslack.BotToken)
			}
			return nil, nil
		}
	})
	s.Say("U1", "C1", mention+"panic")
	s.Say("U2", "C1", mention+"error")
	s.Slash("U3", "C1", "error")
	s.Wait("three apologies", 2*time.Second, func() bool { return len(s.Whispers()) == 3 })
	for _, w := range s.Whispers() {
		if w.Text != "calm: slack-trouble" {
			t.Errorf("said %q", w.Text)
		}
	}
	s.Say("U1", "C1", mention+"open shade")
	s.settled(1)
	if !strings.Contains(s.log.String(), "no store for [secret]") {
		t.Error("the log does not tell the cause, blotted")
	}
}

func TestHealthPage(t *testing.T) {
	t.Parallel()
	s := start(t)
	s.Say("U1", "C1", mention+"open shade")
	s.settled(1)
	get := func(path string) (int, string) {
		w := httptest.NewRecorder()
		r, _ := http.NewRequest(http.MethodGet, path, nil)
		s.bot.ServeHTTP(w, r)
		return w.Code, w.Body.String()
	}
	if code, body := get("/healthz"); code != 200 || body != "ok\n" {
		t.Errorf("/healthz = %d %q", code, body)
	}
	if code, body := get("/metrics"); code != 200 || !strings.Contains(body, `panelhand_slack_total{what="posted"} 1`) || !strings.Contains(body, "panelhand_slack_sockets 2") {
		t.Errorf("/metrics = %d %q", code, body)
	}
	if code, _ := get("/"); code != 404 {
		t.Errorf("/ = %d", code)
	}
	s.stop()
	s.Wait("the sockets' end", 2*time.Second, func() bool { code, _ := get("/healthz"); return code == 503 })
}
