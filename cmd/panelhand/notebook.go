package main

import (
	"context"
	"time"

	"panelhand/bot"
	"panelhand/bot/slack"
	"panelhand/bot/store"
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

// Report implements slack.Notebook. A store that is forgotten with the
// program has nobody to read it.
func (n notebook) Report(ctx context.Context, from slack.Asker, r slack.Report) error {
	if s, ok := n.session.Store.(*store.Store); ok {
		return s.AddReport(ctx, from.Team, store.Report{When: time.Now(), Said: r.Said, What: r.What})
	}
	return nil
}
