package console_test

import (
	"io"
	"strings"
	"sync"
	"testing"

	"panelhand/bot/answer"
	"panelhand/bot/channel"
	"panelhand/bot/channel/channeltest"
	"panelhand/bot/console"
)

// stage is a console with somebody at it.
type stage struct {
	lines chan string
	mu    sync.Mutex
	shown []string
}

func (s *stage) Say(text string) { s.lines <- text }

func (s *stage) Shown() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]string(nil), s.shown...)
}

func TestConsoleIsAChannel(t *testing.T) {
	channeltest.Adapter(t, func(t *testing.T, h channel.Handler, trouble string) channeltest.Stage {
		s := &stage{lines: make(chan string, 10)}
		c := console.Console{
			Handler: h, Frame: channel.Message{Team: "tide", Thread: "one"}, Trouble: trouble, Log: func(error) {},
			Next: func() (string, error) {
				line, ok := <-s.lines
				if !ok {
					return "", io.EOF
				}
				return line, nil
			},
			Show: func(a *answer.Answer) error {
				s.mu.Lock()
				defer s.mu.Unlock()
				s.shown = append(s.shown, a.Text)
				return nil
			},
		}
		ended := make(chan error, 1)
		go func() { ended <- c.Run(t.Context()) }()
		t.Cleanup(func() {
			close(s.lines)
			if err := <-ended; err != nil {
				t.Error(err)
			}
		})
		return s
	})
}

// TestLastLine: a line that no newline ends is answered too, and an answer that
// cannot be shown ends the conversation.
func TestLastLine(t *testing.T) {
	next := func() (string, error) { return "open shade", io.EOF }
	var got string
	echo := channel.HandlerFunc(channeltest.Echo)
	c := console.Console{Handler: echo, Next: next, Show: func(a *answer.Answer) error { got = a.Text; return nil }}
	if err := c.Run(t.Context()); err != nil || !strings.Contains(got, "open shade") {
		t.Errorf("%q, %v", got, err)
	}
	c.Show = func(*answer.Answer) error { return io.ErrClosedPipe }
	if err := c.Run(t.Context()); err != io.ErrClosedPipe {
		t.Errorf("ended with %v", err)
	}
}
