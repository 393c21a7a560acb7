package bot

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"panelhand/bot/answer"
	"panelhand/bot/memory"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// export tells how to take everything out; the whole text is in the answer's
// document, too long for a phone.
func (t *turn) export(r request) (*answer.Answer, error) {
	text, count, err := t.Export(t.ctx, t.team, r.format)
	if err != nil {
		return nil, err
	}
	if count == 0 {
		return t.tell(&answer.Record{}, t.Coach.phrase("memory-empty"), t.Coach.phrase("memory-found-how")), nil
	}
	found := &answer.Record{Found: []answer.Found{{Title: "playbook." + map[string]string{"yaml": "yaml", "markdown": "md"}[r.format], Text: text}}}
	return t.tell(found, t.Coach.phrase("memory-export", "<count>", strconv.Itoa(count), "<format>", r.format)), nil
}

// Export writes all records of a team with their notes, as "markdown" to be
// read, or as "yaml" that loads as set-ups of a playbook, and says how many
// there are.
func (s *Session) Export(ctx context.Context, team, format string) (text string, count int, err error) {
	records, err := s.Store.Records(ctx, team, memory.Query{})
	if err != nil {
		return "", 0, err
	}
	notes, err := s.Store.Notes(ctx, team, memory.NoteQuery{})
	if err != nil {
		return "", 0, err
	}
	switch format {
	case "yaml":
		return s.coach().playbookYAML(records)
	case "markdown":
		return s.coach().markdown(records, notes), len(records), nil
	}
	return "", 0, fmt.Errorf("no format %q; there are markdown and yaml", format)
}

// markdown is everything that is kept, to be read.
func (c *Coach) markdown(records []memory.Record, notes []memory.Note) string {
	var b strings.Builder
	b.WriteString("# Our playbook\n")
	list := func(head string, lines []string) {
		if len(lines) > 0 {
			fmt.Fprintf(&b, "\n%s\n\n", head)
			for _, l := range lines {
				fmt.Fprintf(&b, "- %s\n", plainMarkdown(l))
			}
		}
	}
	for _, r := range records {
		fmt.Fprintf(&b, "\n## %s\n", plainMarkdown(r.Title))
		if under := present(" · ", r.Venue, on(r.When), r.Who); under != "" {
			fmt.Fprintf(&b, "\n%s\n", plainMarkdown(under))
		}
		if r.Setup != nil {
			list("Set-up", slices.DeleteFunc(append([]string{r.Setup.Title, r.Setup.First}, r.Setup.Place...), func(l string) bool { return l == "" }))
			list("Helper", r.Setup.Helper)
			list("Look for", r.Setup.Check)
		}
		var n answer.Numbers
		var numbers []string
		for _, k := range answer.Keys {
			if v, ok := r.Numbers[k.Name]; ok {
				n.Set(k.Name, v)
				shown, _ := n.Show(k.Name, units.Style{})
				numbers = append(numbers, k.Doc+": "+shown)
			}
		}
		list("Numbers", numbers)
		list("Asked with", r.Said)
		var own []string
		for _, note := range notes {
			if note.Record == r.ID {
				own = append(own, noteLine(note))
			}
		}
		list("Notes", own)
	}
	var loose []string
	for _, note := range notes {
		if note.Record == 0 {
			loose = append(loose, noteLine(note))
		}
	}
	if len(loose) > 0 {
		b.WriteString("\n## Notes\n")
		list("", loose)
	}
	return b.String()
}

// plainMarkdown keeps what was typed from being read as markup.
func plainMarkdown(s string) string {
	return strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "<", "&lt;", "[", `\[`, "#", `\#`).Replace(strings.Join(strings.Fields(s), " "))
}

// playbookYAML is the records as set-ups: what each rule of the playbook says,
// at the places and dials at which it worked. A record whose rule is no longer
// in the playbook is left out.
func (c *Coach) playbookYAML(records []memory.Record) (text string, count int, err error) {
	var setups []rules.Setup
	ids := map[string]bool{}
	for _, r := range records {
		if r.Setup == nil {
			continue
		}
		rule, ok := c.book.Setup(r.Setup.ID)
		if !ok {
			continue
		}
		s := recorded(rule, r)
		s.ID = slug(r.Title)
		for n := 2; ids[s.ID]; n++ {
			s.ID = slug(r.Title) + "-" + strconv.Itoa(n)
		}
		ids[s.ID] = true
		setups = append(setups, s)
	}
	data, err := rules.WriteSetups(setups...)
	return "# Set-ups that this crew saved, at the distances and dials at which they worked.\n\n" + string(data), len(setups), err
}

