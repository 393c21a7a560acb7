package slack

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/slack-go/slack"
)

// Slack's limits, in characters (Unicode code points) or in how many, as its
// reference pages and the limits in its own client libraries have them; the
// Slack handbook §3.1 tells which is from where. A share of each stays free
// (margin), for Slack has counted otherwise before.
var limits = map[string]int{
	"section.text": 3000, "section.fields": 10, "section.fields[]": 2000,
	"header.text":      150,
	"context.elements": 10, "context.elements[]": 2000,
	"actions.elements": 25,
	"button.text":      75, "button.value": 2000, "button.url": 3000, "button.accessibility_label": 75,
	"option.text": 75, "option.value": 75, "option.description": 75,
	"static_select.options": 100, "radio_buttons.options": 10, "checkboxes.options": 10, "overflow.options": 5,
	"image.image_url": 3000, "image.alt_text": 2000, "image.title": 2000,
	"input.label": 2000, "input.hint": 2000,
	"plain_text_input.placeholder": 150, "plain_text_input.initial_value": 3000,
	"confirm.title": 100, "confirm.text": 300, "confirm.confirm": 30, "confirm.deny": 30,
	"modal.title": 24, "modal.submit": 24, "modal.close": 24, "modal.private_metadata": 3000, "modal.blocks": 100, "modal.callback_id": 255,
	"home.blocks": 100, "home.private_metadata": 3000, "home.callback_id": 255,
	"message.blocks": 50, "message.text": 4000, // chat.update refuses more
	"*.action_id": 255, "*.block_id": 255,
}

// Whole messages and views.
const (
	mostInMessage = 13_000  // characters of all blocks together; Slack has refused from about 13,200
	mostInView    = 250_000 // bytes
)

// margin is the part of a limit that stays free: 5 %.
func margin(limit int) int { return limit - (limit+19)/20 }

// counts are limits of how many, which are exact and have no margin.
func counts(key string) bool {
	return strings.HasSuffix(key, ".elements") || strings.HasSuffix(key, ".fields") || strings.HasSuffix(key, ".options") || strings.HasSuffix(key, ".blocks")
}

// Check reports what Slack would refuse of a post: an empty or too long
// text, too many blocks, a text that could call somebody.
func (p Post) Check() error {
	c := checker{}
	if strings.TrimSpace(p.Text) == "" {
		return fmt.Errorf("a post without a text")
	}
	c.text("message.text", p.Text, "text")
	c.inert("text", p.Text)
	if p.Blocks != nil {
		c.whole("message", p.Blocks, mostInMessage)
	}
	return c.err
}

// CheckModal reports what Slack would refuse of a form.
func CheckModal(v slack.ModalViewRequest) error {
	c := checker{}
	c.whole("modal", v, mostInView)
	return c.err
}

// CheckHome reports what Slack would refuse of the app's own page.
func CheckHome(v slack.HomeTabViewRequest) error {
	c := checker{}
	c.whole("home", v, mostInView)
	return c.err
}

// A checker keeps the first thing that is wrong.
type checker struct {
	err    error
	blocks []string // ids of blocks seen
}

func (c *checker) wrong(at, format string, args ...any) {
	if c.err == nil {
		c.err = fmt.Errorf(at+": "+format, args...)
	}
}

func (c *checker) whole(kind string, v any, most int) {
	data, err := json.Marshal(v)
	if err != nil {
		c.wrong(kind, "%v", err)
		return
	}
	if n := utf8.RuneCount(data); n > margin(most) {
		c.wrong(kind, "%d characters in all, at most %d", n, margin(most))
	}
	var plain any
	if err := json.Unmarshal(data, &plain); err != nil {
		c.wrong(kind, "%v", err)
		return
	}
	view, ok := plain.(map[string]any)
	if !ok { // the blocks of a message
		view = map[string]any{"blocks": plain}
	}
	c.object(kind, view, kind)
	if kind == "modal" && strings.Contains(string(data), `"type":"input"`) && view["submit"] == nil {
		c.wrong(kind, "it asks for something and has no button to send it")
	}
}

// object checks a thing of a kind and what is in it.
func (c *checker) object(kind string, v map[string]any, at string) {
	if id, _ := v["block_id"].(string); id != "" {
		if slices.Contains(c.blocks, id) {
			c.wrong(at, "two blocks are called %s", id)
		}
		c.blocks = append(c.blocks, id)
	}
	var actions []string
	for key, value := range v {
		name, here := kind+"."+key, at+"."+key
		if key == "action_id" || key == "block_id" {
			name = "*." + key
		}
		switch value := value.(type) {
		case nil:
			c.wrong(here, "none of them")
		case string:
			c.text(name, value, here)
			if kind == "mrkdwn" && key == "text" {
				c.inert(here, value)
			}
			if key == "text" && strings.TrimSpace(value) == "" && kind != "text" || key == "text" && value == "" {
				c.wrong(here, "an empty text")
			}
		case map[string]any:
			if text, ok := value["text"].(string); ok {
				c.text(name, text, here)
			}
			c.object(kindOf(value, key), value, here)
		case []any:
			if limit, ok := limits[name]; ok && len(value) > limit {
				c.wrong(here, "%d of them, at most %d", len(value), limit)
			}
			if len(value) == 0 && key != "blocks" {
				c.wrong(here, "none of them")
			}
			for i, item := range value {
				inner, ok := item.(map[string]any)
				if !ok {
					continue
				}
				there := here + "[" + strconv.Itoa(i) + "]"
				if text, ok := inner["text"].(string); ok {
					c.text(name+"[]", text, there)
				}
				if id, _ := inner["action_id"].(string); id != "" {
					if slices.Contains(actions, id) {
						c.wrong(there, "two actions are called %s", id)
					}
					actions = append(actions, id)
				}
				c.object(kindOf(inner, strings.TrimSuffix(key, "s")), inner, there)
			}
		}
	}
	if kind == "section" && v["text"] == nil && v["fields"] == nil {
		c.wrong(at, "a section of nothing")
	}
}

// kindOf is a thing's type, or what it is called where it has none.
func kindOf(v map[string]any, key string) string {
	if kind, ok := v["type"].(string); ok {
		return kind
	}
	return strings.TrimPrefix(key, "initial_")
}

func (c *checker) text(name, text, at string) {
	limit, ok := limits[name]
	if !ok || counts(name) {
		return
	}
	if n := utf8.RuneCountInString(text); n > margin(limit) {
		c.wrong(at, "%d characters, at most %d", n, margin(limit))
	}
	if !utf8.ValidString(text) {
		c.wrong(at, "not UTF-8")
	}
}

// inert reports a token that Slack would act on: "<!channel>", "<@U1>".
func (c *checker) inert(at, text string) {
	if strings.ContainsAny(text, "<>") {
		c.wrong(at, "a token that Slack acts on")
	}
}
