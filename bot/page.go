package bot

import (
	"context"
	"slices"
	"time"

	"panelhand/bot/memory"
	"panelhand/calc/units"
)

// A Page is what a team keeps at a glance, in the words of the coach's own
// answers, for channels that have room beside the conversation.
type Page struct {
	Kit    []string // a thing each
	Setups []Kept   // the newest first
	Notes  []string // of the last day, the newest first
	Feet   bool     // lengths are told in feet and inches
}

// Kept is a set-up that was saved.
type Kept struct{ Title, Line string }

// mostKept bounds the set-ups of a page.
const mostKept = 20

// Page is what a team keeps, as it is at now.
func (s *Session) Page(ctx context.Context, team string, now time.Time) (Page, error) {
	t := &turn{Session: s, Coach: s.coach()}
	kit, err := s.Store.Kit(ctx, team)
	if err != nil {
		return Page{}, err
	}
	page := Page{Kit: kitNames(kit, houseStyle(kit)), Feet: kit.Feet}
	records, err := s.Store.Records(ctx, team, memory.Query{Limit: mostKept})
	if err != nil {
		return Page{}, err
	}
	for _, r := range records {
		page.Setups = append(page.Setups, Kept{r.Title, present(" · ", r.Venue, on(r.When), t.dials(r))})
	}
	notes, err := s.Store.Notes(ctx, team, memory.NoteQuery{})
	if err != nil {
		return Page{}, err
	}
	notes = slices.DeleteFunc(notes, func(n memory.Note) bool { return now.Sub(n.When) > 24*time.Hour })
	for _, n := range notes {
		page.Notes = append(page.Notes, noteLine(n))
	}
	return page, nil
}

// Settle keeps how a team wants lengths told and where it mostly shoots. A nil
// or empty one stays as it is.
func (s *Session) Settle(ctx context.Context, team string, feet *bool, venue string) error {
	return s.Store.ChangeKit(ctx, team, func(k *memory.KitList) error {
		if feet != nil {
			k.Feet = *feet
		}
		if venue != "" {
			k.Venue = oneLine(venue)
		}
		return nil
	})
}

// houseStyle is how a team's lengths are told where a thread has not said.
func houseStyle(k memory.KitList) units.Style {
	if k.Feet {
		return units.Style{Length: units.Foot}
	}
	return units.Style{}
}
