package bot

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"panelhand/bot/answer"
	"panelhand/bot/hear"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// mostReasons is how many reasons one "why" is given.
const mostReasons = 4

// why answers a question about the set-up that stands, in plain words with the
// thread's own numbers: why this and not another way of lighting, why a dial
// stands where it stands, or why the set-up at all. It is false where no set-up
// stands or nothing of it was asked about.
func (c *Coach) why(a *answer.Answer, t *Thread, reading hear.Reading, text string) bool {
	last := t.standing()
	if last == nil {
		return false
	}
	f := c.follower(last, last.Facts, reading)
	if f == nil {
		return false
	}
	lines := c.cause(f, reading)
	if len(lines) > 0 {
		lines = append(lines, c.remedies(f, reading)...)
	} else {
		lines = c.whyNot(f, reading)
	}
	if len(lines) == 0 {
		lines = c.whyDial(a, f.on, reading, text)
	}
	if len(lines) == 0 {
		if len(c.termsIn(text)) > 0 {
			return false
		}
		lines = append(lines, f.on.setup.Why.Value)
		for _, key := range []string{"why-look", "why-sockets", "why-source", "why-power"} {
			lines = append(lines, c.reasons(f.on, reading, key)...)
		}
	}
	a.Headline = lines[0]
	a.Compose(c.book.Phrase, reading.Style, lines[:min(mostReasons+1, len(lines))]...)
	return true
}

// cost says what the last change of the set-up that stands takes in return, or,
// where nothing was changed yet, what the set-up itself does. It is false where no
// set-up stands.
func (c *Coach) cost(a *answer.Answer, t *Thread, reading hear.Reading) bool {
	last := t.standing()
	if last == nil {
		return false
	}
	f := c.follower(last, last.Facts, reading)
	if f == nil {
		return false
	}
	var lines []string
	if before, ok := t.before(); ok && before.Plan.Setup == last.Plan.Setup {
		if was := c.follower(&before, before.Facts, reading); was != nil {
			lines = c.moved(was.on, f.on, reading)
		}
	}
	if made := last.Plan.Made; len(made) > 0 {
		if by, ok := c.book.Adjustment(made[len(made)-1].ID); ok && by.Costs.Value != "" {
			lines = append(lines, c.book.Phrase("costs")+" "+by.Costs.Value)
		}
	}
	if len(lines) == 0 {
		lines = c.reasons(f.on, reading, "cost-of-flash")
	}
	if len(lines) == 0 {
		lines = []string{c.book.Phrase("cost-nothing")}
	}
	a.Headline = lines[0]
	a.Compose(c.book.Phrase, reading.Style, lines...)
	return true
}

// moved tells what went from one state of a set-up to the next, each dial with
// its stops; none where nothing did.
func (c *Coach) moved(was, is *staging, reading hear.Reading) []string {
	var parts []string
	for _, m := range changes(was.numbers, is.numbers, reading.Style) {
		text := strings.TrimSpace(c.book.Phrase("called-"+strings.ReplaceAll(m.Name, "_", "-")) + " " + m.Text)
		if m.Stops != nil {
			text += ", " + units.Stops(*m.Stops).String()
		}
		parts = append(parts, text)
	}
	if len(parts) == 0 {
		return nil
	}
	return []string{sentenceOf(strings.Join(parts, " · "))}
}

// cause names what the message says is seen, and what makes it: "what is that
// line under the nose", "why two shadows". None where nothing is seen.
func (c *Coach) cause(f *follower, reading hear.Reading) []string {
	if s := c.seen(f, reading); s != nil {
		return []string{s.See + ": " + s.Cause + "."}
	}
	return nil
}

// remedies are the ways to be rid of it, the cheapest first.
func (c *Coach) remedies(f *follower, reading hear.Reading) []string {
	var lines []string
	for _, r := range c.seen(f, reading).Remedies {
		lines = append(lines, r.Text)
	}
	return lines
}

