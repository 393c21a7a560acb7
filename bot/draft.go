package bot

import (
	"fmt"
	"io/fs"
	"math"
	"path"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"panelhand/bot/answer"
	"panelhand/bot/hear"
	"panelhand/bot/memory"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// ruleFiles are the files of a rule that was made in the channel.
func ruleFiles(id string) (rule, cases string) {
	name := path.Join(path.Clean(rules.ChannelFolder), "setups", id)
	return name + ".yaml", name + rules.CasesSuffix
}

// ruleOf makes a set-up of the playbook out of one that stands in a thread:
// where it fits is what the playbook asks of it and what was said here, its
// geometry and levels are as the follow-ups left them, and its texts keep their
// holes, so that the numbers are computed anew each time. It is false where the
// set-up cannot be put up any more.
func (c *Coach) ruleOf(st *state, d memory.Draft) (rules.Setup, bool) {
	f := c.follower(st, st.Facts, hear.Reading{Facts: new(fact.Set)})
	if f == nil {
		return rules.Setup{}, false
	}
	here := c.asked(st, d.Said)
	on, plan := f.on, &f.plan
	s := *on.setup
	s.ID = d.Rule
	if title := shortTitle(plainText(d.Title)); title != "" {
		s.Title = source.Text{Value: title}
	}
	size := float64(longest(on.panel))
	if s.Key != nil {
		key := *s.Key
		key.Gel = plan.gel(key.Gel)
		switch {
		case key.Light == "wall", key.Light == "led": // the room's own length; follow-ups of a lamp are in the plan
		case key.Light == "bare":
			key.Distance = moved(key.Distance, plan.Given.FlashSubject, size)
		default:
			key.Distance = moved(key.Distance, plan.Given.PanelSubject, size)
		}
		if key.From != nil && key.From.Word == "" {
			key.From = &rules.Place{Length: *moved(&key.From.Length, plan.Given.FlashPanel, size)}
		}
		if key.Zoom > 0 && plan.Given.Zoom > 0 {
			key.Zoom = float64(plan.Given.Zoom)
		}
		s.Key = &key
		s.Look = c.levels(on, f.known(here))
	} else if s.Daylight != nil && s.Daylight.Distance != nil {
		daylight := *s.Daylight
		daylight.Distance = moved(daylight.Distance, plan.Given.PanelSubject, size)
		s.Daylight = &daylight
	}
	camera := rules.Camera{}
	if s.Camera != nil {
		camera = *s.Camera
	}
	camera.Aperture = float64(plan.Given.Aperture)
	if plan.WBK > 0 {
		camera.WBK = float64(plan.WBK)
	}
	s.Camera = &camera
	s.Place = slices.Concat(s.Place, c.added(plan.Made))
	s.Needs = slices.Clone(s.Needs)
	need := func(changed bool, kinds ...string) {
		if changed {
			s.Needs = append(s.Needs, rules.Need{Kinds: kinds})
		}
	}
	had, _ := c.book.Setup(plan.Setup)
	need(s.Fill != nil && had.Fill == nil || s.Key == nil && s.Daylight != nil && s.Daylight.Side != "" && (had.Daylight == nil || had.Daylight.Side == ""), "panel", "reflector")
	need(s.Daylight != nil && s.Daylight.Model == "black-panel" && (had.Daylight == nil || had.Daylight.Model != s.Daylight.Model), "panel")
	need(s.Key != nil && s.Key.Gel != "" && had.Key.Gel == "", "gel")
	s.Serves = slices.Clone(s.Serves)
	for _, want := range here.Choices("wants") {
		if !slices.ContainsFunc(s.Serves, func(one rules.Serve) bool { return one.Want == want }) {
			s.Serves = append(s.Serves, rules.Serve{Want: want, Points: wished})
		}
	}
	s.When = slices.Clone(s.When)
	for _, line := range newLines(here) {
		if !slices.ContainsFunc(s.When, func(l rules.Line) bool { return l.Text.Value == line.Text.Value }) {
			s.When = append(s.When, line)
		}
	}
	return s, true
}

// added is what follow-ups put up or turned, in their words: the set-up's own
// speak of nothing that was not there.
func (c *Coach) added(all []made) []source.Text {
	var lines []source.Text
	for _, m := range all {
		a, ok := c.book.Adjustment(m.ID)
		adds := ok && m.Size > 0 && slices.ContainsFunc(a.Do, func(mv rules.Move) bool {
			return slices.Contains([]string{"fill", "black", "gel", "feather"}, mv.What) && mv.Word != "none" && mv.How != rules.Times
		})
		if adds && !slices.ContainsFunc(lines, func(t source.Text) bool { return t.Value == a.Say.Value }) {
			lines = append(lines, source.Text{Value: a.Say.Value})
		}
	}
	return lines
}

// asked is what was said here without the wishes that follow-ups answered:
// what they moved is in the set-up, and nobody need wish it again.
func (c *Coach) asked(st *state, said []string) *fact.Set {
	here := st.Facts.Clone()
	at := new(fact.Set)
	if len(said) > 0 {
		at = c.ear.Read(said[0], nil).Facts
	}
	for _, m := range st.Plan.Made {
		a, ok := c.book.Adjustment(m.ID)
		if !ok {
			continue
		}
		for _, one := range a.Answers {
			if one.Path == "wants" && !at.Has("wants", one.Choice) {
				here.Remove("wants", one.Choice)
			}
		}
	}
	return here
}

// wished is what serving a want is worth to a set-up that the playbook does
// not credit with it: it worked for this crew.
const wished = 2

// moved is a length as it stands: in the unit that the rule has it in, and the
// rule's own where nothing moved it by more than a hand's breadth.
func moved(was *rules.Length, at units.Metres, panel float64) *rules.Length {
	const handsBreadth = 0.1 // m
	if at == 0 || was != nil && math.Abs(was.Metres(panel)-float64(at)) < handsBreadth {
		return was
	}
	if was != nil && was.Unit == rules.Panels && panel > 0 {
		return &rules.Length{Quantity: rules.Quantity{Value: to(float64(at)/panel, 0.05), Unit: rules.Panels}}
	}
	return &rules.Length{Quantity: rules.Quantity{Value: to(float64(at), 0.05), Unit: rules.Metres}}
}

// to rounds to a step that people would type.
func to(v, step float64) float64 {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(math.Round(v/step)*step, 'f', 2, 64), 64)
	return rounded
}

