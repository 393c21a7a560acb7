package slack

import (
	"encoding/json"
	"slices"
	"testing"
	"unicode/utf8"

	"panelhand/bot/slack/shapes"
)

// TestManifest checks the manifest against Slack's official type, which knows
// every scope and event by name, and its lengths (Slack handbook §2.4).
func TestManifest(t *testing.T) {
	gate := newGate(t)
	for _, m := range []Manifest{{}, {Threads: true}, {Threads: true, Reactions: true}} {
		data, err := m.JSON()
		if err != nil {
			t.Fatal(err)
		}
		if err := gate.types.Check(shapes.Manifest, json.RawMessage(data)); err != nil {
			t.Error(err)
		}
		var got struct {
			Display struct{ Name, Description string }      `json:"display_information"`
			OAuth   struct{ Scopes struct{ Bot []string } } `json:"oauth_config"`
		}
		if err := json.Unmarshal(data, &got); err != nil {
			t.Fatal(err)
		}
		if n, d := utf8.RuneCountInString(got.Display.Name), utf8.RuneCountInString(got.Display.Description); n > 35 || d > 140 {
			t.Errorf("a name of %d and a description of %d characters", n, d)
		}
		if sees := slices.Contains(got.OAuth.Scopes.Bot, "channels:history"); sees != m.Threads {
			t.Errorf("%+v asks for %v", m, got.OAuth.Scopes.Bot)
		}
	}
}
