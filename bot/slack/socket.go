package slack

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log"
	"math/rand/v2"
	"net"
	"net/http"
	"path"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gorilla/websocket"
	"github.com/slack-go/slack"
	"github.com/slack-go/slack/socketmode"
)

// An envelope is a delivery that has to be acknowledged, once.
type envelope struct {
	frame
	acked sync.Once
	send  func(payload any) error
}

// ack acknowledges the envelope if nobody has. What fails is delivered
// again.
func (e *envelope) ack(payload any) error {
	var err error
	e.acked.Do(func() { err = e.send(payload) })
	return err
}

// listen keeps one socket open until ctx ends.
func (b *Bot) listen(ctx context.Context, number int) {
	opening := &slowOpening{every: b.pace.Open, timeout: b.pace.Request, next: http.DefaultTransport.(*http.Transport).Clone(), log: func(d time.Duration) {
		b.count("held back")
		b.log.Warn("Slack keeps closing the socket; the next is opened slowly", "in", d)
	}}
	defer opening.next.CloseIdleConnections()
	api := slack.New("", slack.OptionAppLevelToken(b.appToken), slack.OptionAPIURL(b.apiURL), slack.OptionHTTPClient(&http.Client{Transport: opening}))
	for ctx.Err() == nil {
		err := b.connect(ctx, api, number)
		b.hearing.lost(number)
		if ctx.Err() != nil {
			return
		}
		if code := (fatalError{}); errors.As(err, &code) {
			b.fail(err)
			return
		}
		b.count("restarted")
		b.log.Warn("the socket is begun anew", "cause", err)
		// Apart from each other, so that not all sockets are away at once.
		_ = sleep(ctx, b.pace.Again/2+rand.N(b.pace.Again))
	}
}

// largestFrame is what one delivery may measure: far more than Slack sends.
const largestFrame = 1 << 20

// mostFailures is how often a first socket may fail to open before the
// program says so and ends: a service manager starts it again.
const mostFailures = 10

// connect runs Slack's client, which itself opens sockets anew, until it
// gives up or is found deaf.
func (b *Bot) connect(ctx context.Context, api *slack.Client, number int) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	wire := &wire{heard: func() { b.hearing.read(number, b.now()) }}
	wire.stamp()
	dialer := net.Dialer{Timeout: b.pace.Request, KeepAlive: 15 * time.Second}
	client := socketmode.New(api,
		socketmode.OptionPingInterval(b.pace.Ping),
		socketmode.OptionReadLimit(largestFrame),
		socketmode.OptionLog(log.New(io.Discard, "", 0)),
		socketmode.OptionDialer(&websocket.Dialer{
			Proxy:            http.ProxyFromEnvironment,
			HandshakeTimeout: b.pace.Request,
			WriteBufferSize:  32 << 10, // an acknowledgement must not be cut in frames
			NetDialContext: func(ctx context.Context, network, address string) (net.Conn, error) {
				conn, err := dialer.DialContext(ctx, network, address)
				if err != nil {
					return nil, err
				}
				return wire.on(conn), nil
			},
		}),
	)
	ended := make(chan error, 1)
	go func() { ended <- client.RunContext(ctx) }()
	watch := time.NewTicker(b.pace.Deaf / 4)
	defer watch.Stop()
	greeted, failures := false, 0
	var giveUp error
	for {
		select {
		case err := <-ended:
			switch {
			case giveUp != nil:
				return giveUp
			case err != nil && hopeless[err.Error()]:
				return fatalError{err.Error()}
			}
			return err
		case <-watch.C:
			if quiet := wire.quiet(); giveUp == nil && quiet > b.pace.Deaf {
				giveUp = fmt.Errorf("nothing was heard for %v", quiet.Round(time.Second))
				cancel()
			}
		case evt := <-client.Events:
			switch evt.Type {
			case socketmode.EventTypeHello:
				greeted, failures = true, 0
				b.count("hello")
				b.hearing.hello(number, b.now())
			case socketmode.EventTypeConnecting:
				b.hearing.lost(number)
			case socketmode.EventTypeConnectionError:
				if ctx.Err() != nil {
					continue
				}
				failures++
				b.count("connection failed")
				cause, _ := evt.Data.(*slack.ConnectionErrorEvent)
				b.log.Warn("no socket", "cause", cause.ErrorObj, "again in", cause.Backoff)
				switch {
				case hopeless[cause.ErrorObj.Error()]:
					giveUp = fatalError{cause.ErrorObj.Error()}
					cancel()
				case !greeted && failures == mostFailures && b.Health().Sockets == 0 && b.Health().Event.IsZero():
					giveUp = fatalError{"no socket: " + cause.ErrorObj.Error()}
					cancel()
				}
				wire.stamp() // not deaf, but away
			case socketmode.EventTypeErrorWriteFailed:
				b.count("ack failed")
			case socketmode.EventTypeIncomingError:
				b.count("unreadable")
			case socketmode.EventTypeErrorBadMessage:
				bad, _ := evt.Data.(*socketmode.ErrorBadMessage)
				b.receive(client, bad.Message)
			default:
				if evt.Request != nil && evt.Request.EnvelopeID != "" {
					b.take(client, frame{evt.Request.Type, evt.Request.EnvelopeID, evt.Request.Payload, evt.Request.RetryAttempt})
				}
			}
		}
	}
}

