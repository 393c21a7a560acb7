package rules

import (
	"slices"
	"strings"
	"time"

	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// A PlanLine is one line of a planned day: a thing to pack, a sentence of the
// helper's brief, what to do when the weather turns. It stands in the plan where
// its conditions hold and its holes have values.
type PlanLine struct {
	ID     string      `source:"line,required"`
	Part   string      `source:"part,required"` // one of PlanParts
	When   Lines       `source:"when"`          // absent: always
	Kit    []string    `source:"kit"`           // of a thing to pack: kinds of kit of which one serves; absent where kit lists have no word for it
	Count  int         `source:"count"`         // how many of them; 1 where absent
	Say    source.Text `source:"say,required"`
	Source string      `source:"source,required"`
	Pos    source.Pos
}

// PlanParts are the parts of a plan that lines can stand in, in the order in
// which they are told.
var PlanParts = []string{"pack", "wind", "rain", "brief", "before", "note"}

// PlanHoles are the values of a plan that its lines can name. One that this day
// does not have leaves its line out.
var PlanHoles = []string{
	"date", "place", "contact", "call", "from", "to", "people", "spots", "frames", "full", "sets", "overhead_ends", "low_sun", "sunset", "twilight_ends",
	"gust", "mean", "take_down", "ballast", "ballast_bare", "title", "panel_side", "distance", "key_side", "temp",
}

// Decode reads a line of a plan.
func (l *PlanLine) Decode(n source.Node) []source.Problem {
	type plain PlanLine
	problems := n.Decode((*plain)(l))
	if part, ok := n.Get("part"); ok {
		problems = oneOf(part, "the parts of a plan", PlanParts, problems)
	}
	if kit, ok := n.Get("kit"); ok {
		for item := range kit.Items() {
			problems = oneOf(item, "kinds of kit", fact.KitKinds, problems)
		}
		if l.Part != "pack" && l.Part != "" {
			problems = append(problems, kit.Problem("unread-key", "only a thing to pack has kit"))
		}
	}
	return problems
}

// A Site is a place that a team knows by name.
type Site struct {
	ID      string        `source:"place,required"`
	Say     []string      `source:"say"` // other names
	Lat     float64       `source:"lat,required"`
	Lon     float64       `source:"lon,required"`
	Zone    string        `source:"zone"` // of its clocks: "Europe/Lisbon"
	Notes   []source.Text `source:"notes"`
	Contact source.Text   `source:"contact"`
	Pos     source.Pos
}

// Decode reads a place. One that is not on the earth, or whose clocks nobody
// has heard of, is refused.
func (p *Site) Decode(n source.Node) []source.Problem {
	type plain Site
	problems := n.Decode((*plain)(p))
	if lat, ok := n.Get("lat"); ok && !(p.Lat >= -90 && p.Lat <= 90) {
		problems = append(problems, lat.Problem("out-of-range", "a latitude goes from −90 to 90"))
	}
	if lon, ok := n.Get("lon"); ok && !(p.Lon >= -180 && p.Lon <= 180) {
		problems = append(problems, lon.Problem("out-of-range", "a longitude goes from −180 to 180"))
	}
	if zone, ok := n.Get("zone"); ok {
		if _, err := time.LoadLocation(p.Zone); err != nil || p.Zone == "Local" {
			problems = append(problems, zone.Problem("unknown-zone", "%q is no time zone such as Europe/Lisbon", p.Zone))
		}
	}
	return problems
}

// Planned returns the lines that hold for a day, in the order of the book.
func (b *Book) Planned(env Env) []*PlanLine {
	s := b.scene(&env)
	defer b.idle.put(s)
	var out []*PlanLine
	for i := range b.PlanLines {
		if l := &b.PlanLines[i]; s.holds(l.When, StepPlan, l.ID, l.Pos) {
			out = append(out, l)
		}
	}
	return out
}

// SiteIn returns the place that a text names, the longest name first.
func (b *Book) SiteIn(text string) (*Site, bool) {
	text = " " + plainWords(text) + " "
	var found *Site
	longest := 0
	for i := range b.Sites {
		p := &b.Sites[i]
		for _, name := range append([]string{strings.ReplaceAll(p.ID, "-", " ")}, p.Say...) {
			if name = plainWords(name); len(name) > longest && strings.Contains(text, " "+name+" ") {
				found, longest = p, len(name)
			}
		}
	}
	return found, found != nil
}

// plainWords is a text as small words with one space between.
func plainWords(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return strings.ContainsRune(" \t\n,.;:!?()-'\"", r) }), " ")
}

func (c *bookCheck) planLines() {
	for i := range c.book.PlanLines {
		l := &c.book.PlanLines[i]
		c.holes(l.Say, PlanHoles)
		c.short(l.Say, maxTradeoff)
	}
	seen := map[string]source.Pos{}
	for _, p := range c.book.Sites {
		for _, name := range append([]string{p.ID}, p.Say...) {
			name = plainWords(name)
			if first, twice := seen[name]; twice {
				c.fail(p.Pos, "duplicate-id", "place %q stands already at %s", name, first)
			}
			seen[name] = p.Pos
		}
	}
}

// conditional reports whether a line is sometimes left out.
func (l *PlanLine) conditional() bool { return len(l.When) > 0 }

func planIDs(b *Book) []string {
	var ids []string
	for i := range b.PlanLines {
		ids = append(ids, b.PlanLines[i].ID)
	}
	return slices.Clip(ids)
}