// levels are a set-up's own levels as they stand, without what wishes add to
// them: those are added again where they are wished again.
func (c *Coach) levels(on *staging, known *fact.Set) *rules.Tones {
	tones := rules.Tones{}
	if on.setup.Look != nil {
		tones = *on.setup.Look
	}
	var ambient, background float64 // what wishes add
	for _, s := range c.book.Shifting(rules.Env{Facts: known}) {
		ambient, background = ambient+s.Ambient, background+s.Background
	}
	for _, level := range []struct {
		own     **float64
		is, was units.Stops
		wishes  float64
	}{
		{&tones.Ambient, on.solution.Levels.Ambient, on.tones.ambient, ambient},
		{&tones.Background, on.solution.Levels.Background, on.tones.background, background},
	} {
		if math.Abs(float64(level.is-level.was)) > aClick {
			v := to(math.Round(3*(float64(level.is)-level.wishes))/3, 0.01)
			*level.own = &v
		}
	}
	return &tones
}

// aClick is how far a level may lie from the one wanted because dials have
// marks: a third of a stop and what printing rounds.
const aClick = 0.4

// newLines are the conditions that what was said here adds: light, wishes, and
// how many there are where they are more than one.
func newLines(said *fact.Set) rules.Lines {
	var lines rules.Lines
	if kind, ok := said.Get("light.kind"); ok {
		lines = append(lines, condition("kind", kind.Text))
	} else if from := said.Choices("light.from"); len(from) > 0 {
		lines = append(lines, condition("from", from...))
	}
	if wants := said.Choices("wants"); len(wants) > 0 {
		lines = append(lines, condition("wants", wants...))
	}
	if people, ok := said.Number("subject.people"); ok && people > 1 {
		lines = append(lines, rules.Line{Text: source.Text{Value: fmt.Sprintf("people >= %g", people)}})
	}
	return lines
}

