package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"panelhand/bot/slack/fakeslack"
	"panelhand/bot/slack/shapes"
)

// A program is the program, serving a fake Slack.
type program struct {
	*fakeslack.Slack
	t      testing.TB
	bin    string
	store  string
	health string // the address of /healthz
	args   []string
	env    []string

	cmd *exec.Cmd
	log lockedBuffer
}

// A lockedBuffer may be read while it is written to.
type lockedBuffer struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (b *lockedBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.text.Write(p)
}

func (b *lockedBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.text.String()
}

// build is the program: this test's own binary, which under that name is it
// (TestMain).
func build(t testing.TB) string {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	bin := filepath.Join(t.TempDir(), "panelhand")
	if err := os.Symlink(self, bin); err != nil {
		if out, err := exec.Command("go", "build", "-o", bin, ".").CombinedOutput(); err != nil {
			t.Fatalf("building: %v\n%s", err, out)
		}
	}
	return bin
}

// workspace is a fake Slack at Slack's own pace, whose every message has to
// have the shape of the official types.
func workspace(t testing.TB, args ...string) *program {
	t.Helper()
	p := &program{Slack: fakeslack.New(t), t: t, bin: build(t), store: filepath.Join(t.TempDir(), "panelhand.db"), args: args}
	types, err := shapes.Read(filepath.Join(root, "testdata", "slack", "types.schema.json"))
	if err != nil {
		t.Fatal(err)
	}
	p.AckWithin, p.PingEvery, p.Pace = 3*time.Second, 5*time.Second, time.Second
	p.Validate = func(blocks json.RawMessage) error { return types.Check(shapes.Blocks, blocks) }
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	p.health = free.Addr().String()
	free.Close()
	t.Cleanup(func() {
		if p.cmd != nil {
			_ = p.cmd.Process.Kill()
			_ = p.cmd.Wait()
		}
		for _, secret := range []string{fakeslack.BotToken, fakeslack.AppToken} {
			if strings.Contains(p.log.String(), secret) {
				t.Errorf("%q is in the log", secret)
			}
		}
		if t.Failed() {
			t.Log(p.log.String())
		}
	})
	return p
}

// start starts the program and waits until it listens.
func (p *program) start() {
	p.t.Helper()
	p.cmd = exec.Command(p.bin, append([]string{"serve", "--health", p.health}, p.args...)...)
	p.cmd.Env = []string{"SLACK_BOT_TOKEN=" + fakeslack.BotToken, "SLACK_APP_TOKEN=" + fakeslack.AppToken, "SLACK_API_URL=" + p.URL, "PANELHAND_STORE=" + p.store}
	p.cmd.Env = append(p.cmd.Env, p.env...)
	p.cmd.Stdout, p.cmd.Stderr = &p.log, &p.log
	if err := p.cmd.Start(); err != nil {
		p.t.Fatal(err)
	}
	p.Wait("a healthy program with two sockets", 20*time.Second, func() bool {
		status, _ := p.get("/healthz")
		return status == http.StatusOK && p.Open() == 2
	})
}

// TestServeTeam makes a rule in the channel, and breaks and mends the folder
// while the program runs.
func TestServeTeam(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	t.Parallel()
	dir := t.TempDir()
	write := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("crew.yaml", "owner: U9\nleads: [U1, U2]\nassistants: [U3]\n")
	p := workspace(t)
	p.env = []string{"PANELHAND_PLAYBOOK=" + dir}
	p.start()

	asked := p.Say("U1", "C1", mention+overhead)
	p.post("C1", 1)
	p.Say("U1", "C1", mention+"make this a rule called Quay Edge because it held all evening", fakeslack.Words{Thread: asked})
	if draft := p.post("C1", 2); !strings.Contains(draft.Text, "Draft 1") || draft.Thread != asked {
		t.Fatalf("the draft is told as %q", draft.Text)
	}
	for i, step := range []struct{ user, says string }{{"U3", "for the team's leads"}, {"U1", "two leads"}, {"U2", "is a rule now"}} {
		p.Say(step.user, "C1", mention+"approve draft 1", fakeslack.Words{Thread: asked})
		if got := p.post("C1", 3+i); !strings.Contains(got.Text, step.says) {
			t.Errorf("%s approves: %q, want %q", step.user, got.Text, step.says)
		}
	}
	p.Say("U1", "C1", mention+overhead)
	if got := p.post("C1", 6); !strings.Contains(got.Text, "Quay Edge") {
		t.Errorf("the rule does not answer: %q", got.Text)
	}

	write("places.yaml", "- place: quay\n  say: [the quay]\n  lat: 91\n")
	if told := p.post("D9", 1); !strings.Contains(told.Text, "does not hold") || !strings.Contains(told.Text, "places.yaml:") {
		t.Errorf("the owner is told %q", told.Text)
	}
	p.Say("U1", "C1", mention+overhead)
	if got := p.post("C1", 7); !strings.Contains(got.Text, "Quay Edge") {
		t.Errorf("under a broken folder: %q", got.Text)
	}
	write("places.yaml", "")
	p.settled()
	p.end()
}

