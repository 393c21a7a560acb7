package slack_test

import (
	"strings"
	"testing"
	"time"

	lib "github.com/slack-go/slack"

	"panelhand/bot/answer"
	"panelhand/bot/channel"
	"panelhand/bot/slack"
	"panelhand/bot/slack/fakeslack"
)

// A step is something that is said in a channel thread of our own, and
// whether it is answered.
type step struct {
	person, text string
	want         string // "" for silence
}

func TestInOurThread(t *testing.T) {
	t.Parallel()
	unsure := func(m channel.Message) (*answer.Answer, error) {
		if strings.HasPrefix(m.Text, "mumble") {
			return &answer.Answer{Kind: answer.KindUnsure, Headline: "unsure", Text: "unsure"}, nil
		}
		return nil, nil
	}
	for _, c := range []struct {
		name  string
		steps []step
	}{
		{"follow-ups need no mention", []step{{"U1", "softer", "re: softer"}, {"U2", "f/4", "re: f/4"}, {"U1", mention + "f/5.6", "re: f/5.6"}}},
		{"people to each other", []step{{"U1", "<@U2> bring the panel", ""}, {"U2", "<@U1> softer?", ""}, {"U2", "<@U1> " + mention + "softer", "re: softer"}}},
		{"a visitor's chatter", []step{{"U2", "mumble the bus is late", ""}, {"U1", "mumble", "unsure"}, {"U2", mention + "mumble", "unsure"}}},
		{"leave", []step{{"U1", "Thanks!", ""}, {"U1", "softer", ""}, {"U1", mention + "softer", "re: softer"}, {"U1", "f/4", "re: f/4"}}},
		{"thanks and more", []step{{"U1", "thanks, now softer", "re: thanks, now softer"}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := start(t, func(s *stage) { s.parrot.odd = unsure })
			ts := s.Say("U1", "C1", mention+"open shade")
			want := []string{"re: open shade"}
			s.settled(1)
			for _, step := range c.steps {
				s.Say(step.person, "C1", step.text, fakeslack.Words{Thread: ts})
				if step.want != "" {
					want = append(want, step.want)
				}
				posts := s.settled(len(want))
				if last := posts[len(posts)-1]; last.Thread != ts {
					t.Errorf("answered in thread %q", last.Thread)
				}
			}
			s.want(s.Posts("C1"), want...)
			for _, m := range s.parrot.messages() {
				if m.Thread != "C1/"+ts || m.Team != fakeslack.Team || m.Now.IsZero() {
					t.Errorf("the coach heard %+v", m)
				}
			}
		})
	}
}

func TestNotOurThread(t *testing.T) {
	t.Parallel()
	s := start(t)
	ts := s.Say("U1", "C1", "who has the panel?")
	s.Say("U2", "C1", "softer", fakeslack.Words{Thread: ts})
	s.settled(0)
	s.Say("U2", "C1", mention+"softer", fakeslack.Words{Thread: ts})
	if posts := s.settled(1); posts[0].Thread != ts {
		t.Errorf("answered in %q, want the thread of the mention", posts[0].Thread)
	}
}

func TestThreadsExpire(t *testing.T) {
	t.Parallel()
	s := start(t, func(s *stage) { s.config.Pace.Own = slower * 400 * time.Millisecond })
	ts := s.Say("U1", "C1", mention+"open shade")
	s.settled(1)
	time.Sleep(slower * 500 * time.Millisecond)
	s.Say("U1", "C1", "softer", fakeslack.Words{Thread: ts})
	s.settled(1)
}

func TestOwnThreadsOutliveARestart(t *testing.T) {
	t.Parallel()
	s := start(t)
	ts := s.Say("U1", "C1", mention+"open shade")
	s.settled(1)
	s.stop()
	s.ended <- <-s.ended
	s.run()
	s.Say("U1", "C1", "softer", fakeslack.Words{Thread: ts})
	s.settled(2)
}