// plainText is what was typed as a line of a playbook: nothing in it is taken
// for a hole, and no character breaks the line.
func plainText(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r), r == '\uFEFF':
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, ""))
	return strings.NewReplacer("{", "(", "}", ")").Replace(strings.Join(strings.Fields(s), " "))
}

// mostNot bounds the messages that must not get a drafted rule.
const mostNot = 8

// casesOf are the cases of a drafted set-up: the message of the talk that gets
// it, and, out of the house's own cases, messages that each make another of its
// lines false. C is the coach with the draft in it. There are none where no
// message gets it.
func (c *Coach) casesOf(id string, said []string, house fs.FS) []rules.Case {
	text := func(s string) source.Text { return source.Text{Value: s} }
	gets := func(message string) (fires, best bool) {
		facts := c.ear.Read(message, nil).Facts
		c.book.Assume(facts, nil)
		for _, v := range c.book.Judge(rules.Env{Facts: facts, Numbers: before(facts)}) {
			fires = fires || v.Setup.ID == id && v.Outcome == rules.Fires
		}
		if fires {
			a := c.Answer(new(Thread), Message{Text: message})
			best = a.Setup != nil && a.Setup.ID == id
		}
		return fires, best
	}
	var cases []rules.Case
	for _, message := range append(slices.Clone(said), strings.Join(said, ", ")) {
		if fires, best := gets(message); fires {
			one := rules.Case{Say: text(message), Fires: []source.Text{text(id)}}
			if best {
				one.Best = text(id)
			}
			if cases = []rules.Case{one}; best {
				break
			}
		}
	}
	if cases == nil {
		return nil
	}
	file, _ := ruleFiles(id)
	untold := map[source.Pos]bool{} // lines that no message has made false
	for rule, line := range c.book.Lines() {
		if rule == id && line.Text.Pos.File == file {
			untold[line.Text.Pos] = true
		}
	}
	all, _ := rules.Cases(house)
	for _, one := range all {
		if len(one.After) > 0 || len(one.Fires)+len(one.Not) == 0 || len(cases) > mostNot {
			continue
		}
		var lines []source.Pos
		facts := c.ear.Read(one.Say.Value, nil).Facts
		c.book.Assume(facts, nil)
		verdicts := c.book.Judge(rules.Env{Facts: facts, Numbers: before(facts), Watch: func(e rules.Event) {
			if e.Truth == rules.False && untold[e.At] {
				lines = append(lines, e.At)
			}
		}})
		fires := slices.ContainsFunc(verdicts, func(v rules.Verdict) bool { return v.Setup.ID == id && v.Outcome == rules.Fires })
		if fires || len(lines) == 0 {
			continue
		}
		for _, at := range lines {
			delete(untold, at)
		}
		cases = append(cases, rules.Case{Say: one.Say, Not: []source.Text{text(id)}})
	}
	return cases
}

// mostLines is how many conditions of a draft a phone is told.
const mostLines = 4

// preview is what a draft would do, in lines for a phone: where it fits, what
// it answers to the message that made it, where things go.
func (c *Coach) preview(id string, said source.Text) []string {
	rule, ok := c.book.Setup(id)
	if !ok {
		return nil
	}
	var when []string
	for _, line := range slices.Backward(rule.When) { // what was said here comes before what the playbook asks
		if len(when) == mostLines {
			when = append(when, c.phrase("draft-fits-more", "<count>", strconv.Itoa(len(rule.When)-mostLines)))
			break
		}
		when = append(when, line.String())
	}
	lines := []string{c.phrase("draft-fits", "<lines>", strings.Join(when, " · ")), c.phrase("draft-said", "<text>", said.Value)}
	a := c.Answer(new(Thread), Message{Text: said.Value})
	if a.Setup == nil || a.Setup.ID != id {
		return append(lines, c.phrase("draft-second", "<title>", a.Headline))
	}
	for _, s := range a.Sections {
		if s.Part == answer.Lead {
			lines = append(lines, s.Lines...)
		}
	}
	return append(lines, a.Setup.Place...)
}