func (p *program) get(path string) (status int, body string) {
	response, err := http.Get("http://" + p.health + path)
	if err != nil {
		return 0, ""
	}
	defer response.Body.Close()
	data, _ := io.ReadAll(response.Body)
	return response.StatusCode, string(data)
}

// end tells the program to stop and returns how long that took.
func (p *program) end() time.Duration {
	p.t.Helper()
	began := time.Now()
	if err := p.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		p.t.Fatal(err)
	}
	err := p.cmd.Wait()
	p.cmd = nil
	if err != nil {
		p.t.Errorf("SIGTERM ends the program with %v", err)
	}
	return time.Since(began)
}

// kill ends the program without a word.
func (p *program) kill() {
	p.t.Helper()
	if err := p.cmd.Process.Kill(); err != nil {
		p.t.Fatal(err)
	}
	_ = p.cmd.Wait()
	p.cmd = nil
}

// post waits for the n-th post in a channel.
func (p *program) post(channel string, n int) fakeslack.Message {
	p.t.Helper()
	p.Wait(fmt.Sprintf("post %d in %s", n, channel), 10*time.Second, func() bool { return len(p.Posts(channel)) >= n })
	return p.Posts(channel)[n-1]
}

// settled waits until all that was delivered is acknowledged, and checks what
// always holds.
func (p *program) settled() {
	p.t.Helper()
	p.Wait("every acknowledgement", 10*time.Second, func() bool {
		return !slices.ContainsFunc(p.Deliveries(), func(d fakeslack.Delivery) bool { return len(d.Acks) == 0 && !d.Lost })
	})
	p.Check()
}

const (
	mention  = "<@" + fakeslack.Bot + "> "
	overhead = "overhead light, want softer, have flash + 40in panel"
)

