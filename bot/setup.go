package bot

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"panelhand/bot/answer"
	"panelhand/bot/hear"
	"panelhand/calc/balance"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// Bounds of one answer.
const (
	mostStaged  = 6 // set-ups solved
	mostOthers  = 3 // runners-up told
	mostDropped = 3 // set-ups told why not
)

// light answers with a set-up: the best of what the playbook allows here.
func (c *Coach) light(a *answer.Answer, t *Thread, reading hear.Reading, full bool) {
	facts := a.Facts.Clone()
	unfilled := c.book.Judge(rules.Env{Facts: facts})
	last := t.standing()
	var assumed []rules.Assumption
	if last != nil && a.Kind != answer.KindSetup {
		assumed = last.assume(facts, !otherLight(reading.Facts))
	}
	assumed = append(assumed, c.book.Assume(facts, nil)...)
	here := &situation{facts: facts, before: before(facts), shifts: c.book.Shifting(rules.Env{Facts: facts})}
	verdicts := c.book.Judge(rules.Env{Facts: facts, Numbers: here.before})
	staged := c.stageBest(verdicts, here, last)
	rank(staged)
	best, raised := c.safest(staged, a.Facts)
	if full {
		a.Trace = trace(verdicts)
	}
	if best == nil {
		if stops(raised) {
			c.decline(a, reading, raised)
			return
		}
		c.unsure(a, reading)
		return
	}
	if last == nil || a.Kind == answer.KindSetup {
		a.Told = nil // a picture from its beginning is told whole
	}
	a.Kind, a.Headline = answer.KindSetup, best.setup.Title.Value
	c.show(a, best, raised, assumed, reading)
	a.AskBack = c.askBack(a.Facts, unfilled, assumed)
	a.Env = rules.Env{Facts: facts, Numbers: best.numbers.Map(), Technique: best.setup.Technique}
	a.Sign = c.sign(a.Env, best, reading)
	a.Tradeoffs, best.told = c.weigh(a.Env, best, reading)
	for _, s := range staged {
		if s != best && len(a.Others) < mostOthers {
			a.Others = append(a.Others, answer.Other{ID: s.setup.ID, Title: s.setup.Title.Value, Why: cmp.Or(s.setup.Instead.Value, s.setup.Why.Value)})
		}
	}
	a.Dropped = dropped(verdicts, a.Facts)
	a.Notes = c.notes(best, reading)
	a.Compose(c.book.Phrase, reading.Style, a.Notes...)
	t.push(state{Facts: a.Facts, Assumed: assumed, Plan: best.planned(last), Asked: rules.Askings(reading.Facts)})
}

// planned is the plan that a staging came to: what follow-ups made of the same
// set-up before stays in it.
func (s *staging) planned(last *state) plan {
	var p plan
	if last != nil && last.Plan.Setup == s.setup.ID {
		p = last.Plan
	}
	if s.stands == nil {
		p.Side, p.Loss, p.Behind = s.aside, s.shown, s.fromBehind()
	}
	p.Setup, p.Given = s.setup.ID, stands(s)
	if v, ok := s.facts.Get("camera.wb_k"); ok && v.Origin != fact.Assumed {
		p.WBK = units.Kelvin(v.Number)
	}
	return p
}

// show puts a staging into the answer: its words, its numbers, what is raised.
func (c *Coach) show(a *answer.Answer, s *staging, raised []rules.Raised, assumed []rules.Assumption, reading hear.Reading) {
	a.Numbers, a.Working = s.numbers, s.working
	a.Setup = c.words(s, reading)
	a.Raised, a.Safety = raised, cautions(raised, s, reading)
	if assumed != nil {
		a.Assumed = c.assumptions(assumed, s, reading)
	}
}

// stageBest solves the set-ups that look best before solving.
//
// The set-up that stands in the thread is among them while it fires, as
// follow-ups have made it, and goes first while it is about as good.
func (c *Coach) stageBest(verdicts []rules.Verdict, here *situation, last *state) []*staging {
	var fires []rules.Verdict
	for _, v := range verdicts {
		if v.Outcome == rules.Fires {
			fires = append(fires, v)
		}
	}
	slices.SortStableFunc(fires, func(x, y rules.Verdict) int { return cmp.Compare(y.Score.Total(), x.Score.Total()) })
	var staged []*staging
	for _, v := range fires {
		stands := last != nil && v.Setup.ID == last.Plan.Setup
		if len(staged) >= mostStaged && !stands {
			continue
		}
		here := here
		if stands {
			v.Score.Prefer += stickiness
			here = here.again(last, v.Setup, c.distanceMade(last.Plan.Made))
		}
		// A set-up that cannot be computed for these facts is no answer; the
		// next one is.
		if s, err := c.stage(v, here); err == nil {
			staged = append(staged, s)
		}
	}
	return staged
}

