package channeltest

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"panelhand/bot/answer"
	"panelhand/bot/channel"
)

// A Stage is an adapter with somebody before it.
type Stage interface {
	// Say has the person say something to the coach, in one conversation.
	Say(text string)
	// Shown is what the person was shown so far, a text each.
	Shown() []string
}

// Echo answers with what was said.
func Echo(_ context.Context, m channel.Message) (*answer.Answer, error) {
	text := "heard " + m.Text
	return &answer.Answer{Kind: answer.KindSetup, Headline: text, Text: text, Sections: []answer.Section{{Part: answer.Prose, Lines: []string{text}}}}, nil
}

// Adapter checks what every channel has to do with messages and answers. open
// puts a handler behind the adapter; trouble is the sentence that it shows where
// there is no answer.
func Adapter(t *testing.T, open func(t *testing.T, h channel.Handler, trouble string) Stage) {
	const trouble = "Something broke here."
	start := func(t *testing.T, answers channel.HandlerFunc) (Stage, *heard) {
		h := &heard{answers: answers}
		return open(t, h, trouble), h
	}

	t.Run("a message arrives as typed, and is answered once", func(t *testing.T) {
		s, h := start(t, Echo)
		const said = "f/2.8 & 1/125, −1 EV, 40″ panel at 1½ m"
		s.Say(said)
		want(t, s, "heard "+said)
		m := h.messages()
		if len(m) != 1 || m[0].Text != said || m[0].Team == "" || m[0].Thread == "" {
			t.Errorf("the coach was handed %+v", m)
		}
	})

	t.Run("a conversation stays one, in its order", func(t *testing.T) {
		s, h := start(t, Echo)
		var texts []string
		for i := range 4 {
			s.Say(fmt.Sprint("open shade ", i))
			texts = append(texts, fmt.Sprint("heard open shade ", i))
			want(t, s, texts...)
		}
		for _, m := range h.messages() {
			if m.Thread != h.messages()[0].Thread || m.Team != h.messages()[0].Team {
				t.Errorf("two threads or teams: %+v", h.messages())
			}
		}
	})

	t.Run("an answer with trouble is shown, its cause is not", func(t *testing.T) {
		s, _ := start(t, func(ctx context.Context, m channel.Message) (*answer.Answer, error) {
			a, _ := Echo(ctx, m)
			return a, errors.New("the disk is full")
		})
		s.Say("open shade")
		want(t, s, "heard open shade")
	})

	t.Run("no answer", func(t *testing.T) {
		s, _ := start(t, func(ctx context.Context, m channel.Message) (*answer.Answer, error) {
			switch {
			case strings.Contains(m.Text, "error"):
				return nil, errors.New("the disk is full")
			case strings.Contains(m.Text, "panic"):
				panic("the disk is full")
			}
			return Echo(ctx, m)
		})
		s.Say("error")
		want(t, s, trouble)
		s.Say("panic")
		want(t, s, trouble, trouble)
		s.Say("open shade") // the conversation goes on
		want(t, s, trouble, trouble, "heard open shade")
	})
}

// want waits until exactly these texts were shown.
func want(t *testing.T, s Stage, texts ...string) {
	t.Helper()
	for deadline := time.Now().Add(10 * time.Second); len(s.Shown()) < len(texts) && time.Now().Before(deadline); {
		time.Sleep(2 * time.Millisecond)
	}
	time.Sleep(20 * time.Millisecond) // in which a second answer might come
	if got := s.Shown(); !slices.Equal(got, texts) {
		t.Fatalf("shown are %q, want %q", got, texts)
	}
}

// heard is a handler that remembers what it was handed.
type heard struct {
	answers channel.HandlerFunc
	mu      sync.Mutex
	all     []channel.Message
}

func (h *heard) Answer(ctx context.Context, m channel.Message) (*answer.Answer, error) {
	h.mu.Lock()
	h.all = append(h.all, m)
	h.mu.Unlock()
	return h.answers(ctx, m)
}

func (h *heard) messages() []channel.Message {
	h.mu.Lock()
	defer h.mu.Unlock()
	return slices.Clone(h.all)
}
