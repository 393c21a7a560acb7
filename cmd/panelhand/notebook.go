package main

import (
	"context"
	"time"

	"panelhand/bot"
	"panelhand/bot/memory"
	"panelhand/bot/slack"
)

// A notebook is what Slack's forms and page show and change of what a team
// keeps.
type notebook struct{ session *bot.Session }

// Page implements slack.Notebook.
func (n notebook) Page(ctx context.Context, from slack.Asker) (slack.Page, error) {
	page, err := n.session.Page(ctx, from.Team, time.Now())
	shown := slack.Page{Kit: page.Kit, Notes: page.Notes, Feet: page.Feet}
	for _, s := range page.Setups {
		shown.Setups = append(shown.Setups, slack.Kept{Title: s.Title, Dials: s.Line})
	}
	return shown, err
}

// Settle implements slack.Notebook.
func (n notebook) Settle(ctx context.Context, from slack.Asker, feet *bool, venue string) error {
	return n.session.Settle(ctx, from.Team, feet, venue)
}

// Report implements slack.Notebook.
func (n notebook) Report(ctx context.Context, from slack.Asker, r slack.Report) error {
	_, err := n.session.Report(ctx, from.Team, memory.Draft{Who: from.Person, When: time.Now(), Why: r.What, Said: []string{r.Said}})
	return err
}