// receive takes a frame that Slack's library made nothing of: it has to be
// acknowledged too, or it comes again and again.
func (b *Bot) receive(client *socketmode.Client, raw json.RawMessage) {
	var f frame
	if err := json.Unmarshal(raw, &f); err != nil || f.Envelope == "" {
		var only struct {
			Envelope string `json:"envelope_id"`
		}
		if json.Unmarshal(raw, &only) != nil || only.Envelope == "" {
			b.count("unreadable")
			return
		}
		f = frame{Envelope: only.Envelope}
	}
	b.take(client, f)
}

// ackWithin bounds handing over an acknowledgement: with no socket open, the
// library would have it wait for ever.
const ackWithin = 2 * time.Second

// take queues a delivery and sees that it is acknowledged in time. It never
// waits, so that pings are answered.
func (b *Bot) take(client *socketmode.Client, f frame) {
	b.hearing.delivered(b.now())
	b.count("delivered")
	if f.Attempt > 0 {
		b.count("delivered again")
	}
	e := &envelope{frame: f, send: func(payload any) error {
		ctx, cancel := context.WithTimeout(context.Background(), ackWithin)
		defer cancel()
		return client.AckCtx(ctx, f.Envelope, payload)
	}}
	late := b.pace.Ack
	if f.Type == socketmode.RequestTypeInteractive {
		late = b.pace.Form + b.pace.Ack/2 // a form has an answer in its acknowledgement
	}
	time.AfterFunc(late, func() { _ = e.ack(nil) })
	select {
	case b.intake <- e:
	default:
		b.count("silent: " + string(overload))
		go func() { _ = e.ack(nil) }()
	}
}

// A slowOpening lets the first few openings of a socket through at once, and the
// next only slowly: Slack's library opens anew without any delay as often as
// it is told to.
type slowOpening struct {
	every   time.Duration
	timeout time.Duration // of a request, not counting the wait
	next    *http.Transport
	log     func(time.Duration)

	mu     sync.Mutex
	tokens float64
	at     time.Time
}

// openBurst is how many openings are let through at once.
const openBurst = 3

func (o *slowOpening) RoundTrip(r *http.Request) (*http.Response, error) {
	if path.Base(r.URL.Path) == "apps.connections.open" {
		if d := o.delay(); d > 0 {
			o.log(d)
			if err := sleep(r.Context(), d); err != nil {
				return nil, err
			}
		}
	}
	ctx, cancel := context.WithTimeout(r.Context(), o.timeout)
	response, err := o.next.RoundTrip(r.WithContext(ctx))
	if err != nil {
		cancel()
		return nil, err
	}
	response.Body = cancelling{response.Body, cancel}
	return response, nil
}

// delay takes one opening from what is allowed.
func (o *slowOpening) delay() time.Duration {
	o.mu.Lock()
	defer o.mu.Unlock()
	now := time.Now()
	if o.at.IsZero() {
		o.tokens, o.at = openBurst, now
	}
	o.tokens = min(openBurst, o.tokens+float64(now.Sub(o.at))/float64(o.every))
	o.at = now
	o.tokens--
	if o.tokens >= 0 {
		return 0
	}
	return time.Duration(-o.tokens * float64(o.every))
}

// cancelling is a body whose request ends with it.
type cancelling struct {
	io.ReadCloser
	cancel context.CancelFunc
}

func (c cancelling) Close() error {
	defer c.cancel()
	return c.ReadCloser.Close()
}

// A wire knows when a byte last came over a socket's connection; Slack's
// library does not show its pings, and a quiet channel looks like a dead one.
type wire struct {
	last  atomic.Int64
	heard func()
}

func (w *wire) stamp()               { w.last.Store(time.Now().UnixNano()) }
func (w *wire) quiet() time.Duration { return time.Duration(time.Now().UnixNano() - w.last.Load()) }

func (w *wire) on(conn net.Conn) net.Conn { return wired{conn, w} }

type wired struct {
	net.Conn
	wire *wire
}

func (c wired) Read(p []byte) (int, error) {
	n, err := c.Conn.Read(p)
	if n > 0 {
		c.wire.stamp()
		c.wire.heard()
	}
	return n, err
}
