package fakeslack

import (
	"encoding/json"
	"net/http"
	"slices"
	"sync"
	"time"

	"github.com/gorilla/websocket"
)

// mostSockets is Slack's limit for an app (source: Slack handbook §1.1).
const mostSockets = 10

// A Socket is one that the bot holds open.
type Socket struct {
	slack *Slack
	conn  *websocket.Conn
	mu    sync.Mutex // one writer at a time
	done  chan struct{}
	once  sync.Once
}

func (s *Slack) link(w http.ResponseWriter, r *http.Request) {
	var ok, full bool
	s.Lock(func() {
		ticket := r.URL.Query().Get("ticket")
		ok, full = s.tickets[ticket], len(s.sockets) >= mostSockets
		delete(s.tickets, ticket) // it opens one socket
	})
	if !ok {
		http.Error(w, "no ticket", http.StatusForbidden)
		return
	}
	upgrader := websocket.Upgrader{CheckOrigin: func(*http.Request) bool { return true }}
	conn, err := upgrader.Upgrade(w, r, nil)
	if err != nil {
		return
	}
	k := &Socket{slack: s, conn: conn, done: make(chan struct{})}
	if full {
		k.Disconnect("too_many_websockets")
		return
	}
	// Before it is told, so that who was greeted is in the list; and greeted
	// before anything is delivered.
	k.mu.Lock()
	closed := false
	var count int
	var greeted func(*Socket)
	var every time.Duration
	s.Lock(func() {
		closed, greeted, every = s.closed, s.OnHello, s.PingEvery
		s.sockets = append(s.sockets, k)
		count = len(s.sockets)
		s.quiet.Add(1)
	})
	defer s.quiet.Done()
	err = conn.WriteJSON(map[string]any{"type": "hello", "num_connections": count, "connection_info": map[string]any{"app_id": App}, "debug_info": map[string]any{"host": "applink-1", "approximate_connection_time": 18060}})
	k.mu.Unlock()
	if err != nil || closed {
		k.Cut()
		return
	}
	if greeted != nil {
		greeted(k)
	}
	if every > 0 {
		go k.ping(every)
	}
	k.read()
}

func (k *Socket) ping(every time.Duration) {
	ticker := time.NewTicker(every)
	defer ticker.Stop()
	for n := 0; ; n++ {
		if k.conn.WriteControl(websocket.PingMessage, []byte("ping"), time.Now().Add(time.Second)) != nil {
			return
		}
		select {
		case <-k.done:
			return
		case <-ticker.C:
		}
	}
}

// read takes acknowledgements.
func (k *Socket) read() {
	defer k.Cut()
	for {
		_, data, err := k.conn.ReadMessage()
		if err != nil {
			return
		}
		var ack struct {
			Envelope string          `json:"envelope_id"`
			Payload  json.RawMessage `json:"payload"`
		}
		if err := json.Unmarshal(data, &ack); err != nil || ack.Envelope == "" || len(data) > 20480 {
			k.slack.Lock(func() { k.slack.problem("not an acknowledgement: %.200s", data) })
			continue
		}
		k.slack.Lock(func() {
			d := k.slack.byEnvelope[ack.Envelope]
			if d == nil {
				k.slack.problem("an acknowledgement of nothing: %s", ack.Envelope)
				return
			}
			d.Acks = append(d.Acks, time.Now())
			d.Answer = ack.Payload
		})
	}
}

// Send writes a text frame as it is.
func (k *Socket) Send(data []byte) error { return k.Write(websocket.TextMessage, data) }

// Write writes a frame of any kind.
func (k *Socket) Write(kind int, data []byte) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	_ = k.conn.SetWriteDeadline(time.Now().Add(2 * time.Second))
	return k.conn.WriteMessage(kind, data)
}

