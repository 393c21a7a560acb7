package fakeslack_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"panelhand/bot/slack/fakeslack"
)

// TestOfficialClient has Slack's own Node client live in the fake: what it
// connects to, hears, answers and opens without complaint is much like Slack.
//
//	npm install --prefix DIR @slack/bolt@5
//	SLACK_BOLT=DIR go test ./bot/slack/fakeslack
func TestOfficialClient(t *testing.T) {
	modules := filepath.Join(os.Getenv("SLACK_BOLT"), "node_modules")
	node, err := exec.LookPath("node")
	switch {
	case os.Getenv("SLACK_BOLT") == "":
		t.Skip("SLACK_BOLT names no folder with @slack/bolt in it")
	case err != nil:
		t.Skip("no node here")
	}
	if _, err := os.Stat(filepath.Join(modules, "@slack", "bolt")); err != nil {
		t.Fatalf("SLACK_BOLT is set, but: %v", err)
	}
	s := fakeslack.New(t)
	s.AckWithin, s.PingEvery = 3*time.Second, time.Second
	cmd := exec.Command(node, "../../../testdata/slack/client.cjs")
	cmd.Env = []string{"NODE_PATH=" + modules, "SLACK_BOT_TOKEN=" + fakeslack.BotToken, "SLACK_APP_TOKEN=" + fakeslack.AppToken, "SLACK_API_URL=" + s.URL}
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		if out := said.String(); t.Failed() || strings.Contains(out, "error") {
			t.Errorf("the client says:\n%s", out)
		}
	})
	s.Wait("the client", 20*time.Second, func() bool { return s.Open() == 1 })
	post := func(channel string, n int, want string) fakeslack.Message {
		t.Helper()
		s.Wait(want, 10*time.Second, func() bool { return len(s.Posts(channel)) >= n })
		p := s.Posts(channel)[n-1]
		if p.Text != want {
			t.Errorf("posted %q, want %q", p.Text, want)
		}
		return p
	}

	ts := s.Say("U1", "C1", "<@"+fakeslack.Bot+"> open shade")
	first := post("C1", 1, "mention: <@"+fakeslack.Bot+"> open shade")
	if first.Thread != ts {
		t.Errorf("in thread %q, want %q", first.Thread, ts)
	}
	action, value, block := fakeslack.Button(first.Blocks, "say")
	s.Press("U1", fakeslack.Press{Channel: "C1", Message: first.TS, Thread: ts, Action: action, Value: value, Block: block})
	post("C1", 2, "pressed: softer")
	s.Say("U2", "D2", "open shade")
	post("D2", 1, "direct: open shade")
	s.Slash("U1", "C1", "open shade")
	s.Wait("a whisper", 10*time.Second, func() bool { return len(s.Whispers()) == 1 && s.Whispers()[0].Text == "command: open shade" })
	s.Shortcut("U1", "kit")
	s.OpenHome("U1")
	s.Wait("a form and a page", 10*time.Second, func() bool { return len(s.Views()) == 2 })
	s.Submit("U1", "kit", `{"values":{}}`)
	s.Wait("an answer in the acknowledgement", 10*time.Second, func() bool {
		for _, d := range s.Deliveries() {
			if strings.Contains(string(d.Answer), "Name one thing.") {
				return true
			}
		}
		return false
	})
	s.Wait("every acknowledgement", 10*time.Second, s.Acked)
	s.Sockets()[0].Disconnect("warning") // and it comes back
	s.Wait("the client again", 10*time.Second, func() bool { return s.Open() == 1 })
	s.Say("U2", "D2", "again")
	post("D2", 2, "direct: again")
	s.Wait("every acknowledgement", 10*time.Second, s.Acked) // its own words come back to it too
	s.Check()
}
