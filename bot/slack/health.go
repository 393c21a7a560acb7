package slack

import (
	"fmt"
	"maps"
	"net/http"
	"slices"
	"sync"
	"time"
)

// counters count what happened, by a word for it.
type counters struct {
	mu sync.Mutex
	n  map[string]int64
}

func (b *Bot) count(what string) {
	b.counters.mu.Lock()
	defer b.counters.mu.Unlock()
	if b.counters.n == nil {
		b.counters.n = map[string]int64{}
	}
	b.counters.n[what]++
}

// hearing is what is known of the sockets and the claims.
type hearing struct {
	mu     sync.Mutex
	deaf   time.Duration
	open   map[int]time.Time // sockets that said hello, and when a byte last came
	event  time.Time         // the latest delivery
	claims time.Time         // the latest trouble with the claims
	failed bool
}

func (h *hearing) hello(socket int, now time.Time) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.open == nil {
		h.open = map[int]time.Time{}
	}
	h.open[socket] = now
}

// read tells that a byte came; a socket that has not said hello is not open.
func (h *hearing) read(socket int, now time.Time) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if _, ok := h.open[socket]; ok {
		h.open[socket] = now
	}
}

func (h *hearing) lost(socket int) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(h.open, socket)
}

func (h *hearing) delivered(now time.Time) { h.mu.Lock(); h.event = now; h.mu.Unlock() }
func (h *hearing) store(now time.Time)     { h.mu.Lock(); h.claims = now; h.mu.Unlock() }
func (h *hearing) fail()                   { h.mu.Lock(); h.failed = true; h.mu.Unlock() }

// A Health is how well the bot hears and can answer.
type Health struct {
	OK      bool
	Why     string // what is wrong, "" where nothing is
	Sockets int    // that are open
	Event   time.Time
	Waiting int // messages
}

// storeTrouble is how long one failure of the claims counts as trouble.
const storeTrouble = 30 * time.Second

// Health tells how the bot is.
func (b *Bot) Health() Health {
	now := b.now()
	h := Health{Waiting: b.lanes.depth()}
	b.hearing.mu.Lock()
	defer b.hearing.mu.Unlock()
	for _, read := range b.hearing.open {
		if now.Sub(read) < b.hearing.deaf {
			h.Sockets++
		}
	}
	h.Event = b.hearing.event
	switch {
	case b.hearing.failed:
		h.Why = "Slack refuses the token"
	case h.Sockets == 0:
		h.Why = "no socket to Slack is open"
	case now.Sub(b.hearing.claims) < storeTrouble:
		h.Why = "the store does not answer"
	case h.Waiting >= mostWaiting/2:
		h.Why = fmt.Sprintf("%d messages wait", h.Waiting)
	}
	h.OK = h.Why == ""
	return h
}

// ServeHTTP serves /healthz, 200 while all is well and else 503 with the
// reason, and /metrics, plain numbers a line each.
func (b *Bot) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := b.Health()
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	switch r.URL.Path {
	case "/healthz":
		if !h.OK {
			w.WriteHeader(http.StatusServiceUnavailable)
			fmt.Fprintln(w, h.Why)
			return
		}
		fmt.Fprintln(w, "ok")
	case "/metrics":
		fmt.Fprintf(w, "panelhand_slack_sockets %d\npanelhand_slack_waiting %d\n", h.Sockets, h.Waiting)
		if !h.Event.IsZero() {
			fmt.Fprintf(w, "panelhand_slack_last_event_seconds %d\n", h.Event.Unix())
		}
		b.counters.mu.Lock()
		n := maps.Clone(b.counters.n)
		b.counters.mu.Unlock()
		for _, what := range slices.Sorted(maps.Keys(n)) {
			fmt.Fprintf(w, "panelhand_slack_total{what=%q} %d\n", what, n[what])
		}
	default:
		http.NotFound(w, r)
	}
}
