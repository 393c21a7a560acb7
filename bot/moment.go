package bot

import (
	"strings"
	"time"

	"panelhand/bot/day"
	"panelhand/rules/fact"
)

// dated adds the day and the zone that came beside the message, for a question
// that names none.
func dated(facts *fact.Set, m Message) *fact.Set {
	if m.Now.IsZero() && m.Zone == "" {
		return facts
	}
	facts = facts.Clone()
	if m.Zone != "" {
		facts.Put("when.zone", fact.Value{Text: m.Zone, Origin: fact.Assumed})
	}
	if m.Now.IsZero() {
		return facts
	}
	facts.Put("when.date", fact.Value{Text: m.Now.Format("2006-01-02"), Origin: fact.Assumed})
	facts.Put("when.time", fact.Value{Text: m.Now.In((&known{facts: facts}).zone()).Format("15:04"), Origin: fact.Assumed})
	if said, ok := facts.Get("when.date"); ok { // "tomorrow", "saturday": seen from now
		if d, _, err := day.Resolve(said.Text, m.Now, (&known{facts: facts}).zone()); err == nil {
			said.Text = d.On(0, time.UTC).Format(time.DateOnly)
			facts.Drop("when.date")
			facts.Put("when.date", said)
		}
	}
	return facts
}

func cut(path string) (top, rest string) {
	top, rest, _ = strings.Cut(path, ".")
	return top, rest
}

// dateForms are how dates are typed, as hear keeps them.
var dateForms = []string{"2006-1-2", "2 Jan 2006", "2 January 2006", "2/1/2006", "2/1/06"}

// moment is the time that is spoken of, in seconds since 1970: an instant
// needs a time of day, a day does not and is its noon.
func (k *known) moment(instant bool) (v float64, here, ok bool) {
	date, dated := k.facts.Get("when.date")
	if !dated {
		return 0, false, false
	}
	zone := k.zone()
	_, here = k.said.Get("when.date")
	text := strings.ToLower(date.Text)
	for _, form := range dateForms {
		day, err := time.ParseInLocation(form, text, zone)
		if err != nil {
			continue
		}
		if !instant {
			return float64(day.Unix() + 12*3600), here, true
		}
		clock, timed := k.facts.Get("when.time")
		if !timed {
			return 0, false, false
		}
		at, err := time.Parse("15:04", clock.Text)
		if err != nil {
			return 0, false, false
		}
		on, _ := k.said.Number("when.ahead_min")
		return float64(time.Date(day.Year(), day.Month(), day.Day(), at.Hour(), at.Minute(), 0, 0, zone).Unix()) + 60*on, here || on > 0, true
	}
	return 0, false, false
}

// zone is the zone that was said, else UTC.
func (k *known) zone() *time.Location {
	if name, ok := k.facts.Get("when.zone"); ok {
		if zone, err := time.LoadLocation(name.Text); err == nil && name.Text != "" && name.Text != "Local" {
			return zone
		}
	}
	if offset, ok := k.facts.Get("when.utc_offset"); ok {
		for _, form := range []string{"-07:00", "-07", "-0700"} {
			if t, err := time.Parse(form, offset.Text); err == nil {
				_, seconds := t.Zone()
				return time.FixedZone("", seconds)
			}
		}
	}
	return time.UTC
}
