package slack_test

import (
	"slices"
	"strings"
	"testing"

	"panelhand/bot/channel"
	"panelhand/bot/channel/channeltest"
	"panelhand/bot/slack"
)

// direct is a person in a direct message with the coach.
type direct struct{ *stage }

func (d direct) Say(text string) { d.stage.Say("U1", "D1", escape(text)) }

// Shown is what that person saw, in the order in which it came.
func (d direct) Shown() []string {
	type seen struct{ ts, text string }
	var all []seen
	for _, p := range d.Posts("D1") {
		all = append(all, seen{p.TS, p.Text})
	}
	for _, w := range d.Whispers() {
		all = append(all, seen{w.TS, w.Text})
	}
	slices.SortFunc(all, func(a, b seen) int { return strings.Compare(a.ts, b.ts) })
	var texts []string
	for _, s := range all {
		texts = append(texts, strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&").Replace(s.text))
	}
	return texts
}

func TestSlackIsAChannel(t *testing.T) {
	channeltest.Adapter(t, func(t *testing.T, h channel.Handler, trouble string) channeltest.Stage {
		return direct{start(t, func(s *stage) {
			s.config.Handler = h
			s.config.Phrase = func(id string) string {
				if id == "slack-trouble" {
					return trouble
				}
				return phrase(id)
			}
			s.config.View = slack.NewPhone(s.config.Phrase)
		})}
	})
}
