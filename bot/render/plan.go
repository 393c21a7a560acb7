package render

import (
	"fmt"
	"strings"

	"panelhand/bot/answer"
)

// Markdown writes a plan as a page: everything that the phone had no room for.
// What people typed is escaped, so that a venue's name cannot make a heading or
// a link.
func Markdown(a *answer.Answer) string {
	var b strings.Builder
	p := a.Plan
	if p == nil {
		return ""
	}
	line := func(format string, args ...any) {
		for i := range args {
			if text, ok := args[i].(string); ok {
				args[i] = escaped(text)
			}
		}
		fmt.Fprintf(&b, format+"\n", args...)
	}
	list := func(head string, items []string, box string) {
		if len(items) == 0 {
			return
		}
		line("\n## " + head + "\n")
		for _, item := range items {
			line("- "+box+"%s", item)
		}
	}
	line("# %s\n", p.Title)
	for _, s := range a.Safety {
		if s.Stop {
			line("**STOP: %s**\n", s.Text)
		}
	}
	if p.Call != "" {
		line("Meet at %s.", p.Call)
	}
	if p.Contact != "" {
		line("Ask for %s.", p.Contact)
	}
	if p.Light != "" {
		line("\n## Light\n\n%s", p.Light)
	}
	if len(p.Slots) > 0 {
		line("\n## Slots\n\n| from | to | sun | bearing | EV at ISO 100 | ± | set-up | dials |\n| --- | --- | --- | --- | --- | --- | --- | --- |")
		for _, s := range p.Slots {
			ev := fmt.Sprintf("%.1f", s.EV100)
			if s.Shade != nil {
				ev += fmt.Sprintf(", shade %.1f", *s.Shade)
			}
			line("| %s | %s | %s | %s | %s | %s | %s | %s |", clock(s.From), clock(s.To), fmt.Sprintf("%.0f°", s.Elevation), fmt.Sprintf("%.0f°", s.Azimuth), ev, fmt.Sprintf("%g", s.Spread), s.Setup, s.Dials)
		}
	}
	if p.Batteries != nil {
		list("Batteries", []string{p.Batteries.Text}, "")
	}
	list("Before the day", p.Before, "\\[ \\] ")
	list("Pack", p.Pack, "\\[ \\] ")
	list("Missing", p.Missing, "\\[ \\] ")
	list("Wind", p.Wind, "")
	list("If it rains", p.Rain, "")
	list("The place", p.Notes, "")
	if p.Brief != "" {
		line("\n## Brief for the helper, 90 seconds\n\n%s", p.Brief)
	}
	var careful, assumed []string
	for _, s := range a.Safety {
		if !s.Stop {
			careful = append(careful, s.Text)
		}
	}
	for _, s := range a.Assumed {
		assumed = append(assumed, s.Text)
	}
	list("Careful", careful, "")
	list("Assumed", assumed, "")
	if a.AskBack != "" {
		line("\n%s", a.AskBack)
	}
	return b.String()
}

// clock is the time of day of a stamp.
func clock(stamp string) string {
	if _, after, ok := strings.Cut(stamp, "T"); ok && len(after) >= 5 {
		return after[:5]
	}
	return stamp
}

var markdown = strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "<", "&lt;", ">", "&gt;", "&", "&amp;", "|", `\|`, "#", `\#`, "\n", " ", "\r", " ", "!", `\!`)

func escaped(text string) string { return markdown.Replace(text) }