// TestServe is a crew's afternoon with the built program.
func TestServe(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	t.Parallel()
	p := workspace(t)
	p.start()

	asked := p.Say("U1", "C1", mention+overhead)
	answer := p.post("C1", 1)
	if answer.Thread != asked || !strings.Contains(answer.Text, "f/") || answer.Blocks == nil {
		t.Errorf("in thread %q (asked at %q) it says %q", answer.Thread, asked, answer.Text)
	}

	// A follow-up that is pressed is answered in the same thread.
	action, value, block := fakeslack.Button(answer.Blocks, "say")
	if action == "" {
		t.Fatalf("no follow-up to press in %s", answer.Blocks)
	}
	p.Press("U1", fakeslack.Press{Channel: "C1", Message: answer.TS, Thread: asked, Action: action, Value: value, Block: block})
	if next := p.post("C1", 2); next.Thread != asked || next.Text == answer.Text {
		t.Errorf("after %q, in thread %q: %q", value, next.Thread, next.Text)
	}

	// The kit list that was said in a direct message counts in the channel.
	p.Say("U2", "DU2", "our kit: two small flashes, a 1 m folding panel")
	p.post("DU2", 1)
	p.Say("U1", "C1", mention+"show our kit")
	if kit := p.post("C1", 3); !strings.Contains(kit.Text, "2 × flash") {
		t.Errorf("the team's kit is told as %q", kit.Text)
	}

	// The slash command answers its asker, who may share it.
	p.Slash("U3", "C1", "trader in the shade, bright street behind, have flash and panel")
	p.Wait("a private answer", 10*time.Second, func() bool { return len(p.Whispers()) == 1 })
	whisper := p.Whispers()[0]
	action, value, block = fakeslack.Button(whisper.Blocks, "share")
	p.Press("U3", fakeslack.Press{Channel: "C1", Message: whisper.TS, Action: action, Value: value, Block: block, Alone: true})
	if shared := p.post("C1", 4); shared.Thread != "" || !strings.Contains(shared.Text, strings.SplitN(whisper.Text, "\n", 2)[0]) {
		t.Errorf("%q is shared as %q", whisper.Text, shared.Text)
	}

	// The message shortcut answers what somebody else typed, in its thread.
	pointed := p.Say("U4", "C1", "she is under the market roof, dark eyes, we have a panel", fakeslack.Words{Silent: true})
	p.Point("U1", "C1", pointed)
	if about := p.post("C1", 5); about.Thread != pointed {
		t.Errorf("pointed at %q, answered in %q", pointed, about.Thread)
	}

	// The forms and the app's page are over the same store.
	action, value, block = fakeslack.Button(answer.Blocks, "wrong")
	p.Press("U1", fakeslack.Press{Channel: "C1", Message: answer.TS, Thread: asked, Action: action, Value: value, Block: block})
	p.OpenHome("U2")
	p.Wait("a form and the page", 10*time.Second, func() bool { return len(p.Views()) == 2 })
	home := p.Views()[slices.IndexFunc(p.Views(), func(v fakeslack.View) bool { return v.User == "U2" })]
	if !strings.Contains(string(home.View), "2 × flash") {
		t.Errorf("the page has no kit: %s", home.View)
	}
	before := len(p.Deliveries())
	p.Submit("U1", "wrong", `{"values":{"what":{"what":{"type":"plain_text_input","value":"the face was still dark"}}}}`)
	p.Wait("the form's delivery", 10*time.Second, func() bool { return len(p.Deliveries()) > before })

	p.settled()
	if status, metrics := p.get("/metrics"); status != http.StatusOK || !strings.Contains(metrics, `panelhand_slack_total{what="posted"} 7`+"\n") {
		t.Errorf("/metrics: %d\n%s", status, metrics)
	}
	if took := p.end(); took > 10*time.Second {
		t.Errorf("SIGTERM took %v", took)
	}
	wrong := exec.Command(p.bin, "export", "--wrong", "--team", fakeslack.Team)
	wrong.Env = []string{"PANELHAND_STORE=" + p.store}
	if out, err := wrong.CombinedOutput(); err != nil || !strings.Contains(string(out), "the face was still dark") {
		t.Errorf("what was reported is not exported: %v\n%s", err, out)
	}

	// What it knew it knows after the restart.
	p.start()
	p.Say("U1", "C1", "and without the flash?", fakeslack.Words{Thread: asked})
	if again := p.post("C1", 6); again.Thread != asked {
		t.Errorf("after a restart, in thread %q: %q", again.Thread, again.Text)
	}
	p.settled()
}

// TestServeDryRun: nothing leaves, all is told to the log.
func TestServeDryRun(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	t.Parallel()
	p := workspace(t, "--dry-run")
	p.start()
	p.Say("U1", "C1", mention+overhead)
	p.Wait("a line in the log", 10*time.Second, func() bool { return strings.Contains(p.log.String(), "would post") })
	p.end()
	if n := len(p.Posts("")) + len(p.Whispers()); n > 0 {
		t.Errorf("%d messages were posted", n)
	}
}

// TestServeRefused: a token that Slack refuses ends the program with words to
// act upon.
func TestServeRefused(t *testing.T) {
	s := fakeslack.New(t)
	for _, c := range []struct{ bot, app, says string }{
		{"", "", "two tokens are needed"},
		{fakeslack.AppToken, fakeslack.BotToken, "swapped"},
		{"xoxb-another", fakeslack.AppToken, "invalid_auth"},
		{fakeslack.BotToken, "xapp-another", "invalid_auth"},
	} {
		env := map[string]string{"SLACK_BOT_TOKEN": c.bot, "SLACK_APP_TOKEN": c.app, "SLACK_API_URL": s.URL, "PANELHAND_STORE": inMemory}
		var log lockedBuffer
		p := process{args: []string{"serve"}, out: &log, err: &log, getenv: func(k string) string { return env[k] }}
		if status := p.run(); status == 0 || !strings.Contains(log.String(), c.says) {
			t.Errorf("%.8s %.8s: status %d, %s", c.bot, c.app, status, log.String())
		}
		if strings.Contains(log.String(), "another") {
			t.Errorf("a token is told: %s", log.String())
		}
	}
}

