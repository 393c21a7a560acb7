package bot

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"panelhand/bot/answer"
	"panelhand/bot/memory"
	"panelhand/bot/render"
	"panelhand/rules/fact"
)

// lasts are the limits that belong to a place rather than to a day: those
// that a venue's notes can set.
var lasts = []string{"no-stands", "no-flash", "low-ceiling", "tight-space", "quiet", "power-lines", "water", "edge", "traffic"}

// loadVenue finds the venue that the thread is at and lays its rules: the
// newest word about each kind of kit wins.
func (t *turn) loadVenue() error {
	said := ""
	if v, ok := t.reading.Facts.Get("venue"); ok {
		said = v.Text
	}
	venue, err := t.knownVenue(t.in.Text, said)
	if err != nil {
		return err
	}
	t.venue = cmp.Or(venue, said, t.talk.Venue, t.ground.Kit.Venue)
	if memory.Key(t.venue) != memory.Key(t.talk.Venue) {
		t.talk.Allowed = nil
	}
	if t.venue == "" {
		return nil
	}
	if t.notes, err = t.Store.Notes(t.ctx, t.team, memory.NoteQuery{Venue: t.venue}); err != nil {
		return err
	}
	for _, n := range t.notes {
		t.ground.Notes = append(t.ground.Notes, n.Text)
	}
	t.contact()
	for _, limit := range t.Coach.bans(t.notes) {
		if !slices.Contains(t.talk.Allowed, limit) {
			t.ground.Bans = append(t.ground.Bans, limit)
		}
	}
	return nil
}

// knownVenue is the venue of the team's notes and records that a text names
// in its own words, whatever the case; said is one that was heard.
func (t *turn) knownVenue(text, said string) (string, error) {
	all, err := t.Store.Venues(t.ctx, t.team)
	if err != nil {
		return "", err
	}
	best := ""
	for _, v := range all {
		key := memory.Key(v)
		if (memory.Named(text, v) || said != "" && memory.Key(said) == key) && len(key) > len(memory.Key(best)) {
			best = v
		}
	}
	return best, nil
}

// bans are the limits that a venue's notes set, newest first: once a newer
// note allows or forbids a thing, older ones no longer count for it.
func (c *Coach) bans(notes []memory.Note) []string {
	var bans []string
	decided := map[string]bool{}
	for _, n := range notes {
		limits, allowed := c.rule(n.Text)
		for _, l := range allowed {
			decided[l] = true
		}
		for _, l := range limits {
			if !decided[l] {
				bans = append(bans, l)
			}
			decided[l] = true
		}
	}
	return bans
}

// rule reads a venue's note: the limits that it sets and those that it lifts.
func (c *Coach) rule(text string) (limits, lifted []string) {
	facts := c.ear.Read(text, nil).Facts
	for _, l := range facts.Choices("limits") {
		if slices.Contains(lasts, l) {
			limits = append(limits, l)
		}
	}
	return limits, lifts(text, facts)
}

var (
	allows  = regexp.MustCompile(`(?i)\b(?:ok|okay|fine|allowed|alright|welcome|permitted|agreed|yes to|can use|may use|let us use|lets us use)\b`)
	contact = regexp.MustCompile(`(?i)\b(?:contact|manager|warden|verger|guard|security|owner|caretaker|keeper|porter|steward|staff|foreman|harbou?r ?master|director|curator|boss|in charge)\b[^.;\n]{0,40}\b(?:said|says|say|agreed|agrees|allows|allowed|lets|let|ok'?d|okayed|gave)\b`)
)

// lifts are the bans that a text takes back: it names the kit, not denied, and
// says that it is all right.
func lifts(text string, facts *fact.Set) []string {
	if !allows.MatchString(text) {
		return nil
	}
	var all []string
	for limit, kinds := range bannedKit {
		if _, ok := facts.Item(kinds...); ok && !facts.Has("limits", limit) {
			all = append(all, limit)
		}
	}
	slices.Sort(all)
	return all
}

// contact hears a site contact's newer word in this message: it lifts a ban
// for this talk. To make it last, it is noted.
func (t *turn) contact() {
	if contact.MatchString(t.in.Text) {
		t.talk.Allowed = slices.Compact(slices.Sorted(slices.Values(append(t.talk.Allowed, lifts(t.in.Text, t.reading.Facts)...))))
	}
	t.talk.Allowed = slices.DeleteFunc(t.talk.Allowed, func(l string) bool { return t.reading.Facts.Has("limits", l) })
}

