package fakeslack

import (
	"encoding/json"
	"maps"
	"strings"
	"time"
)

// Words is how something is said.
type Words struct {
	Thread  string // the thread it is said in
	Subtype string
	Files   []string // media types
	Blocks  string   // as JSON
	With    map[string]any

	MentionFirst bool          // the mention comes before the message
	Gap          time.Duration // between the two
	MentionOnly  bool          // the app hears of mentions alone
	Silent       bool          // the bot does not hear of it at all
}

// Say has a person say something; the stamp of what they said.
func (s *Slack) Say(user, channel, text string, how ...Words) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	var w Words
	if len(how) > 0 {
		w = how[0]
	}
	c := s.channel(channel)
	m := &Message{Channel: c.ID, TS: s.ts(), Thread: w.Thread, User: user, Text: text, At: time.Now()}
	c.Messages = append(c.Messages, m)
	if w.Silent || !c.Member {
		return m.TS
	}
	event := map[string]any{"type": "message", "channel": c.ID, "channel_type": c.Kind, "user": user, "text": text, "ts": m.TS, "event_ts": m.TS, "client_msg_id": s.number("msg-")}
	if w.Thread != "" {
		event["thread_ts"] = w.Thread
	}
	if w.Subtype != "" {
		event["subtype"] = w.Subtype
	}
	if w.Blocks != "" {
		event["blocks"] = json.RawMessage(w.Blocks)
	}
	if len(w.Files) > 0 {
		var files []map[string]any
		for _, f := range w.Files {
			files = append(files, map[string]any{"id": s.number("F"), "mimetype": f})
		}
		event["files"] = files
	}
	maps.Copy(event, w.With)
	var gapMessage, gapMention time.Duration
	if w.MentionFirst {
		gapMessage = w.Gap
	} else {
		gapMention = w.Gap
	}
	if !w.MentionOnly {
		s.event(event, gapMessage)
	}
	if names(text) && c.Kind != "im" {
		mention := maps.Clone(event)
		mention["type"] = "app_mention"
		delete(mention, "channel_type")
		delete(mention, "subtype")
		s.event(mention, gapMention)
	}
	return m.TS
}

// event delivers an event; called under the lock.
func (s *Slack) event(event map[string]any, after time.Duration) string {
	id := s.number("Ev")
	s.deliver(parcel{kind: "events_api", event: id, repeat: true, payload: s.outer(id, event)}, after)
	return id
}

func (s *Slack) outer(id string, event map[string]any) map[string]any {
	if event["thread_ts"] == "" {
		delete(event, "thread_ts")
	}
	return map[string]any{
		"token": "unused", "team_id": Team, "api_app_id": App, "event": event, "type": "event_callback", "event_id": id, "event_time": time.Now().Unix(),
		"authorizations": []map[string]any{{"team_id": Team, "user_id": Bot, "is_bot": true}}, "is_ext_shared_channel": false,
	}
}

// Event delivers an event as it is and returns its id.
func (s *Slack) Event(event map[string]any) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.event(event, 0)
}

// Again delivers an event once more: in a new envelope as a later attempt, or
// in an envelope that came before, as though it were the first time.
func (s *Slack) Again(id string, event map[string]any, attempt int, envelope string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.deliver(parcel{kind: "events_api", event: id, payload: s.outer(id, event), same: envelope, attempt: attempt}, 0)
}

// Envelope delivers anything.
func (s *Slack) Envelope(kind string, payload any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.deliver(parcel{kind: kind, payload: payload}, 0)
}

// Delete has a person delete their message.
func (s *Slack) Delete(channel, ts string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, m := range s.channel(channel).Messages {
		if m.TS == ts {
			m.Deleted = true
		}
	}
	s.event(map[string]any{"type": "message", "subtype": "message_deleted", "hidden": true, "channel": channel, "channel_type": "channel", "deleted_ts": ts, "ts": s.ts(), "previous_message": map[string]any{"ts": ts}}, 0)
}

// Edit has a person edit their message.
func (s *Slack) Edit(user, channel, ts, text string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.event(map[string]any{"type": "message", "subtype": "message_changed", "hidden": true, "channel": channel, "channel_type": "channel", "ts": s.ts(),
		"message": map[string]any{"type": "message", "user": user, "text": text, "ts": ts, "edited": map[string]any{"user": user, "ts": ts}}}, 0)
	if names(text) {
		s.event(map[string]any{"type": "app_mention", "channel": channel, "user": user, "text": text, "ts": ts, "edited": map[string]any{"user": user, "ts": ts}}, 0)
	}
}

// url makes a response URL.
func (s *Slack) url(user, channel string) string {
	id := s.number("r")
	s.responses[id] = &response{user: user, channel: channel}
	return s.server.URL + "/response/" + id
}

func (s *Slack) trigger() string {
	id := s.number("trigger.")
	s.triggers[id] = true
	return id
}

// Expire makes all response URLs, and all triggers, useless.
func (s *Slack) Expire() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, r := range s.responses {
		r.gone = true
	}
	for id := range s.triggers {
		s.triggers[id] = false
	}
}

