package fakeslack

import (
	"encoding/json"
	"fmt"
	"io"
	"mime"
	"net/http"
	"regexp"
	"strings"
	"time"
)

// The limits of messages (source: Slack handbook §3.1).
const (
	mostBlocks     = 50
	mostBlockBytes = 13_000
	mostText       = 40_000
)

func (s *Slack) serve(w http.ResponseWriter, r *http.Request) {
	switch {
	case r.URL.Path == "/link":
		s.link(w, r)
		return
	case strings.HasPrefix(r.URL.Path, "/response/"):
		s.respond(w, r)
		return
	case !strings.HasPrefix(r.URL.Path, "/api/"):
		http.NotFound(w, r)
		return
	}
	method := strings.TrimPrefix(r.URL.Path, "/api/")
	form, err := readForm(r)
	if err != nil {
		answer(w, map[string]any{"ok": false, "error": "invalid_form_data"})
		return
	}
	token := form["token"]
	if bearer, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer "); ok {
		token = bearer
	}
	delete(form, "token")
	s.Lock(func() {
		s.requests = append(s.requests, Request{method, form, token, time.Now()})
		if method == "apps.connections.open" {
			s.opens = append(s.opens, time.Now())
		}
	})
	fault, faulty := s.fault(method)
	if faulty && fault.Delay > 0 {
		select {
		case <-time.After(fault.Delay):
		case <-r.Context().Done():
			return
		}
	}
	if faulty && !fault.Stored && (fault.Delay == 0 || fault.Status != 0 || fault.Error != "" || fault.Body != "") {
		fault.meet(w, r)
		return
	}
	result := s.call(method, form, token)
	if faulty && fault.Stored {
		fault.meet(w, r)
		return
	}
	answer(w, result)
}

func answer(w http.ResponseWriter, result map[string]any) {
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	_ = json.NewEncoder(w).Encode(result)
}

// readForm reads a form or a JSON object; values that are no strings stay
// JSON.
func readForm(r *http.Request) (map[string]string, error) {
	form := map[string]string{}
	kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if kind == "application/json" {
		body, err := io.ReadAll(io.LimitReader(r.Body, 1<<20))
		if err != nil || len(body) == 0 {
			return form, err
		}
		var raw map[string]json.RawMessage
		if err := json.Unmarshal(body, &raw); err != nil {
			return nil, err
		}
		for k, v := range raw {
			var text string
			if json.Unmarshal(v, &text) == nil {
				form[k] = text
			} else {
				form[k] = string(v)
			}
		}
		return form, nil
	}
	if strings.HasPrefix(kind, "multipart/") {
		if err := r.ParseMultipartForm(1 << 20); err != nil {
			return nil, err
		}
	}
	if err := r.ParseForm(); err != nil {
		return nil, err
	}
	for k, v := range r.Form {
		if len(v) > 1 {
			return nil, fmt.Errorf("two values for %s", k)
		}
		form[k] = v[0]
	}
	return form, nil
}

func no(code string) map[string]any { return map[string]any{"ok": false, "error": code} }

func (s *Slack) call(method string, form map[string]string, token string) map[string]any {
	s.mu.Lock()
	defer s.mu.Unlock()
	want := BotToken
	if method == "apps.connections.open" {
		want = AppToken
	}
	switch {
	case token == "":
		return no("not_authed")
	case token != want && (token == BotToken || token == AppToken):
		return no("not_allowed_token_type")
	case token != want:
		return no("invalid_auth")
	}
	switch method {
	case "auth.test":
		return map[string]any{"ok": true, "url": "https://tide.slack.com/", "team": "Tide", "user": "coach", "team_id": Team, "user_id": Bot, "bot_id": BotID, "is_enterprise_install": false}
	case "apps.connections.open":
		ticket := s.number("ticket")
		s.tickets[ticket] = true
		return map[string]any{"ok": true, "url": "ws" + strings.TrimPrefix(s.server.URL, "http") + "/link?ticket=" + ticket}
	case "chat.postMessage":
		return s.post(form)
	case "chat.postEphemeral":
		return s.whisper(form)
	case "chat.delete":
		for _, m := range s.channel(form["channel"]).Messages {
			if m.TS == form["ts"] {
				if m.Bot != BotID {
					return no("cant_delete_message")
				}
				m.Deleted = true
				return map[string]any{"ok": true, "channel": m.Channel, "ts": m.TS}
			}
		}
		return no("message_not_found")
	case "conversations.replies", "conversations.history":
		return s.history(method, form)
	case "users.info":
		return map[string]any{"ok": true, "user": map[string]any{"id": form["user"], "team_id": Team, "name": form["user"], "tz": "Europe/Lisbon", "tz_offset": 0, "is_bot": form["user"] == Bot, "profile": map[string]any{"display_name": form["user"]}}}
	case "views.open", "views.publish":
		return s.view(method, form)
	}
	return no("unknown_method")
}