func TestDirectMessages(t *testing.T) {
	t.Parallel()
	s := start(t)
	s.Say("U1", "D1", "open shade")
	s.settled(1)
	ts := s.Say("U1", "D1", mention+"softer") // a mention there comes as a message alone
	posts := s.settled(2)
	if posts[0].Thread != "" || posts[1].Thread != "" {
		t.Error("threaded though nobody threaded")
	}
	s.Say("U1", "D1", "f/4", fakeslack.Words{Thread: ts})
	if posts = s.settled(3); posts[2].Thread != ts {
		t.Errorf("answered in %q, want the person's thread", posts[2].Thread)
	}
	m := s.parrot.messages()
	if m[0].Thread != "D1" || m[1].Thread != "D1" || m[2].Thread != "D1/"+ts {
		t.Errorf("conversations %q %q %q", m[0].Thread, m[1].Thread, m[2].Thread)
	}
	s.Say("U2", "G1", "open shade") // the bot is not in there
	s.settled(3)
}

func TestGroupMessages(t *testing.T) {
	t.Parallel()
	s := start(t, func(s *stage) { s.AddChannel("G1", "mpim") })
	s.Say("U1", "G1", "open shade")
	s.settled(0)
	s.Say("U1", "G1", mention+"open shade")
	s.settled(1)
}

func TestSlash(t *testing.T) {
	t.Parallel()
	s := start(t, func(s *stage) { s.AddChannel("C2", "channel").Member = false })
	s.Slash("U1", "C2", "open shade") // works where the bot is not
	s.Slash("U1", "C1", "")
	s.Slash("U1", "C1", "Help")
	s.Wait("three whispers", 2*time.Second, func() bool { return len(s.Whispers()) == 3 })
	s.settled(0)
	for i, want := range []string{"re: open shade", "help", "help"} {
		found := false
		for _, w := range s.Whispers() {
			found = found || w.Text == want && w.To == "U1"
		}
		if !found {
			t.Errorf("whisper %d: %q was not said", i, want)
		}
	}
}

// A slash answer is shared by its button; the conversation then goes on in
// the open, and the next slash command begins a new one.
func TestShare(t *testing.T) {
	t.Parallel()
	s := start(t)
	s.Slash("U1", "C1", "open shade")
	s.Wait("a whisper", 2*time.Second, func() bool { return len(s.Whispers()) == 1 })
	whisper := s.Whispers()[0]
	press := func(action string) {
		id, value, block := fakeslack.Button(whisper.Blocks, action)
		if id == "" {
			t.Fatalf("no button %q in %s", action, whisper.Blocks)
		}
		s.Press("U1", fakeslack.Press{Channel: "C1", Message: whisper.TS, Action: id, Value: value, Block: block, Alone: true})
	}
	press("say") // a follow-up in private stays private
	s.Wait("a second whisper", 2*time.Second, func() bool { return len(s.Whispers()) == 2 })
	press("share")
	posts := s.settled(1)
	if posts[0].Text != "shared: re: open shade" || posts[0].Thread != "" {
		t.Errorf("shared %+v", posts[0])
	}
	time.Sleep(2 * hurry.Double)
	press("share")
	s.settled(1) // once
	s.Say("U2", "C1", "softer", fakeslack.Words{Thread: posts[0].TS})
	s.settled(2)
	s.Slash("U1", "C1", "another question")
	s.Wait("a third whisper", 2*time.Second, func() bool { return len(s.Whispers()) == 3 })
	var threads []string
	for _, m := range s.parrot.messages() {
		threads = append(threads, m.Thread)
	}
	if threads[0] != threads[1] || threads[1] != threads[2] || threads[3] == threads[0] {
		t.Errorf("conversations %q: the first three are one, the fourth is new", threads)
	}
	s.still()
}

func TestMessageShortcut(t *testing.T) {
	t.Parallel()
	s := start(t)
	ts := s.Say("U2", "C1", "open shade, what now?")
	s.settled(0)
	s.Point("U1", "C1", ts)
	posts := s.settled(1)
	if posts[0].Thread != ts || posts[0].Text != "re: open shade, what now?" {
		t.Errorf("answered %+v", posts[0])
	}
	s.Point("U3", "C1", ts)
	s.Wait("a word", 2*time.Second, func() bool { return len(s.Whispers()) == 1 })
	s.Point("U3", "C1", posts[0].TS)
	s.Wait("another", 2*time.Second, func() bool { return len(s.Whispers()) == 2 })
	s.settled(1)
	if w := s.Whispers(); w[0].Text != "calm: slack-answered" || w[1].Text != "calm: slack-own-words" || w[0].To != "U3" {
		t.Errorf("said %+v", w)
	}
}