func (c *Coach) seen(f *follower, reading hear.Reading) *answer.Sign {
	if len(reading.Facts.Choices("faults")) == 0 {
		return nil
	}
	env := rules.Env{Facts: hear.Merge(f.known(f.facts), reading.Facts), Numbers: f.on.numbers.Map(), Technique: f.on.setup.Technique}
	return c.sign(env, f.on, reading)
}

// reasons fills a phrase with the set-up's numbers; none where it does not
// have them.
func (c *Coach) reasons(s *staging, reading hear.Reading, phrase string) []string {
	if line, ok := answer.Fill(c.book.Phrase(phrase), s.numbers, s.lengths, reading.Style); ok && line != "" {
		return []string{line}
	}
	return nil
}

// dialsOf names, for what a term of the playbook calls, the number that is
// asked about and the steps of the working that lead to it.
var dialsOf = map[string][]string{
	"power": {"flash_power", "flash on the panel", "flash at the face", "flash_stops", "subject_stops"}, "flash-share": {"flash_power", "flash_stops"},
	"shutter": {"shutter_s", "ambient_stops", "background_stops"}, "sync": {"shutter_s", "background_stops"}, "aperture": {"aperture", "ambient_stops"}, "iso": {"iso", "ambient_stops"},
	"guide-number": {"flash_gn_m", "flash at the face"}, "zoom": {"flash_zoom_mm"}, "ambient": {"ambient_stops", "ambient_stops"}, "ratio": {"key_fill_stops"},
	"white-balance": {"wb_k"}, "kelvin": {"wb_k"},
}

// sameDial names, for a term, the one by which its dial is explained.
var sameDial = map[string]string{"kelvin": "white-balance"}

// whyDial explains a dial by its number or its name: what it is for, then the
// formula with the numbers put in.
func (c *Coach) whyDial(a *answer.Answer, s *staging, reading hear.Reading, text string) []string {
	id := c.dialNamed(s, reading, text)
	if id == "" {
		return nil
	}
	lines := c.reasons(s, reading, "why-"+id)
	if len(lines) == 0 {
		return nil
	}
	steps := dialsOf[id][1:]
	for _, w := range s.working {
		if slices.Contains(steps, w.Name) {
			a.Working = append(a.Working, w)
			lines = append(lines, w.Told())
		}
	}
	return lines
}

// dialNamed is the term whose dial a question is about, or "".
func (c *Coach) dialNamed(s *staging, reading hear.Reading, text string) string {
	is := func(key string, v float64) bool {
		n, ok := s.numbers.Get(key)
		return ok && v > 0 && math.Abs(math.Log2(n/v)) < 0.02
	}
	said := reading.Facts
	power := 0.0
	if item, ok := said.Item("flash", "strobe"); ok {
		power = item.Power
	}
	shutter, _ := said.Number("camera.shutter_s")
	aperture, _ := said.Number("camera.aperture")
	iso, _ := said.Number("camera.iso")
	wb, _ := said.Number("camera.wb_k")
	switch {
	case is("flash_power", power), is("flash_power", shutter) && !is("shutter_s", shutter):
		return "power"
	case is("shutter_s", shutter), is("shutter_s", power):
		return "shutter"
	case aperture > 0:
		return "aperture"
	case iso > 0:
		return "iso"
	case wb > 0:
		return "white-balance"
	}
	for _, t := range c.termsIn(text) {
		if steps, ok := dialsOf[t.ID]; ok {
			if _, there := s.numbers.Get(steps[0]); there {
				return cmp.Or(sameDial[t.ID], t.ID)
			}
		}
	}
	return ""
}

// modifiers are the ways of lighting that kit is named for.
var modifiers = map[string]string{"umbrella": "umbrella", "softbox": "softbox", "led": "led", "reflector": "reflect", "diffuser": "scrim", "bounce-card": "bounce", "gel": "gel"}