// channel finds a channel, opening a direct message for a user's id; an empty
// one where there is none.
func (s *Slack) channel(id string) *Channel {
	if c := s.channels[id]; c != nil {
		return c
	}
	if !strings.HasPrefix(id, "U") && !strings.HasPrefix(id, "D") {
		return &Channel{}
	}
	id = "D" + id[1:]
	if s.channels[id] == nil {
		s.channels[id] = &Channel{ID: id, Kind: "im", Member: true}
	}
	return s.channels[id]
}

var callsAll = regexp.MustCompile(`<!(channel|here|everyone|subteam)`)

// refuse is the error for a message's content, "" for none.
func (s *Slack) refuse(form map[string]string) string {
	text, blocks := form["text"], form["blocks"]
	switch {
	case text == "" && blocks == "":
		return "no_text"
	case text == "":
		s.problem("a post without text: %.200s", blocks)
	case len([]rune(text)) > mostText:
		return "msg_too_long"
	}
	if callsAll.MatchString(text) || callsAll.MatchString(blocks) {
		s.problem("a post calls everybody: %.200s", text)
	}
	if blocks == "" {
		return ""
	}
	var list []map[string]any
	if err := json.Unmarshal([]byte(blocks), &list); err != nil || len(list) > mostBlocks {
		return "invalid_blocks"
	}
	for _, b := range list {
		if kind, _ := b["type"].(string); kind == "" {
			return "invalid_blocks"
		}
	}
	if len(blocks) > mostBlockBytes {
		return "msg_blocks_too_long"
	}
	if s.Validate != nil {
		if err := s.Validate(json.RawMessage(blocks)); err != nil {
			s.problem("blocks: %v", err)
			return "invalid_blocks"
		}
	}
	return ""
}

func (s *Slack) post(form map[string]string) map[string]any {
	c := s.channel(form["channel"])
	switch {
	case c.ID == "":
		return no("channel_not_found")
	case c.Archived:
		return no("is_archived")
	case !c.Member:
		return no("not_in_channel")
	}
	if code := s.refuse(form); code != "" {
		return no(code)
	}
	var meta struct {
		Payload struct {
			Key string `json:"key"`
		} `json:"event_payload"`
	}
	_ = json.Unmarshal([]byte(form["metadata"]), &meta)
	m := &Message{Channel: c.ID, TS: s.ts(), User: Bot, Bot: BotID, Text: form["text"], Key: meta.Payload.Key, At: time.Now()}
	if form["blocks"] != "" {
		m.Blocks = json.RawMessage(form["blocks"])
	}
	if parent := form["thread_ts"]; parent != "" {
		found := false
		for _, p := range c.Messages {
			if p.TS == parent && !p.Deleted {
				found = true
				if p.Thread != "" && p.Thread != p.TS {
					s.problem("an answer to a reply's stamp %s", parent)
				}
			}
		}
		if found {
			m.Thread = parent
		}
	}
	c.Messages = append(c.Messages, m)
	// What the bot says comes back to it, with no subtype.
	s.event(map[string]any{"type": "message", "channel": c.ID, "channel_type": c.Kind, "user": Bot, "bot_id": BotID, "app_id": App, "text": m.Text, "ts": m.TS, "thread_ts": m.Thread}, 0)
	return map[string]any{"ok": true, "channel": c.ID, "ts": m.TS, "message": shown(m)}
}

