package slack

import "encoding/json"

// A Manifest says what the app needs of a workspace: the fewest scopes for
// what it does.
type Manifest struct {
	Threads   bool // follow a thread without being mentioned each time
	Reactions bool // may acknowledge with an emoji
}

// Scopes are what the bot token must have. Thread-following lets the app see
// every message of the channels it is in, so it is asked for only where wanted
// (Slack handbook §2.3).
func (m Manifest) Scopes() []string {
	scopes := []string{"app_mentions:read", "chat:write", "commands", "im:history"}
	if m.Threads {
		scopes = append(scopes, "channels:history", "groups:history")
	}
	if m.Reactions {
		scopes = append(scopes, "reactions:write")
	}
	return scopes
}

// JSON is the manifest as Slack's "create from a manifest" page takes it.
func (m Manifest) JSON() ([]byte, error) {
	type object = map[string]any
	events := []string{"app_mention", "app_home_opened", "message.im"}
	if m.Threads {
		events = append(events, "message.channels", "message.groups")
	}
	return json.MarshalIndent(object{
		"_metadata": object{"major_version": 2},
		"display_information": object{
			"name": "panelhand", "description": "A lighting coach for location portraits: say the light and the kit, get a set-up.", "background_color": "#24352f",
		},
		"features": object{
			"app_home": object{"home_tab_enabled": true, "messages_tab_enabled": true, "messages_tab_read_only_enabled": false},
			"bot_user": object{"display_name": "panelhand", "always_online": true},
			"slash_commands": []object{{
				"command": "/panelhand", "description": "Ask the lighting coach, for your eyes only", "usage_hint": "overhead light, flash + 40in panel", "should_escape": false,
			}},
			"shortcuts": []object{{"name": "Ask the lighting coach", "type": "message", "callback_id": "ask", "description": "Answer this message in its thread"}},
		},
		"oauth_config": object{"scopes": object{"bot": m.Scopes()}},
		"settings": object{
			"socket_mode_enabled": true, "interactivity": object{"is_enabled": true}, "event_subscriptions": object{"bot_events": events},
			"org_deploy_enabled": false, "token_rotation_enabled": false,
		},
	}, "", "  ")
}