// stickiness is how many points better another set-up must be before a crew
// that stands there builds it: a minute's work and a helper's patience.
const stickiness = 1.5

// distanceMade reports whether a follow-up put the light nearer or farther.
func (c *Coach) distanceMade(all []made) bool {
	return slices.ContainsFunc(all, func(m made) bool {
		a, ok := c.book.Adjustment(m.ID)
		return ok && slices.ContainsFunc(a.Do, func(mv rules.Move) bool { return mv.What == "distance" })
	})
}

// again is the situation for the set-up that stands: the plan's geometry, the
// dials found anew. The distance that a follow-up made stays, while as many are in
// the picture and nobody says another.
func (x *situation) again(last *state, setup *rules.Setup, distanced bool) *situation {
	y := *x
	y.facts = x.facts.Clone()
	last.Plan.place(y.facts, setup)
	were, _ := last.Facts.Number("subject.people")
	if are, _ := x.facts.Number("subject.people"); distanced && (were == 0 || are == were) {
		for path, at := range map[string]units.Metres{"distance.panel_subject_m": last.Plan.Given.PanelSubject, "distance.flash_subject_m": last.Plan.Given.FlashSubject} {
			if v, ok := x.facts.Get(path); at > 0 && (!ok || v.Origin != fact.Said) {
				y.facts.Drop(path)
				y.facts.Put(path, fact.Value{Number: float64(at), Origin: fact.Kept})
			}
		}
	}
	y.stands = &standing{plan: last.Plan, anew: true}
	return &y
}

// safest is the first staging that no caution stops, with what is raised for
// it. Cautions see what was said, never what was assumed.
func (c *Coach) safest(staged []*staging, said *fact.Set) (*staging, []rules.Raised) {
	var stopped []rules.Raised
	for _, s := range staged {
		raised := c.book.Raise(rules.Env{Facts: said, Numbers: s.numbers.Map(), Technique: s.setup.Technique})
		if !stops(raised) {
			return s, raised
		}
		if stopped == nil {
			stopped = raised
		}
	}
	return nil, stopped
}

// words fills the numbers into the set-up's texts. A line that names a number
// this set-up does not have is left out.
func (c *Coach) words(s *staging, reading hear.Reading) *answer.Setup {
	fill := func(texts ...string) []string {
		var lines []string
		for _, text := range texts {
			if line, ok := answer.Fill(text, s.numbers, s.lengths, reading.Style); ok && line != "" {
				lines = append(lines, line)
			}
		}
		return lines
	}
	out := &answer.Setup{
		ID: s.setup.ID, Title: s.setup.Title.Value, Technique: s.setup.Technique,
		Why: s.setup.Why.Value, Source: s.setup.Source,
	}
	out.First = strings.Join(fill(s.setup.First.Value), "")
	for _, t := range s.setup.Place {
		out.Place = append(out.Place, fill(t.Value)...)
	}
	if !s.facts.Has("limits", "no-helper") {
		for _, t := range s.setup.Helper {
			out.Helper = append(out.Helper, fill(t.Value)...)
		}
	}
	for _, t := range s.setup.Check {
		out.Check = append(out.Check, fill(t.Value)...)
	}
	for _, t := range s.setup.Careful {
		out.Careful = append(out.Careful, fill(t.Value)...)
	}
	return out
}

// cautions are the rules' and the set-up's own, the gravest first.
func cautions(raised []rules.Raised, s *staging, reading hear.Reading) []answer.Caution {
	var out []answer.Caution
	for _, r := range raised {
		numbers, lengths := (*answer.Numbers)(nil), map[string]float64(nil)
		if s != nil {
			numbers, lengths = s.numbers, s.lengths
		}
		text, ok := answer.Fill(r.Text, numbers, lengths, reading.Style)
		if !ok {
			text = withoutHoles(r.Text)
		}
		out = append(out, answer.Caution{ID: r.ID, Text: text, Stop: r.Stop})
	}
	return out
}

// withoutHoles keeps the sentences of a caution that name no number: a
// caution is shortened rather than dropped.
func withoutHoles(text string) string {
	var kept []string
	for _, s := range strings.SplitAfter(text, ". ") {
		if !strings.Contains(s, "{") {
			kept = append(kept, strings.TrimSpace(s))
		}
	}
	return strings.Join(kept, " ")
}