// whyNot compares the set-up that stands with another way of lighting that the
// question names.
func (c *Coach) whyNot(f *follower, reading hear.Reading) []string {
	var asked []string
	said := reading.Facts
	add := func(way string) {
		if way != "" && !slices.Contains(f.on.setup.Technique, way) && !slices.Contains(asked, way) {
			asked = append(asked, way)
		}
	}
	for _, way := range fact.Techniques {
		if said.Has("says", way) || said.Denied(way) {
			add(way)
		}
	}
	for kind, way := range modifiers {
		if _, ok := said.Item(kind); ok || said.Denied(kind) {
			add(way)
		}
	}
	if len(asked) == 0 {
		return nil
	}
	facts := f.facts.Clone()
	c.book.Assume(facts, nil)
	verdicts := c.book.Judge(rules.Env{Facts: facts, Numbers: before(facts)})
	other := bestOf(verdicts, asked[0])
	if other == nil {
		return c.reasons(f.on, reading, "why-not-known")
	}
	lines := []string{f.on.setup.Why.Value}
	if other.Outcome != rules.Fires {
		line := c.book.Phrase("why-not-here")
		line = strings.ReplaceAll(line, "{title}", other.Setup.Title.Value)
		return append(lines, strings.ReplaceAll(line, "{line}", other.Why))
	}
	here := &situation{facts: facts, before: before(facts), shifts: c.book.Shifting(rules.Env{Facts: facts})}
	s, err := c.stage(*other, here)
	if err != nil {
		return lines
	}
	lines = append(lines, strings.ReplaceAll(c.book.Phrase("why-instead"), "{title}", other.Setup.Title.Value)+" "+cmp.Or(other.Setup.Instead.Value, other.Setup.Why.Value))
	lines = append(lines, c.compared(f.on, s, reading)...)
	return lines
}

// bestOf is the verdict on the best set-up of a technique, one that fires
// before one that does not.
func bestOf(verdicts []rules.Verdict, way string) *rules.Verdict {
	var best *rules.Verdict
	for i := range verdicts {
		v := &verdicts[i]
		if slices.Contains(v.Setup.Technique, way) && (best == nil || v.Outcome > best.Outcome || v.Outcome == best.Outcome && v.Score.Total() > best.Score.Total()) {
			best = v
		}
	}
	return best
}

// compared tells two stagings against each other by the numbers that both
// have.
func (c *Coach) compared(is, other *staging, reading hear.Reading) []string {
	var lines []string
	for _, key := range []string{"source_deg", "shadow_edge_mm", "socket_cheek_stops", "background_stops", "flash_power"} {
		x, ok := is.numbers.Get(key)
		y, both := other.numbers.Get(key)
		if !ok || !both || math.Abs(x-y) <= 0.05*math.Abs(x) {
			continue
		}
		k, _ := answer.KeyNamed(key)
		text := func(s *staging, v float64) string {
			return cmp.Or(s.numbers.Text(key), k.Quantity.Print(v, reading.Style))
		}
		line := c.book.Phrase("compare-" + strings.ReplaceAll(key, "_", "-"))
		if line == "" {
			continue
		}
		line = strings.ReplaceAll(line, "{here}", text(is, x))
		lines = append(lines, strings.ReplaceAll(line, "{there}", text(other, y)))
	}
	return lines
}

// hands answers a helper who asks where to stand and what to hold: the set-up's
// own places and words.
func (c *Coach) hands(a *answer.Answer, t *Thread, reading hear.Reading) bool {
	last := t.standing()
	if last == nil {
		return false
	}
	f := c.follower(last, last.Facts, reading)
	if f == nil {
		return false
	}
	words := c.words(f.on, reading)
	lines := slices.Concat(words.Place, words.Helper)
	for _, key := range []string{"hands-side", "hands-height"} {
		lines = append(lines, c.reasons(f.on, reading, key)...)
	}
	if len(lines) == 0 {
		return false
	}
	a.Headline = lines[0]
	a.Compose(c.book.Phrase, reading.Style, lines...)
	return true
}