var soak = flag.Int("soak", 60, "how many messages TestSoak says; a thread has 25")

// TestSoak says many messages, kills the program in the middle, and starts it
// again: every message is answered, once. The long one is
//
//	go test ./cmd/panelhand -run TestSoak -soak 500 -v
func TestSoak(t *testing.T) {
	if testing.Short() {
		t.Skip("takes half a minute")
	}
	t.Parallel()
	p := workspace(t)
	threads := max(*soak/25, 6)
	var channels []string
	for i := range threads {
		channels = append(channels, fmt.Sprint("C", 100+i))
		p.AddChannel(channels[i], "channel")
	}
	p.start()
	began := time.Now()
	type message struct{ channel, ts, text string }
	said := make([]message, 0, *soak)
	parents := make([]string, threads)
	say := func(n int) {
		i := n % threads
		text := fmt.Sprintf("face too dark in frame %d", 1000+n)
		if parents[i] == "" {
			text = fmt.Sprintf("%s, frame %d", overhead, 1000+n)
		}
		ts := p.Say("U1", channels[i], mention+text, fakeslack.Words{Thread: parents[i]})
		if parents[i] == "" {
			parents[i] = ts
		}
		said = append(said, message{channels[i], ts, text})
	}
	for n := range *soak {
		say(n)
		if n == *soak/2 {
			p.kill() // with work in hand
		}
		if n == *soak/2+*soak/10 {
			p.start()
		}
		time.Sleep(20 * time.Millisecond)
	}
	// A post answers the message in its key, and those it names.
	answers := func(m message) (n int) {
		for _, post := range p.Posts(m.channel) {
			if post.Key == "message|"+fakeslack.Team+"|"+m.channel+"|"+m.ts || strings.Contains(post.Text, "“"+m.text+"”") {
				n++
			}
		}
		return n
	}
	p.Wait("every message answered", 60*time.Second, func() bool {
		return !slices.ContainsFunc(said, func(m message) bool { return answers(m) == 0 })
	})
	took := time.Since(began)
	time.Sleep(time.Second)
	for _, m := range said {
		if n := answers(m); n != 1 {
			t.Errorf("%q is answered %d times", m.text, n)
		}
	}
	p.settled()
	if took > 60*time.Second {
		t.Errorf("took %v", took)
	}
	memory := p.peak()
	if memory > 256 {
		t.Errorf("%d MB of memory", memory)
	}
	disk := int64(0)
	for _, part := range []string{"", "-wal"} {
		if info, err := os.Stat(p.store + part); err == nil {
			disk += info.Size()
		}
	}
	stop := p.end()
	if stop > 10*time.Second {
		t.Errorf("SIGTERM took %v", stop)
	}
	t.Logf("%d messages in %d threads, killed and started again: %v, %d posts, %d MB of memory, %d kB of disk, stopped in %v",
		len(said), threads, took.Round(time.Millisecond), len(p.Posts("")), memory, disk>>10, stop.Round(time.Millisecond))
}

// peak is the most memory the program held, in MB; 0 where the system does
// not tell.
func (p *program) peak() (mb int) {
	status, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", p.cmd.Process.Pid))
	for line := range strings.Lines(string(status)) {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			_, _ = fmt.Sscan(rest, &mb)
		}
	}
	return mb >> 10
}

// BenchmarkServe measures in idle channels: from an event to its
// acknowledgement (Slack allows 3 s; we want 100 ms) and to the answer (300 ms).
func BenchmarkServe(b *testing.B) {
	p := workspace(b)
	p.start()
	var acks, answers []time.Duration
	for n := 0; b.Loop(); n++ {
		channel := fmt.Sprint("C", 1000+n)
		p.AddChannel(channel, "channel")
		before := time.Now()
		p.Say("U1", channel, mention+overhead, fakeslack.Words{MentionOnly: true})
		answers = append(answers, p.post(channel, 1).At.Sub(before))
	}
	for _, d := range p.Deliveries() {
		if len(d.Acks) > 0 {
			acks = append(acks, d.Acks[0].Sub(d.Sent))
		}
	}
	for name, all := range map[string][]time.Duration{"ack": acks, "answer": answers} {
		slices.Sort(all)
		b.ReportMetric(float64(all[len(all)/2].Microseconds())/1000, name+"-median-ms")
		b.ReportMetric(float64(all[len(all)-1].Microseconds())/1000, name+"-worst-ms")
	}
}