// dropped tells of set-ups that only a limit ruled out, in the limit's words.
func dropped(verdicts []rules.Verdict, facts *fact.Set) []answer.Other {
	var out []answer.Other
	for _, v := range verdicts {
		if v.Outcome != rules.RuledOut || len(out) == mostDropped {
			continue
		}
		for _, limit := range facts.Choices("limits") {
			if strings.Contains(v.Why, `limit(`) && strings.Contains(v.Why, `"`+limit+`"`) {
				out = append(out, answer.Other{ID: v.Setup.ID, Title: v.Setup.Title.Value, Why: strings.ReplaceAll(limit, "-", " ")})
				break
			}
		}
	}
	return out
}

// askBack is the one question whose answer would change this most: what there
// is to light with, then what the playbook waits for.
func (c *Coach) askBack(facts *fact.Set, unfilled []rules.Verdict, assumed []rules.Assumption) string {
	ask := func(path string) string {
		f, _ := fact.Lookup(path)
		return f.Ask
	}
	// A light that was taken for granted, not guessed from anything said.
	blind := slices.ContainsFunc(assumed, func(s rules.Assumption) bool { return s.Fact == "light.kind" && s.Blind })
	format, _ := facts.Get("camera.format")
	switch {
	case format.Text == phone: // it works with nothing else
		return ""
	case len(facts.Kit()) == 0 && !facts.Denied("kit") && !facts.Denied("flash") && !facts.Denied("panel") && !facts.Has("limits", "no-flash"):
		return ask("kit")
	case blind:
		return ask("light.kind")
	}
	if f := c.book.AskBack(unfilled); f != nil {
		return f.Ask
	}
	return ""
}

// assumptions are the facts that defaults filled and the kit of which only
// the kind was said.
func (c *Coach) assumptions(filled []rules.Assumption, s *staging, reading hear.Reading) []answer.Assumption {
	var out []answer.Assumption
	for _, f := range filled {
		var value any = f.Value.Number
		if known, ok := fact.Lookup(f.Fact); ok {
			switch known.Kind {
			case fact.Flag:
				value = f.Value.Flag
			case fact.Choice, fact.Text:
				value = f.Value.Text
			}
		}
		out = append(out, answer.Assumption{Fact: f.Fact, Value: value, Text: f.Text, Why: f.Why})
	}
	kit := func(path string, value float64, phrase string) {
		if text, ok := answer.Fill(c.book.Phrase(phrase), s.numbers, s.lengths, reading.Style); ok && value > 0 {
			out = append(out, answer.Assumption{Fact: path, Value: value, Text: text, Why: c.book.Phrase("why-kit-unsaid")})
		}
	}
	number := func(key string) float64 { v, _ := s.numbers.Get(key); return v }
	if s.scene.Key != nil && !s.head.said {
		kit("kit.flash.gn_m", number("flash_gn_m"), "assumed-guide-number")
	}
	if s.setup.Key != nil && s.setup.Key.Light == "led" && s.ledLamp() == houseLED {
		kit("kit.led.lux_1m", float64(houseLED), "assumed-led")
	}
	if !s.panelSaid {
		kit("kit.panel.size_m", number("panel_size_m"), "assumed-panel")
	}
	if own, ok := s.calibrated(); ok {
		text := strings.ReplaceAll(c.book.Phrase("own-calibration"), "<spread>", answer.HowMany.Print(own.Spread, reading.Style))
		out = append(out, answer.Assumption{Fact: "flash_loss_stops", Value: own.Stops, Text: text, Why: c.book.Phrase("why-own-calibration")})
	}
	if listed := fromList(s.facts, reading.Style); listed != "" {
		out = append(out, answer.Assumption{Fact: "kit", Value: listed, Text: c.book.Phrase("from-kit-list") + ": " + listed, Why: c.book.Phrase("why-kit-list")})
	}
	slices.SortStableFunc(out, func(x, y answer.Assumption) int { return cmp.Compare(weight(x.Fact), weight(y.Fact)) })
	return out
}

// weighty lists the facts by how far a wrong guess throws the dials off: a
// phone has room for the first few.
var weighty = []string{
	"flash_loss_stops", "kit",
	"light.kind", "light.ev100", "kit.flash.gn_m", "kit.led.lux_1m", "light.background_ev100", "kit.panel.size_m", "subject.people", "camera.sync_s", "helpers",
	"subject.framing", "distance.camera_subject_m", "look",
}

func weight(path string) int {
	if i := slices.Index(weighty, path); i >= 0 {
		return i
	}
	return len(weighty)
}