// Slash has a person type the command.
func (s *Slack) Slash(user, channel, text string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.deliver(parcel{kind: "slash_commands", payload: map[string]any{
		"token": "unused", "team_id": Team, "channel_id": channel, "channel_name": "lighting", "user_id": user, "user_name": user, "api_app_id": App,
		"command": "/panelhand", "text": text, "response_url": s.url(user, channel), "trigger_id": s.trigger(),
	}}, 0)
}

// A Press is a button that is pressed.
type Press struct {
	Channel, Message, Thread string
	Action, Value, Block     string
	Alone                    bool // on a message that only the presser sees
}

// Button finds a button of a post by the beginning of its action id.
func Button(blocks json.RawMessage, action string) (id, value, block string) {
	var list []struct {
		Block    string `json:"block_id"`
		Elements []struct {
			Action string `json:"action_id"`
			Value  string `json:"value"`
		} `json:"elements"`
	}
	_ = json.Unmarshal(blocks, &list)
	for _, b := range list {
		for _, e := range b.Elements {
			if e.Action != "" && strings.HasPrefix(e.Action, action) {
				return e.Action, e.Value, b.Block
			}
		}
	}
	return "", "", ""
}

// Press has a person press a button.
func (s *Slack) Press(user string, p Press) {
	s.mu.Lock()
	defer s.mu.Unlock()
	container := map[string]any{"type": "message", "message_ts": p.Message, "channel_id": p.Channel, "is_ephemeral": p.Alone}
	payload := map[string]any{
		"type": "block_actions", "team": map[string]any{"id": Team}, "user": map[string]any{"id": user, "team_id": Team}, "api_app_id": App, "token": "unused",
		"container": container, "channel": map[string]any{"id": p.Channel}, "trigger_id": s.trigger(), "response_url": s.url(user, p.Channel),
		"actions": []map[string]any{{"type": "button", "action_id": p.Action, "block_id": p.Block, "value": p.Value, "action_ts": s.ts(), "text": map[string]any{"type": "plain_text", "text": p.Value}}},
	}
	if p.Thread != "" {
		container["thread_ts"] = p.Thread
	}
	if !p.Alone {
		message := map[string]any{"type": "message", "ts": p.Message, "user": Bot, "bot_id": BotID, "text": "…"}
		if p.Thread != "" {
			message["thread_ts"] = p.Thread
		}
		payload["message"] = message
	}
	s.deliver(parcel{kind: "interactive", payload: payload}, 0)
}

// Point has a person use the message shortcut.
func (s *Slack) Point(user, channel, ts string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	message := map[string]any{}
	for _, m := range s.channel(channel).Messages {
		if m.TS == ts {
			message = shown(m)
		}
	}
	s.deliver(parcel{kind: "interactive", payload: map[string]any{
		"type": "message_action", "callback_id": "ask_about_message", "team": map[string]any{"id": Team}, "user": map[string]any{"id": user, "team_id": Team},
		"channel": map[string]any{"id": channel}, "message": message, "message_ts": ts, "trigger_id": s.trigger(), "response_url": s.url(user, channel),
	}}, 0)
}

// Shortcut has a person use a global shortcut.
func (s *Slack) Shortcut(user, callback string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.deliver(parcel{kind: "interactive", payload: map[string]any{
		"type": "shortcut", "callback_id": callback, "team": map[string]any{"id": Team}, "user": map[string]any{"id": user, "team_id": Team}, "trigger_id": s.trigger(),
	}}, 0)
}

// Submit has a person send a form; state is as JSON, "" for one that is
// missing.
func (s *Slack) Submit(user, callback, state string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	view := map[string]any{"id": s.number("V"), "team_id": Team, "type": "modal", "callback_id": callback, "hash": s.number("h"), "private_metadata": "", "blocks": []any{}}
	if state != "" {
		view["state"] = json.RawMessage(state)
	}
	s.deliver(parcel{kind: "interactive", payload: map[string]any{
		"type": "view_submission", "team": map[string]any{"id": Team}, "user": map[string]any{"id": user, "team_id": Team}, "view": view, "response_urls": []any{}, "trigger_id": s.trigger(),
	}}, 0)
}

// OpenHome has a person open the app's own page.
func (s *Slack) OpenHome(user string) {
	s.Event(map[string]any{"type": "app_home_opened", "user": user, "channel": "D" + user[1:], "tab": "home", "event_ts": "1.1"})
}

// Forget deletes a message without a word to the bot.
func (s *Slack) Forget(channel, ts string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, m := range s.channel(channel).Messages {
		if m.TS == ts {
			m.Deleted = true
		}
	}
}

// Put puts an answer of the bot's into a thread, as though it had been posted
// in an earlier life.
func (s *Slack) Put(channel, thread, text, key string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.channel(channel)
	c.Messages = append(c.Messages, &Message{Channel: channel, TS: s.ts(), Thread: thread, User: Bot, Bot: BotID, Text: text, Key: key, At: time.Now()})
}