func shown(m *Message) map[string]any {
	out := map[string]any{"type": "message", "user": m.User, "text": m.Text, "ts": m.TS}
	if m.Thread != "" {
		out["thread_ts"] = m.Thread
	}
	if m.Bot != "" {
		out["bot_id"], out["app_id"] = m.Bot, App
	}
	if m.Key != "" {
		out["metadata"] = map[string]any{"event_type": "panelhand_answer", "event_payload": map[string]any{"key": m.Key}}
	}
	if m.Blocks != nil {
		out["blocks"] = m.Blocks
	}
	return out
}

func (s *Slack) whisper(form map[string]string) map[string]any {
	c := s.channel(form["channel"])
	switch {
	case c.ID == "":
		return no("channel_not_found")
	case !c.Member:
		return no("not_in_channel")
	case form["user"] == "":
		return no("user_not_in_channel")
	}
	if code := s.refuse(form); code != "" {
		return no(code)
	}
	w := Whisper{Channel: c.ID, To: form["user"], Text: form["text"], TS: s.ts(), At: time.Now()}
	if form["blocks"] != "" {
		w.Blocks = json.RawMessage(form["blocks"])
	}
	s.whispers = append(s.whispers, w)
	return map[string]any{"ok": true, "message_ts": w.TS}
}

func (s *Slack) history(method string, form map[string]string) map[string]any {
	if s.NoHistory {
		return map[string]any{"ok": false, "error": "missing_scope", "needed": "channels:history", "provided": "chat:write"}
	}
	c := s.channel(form["channel"])
	if c.ID == "" {
		return no("channel_not_found")
	}
	list := []map[string]any{}
	for _, m := range c.Messages {
		inThread := m.TS == form["ts"] || m.Thread == form["ts"]
		if m.Deleted || method == "conversations.replies" && !inThread || method == "conversations.history" && m.Thread != "" {
			continue
		}
		if m.TS < form["oldest"] {
			continue
		}
		one := shown(m)
		if form["include_all_metadata"] != "1" && form["include_all_metadata"] != "true" {
			delete(one, "metadata")
		}
		list = append(list, one)
	}
	if method == "conversations.replies" && len(list) == 0 {
		return no("thread_not_found")
	}
	return map[string]any{"ok": true, "messages": list, "has_more": false, "response_metadata": map[string]any{"next_cursor": ""}}
}

func (s *Slack) view(method string, form map[string]string) map[string]any {
	if method == "views.open" {
		fresh, known := s.triggers[form["trigger_id"]]
		if !known {
			return no("invalid_trigger_id")
		}
		if !fresh {
			return no("exchanged_trigger_id")
		}
		s.triggers[form["trigger_id"]] = false
	}
	v := View{User: form["user_id"], ID: s.number("V"), Hash: s.number("h"), View: json.RawMessage(form["view"])}
	s.views = append(s.views, v)
	var full map[string]any
	if err := json.Unmarshal(v.View, &full); err != nil {
		return no("invalid_arguments")
	}
	full["id"], full["hash"] = v.ID, v.Hash
	return map[string]any{"ok": true, "view": full}
}

// respond takes what is posted to a response URL: five times.
func (s *Slack) respond(w http.ResponseWriter, r *http.Request) {
	if fault, faulty := s.fault("response_url"); faulty {
		fault.meet(w, r)
		return
	}
	form, err := readForm(r)
	s.mu.Lock()
	defer s.mu.Unlock()
	to := s.responses[strings.TrimPrefix(r.URL.Path, "/response/")]
	switch {
	case err != nil || to == nil || to.gone:
		http.Error(w, "expired_url", http.StatusNotFound)
		return
	case to.uses >= 5:
		http.Error(w, "used_url", http.StatusNotFound)
		return
	}
	to.uses++
	if code := s.refuse(form); code != "" {
		http.Error(w, code, http.StatusBadRequest)
		return
	}
	one := Whisper{Channel: to.channel, To: to.user, Text: form["text"], TS: s.ts(), Slash: true, At: time.Now()}
	if form["blocks"] != "" {
		one.Blocks = json.RawMessage(form["blocks"])
	}
	if form["response_type"] != "ephemeral" {
		s.problem("an answer for one person was posted for all")
	}
	s.whispers = append(s.whispers, one)
	_, _ = io.WriteString(w, "ok")
}