// notes are sentences about this answer that belong to no part: what was not
// believed, what could not stay, what the dials cannot reach.
func (c *Coach) notes(s *staging, reading hear.Reading) []string {
	notes := append([]string(nil), reading.Notes...)
	if reading.MostlyUnheard() {
		notes = append(notes, c.leftOut("heard-little", reading))
	}
	if s.tooFast != nil {
		notes = append(notes, c.book.Phrase("note-sync"))
	}
	if s.socketGain() > tellSocket && (s.stands == nil || s.stands.anew) {
		if note, ok := answer.Fill(c.book.Phrase("note-sockets"), s.numbers, s.lengths, reading.Style); ok {
			notes = append(notes, note)
		}
	}
	if s.idle() {
		notes = append(notes, c.idleNote(s, reading))
	} else if !s.solution.Right {
		note, _ := answer.Fill(c.book.Phrase("note-off"), s.numbers, s.lengths, reading.Style)
		if buy := slices.IndexFunc(s.solution.Buys, func(b balance.Change) bool { return !said(b, reading.Facts) }); buy >= 0 {
			note += " " + c.buy(s.solution.Buys[buy], reading)
		} else if len(s.solution.Buys) > 0 { // every dial was told: one of them, then
			note += " " + c.buy(s.solution.Buys[0], reading)
		}
		notes = append(notes, note)
	} else if is := s.solution.Levels.Background; (s.stands == nil || s.stands.anew) && is-s.tones.background > brightBackground && is > tellBackground && !strings.Contains(s.told, "{background_stops}") {
		note, _ := answer.Fill(c.book.Phrase("note-background"), s.numbers, s.lengths, reading.Style)
		if darker, err := balance.Darken(s.scene, s.solution); err == nil && len(darker) > 0 {
			note += " " + c.buy(darker[0], reading)
		}
		notes = append(notes, note)
	}
	return notes
}

// leftOut is a phrase about the words of a message that nothing could use.
func (c *Coach) leftOut(phrase string, reading hear.Reading) string {
	some := reading.Leftover[:min(len(reading.Leftover), mostUnused)]
	return strings.ReplaceAll(c.book.Phrase(phrase), "{words}", strings.Join(some, ", "))
}

// mostUnused is how many words that were not used a phone is told.
const mostUnused = 5

// idleNote says what would make a flash count that does nothing: a grey filter,
// or an aperture smaller by as much.
func (c *Coach) idleNote(s *staging, reading hear.Reading) string {
	over := math.Ceil(float64(s.solution.Levels.Ambient - s.tones.ambient - 1.0/6))
	set := s.solution.Settings
	var n answer.Numbers
	n.Set("nd_stops", float64(set.ND)+over)
	n.Set("subject_stops", float64(s.solution.Levels.Subject))
	n.Set("aperture", units.ApertureThirds().Nearest(set.Aperture.Value*math.Exp2(over/2)).Value)
	note, _ := answer.Fill(c.book.Phrase("note-idle"), &n, nil, reading.Style)
	return note
}

// tellSocket is the gain of the eye sockets that is worth a line: a click.
const tellSocket = 1.0 / 3

// brightBackground is how far over what the look wants a background may sit
// before the answer says what would bring it down.
const brightBackground units.Stops = 1

// tellBackground is from where on a background is over its own tone: half a
// click.
const tellBackground units.Stops = 1.0 / 6

// bought names the number that a change of the solver turns.
var bought = map[string]string{
	balance.Closer: "panel_subject_m", balance.Farther: "panel_subject_m", balance.WiderZoom: "flash_zoom_mm", balance.FlashNearer: "flash_panel_m",
	balance.MoreISO: "iso", balance.Aperture: "aperture", balance.Shutter: "shutter_s", balance.Power: "flash_power", balance.SecondFlash: "flashes",
	balance.Filter: "nd_stops", balance.NoFilter: "nd_stops", balance.BareFlash: "flash_subject_m", balance.NoFlash: "subject_stops",
	balance.HighSpeed: "shutter_s", balance.DarkerPlace: "ambient_ev100", balance.DarkerBehind: "background_ev100",
}

// said reports whether a change turns a dial that the message itself set.
func said(change balance.Change, facts *fact.Set) bool {
	path, ok := map[string]string{balance.Aperture: "camera.aperture", balance.Shutter: "camera.shutter_s", balance.MoreISO: "camera.iso"}[change.What]
	if !ok {
		return false
	}
	_, ok = facts.Get(path)
	return ok
}

// buy is the one change that would set a number right, in words.
func (c *Coach) buy(change balance.Change, reading hear.Reading) string {
	var n answer.Numbers
	n.Set(bought[change.What], change.Value)
	text, _ := answer.Fill(c.book.Phrase("buy-"+change.What), &n, nil, reading.Style)
	return text
}

func trace(verdicts []rules.Verdict) []answer.Trace {
	out := make([]answer.Trace, len(verdicts))
	for i, v := range verdicts {
		out[i] = answer.Trace{Rule: v.Setup.ID, Verdict: v.Outcome.String(), Why: v.Why, Score: v.Score.Total()}
	}
	return out
}
