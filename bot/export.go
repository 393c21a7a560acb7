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
		text, count = s.coach().playbookYAML(records)
		return text, count, nil
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
func (c *Coach) playbookYAML(records []memory.Record) (text string, count int) {
	var b strings.Builder
	b.WriteString("# Set-ups that this crew saved, at the distances and dials at which they worked.\n")
	ids := map[string]bool{}
	for _, r := range records {
		if r.Setup == nil {
			continue
		}
		rule, ok := c.book.Setup(r.Setup.ID)
		if !ok {
			continue
		}
		count++
		id := slug(r.Title)
		for n := 2; ids[id]; n++ {
			id = slug(r.Title) + "-" + strconv.Itoa(n)
		}
		ids[id] = true
		line := func(indent int, key, value string) {
			if value != "" {
				fmt.Fprintf(&b, "%s%s: %s\n", strings.Repeat(" ", indent), key, value)
			}
		}
		length := func(key string) string {
			if v := r.Numbers[key]; v > 0 {
				return strconv.FormatFloat(v, 'f', 2, 64) + " m"
			}
			return ""
		}
		fmt.Fprintf(&b, "\n- setup: %s\n", id)
		line(2, "title", quote(shortTitle(r.Title)))
		line(2, "technique", "["+strings.Join(rule.Technique, ", ")+"]")
		var serves []string
		for _, s := range rule.Serves {
			name := s.Want
			if s.Fault != "" {
				name = quote("fault:" + s.Fault)
			}
			serves = append(serves, name+": "+strconv.FormatFloat(s.Points, 'g', -1, 64))
		}
		line(2, "serves", "{"+strings.Join(serves, ", ")+"}")
		var needs []string
		for _, n := range rule.Needs {
			needs = append(needs, strings.Join(n.Kinds, "|"))
		}
		if len(needs) > 0 {
			line(2, "needs", "["+strings.Join(needs, ", ")+"]")
		}
		if rule.Hands > 0 {
			line(2, "hands", strconv.Itoa(rule.Hands))
		}
		if rule.Seconds > 0 {
			line(2, "seconds", strconv.Itoa(rule.Seconds))
		}
		b.WriteString("  when:\n")
		for _, condition := range whenOf(r) {
			fmt.Fprintf(&b, "    - %s\n", condition)
		}
		if key := rule.Key; key != nil {
			b.WriteString("  key:\n")
			line(4, "light", key.Light)
			line(4, "panel", key.Panel)
			if key.Side != nil {
				line(4, "side", strconv.FormatFloat(float64(*key.Side), 'g', -1, 64))
			}
			if key.Up != nil {
				line(4, "up", strconv.FormatFloat(float64(*key.Up), 'g', -1, 64))
			}
			switch key.Light {
			case "bare":
				line(4, "distance", length("flash_subject_m"))
			case "led":
				line(4, "distance", length("led_subject_m"))
			case "wall": // the room's own lengths, as the rule has them
				line(4, "wall", metres(key.Wall))
				line(4, "distance", metres(key.Distance))
			default:
				line(4, "distance", length("panel_subject_m"))
			}
			switch {
			case key.Light == "through":
				line(4, "from", length("flash_panel_m"))
			case key.From != nil && key.From.Word != "":
				line(4, "from", key.From.Word)
			}
			if zoom := r.Numbers["flash_zoom_mm"]; zoom > 0 && key.Light != "led" {
				line(4, "zoom", strconv.FormatFloat(zoom, 'g', -1, 64))
			}
			line(4, "gel", key.Gel)
		}
		if d := rule.Daylight; d != nil {
			b.WriteString("  daylight:\n")
			line(4, "model", d.Model)
			line(4, "side", d.Side)
			if d.Distance != nil {
				at := length("panel_subject_m")
				if at == "" {
					at = length("fill_panel_m")
				}
				line(4, "distance", cmp.Or(at, metres(d.Distance)))
			}
		}
		if aperture := r.Numbers["aperture"]; aperture > 0 {
			line(2, "camera", "{aperture: "+strconv.FormatFloat(aperture, 'g', -1, 64)+"}")
		}
		line(2, "first", quote(r.Setup.First))
		for _, part := range []struct {
			key   string
			lines []string
		}{{"place", r.Setup.Place}, {"helper", r.Setup.Helper}, {"check", r.Setup.Check}, {"careful", r.Setup.Careful}} {
			if len(part.lines) > 0 {
				fmt.Fprintf(&b, "  %s:\n", part.key)
				for _, l := range part.lines {
					fmt.Fprintf(&b, "    - %s\n", quote(l))
				}
			}
		}
		line(2, "why", quote(r.Setup.Why))
		line(2, "source", quote(present(", ", "this crew", r.Venue, on(r.When))))
	}
	return b.String(), count
}

// metres is a rule's length as YAML, with the house's panel for "panels".
func metres(l *rules.Length) string {
	if l == nil {
		return ""
	}
	return strconv.FormatFloat(l.Metres(float64(housePanel)), 'f', 2, 64) + " m"
}

// whenOf is the light that a record was made in, as conditions: a saved set-up
// is proposed where the light is of that kind again.
func whenOf(r memory.Record) []string {
	var lines []string
	kinds, _ := fact.Lookup("light.kind")
	var from []string
	sides, _ := fact.Lookup("light.from")
	for _, l := range r.Light {
		if slices.Contains(kinds.Choices, l) {
			lines = append(lines, `kind("`+l+`")`)
		} else if slices.Contains(sides.Choices, l) {
			from = append(from, `"`+l+`"`)
		}
	}
	if len(lines) == 0 && len(from) > 0 {
		lines = append(lines, "from("+strings.Join(from, ", ")+")")
	}
	if len(lines) == 0 { // no light was known: with that kit, then
		lines = append(lines, `has("`+strings.Join(slices.Compact(slices.Sorted(slices.Values(append(r.Kit, "panel")))), `", "`)+`")`)
	}
	return lines
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

// quote writes a text as a YAML scalar in double quotes, its braces spelled so
// that nothing typed is taken for a hole.
func quote(s string) string {
	if s == "" {
		return ""
	}
	return strconv.QuoteToGraphic(strings.NewReplacer("{", "(", "}", ")").Replace(strings.ToValidUTF8(s, "")))
}