// recorded is a rule as a record has it: its words with their numbers in them.
func recorded(rule *rules.Setup, r memory.Record) rules.Setup {
	s := *rule
	s.Title = source.Text{Value: shortTitle(plainText(r.Title))}
	s.When, s.Prefer, s.Geometry, s.Instead = whenOf(r), nil, nil, source.Text{}
	length := func(key string) *rules.Length {
		if v := r.Numbers[key]; v > 0 {
			return &rules.Length{Quantity: rules.Quantity{Value: to(v, 0.01), Unit: rules.Metres}}
		}
		return nil
	}
	if rule.Key != nil {
		key := *rule.Key
		switch key.Light {
		case "bare":
			key.Distance = length("flash_subject_m")
		case "led":
			key.Distance = length("led_subject_m")
		case "wall": // the room's own lengths, as the rule has them
		default:
			key.Distance = length("panel_subject_m")
		}
		if behind := length("flash_panel_m"); key.Light == "through" && behind != nil {
			key.From = &rules.Place{Length: *behind}
		}
		if zoom := r.Numbers["flash_zoom_mm"]; zoom > 0 && key.Light != "led" {
			key.Zoom = zoom
		}
		s.Key = &key
	}
	if rule.Daylight != nil && rule.Daylight.Distance != nil {
		daylight := *rule.Daylight
		daylight.Distance = cmp.Or(length("panel_subject_m"), length("fill_panel_m"), daylight.Distance)
		s.Daylight = &daylight
	}
	if aperture := r.Numbers["aperture"]; aperture > 0 {
		s.Camera = &rules.Camera{Aperture: aperture}
	}
	texts := func(lines []string) []source.Text {
		var out []source.Text
		for _, l := range lines {
			out = append(out, source.Text{Value: plainText(l)})
		}
		return out
	}
	s.First, s.Why = source.Text{Value: plainText(r.Setup.First)}, source.Text{Value: plainText(r.Setup.Why)}
	s.Place, s.Helper, s.Check, s.Careful = texts(r.Setup.Place), texts(r.Setup.Helper), texts(r.Setup.Check), texts(r.Setup.Careful)
	s.Source = present(", ", "this crew", plainText(r.Venue), on(r.When))
	return s
}

// whenOf is the light that a record was made in, as conditions: a saved set-up
// is proposed where the light is of that kind again.
func whenOf(r memory.Record) rules.Lines {
	kinds, _ := fact.Lookup("light.kind")
	sides, _ := fact.Lookup("light.from")
	var kind, from []string
	for _, l := range r.Light {
		if slices.Contains(kinds.Choices, l) {
			kind = append(kind, l)
		} else if slices.Contains(sides.Choices, l) {
			from = append(from, l)
		}
	}
	switch {
	case len(kind) > 0:
		return rules.Lines{condition("kind", kind...)}
	case len(from) > 0:
		return rules.Lines{condition("from", from...)}
	}
	// No light was known: with that kit, then.
	return rules.Lines{condition("has", slices.Compact(slices.Sorted(slices.Values(append(slices.Clone(r.Kit), "panel"))))...)}
}

// condition is a line that calls a function on choices.
func condition(name string, choices ...string) rules.Line {
	var quoted []string
	for _, choice := range choices {
		quoted = append(quoted, strconv.Quote(choice))
	}
	return rules.Line{Text: source.Text{Value: name + "(" + strings.Join(quoted, ", ") + ")"}}
}

// slugPrefix begins the ids of rules that crews made in the channel.
const slugPrefix = "ours-"

// slug is a title as the id of a rule.
func slug(title string) string {
	var ascii []string
	for _, w := range memory.Tokens(title) {
		kept := strings.Map(func(r rune) rune {
			if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
				return r
			}
			return -1
		}, w)
		if kept != "" {
			ascii = append(ascii, kept)
		}
	}
	if len(ascii) == 0 {
		return slugPrefix + "set-up"
	}
	return slugPrefix + strings.Join(ascii[:min(len(ascii), 6)], "-")
}

// shortTitle keeps a name within what a lock screen shows.
func shortTitle(title string) string {
	runes := []rune(strings.Join(strings.Fields(title), " "))
	if len(runes) > 60 {
		runes = append(runes[:59], '…')
	}
	return string(runes)
}