// Disconnect tells the bot that the socket will close, and closes it.
func (k *Socket) Disconnect(reason string) {
	_ = k.Send([]byte(`{"type":"disconnect","reason":"` + reason + `","debug_info":{"host":"applink-1"}}`))
	time.Sleep(5 * time.Millisecond)
	k.Cut()
}

// Cut breaks the connection without a word.
func (k *Socket) Cut() {
	k.once.Do(func() {
		close(k.done)
		_ = k.conn.Close()
		s := k.slack
		s.Lock(func() {
			s.sockets = slices.DeleteFunc(s.sockets, func(x *Socket) bool { return x == k })
			for _, d := range s.deliveries {
				if d.socket == k && len(d.Acks) == 0 {
					d.Lost = true
				}
			}
		})
	})
}

// Sockets are those open now.
func (s *Slack) Sockets() []*Socket {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.sockets)
}

// A parcel is what goes into an envelope, for as often as it has to.
type parcel struct {
	kind    string
	event   string // its id
	payload any
	repeat  bool   // Slack delivers it again where nobody acknowledges it
	same    string // an envelope id that was used before
	attempt int
}

// deliver sends an envelope to any one of the open sockets, in the order of
// the calls, and again where it is not acknowledged. Called under the lock.
func (s *Slack) deliver(p parcel, after time.Duration) {
	if s.closed {
		return
	}
	if after == 0 {
		s.queue = append(s.queue, p)
		if len(s.queue) > 1 {
			return // somebody is at it
		}
		s.quiet.Go(s.dispatch)
		return
	}
	s.quiet.Go(func() {
		time.Sleep(after)
		s.redeliver(p, s.send(p, p.attempt))
	})
}

// dispatch delivers what is queued. The first stays in the queue until it is
// delivered.
func (s *Slack) dispatch() {
	for {
		var p parcel
		s.Lock(func() { p = s.queue[0] })
		d := s.send(p, p.attempt)
		s.quiet.Go(func() { s.redeliver(p, d) })
		empty := false
		s.Lock(func() {
			s.queue = s.queue[1:]
			empty = len(s.queue) == 0
		})
		if empty {
			return
		}
	}
}

// redeliver delivers again, three times at most, what nobody acknowledges.
func (s *Slack) redeliver(p parcel, d *Delivery) {
	p.same = ""
	for attempt := p.attempt + 1; d != nil && p.repeat && attempt <= 3; attempt++ {
		time.Sleep(s.AckWithin)
		done := false
		s.Lock(func() { done = len(d.Acks) > 0 || s.closed })
		if done {
			return
		}
		d = s.send(p, attempt)
	}
}

// send writes an envelope once there is a socket; nil where there is none for
// long.
func (s *Slack) send(p parcel, attempt int) *Delivery {
	for deadline := time.Now().Add(20 * s.AckWithin); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		var d *Delivery
		var to *Socket
		over := false
		s.Lock(func() {
			over = s.closed
			if over || len(s.sockets) == 0 {
				return
			}
			to = pick(s.sockets)
			if d = s.byEnvelope[p.same]; d != nil {
				d.Copies++
				return
			}
			d = &Delivery{Envelope: s.number("env-"), Type: p.kind, Event: p.event, Attempt: attempt, Copies: 1, Sent: time.Now(), socket: to}
			s.byEnvelope[d.Envelope] = d
			s.deliveries = append(s.deliveries, d)
		})
		if over {
			return nil
		}
		if d == nil {
			continue
		}
		envelope := map[string]any{"type": p.kind, "envelope_id": d.Envelope, "payload": p.payload, "accepts_response_payload": p.kind != "events_api"}
		if p.kind == "events_api" {
			envelope["retry_attempt"], envelope["retry_reason"] = attempt, ""
			if attempt > 0 {
				envelope["retry_reason"] = "timeout"
			}
		}
		data, err := json.Marshal(envelope)
		if err != nil {
			return nil
		}
		if to.Send(data) != nil {
			s.Lock(func() { d.Lost = true })
			to.Cut()
		}
		return d
	}
	return nil
}