func TestPhotos(t *testing.T) {
	t.Parallel()
	s := start(t)
	photo := fakeslack.Words{Subtype: "file_share", Files: []string{"image/jpeg"}}
	s.Say("U1", "D1", "", photo)
	s.settled(1)
	s.Say("U1", "D1", "open shade")
	s.settled(2)
	s.Say("U1", "D1", "", photo)
	s.settled(3)
	s.Say("U1", "D1", "dark eyes", photo)
	s.want(s.settled(4), "photo: what do you see?", "re: open shade", "photo after re: open shade", "re: dark eyes (no photo is seen)")
	ts := s.Say("U1", "C1", mention, photo)
	if posts := s.settled(5); posts[0].Thread != ts { // C1 comes before D1
		t.Errorf("answered in %q", posts[0].Thread)
	}
}

// More than five waiting in a thread are answered together; a stop among
// them stands alone.
func TestManyAtOnce(t *testing.T) {
	t.Parallel()
	s := start(t, func(s *stage) {
		s.parrot.gate, s.config.Pace.Think = make(chan struct{}), time.Minute
		s.parrot.odd = func(m channel.Message) (*answer.Answer, error) {
			if m.Text == "thunder" {
				return &answer.Answer{Kind: answer.KindSafety, Text: "STOP", Safety: []answer.Caution{{ID: "thunder", Text: "Off the roof.", Stop: true}}}, nil
			}
			return nil, nil
		}
	})
	ts := s.Say("U1", "C1", mention+"one")
	s.Wait("the coach", 2*time.Second, func() bool { return len(s.parrot.messages()) == 1 })
	for _, text := range []string{"two", "three", "thunder", "four", "five", "six", "seven"} {
		s.Say("U1", "C1", text, fakeslack.Words{Thread: ts})
	}
	s.Wait("the queue", 2*time.Second, func() bool { return s.bot.Health().Waiting == 8 })
	close(s.parrot.gate)
	s.want(s.settled(4), "re: one", "re: three (also: two)", "STOP", "re: seven (also: four; five; six)")
	open, _ := s.claims.Unfinished(t.Context())
	if len(open) != 0 {
		t.Errorf("%d claims are unfinished", len(open))
	}
}

func TestDryRun(t *testing.T) {
	t.Parallel()
	s := start(t, func(s *stage) { s.config.DryRun = true })
	s.Say("U1", "C1", mention+"open shade")
	s.Slash("U1", "C1", "open shade")
	s.Wait("the log", 2*time.Second, func() bool { return strings.Count(s.log.String(), "would post") == 2 })
	s.settled(0)
	if len(s.Whispers()) != 0 {
		t.Error("whispered in a dry run")
	}
	if !strings.Contains(s.log.String(), `text="re: open shade"`) {
		t.Errorf("the log does not tell what would be posted:\n%s", s.log)
	}
}

// A shouter lays out what Slack would refuse.
type shouter struct{ plainView }

func (shouter) Answer(*answer.Answer, slack.Asker) slack.Post {
	return slack.Post{Text: "heard", Blocks: []lib.Block{lib.NewHeaderBlock(lib.NewTextBlockObject("plain_text", strings.Repeat("x", 200), false, false))}}
}

func TestNothingGoesOutUnchecked(t *testing.T) {
	t.Parallel()
	s := start(t, func(s *stage) { s.config.View = shouter{} })
	s.Say("U1", "C1", mention+"open shade")
	if posts := s.settled(1); posts[0].Text != "heard" || posts[0].Blocks != nil {
		t.Errorf("posted %q with %s, want the text alone", posts[0].Text, posts[0].Blocks)
	}
}