// ruleLines say what a note about a venue will do from now on.
func (t *turn) ruleLines(n memory.Note) []string {
	if n.Venue == "" {
		return nil
	}
	var lines []string
	limits, lifted := t.Coach.rule(n.Text)
	if len(limits) > 0 {
		lines = append(lines, t.Coach.phrase("memory-noted-rule", "<venue>", n.Venue, "<limits>", strings.ReplaceAll(strings.Join(limits, ", "), "-", " ")))
	}
	for _, l := range lifted {
		lines = append(lines, t.Coach.phrase("memory-noted-allows", "<venue>", n.Venue, "<kit>", strings.TrimPrefix(l, "no-")))
	}
	return lines
}

// mostNotes is how many notes of a venue one answer tells.
const mostNotes = 2

// tellVenue adds the venue's newest notes to an answer's cautions, with who
// said so and when.
func (t *turn) tellVenue(a *answer.Answer) {
	if len(t.notes) == 0 || a.Kind == answer.KindMeaning || a.Kind == answer.KindHelp || a.Kind == answer.KindUnsure {
		return
	}
	var lines []string
	for _, n := range t.notes[:min(len(t.notes), mostNotes)] {
		lines = append(lines, t.Coach.phrase("memory-venue-note", "<venue>", n.Venue, "<by>", cmp.Or(present(", ", n.Who, on(n.When)), "before"), "<text>", n.Text))
		if at, ok := t.clockOf(); ok && outside(n.Text, at) {
			lines = append(lines, t.Coach.phrase("memory-venue-hours", "<venue>", n.Venue, "<text>", n.Text))
		}
	}
	for i, l := range lines {
		lines[i] = oneLine(l)
		a.Safety = append(a.Safety, answer.Caution{ID: "venue-rules", Text: lines[i]})
	}
	at := slices.IndexFunc(a.Sections, func(s answer.Section) bool { return s.Part == answer.Careful })
	if at >= 0 {
		a.Sections[at].Lines = append(lines, a.Sections[at].Lines...)
	} else {
		a.Sections = append(a.Sections, answer.Section{Part: answer.Careful, Lines: lines})
	}
	a.Text = render.Text(a.Sections, t.Coach.labels)
}

// clockOf is the time of day of the shoot: as said, else as the message came,
// in its zone. In minutes.
func (t *turn) clockOf() (int, bool) {
	if v, ok := t.reading.Facts.Get("when.time"); ok {
		if at, err := time.Parse("15:04", v.Text); err == nil {
			return at.Hour()*60 + at.Minute(), true
		}
	}
	if t.in.Now.IsZero() {
		return 0, false
	}
	now := t.in.Now
	if zone, err := time.LoadLocation(t.in.Zone); err == nil && t.in.Zone != "" {
		now = now.In(zone)
	}
	return now.Hour()*60 + now.Minute(), true
}

var hours = regexp.MustCompile(`(?i)\b(before|until|till|by|after|from|not before)\s+(\d{1,2})(?:[:.](\d\d))?\s*(am|pm)?\b`)

// outside reports whether a time of day, in minutes, is outside the hours that
// a note gives: "before 9", "from 18:30".
func outside(text string, at int) bool {
	for _, m := range hours.FindAllStringSubmatch(text, -1) {
		hour, _ := strconv.Atoi(m[2])
		minute, _ := strconv.Atoi("0" + m[3])
		if strings.EqualFold(m[4], "pm") && hour < 12 {
			hour += 12
		}
		if hour > 24 || minute > 59 {
			continue
		}
		limit := hour*60 + minute
		switch strings.ToLower(m[1]) {
		case "before", "until", "till", "by":
			if at > limit {
				return true
			}
		default:
			if at < limit {
				return true
			}
		}
	}
	return false
}

// mayEdit reports whether whoever typed this may change a venue's rules.
func (t *turn) mayEdit(venue string) bool { return venue == "" || t.lead() }

// forgetVenue deletes a venue's notes; nil where the name is no venue's.
func (t *turn) forgetVenue(name string) (*answer.Answer, error) {
	notes, err := t.Store.Notes(t.ctx, t.team, memory.NoteQuery{Venue: name})
	if err != nil || len(notes) == 0 || memory.Key(name) == "" {
		return nil, err
	}
	venue := notes[0].Venue
	if !t.mayEdit(venue) {
		return t.say("memory-leads-only"), nil
	}
	for _, n := range notes {
		if err := t.Store.DeleteNote(t.ctx, t.team, n.ID); err != nil {
			return nil, err
		}
	}
	if memory.Key(t.talk.Venue) == memory.Key(name) {
		t.talk.Venue, t.talk.Allowed = "", nil
	}
	return t.tell(&answer.Record{Saved: venue}, t.Coach.phrase("memory-forgot-venue", "<venue>", venue)), nil
}
