package shapes

import (
	"encoding/json"
	"strings"
	"testing"
)

func types(t *testing.T) *Types {
	t.Helper()
	types, err := Read("../../../testdata/slack/types.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return types
}

// TestCheckRefuses: mistakes that Slack refuses, among them those that the
// Slack handbook §7 found the official types to refuse.
func TestCheckRefuses(t *testing.T) {
	types := types(t)
	for _, c := range []struct{ kind, json, why string }{
		{Blocks, `[{"type":"header","text":{"type":"plain_text","text":"Flash off the panel"}}]`, ""},
		{Blocks, `[{"type":"header","text":{"type":"mrkdwn","text":"Flash off the panel"}}]`, "mrkdwn"},
		{Blocks, `[{"type":"section"}]`, ""}, // section text is optional to the types; limits.go refuses it
		{Blocks, `[{"type":"header"}]`, "no text"},
		{Blocks, `[{"type":"harbour"}]`, "harbour"},
		{Blocks, `[{"type":"divider","colour":"red"}]`, "no such key"},
		{Blocks, `[{"type":"image","image_url":"https://example.org/a.png"}]`, "no alt_text"},
		{Blocks, `[{"type":"actions","elements":[{"type":"button","action_id":"say","text":{"type":"plain_text","text":"Softer"},"value":"softer"}]}]`, ""},
		{Blocks, `[{"type":"actions","elements":[{"type":"button","action_id":"say","text":{"type":"plain_text","text":"Softer"},"value":3}]}]`, "is not a string"},
		{Blocks, `[{"type":"actions","elements":[{"type":"button","style":"loud","action_id":"say","text":{"type":"plain_text","text":"Softer"}}]}]`, "loud"},
		{Blocks, `[{"type":"rich_text","elements":[{"type":"rich_text_section","elements":[{"type":"text","text":"f/4","style":{"bold":true}}]}]}]`, ""},
		{Blocks, `[{"type":"rich_text","elements":[{"type":"rich_text_section","elements":[{"type":"text"}]}]}]`, "no text"},
		{Blocks, `[{"type":"table","rows":[[{"type":"raw_text","text":"a"}]],"column_settings":[{"align":""}]}]`, "align"},
		{Modal, `{"type":"modal","title":{"type":"plain_text","text":"Kit"},"blocks":[]}`, ""},
		{Modal, `{"type":"modal","blocks":[]}`, "no title"},
		{Home, `{"type":"home","blocks":[{"type":"divider"}]}`, ""},
		{Home, `{"type":"modal","blocks":[]}`, "home"},
		{Manifest, `{"display_information":{"name":"panelhand"},"oauth_config":{"scopes":{"bot":["chat:write"]}}}`, ""},
		{Manifest, `{"display_information":{"name":"panelhand"},"oauth_config":{"scopes":{"bot":["chat:shout"]}}}`, "chat:shout"},
		{Manifest, `{"display_information":{"name":"panelhand"},"settings":{"event_subscriptions":{"bot_events":["message_changed"]}}}`, "message_changed"},
	} {
		err := types.Check(c.kind, json.RawMessage(c.json))
		switch {
		case c.why == "" && err != nil:
			t.Errorf("%s is refused: %v", c.json, err)
		case c.why != "" && (err == nil || !strings.Contains(err.Error(), c.why)):
			t.Errorf("%s: got %v, want a word about %q", c.json, err, c.why)
		}
	}
}

func TestReadRefusesUnknownKeywords(t *testing.T) {
	if err := strict([]byte(`{"minLength":3}`), new(schema)); err == nil {
		t.Error("a keyword that nobody checks was read")
	}
}
