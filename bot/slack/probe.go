package slack

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"
)

// API is where Slack's methods live unless SLACK_API_URL says otherwise.
const API = "https://slack.com/api/"

// A Probe asks Slack who we are and whether it would let us in, for a doctor.
// It never says a token.
type Probe struct {
	Base   string // an address that CheckAPI found good
	Client *http.Client
}

// CheckAPI reads the address of Slack's methods: https, or this machine for
// tests, so that a token never travels in the clear.
func CheckAPI(address string) (string, error) {
	if address == "" {
		return API, nil
	}
	u, err := url.Parse(address)
	local := err == nil && slices.Contains([]string{"127.0.0.1", "localhost", "::1"}, u.Hostname())
	if err != nil || u.Host == "" || u.Scheme != "https" && !(u.Scheme == "http" && local) {
		return "", errors.New("SLACK_API_URL is an https address, or http on this machine for tests")
	}
	return strings.TrimSuffix(address, "/") + "/", nil
}

// Identity is who a bot token is.
type Identity struct {
	Team, User string
	Scopes     []string
	Skew       time.Duration // of this machine's clock against Slack's; + is ahead
}

// Refused is Slack's own word for why it refused: "invalid_auth".
type Refused string

func (r Refused) Error() string { return "Slack says " + string(r) }

// Identify asks who a bot token is.
func (p Probe) Identify(ctx context.Context, token string) (Identity, error) {
	var who struct{ Team, User string }
	header, err := p.call(ctx, "auth.test", token, &who)
	if err != nil {
		return Identity{}, err
	}
	id := Identity{Team: who.Team, User: who.User}
	for scope := range strings.SplitSeq(header.Get("X-OAuth-Scopes"), ",") {
		if scope = strings.TrimSpace(scope); scope != "" {
			id.Scopes = append(id.Scopes, scope)
		}
	}
	if now, err := http.ParseTime(header.Get("Date")); err == nil {
		id.Skew = time.Since(now).Round(time.Second)
	}
	return id, nil
}

// Socket asks whether an app token may open a socket. The address that comes
// back is not used; it expires by itself.
func (p Probe) Socket(ctx context.Context, token string) error {
	var open struct{ URL string }
	if _, err := p.call(ctx, "apps.connections.open", token, &open); err != nil {
		return err
	}
	if open.URL == "" {
		return errors.New("no address for the socket came from Slack")
	}
	return nil
}

func (p Probe) call(ctx context.Context, method, token string, into any) (http.Header, error) {
	request, err := http.NewRequestWithContext(ctx, http.MethodPost, p.Base+method, nil)
	if err != nil {
		return nil, err
	}
	request.Header.Set("Authorization", "Bearer "+token)
	response, err := p.Client.Do(request)
	if err != nil {
		return nil, fmt.Errorf("no answer from %s: %w", request.URL.Host, err)
	}
	defer response.Body.Close()
	data, err := io.ReadAll(io.LimitReader(response.Body, 1<<20))
	if err != nil {
		return nil, err
	}
	if response.StatusCode != http.StatusOK {
		return nil, fmt.Errorf("%s answers with status %d", request.URL.Host, response.StatusCode)
	}
	var said struct {
		OK    bool
		Error string
	}
	if err := json.Unmarshal(data, &said); err != nil {
		return nil, fmt.Errorf("%s did not answer as Slack does", request.URL.Host)
	}
	if !said.OK {
		if said.Error == "" {
			said.Error = "no, and not why"
		}
		return nil, Refused(said.Error)
	}
	return response.Header, json.Unmarshal(data, into)
}
