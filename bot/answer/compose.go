package answer

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"panelhand/calc/units"
)

// Phrases gives the words of the house playbook around the numbers, by id.
type Phrases func(id string) string

// lineWidth is how many characters a line may take when short sentences are
// put together on one.
const lineWidth = 150

// Compose writes the sections of the phone text from the rest of the answer,
// in the one order. Every way to an answer ends here, so that no channel can
// tell things in another order.
func (a *Answer) Compose(say Phrases, style units.Style, prose ...string) {
	a.Sections = nil
	add := func(part Part, lines ...string) {
		if len(lines) > 0 {
			a.Sections = append(a.Sections, Section{part, lines})
		}
	}
	fill := func(id string) string {
		text, ok := Fill(say(id), a.Numbers, nil, style)
		if !ok {
			return ""
		}
		return text
	}
	if stops := a.cautions(true); len(stops) > 0 {
		add(Stop, stops...)
		if a.Instead != nil {
			add(Safe, append([]string{sentence(a.Instead.Title)}, a.Instead.Place...)...)
		}
		add(Careful, pack(a.cautions(false), lineWidth)...)
		return
	}
	if a.Kind == KindChange && a.Numbers != nil && !a.Rebuilt {
		add(Lead, capital(a.Headline))
		if a.Sign != nil {
			add(Seen, a.Sign.line())
		}
		add(Do, a.Do...)
		a.dials(add, fill)
	} else if a.Setup != nil && a.Numbers != nil {
		add(Lead, joined(" · ", a.Headline, fill("lead-camera"), fill("lead-flash")))
		if a.Sign != nil {
			add(Seen, a.Sign.line())
		}
		if a.Setup.First != "" {
			add(First, a.Setup.First)
		}
		a.dials(add, fill)
		if len(a.Tradeoffs) > 0 {
			add(Weigh, a.Tradeoffs[0].Text)
		}
		add(Place, a.Setup.Place...)
		add(Helper, quoted(a.Setup.Helper)...)
		add(Check, a.Setup.Check...)
	} else if len(prose) == 0 {
		prose = []string{a.Headline}
	}
	add(Prose, prose...)
	add(Assume, a.assumptions(say)...)
	careful := a.cautions(false)
	if a.Setup != nil && (a.Kind != KindChange || a.Rebuilt) {
		careful = append(careful, a.Setup.Careful...)
	}
	careful = slices.DeleteFunc(careful, func(c string) bool { return slices.Contains(a.Told, c) })
	add(Careful, pack(careful, lineWidth)...)
	if a.AskBack != "" {
		add(Ask, a.AskBack)
	}
}

// dials tells what camera and flash are set to.
func (a *Answer) dials(add func(Part, ...string), fill func(string) string) {
	levels := "camera-levels"
	if _, lit := a.Numbers.Get("flash_power"); !lit {
		levels = "camera-levels-no-flash"
	}
	if _, dials := a.Numbers.Get("aperture"); dials { // a phone has none
		add(Camera, joined("; ", fill("lead-camera"), fill("camera-nd"), fill("camera-wb"), fill(levels))+".")
	}
	if _, lit := a.Numbers.Get("flash_power"); lit && len(a.Numbers.Lights) > 0 {
		add(Flash, joined("; ", fill("flash-"+a.Numbers.Lights[0].Kind), fill("flash-gel"), fill("flash-rim"), fill("flash-behind"), fill("flash-pace"))+".")
	}
}

// line is what was seen, why, and the cheapest remedy.
func (s *Sign) line() string {
	line := sentence(s.See + ": " + s.Cause)
	if len(s.Remedies) > 0 {
		line += " " + sentence(s.Remedies[0].Text)
	}
	return line
}

// Telling are the cautions and assumptions of the answer: a thread is told
// them once.
func (a *Answer) Telling() []string {
	all := a.cautions(false)
	for _, s := range a.Assumed {
		all = append(all, s.Text)
	}
	return all
}

func (a *Answer) cautions(stop bool) []string {
	var texts []string
	for _, c := range a.Safety {
		if c.Stop == stop {
			texts = append(texts, sentence(c.Text))
		}
	}
	return texts
}

// mostAssumed is how many assumptions a phone is told; the JSON has all.
const mostAssumed = 4

// assumptions tells what was assumed, the weightiest first, on one line.
func (a *Answer) assumptions(say Phrases) []string {
	var texts []string
	level := slices.ContainsFunc(a.Assumed, func(s Assumption) bool { return s.Fact == "light.ev100" })
	for _, s := range a.Assumed {
		if s.Fact == "light.kind" && level {
			continue // the level's own words name the light
		}
		if s.Text != "" && len(texts) < mostAssumed && !slices.Contains(a.Told, s.Text) {
			texts = append(texts, s.Text)
		}
	}
	if len(texts) == 0 {
		return nil
	}
	line := strings.Join(texts, ", ")
	own := slices.ContainsFunc(a.Assumed, func(s Assumption) bool { return s.Fact == "flash_loss_stops" }) // a calibration has its own tolerance
	if _, lit := a.Numbers.Get("flash_power"); lit && !own {
		line += "; " + say("tolerance")
	}
	return []string{sentence(line)}
}

// joined puts the parts that are there together.
func joined(sep string, parts ...string) string {
	var there []string
	for _, p := range parts {
		if p != "" {
			there = append(there, p)
		}
	}
	return strings.Join(there, sep)
}

func capital(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[size:]
}

func sentence(s string) string {
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".?!") {
		return s
	}
	return s + "."
}

func quoted(lines []string) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		out[i] = "“" + l + "”"
	}
	return out
}

// pack puts short sentences together on lines of up to width characters.
func pack(sentences []string, width int) []string {
	var lines []string
	for _, s := range sentences {
		last := len(lines) - 1
		if last >= 0 && utf8.RuneCountInString(lines[last])+1+utf8.RuneCountInString(s) <= width {
			lines[last] += " " + s
			continue
		}
		lines = append(lines, s)
	}
	return lines
}
