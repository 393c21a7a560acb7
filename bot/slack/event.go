package slack

import (
	"bytes"
	"encoding/json"
	"strconv"
	"strings"
	"time"
)

// A frame is one delivery as it came over the socket.
type frame struct {
	Type     string          `json:"type"`
	Envelope string          `json:"envelope_id"`
	Payload  json.RawMessage `json:"payload"`
	Attempt  int             `json:"retry_attempt"`
}

// An outer is the payload of an event.
type outer struct {
	Team  string `json:"team_id"`
	App   string `json:"api_app_id"`
	Event event  `json:"event"`
}

// An event is a message or a mention, with as much of it as manners need;
// Slack has a hundred other types, which stay silent.
type event struct {
	Type     string          `json:"type"`
	Subtype  string          `json:"subtype"`
	User     string          `json:"user"`
	Bot      string          `json:"bot_id"`
	App      string          `json:"app_id"`
	Text     string          `json:"text"`
	TS       string          `json:"ts"`
	Parent   string          `json:"thread_ts"`
	Channel  string          `json:"channel"`
	Kind     string          `json:"channel_type"`
	Tab      string          `json:"tab"`
	Hidden   bool            `json:"hidden"`
	Edited   json.RawMessage `json:"edited"`
	Blocks   []richBlock     `json:"blocks"`
	Deleted  string          `json:"deleted_ts"`
	Files    []file          `json:"files"`
	Attached []attachment    `json:"attachments"`
}

type file struct {
	Media string `json:"mimetype"`
}

type attachment struct {
	Text string `json:"text"`
}

// A command is a slash command.
type command struct {
	Team    string `json:"team_id"`
	Channel string `json:"channel_id"`
	User    string `json:"user_id"`
	Text    string `json:"text"`
	URL     string `json:"response_url"`
	Trigger string `json:"trigger_id"`
}

// An interaction is a button, a shortcut or a form.
type interaction struct {
	Type     string          `json:"type"`
	Callback string          `json:"callback_id"`
	Trigger  string          `json:"trigger_id"`
	URL      string          `json:"response_url"`
	Team     id              `json:"team"`
	User     person          `json:"user"`
	Channel  id              `json:"channel"`
	Message  event           `json:"message"`
	Actions  []action        `json:"actions"`
	View     json.RawMessage `json:"view"`
	In       struct {
		Message   string `json:"message_ts"`
		Parent    string `json:"thread_ts"`
		Channel   string `json:"channel_id"`
		Ephemeral bool   `json:"is_ephemeral"`
	} `json:"container"`
}

type id struct {
	ID string `json:"id"`
}

type person struct {
	ID   string `json:"id"`
	Team string `json:"team_id"`
}

type action struct {
	ID    string `json:"action_id"`
	Block string `json:"block_id"`
	Value string `json:"value"`
	Text  struct {
		Text string `json:"text"`
	} `json:"text"`
	Selected struct {
		Value string `json:"value"`
	} `json:"selected_option"`
}

// team is whose data count. A form's user has the team where the payload has
// none.
func (i interaction) team() string {
	if i.Team.ID != "" {
		return i.Team.ID
	}
	return i.User.Team
}

// A richText is a block's text, which is a string in some and an object in
// others.
type richText struct{ words string }

func (t *richText) UnmarshalJSON(data []byte) error {
	if bytes.HasPrefix(data, []byte(`"`)) {
		return json.Unmarshal(data, &t.words)
	}
	var object struct {
		Text string `json:"text"`
	}
	_ = json.Unmarshal(data, &object) // a text of another shape says nothing
	t.words = object.Text
	return nil
}

// A richStyle is a set of styles in texts, and a word in lists and buttons.
type richStyle struct{ code bool }

func (s *richStyle) UnmarshalJSON(data []byte) error {
	var object struct {
		Code bool `json:"code"`
	}
	_ = json.Unmarshal(data, &object) // a style of another shape is not code
	s.code = object.Code
	return nil
}

// photo tells whether a picture came with the message.
func (e event) photo() bool {
	for _, f := range e.Files {
		if strings.HasPrefix(f.Media, "image/") {
			return true
		}
	}
	return false
}

// text is what was said, wherever Slack put it.
func (e event) text() string {
	if e.Text != "" {
		return e.Text
	}
	if said := words(e.Blocks); said != "" {
		return said
	}
	for _, a := range e.Attached {
		if a.Text != "" {
			return a.Text
		}
	}
	return ""
}

// when is the time in a message's stamp, "1700000000.000100"; zero where it
// is none.
func when(ts string) time.Time {
	seconds, _, _ := strings.Cut(ts, ".")
	n, err := strconv.ParseInt(seconds, 10, 64)
	if err != nil || n <= 0 || n > 1<<36 {
		return time.Time{}
	}
	return time.Unix(n, 0).UTC()
}
