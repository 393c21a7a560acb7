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

// A follower answers one follow-up: it starts from the set-up as it stands,
// makes one adjustment after another, and keeps what was refused.
type follower struct {
	c       *Coach
	last    *state
	facts   *fact.Set // the thread's, with what this message says
	reading hear.Reading
	book    *rules.Setup
	plan    plan
	on      *staging
	turned  bool               // whether the message names a dial or light to turn: it is done, whatever it costs
	set     map[string]float64 // of rules.Moved: what the message puts at a number, and which way that goes, as moves count
	made    []*rules.Adjustment
	refused []refused
	asked   []rules.Asking
	stood   rules.Env
	back    bool // half of the last change was taken back: its words would say the opposite
}

// refused is an adjustment that could not be made, and why.
type refused struct {
	by  *rules.Adjustment
	why refusal
	on  *staging
}

// follower puts the set-up up as it stands. It is nil where that cannot be
// done any more.
func (c *Coach) follower(last *state, facts *fact.Set, reading hear.Reading) *follower {
	setup, ok := c.book.Setup(last.Plan.Setup)
	if !ok {
		return nil
	}
	f := &follower{c: c, last: last, facts: facts, reading: reading, book: setup, plan: last.Plan, set: map[string]float64{}}
	f.plan.Made = slices.Clone(last.Plan.Made)
	on, err := f.stage(last.Facts, f.plan)
	if err != nil {
		return nil
	}
	f.on = on
	return f
}

// known is what is known with what stays taken for granted.
func (f *follower) known(facts *fact.Set) *fact.Set {
	known := facts.Clone()
	f.last.assume(known, true)
	f.c.book.Assume(known, nil)
	return known
}

// stage puts a plan up, with the dials in free to follow.
func (f *follower) stage(facts *fact.Set, p plan, free ...string) (*staging, error) {
	known := f.known(facts)
	p.place(known, f.book)
	here := &situation{facts: known, before: before(known), shifts: f.c.book.Shifting(rules.Env{Facts: known})}
	here.stands = &standing{plan: p, free: free}
	if f.on != nil {
		here.stands.ambient, here.stands.background = f.on.solution.Levels.Ambient, f.on.solution.Levels.Background
		here.stands.now = &f.on.solution.Settings
	}
	return f.c.stage(rules.Verdict{Setup: f.book, Outcome: rules.Fires}, here)
}

// dial takes over the dials that the message names: what is left to follow
// keeps the face and the background where they were.
func (f *follower) dial() bool {
	said := f.reading.Facts
	p, free := f.plan, []string{"power", "shutter", "iso"}
	changed := false
	free = slices.DeleteFunc(free, f.saidBefore)
	for _, d := range dialled {
		v, ok := said.Number(d.path)
		if !ok {
			continue
		}
		if least := f.nearest(d.path); v < least {
			v = least
			f.refused = append(f.refused, refused{why: tooNear, on: f.on})
		}
		if off := math.Abs(math.Log2(d.get(&p) / v)); !(off < 0.02) {
			changed = true
			for _, what := range d.moves {
				f.set[what] = v - d.get(&p)
			}
		}
		d.set(&p, v)
	}
	if item, ok := said.Item("flash", "strobe"); ok && f.on.scene.Key != nil {
		if item.ZoomMM > 0 && units.Millimetres(item.ZoomMM) != p.Given.Zoom {
			f.set["zoom"] = item.ZoomMM - float64(p.Given.Zoom)
			p.Given.Zoom, changed = units.Millimetres(item.ZoomMM), true
		}
		// A power that is reported stands on the dial already: what it gives is
		// what the frame shows, so the difference is the flash's own.
		if item.Power > 0 && units.Fraction(item.Power) != p.Given.Power {
			free = []string{"shutter", "iso"}
			if said.Has("turn", "power-to") { // asked for: the face goes where it takes it
				free = nil
				f.set["power"] = item.Power - float64(p.Given.Power)
			} else {
				loss := units.Stops(math.Log2(item.Power / float64(p.Given.Power)))
				if units.Losses.Check(float64(f.on.head.loss+loss)) == nil {
					p.Loss += loss
				} else { // no flash is so far off: it stands where they say, and nothing makes up for it
					free = nil
				}
			}
			p.Given.Power, changed = units.Fraction(item.Power), true
		}
	}
	if !changed {
		return false
	}
	free = slices.DeleteFunc(free, func(dial string) bool {
		_, iso := said.Number("camera.iso")
		_, shutter := said.Number("camera.shutter_s")
		return dial == "iso" && iso || dial == "shutter" && shutter
	})
	if f.on.scene.Key == nil {
		free = slices.DeleteFunc(append(free, "aperture"), func(dial string) bool {
			_, aperture := said.Number("camera.aperture")
			return dial == "power" || dial == "aperture" && aperture
		})
	}
	on, err := f.stage(f.facts, p, free...)
	if err != nil {
		return false
	}
	if on.tooFast != nil {
		f.refused = append(f.refused, refused{why: atSync, on: on})
	}
	f.keep(p, on)
	return true
}

// saidBefore reports whether a dial stands where the crew itself put it, in this
// message or an earlier one: it follows nothing.
func (f *follower) saidBefore(dial string) bool {
	path := map[string]string{"iso": "camera.iso", "shutter": "camera.shutter_s", "aperture": "camera.aperture"}[dial]
	v, ok := f.facts.Get(path)
	return ok && v.Origin != fact.Assumed
}

// nearest is how near a cloth or a bare tube may come to a face, m; 0 for what
// is no such distance.
func (f *follower) nearest(path string) float64 {
	switch key := f.on.scene.Key; {
	case path == "distance.panel_subject_m":
		return float64(balance.NearestCloth)
	case path == "distance.flash_subject_m" && key != nil && key.Way == balance.Bare:
		return float64(balance.NearestTube)
	}
	return 0
}

// keep makes a staged plan the one that stands.
func (f *follower) keep(p plan, on *staging) {
	p.Given = stands(on)
	f.plan, f.on = p, on
}

// adjust answers each asking by the first adjustment that can be made.
func (f *follower) adjust(asked []rules.Asking, again bool) {
	f.asked = asked
	if len(asked) == 0 {
		return
	}
	f.stood = rules.Env{Facts: f.on.facts, Numbers: f.on.numbers.Map(), Technique: f.on.setup.Technique}
	f.stood.Facts = f.known(f.facts)
	answered, spans := map[string]bool{}, []fact.Span(nil)
	for k, options := range f.c.book.Options(f.stood, asked) {
		f.turned = asked[k].Path == "turn"
		if slices.ContainsFunc(options, func(a *rules.Adjustment) bool { return answered[a.ID] }) {
			continue // one change for both of what was asked
		}
		if asked[k].Path != "faults" && f.atItsNumber(options) {
			continue
		}
		at, _ := f.reading.Facts.ChoiceValue(asked[k].Path, asked[k].Choice)
		if slices.ContainsFunc(spans, at.Span.Overlaps) {
			continue // the same words, answered already
		}
		before := len(f.refused)
		a, whole := f.first(options, again)
		if a == nil {
			continue
		}
		answered[a.ID], spans = true, append(spans, at.Span)
		if whole { // nobody need know what else was tried
			f.refused = f.refused[:before]
		}
	}
}

// atItsNumber reports whether what would be moved first was put at a number by
// the message itself, and the same way: "shutter slower to 1/60". One that goes the
// other way was read off the frame: "background too bright at 1/60".
func (f *follower) atItsNumber(options []*rules.Adjustment) bool {
	if len(options) == 0 || len(options[0].Do) == 0 {
		return false
	}
	move := options[0].Do[0]
	way, set := f.set[move.What]
	if move.What == "aperture" {
		way = -way // a smaller number is more light
	}
	switch {
	case !set:
		return false
	case move.How == rules.Add:
		return way*move.Value > 0
	case move.How == rules.Times:
		return way*(move.Value-1) > 0
	}
	return true
}

// lessen takes half of the last change back: "too much".
func (f *follower) lessen(asked []rules.Asking) {
	f.asked = asked
	for i := len(f.plan.Made) - 1; i >= 0; i-- {
		last := f.plan.Made[i]
		if a, ok := f.c.book.Adjustment(last.ID); ok && len(a.Do) > 0 {
			f.back = f.try(a, -last.Size/2)
			return
		}
	}
}

// first makes the first option that can be made, and reports whether it could be
// made whole. What was made already is made again at half size once, when asked for
// again; then the next one's turn comes.
func (f *follower) first(options []*rules.Adjustment, again bool) (made *rules.Adjustment, whole bool) {
	var waiting []*rules.Adjustment
	for _, a := range options {
		n, last := f.plan.times(a.ID)
		switch {
		case n == 0 || f.turned:
			if f.try(a, 1) {
				return a, true
			}
		case n == 1 && len(a.Do) > 0:
			if f.try(a, last/2) {
				return a, true
			}
		default:
			waiting = append(waiting, a)
		}
	}
	for _, a := range waiting {
		if len(a.Do) > 0 && f.try(a, 0.5) {
			return a, true
		}
	}
	// Nothing can be done as it should: the nearest that can.
	for _, a := range options {
		for _, part := range []float64{2.0 / 3, 1.0 / 3} {
			if len(a.Do) > 0 && f.try(a, part) {
				return a, false
			}
		}
	}
	for _, a := range options { // said once already, and nothing else is left
		if len(a.Do) == 0 && f.try(a, 1) {
			return a, true
		}
	}
	return nil, false
}

// try makes one adjustment, of a size against its first, if it can be made.
func (f *follower) try(a *rules.Adjustment, size float64) bool {
	why, p, on := f.trial(a, size)
	if why != granted {
		if size == 1 {
			f.refused = append(f.refused, refused{a, why, on})
		}
		return false
	}
	p.Made = append(p.Made, made{a.ID, size})
	f.made = append(f.made, a)
	if on == nil { // words alone
		f.plan.Made = p.Made
		return true
	}
	f.keep(p, on)
	return true
}

func (f *follower) trial(a *rules.Adjustment, size float64) (refusal, plan, *staging) {
	p := f.plan
	if len(a.Do) == 0 {
		if _, ok := answer.Fill(a.Say.Value, f.on.numbers, f.on.lengths, units.Style{}); !ok {
			return noSuchLight, p, nil // it speaks of a number that is not here
		}
		return granted, p, nil
	}
	m := mover{plan: &p, on: f.on, size: f.sized(a, size), gels: f.reading.Facts}
	if v, ok := f.reading.Facts.Number("amount.m"); ok {
		m.by = units.Metres(v)
	}
	if v, ok := f.reading.Facts.Number("amount.times"); ok && slices.ContainsFunc(a.Answers, ofTheKey) {
		m.mult = max(v, 1/v)
	}
	if v, ok := f.reading.Facts.Number("amount.deg"); ok {
		m.turn = units.Degrees(v)
	}
	for _, mv := range a.Do {
		if why := m.move(mv); why != granted {
			return why, p, nil
		}
	}
	on, err := f.solve(&m, a.Follow)
	switch {
	case err != nil:
		return tooFar, p, nil
	case on.tooFast != nil:
		return atSync, p, on
	case len(a.Follow) > 0 && !on.solution.Right && (f.on.solution.Right || on.off() > f.on.off()+tellFace):
		return f.short(on), p, on
	case !f.turned && on.solution.Settings.Shutter.Value > 1.03*float64(on.slowest()) && on.solution.Settings.Shutter.Value > f.on.solution.Settings.Shutter.Value*1.03:
		return shakes, p, on
	}
	if len(a.Follow) == 0 {
		if on, err = f.absorb(&p, on); err != nil {
			return tooFar, p, nil
		}
	}
	if _, ok := answer.Fill(a.Say.Value, on.numbers, on.lengths, units.Style{}); !ok {
		return noSuchLight, p, on
	}
	if same := p.Black == f.plan.Black && p.Gel == f.plan.Gel && p.HSS == f.plan.HSS; same && len(changes(f.on.numbers, on.numbers, units.Style{})) == 0 {
		return nothing, p, on
	}
	return granted, p, on
}

// ofTheKey reports whether what is asked is the key's place, so that "twice as
// far" is of its distance and not of a power.
func ofTheKey(x rules.Asking) bool {
	return x == rules.Asking{Path: "turn", Choice: "key-closer"} || x == rules.Asking{Path: "turn", Choice: "key-farther"}
}

func (f *follower) solve(m *mover, free []string) (*staging, error) {
	return f.stage(f.facts, *m.plan, free...)
}

// sized is a move's size with the amount that the message names: stops or
// kelvins in place of the rule's own, or a share of them ("a touch").
func (f *follower) sized(a *rules.Adjustment, size float64) float64 {
	said, first := f.reading.Facts, a.Do[0]
	if share, ok := said.Number("amount.share"); ok {
		if size *= share; first.Unit == rules.Clicks && first.Value != 0 && share < 1 { // a touch is a click at least
			size = math.Copysign(max(math.Abs(size), 1.0/3/math.Abs(first.Value)), size)
		}
	}
	path := map[string]string{rules.Clicks: "amount.stops", rules.Kelvin: "amount.k"}[first.Unit]
	by, ok := said.Number(path)
	if times, said := said.Number("amount.times"); said && first.Unit == rules.Clicks {
		by, ok = math.Abs(math.Log2(times)), true
	}
	if !ok || first.Value == 0 || first.How != rules.Add {
		return size
	}
	return size * by / math.Abs(first.Value)
}

// absorb settles a move that nothing follows. It was asked for after a look at
// a frame, so the frame was off by as much: a flash gives more or less than was
// computed, the picture as a whole is wanted lighter or darker.
func (f *follower) absorb(p *plan, on *staging) (*staging, error) {
	was, is := f.on.solution.Levels, on.solution.Levels
	switch {
	case on.scene.Key != nil && is.Flash != was.Flash && math.Abs(float64(is.Ambient-was.Ambient)) < tellFace:
		p.Loss += is.Flash - was.Flash
	case is.Subject != was.Subject:
		p.Face += is.Subject - was.Subject
	default:
		return on, nil
	}
	q := *p
	q.Given = stands(on)
	return f.stage(f.facts, q)
}

// tellFace is a difference on the face, in stops, that nobody sees: what the
// names of marks (f/5.6, 1/60) round away.
const tellFace = 0.1

// off is how far the face is from what is wanted of it.
func (s *staging) off() float64 {
	return math.Abs(float64(s.solution.Levels.Subject - s.scene.Want.Face))
}

// short is why the face could not be kept.
func (f *follower) short(on *staging) refusal {
	if on.scene.Key == nil {
		return faceGoes
	}
	if on.solution.Short < 0 {
		return atFull
	}
	return atLeast
}

// changedKeys are the numbers that people set, in the order in which a change
// is told.
var changedKeys = []string{
	"shutter_s", "aperture", "iso", "nd_stops", "flash_power", "flash_zoom_mm", "flash_panel_m", "panel_subject_m", "flash_subject_m", "led_subject_m",
	"key_side_deg", "key_up_deg", "feather_deg", "fill_panel_m", "wb_k", "camera_subject_m",
}

// changes are what moved between two states of a set-up, and by how much.
func changes(was, is *answer.Numbers, style units.Style) []answer.Change {
	var out []answer.Change
	for _, name := range changedKeys {
		from, had := was.Get(name)
		to, has := is.Get(name)
		if !has && !had || had == has && math.Abs(to-from) <= 1e-6*math.Abs(from) {
			continue
		}
		key, _ := answer.KeyNamed(name)
		print := func(n *answer.Numbers, v float64, there bool) string {
			switch {
			case !there:
				return "none"
			case n.Text(name) != "":
				return n.Text(name)
			}
			return key.Quantity.Print(v, style)
		}
		text := print(was, from, had) + " → " + print(is, to, has)
		c := answer.Change{Name: name, From: from, To: to, Text: text}
		if stops, ok := stopsBetween(name, from, to); ok && had && has {
			c.Stops = &stops
		}
		out = append(out, c)
	}
	return out
}

// stopsBetween is how much more light a dial lets through.
func stopsBetween(name string, from, to float64) (float64, bool) {
	switch name {
	case "shutter_s", "iso", "flash_power":
		return sig(math.Log2(to / from)), true
	case "aperture":
		return sig(2 * math.Log2(from/to)), true
	case "nd_stops":
		return sig(from - to), true
	}
	return 0, false
}

// change answers a follow-up to the set-up that stands.
func (c *Coach) change(a *answer.Answer, t *Thread, reading hear.Reading, full bool) {
	last, said := t.standing(), reading.Facts
	f := c.follower(last, a.Facts, reading)
	if f == nil {
		c.light(a, t, reading, full)
		return
	}
	was := f.on
	asked, again := asking(said), said.Has("ask", "again") || said.Has("ask", "more")
	if (again || said.Has("ask", "less")) && len(asked) == 0 {
		asked = last.Asked
	}
	if c.happened(a, was, said) {
		t.facts = a.Facts
		if !c.holdsBackground(a, t, last, was, reading) {
			c.relight(a, t, was, reading, full)
		}
		return
	}
	turned := f.dial()
	if again || said.Has("ask", "less") {
		if len(asked) == 0 && !turned && !changesScene(last.Facts, said) && !said.Has("ask", "moved") { // of what, nobody knows
			c.lessOfWhat(a, last, reading)
			return
		}
	}
	if changesScene(last.Facts, said) || said.Has("ask", "moved") || len(asked) == 0 && !turned {
		c.relight(a, t, was, reading, full)
		return
	}
	if said.Has("ask", "less") && len(asking(said)) == 0 {
		f.lessen(asked)
	} else {
		f.adjust(asked, again || len(asked) > 0 && slices.Equal(asked, last.Asked))
	}
	a.Asked, a.Stood = f.asked, f.stood
	if said.Has("ask", "less") && len(asking(said)) == 0 && len(f.made) == 0 {
		c.lessOfWhat(a, last, reading)
		return
	}
	if len(f.made) == 0 && len(f.refused) == 0 && !turned {
		c.relight(a, t, was, reading, full)
		return
	}
	c.settle(a, t, f, was, reading)
}

// lessOfWhat asks back where there is nothing to take less of.
func (c *Coach) lessOfWhat(a *answer.Answer, last *state, reading hear.Reading) {
	c.restate(a, last, reading)
	a.AskBack, a.Headline = c.book.Phrase("less-of-what"), c.book.Phrase("nothing-moved")
	a.Compose(c.book.Phrase, reading.Style)
}

// holdsBackground answers a background that is told to have changed by what puts
// it back where it was: the light on the face goes with the sitter, the shutter
// takes the wall. It is false where no background was told of.
func (c *Coach) holdsBackground(a *answer.Answer, t *Thread, last *state, was *staging, reading hear.Reading) bool {
	wish := ""
	switch {
	case reading.Facts.Has("turn", "sky-down"):
		wish = "brighter-background"
	case reading.Facts.Has("turn", "sky-up"):
		wish = "darker-background"
	default:
		return false
	}
	now := *last
	now.Facts = a.Facts
	f := c.follower(&now, a.Facts, reading)
	if f == nil {
		return false
	}
	off := func(s *staging) float64 {
		return math.Abs(float64(s.solution.Levels.Background - s.tones.background))
	}
	if off(f.on) < off(was) { // nearer to what the look wants
		return false
	}
	f.adjust([]rules.Asking{{Path: "wants", Choice: wish}}, false)
	if len(f.made) == 0 {
		return false
	}
	c.settle(a, t, f, was, reading)
	return true
}

// settle tells what was made of a set-up and keeps it.
func (c *Coach) settle(a *answer.Answer, t *Thread, f *follower, was *staging, reading hear.Reading) {
	last, said := t.standing(), reading.Facts
	a.Asked, a.Stood = f.asked, f.stood
	for _, m := range f.made {
		a.Adjusted = append(a.Adjusted, m.ID)
	}
	raised := c.book.Raise(rules.Env{Facts: a.Facts, Numbers: f.on.numbers.Map(), Technique: f.on.setup.Technique})
	if stops(raised) { // what was asked for would hurt someone: the set-up stays as it was
		c.decline(a, reading, raised)
		return
	}
	f.plan.remember(a.Facts)
	if t.facts != nil && t.facts != a.Facts { // the kit list may lie under a.Facts
		f.plan.remember(t.facts)
	}
	a.Kind = answer.KindChange
	c.show(a, f.on, raised, nil, reading)
	a.Changed = changes(was.numbers, f.on.numbers, reading.Style)
	a.Headline = c.changed(a.Changed, was.numbers, f.on.numbers)
	a.Do = f.told(reading.Style)
	if said.Has("ask", "meaning") || said.Has("ask", "why") {
		a.Do = append(c.cause(f, reading), a.Do...)
	}
	a.Compose(c.book.Phrase, reading.Style, c.notes(f.on, reading)...)
	asked := f.asked
	if len(asked) == 0 {
		asked = last.Asked
	}
	t.push(state{Facts: a.Facts, Assumed: last.Assumed, Plan: f.plan, Asked: asked})
}

// happened writes down a light that is told to have gone up or down, by the
// stops that were said or by one: what was metered or taken before moves with it.
func (c *Coach) happened(a *answer.Answer, was *staging, said *fact.Set) bool {
	by := 1.0
	if v, ok := said.Number("amount.stops"); ok {
		by = v
	}
	moves := map[string]float64{}
	for turn, way := range map[string]float64{"light-down": -by, "light-up": by} {
		if said.Has("turn", turn) {
			moves["light.ev100"], moves["light.background_ev100"] = way, way
		}
	}
	for turn, way := range map[string]float64{"sky-down": -by, "sky-up": by} {
		if said.Has("turn", turn) {
			moves["light.background_ev100"] = way
		}
	}
	if len(moves) == 0 {
		return false
	}
	facts := a.Facts.Clone()
	for path, way := range moves {
		if _, again := said.Get(path); again {
			continue
		}
		put(facts, path, was.number(path, float64(was.scene.Ambient))+way)
	}
	told := spans(said, "turn")
	for _, list := range []string{"wants", "faults"} { // what the same words would ask for, told of nothing
		for _, choice := range said.Choices(list) {
			if v, _ := said.ChoiceValue(list, choice); slices.ContainsFunc(told, v.Span.Overlaps) {
				facts.Remove(list, choice)
			}
		}
	}
	facts.Remove("wants", "darker-background")
	facts.Remove("wants", "brighter-background")
	a.Facts, a.Heard = facts, fact.HeardJSON(facts)
	return true
}

// asking is what a message asks of the set-up that stands. What the same words
// ask twice, as a turn and as a complaint, is asked once.
func asking(said *fact.Set) []rules.Asking {
	var spans []fact.Span
	all := rules.Askings(said)
	return slices.DeleteFunc(all, func(x rules.Asking) bool {
		v, _ := said.ChoiceValue(x.Path, x.Choice)
		if x.Path == "turn" {
			spans = append(spans, v.Span)
			return false
		}
		return slices.ContainsFunc(spans, v.Span.Overlaps)
	})
}

// changed names what moved between two states, for the first line.
func (c *Coach) changed(moved []answer.Change, was, is *answer.Numbers) string {
	var parts []string
	if from, to := was.Text("flash_gel"), is.Text("flash_gel"); from != to {
		none := c.book.Phrase("no-gel")
		parts = append(parts, c.book.Phrase("called-gel")+" "+cmp.Or(from, none)+" → "+cmp.Or(to, none))
	}
	for _, m := range moved {
		if from, to, _ := strings.Cut(m.Text, " → "); from == to {
			continue // the same on any dial
		}
		parts = append(parts, strings.TrimSpace(c.book.Phrase("called-"+strings.ReplaceAll(m.Name, "_", "-"))+" "+m.Text))
	}
	if len(parts) == 0 {
		return c.book.Phrase("nothing-moved")
	}
	return strings.Join(parts, " · ")
}

// told is what to do and what could not be done, in the rules' own words.
func (f *follower) told(style units.Style) []string {
	var lines []string
	fill := func(text string, on *staging) {
		if line, ok := answer.Fill(text, on.numbers, on.lengths, style); ok && line != "" {
			lines = append(lines, line)
		}
	}
	refusedFor := map[refusal]bool{}
	for _, r := range f.refused {
		if r.why == nothing || r.why == noSuchLight || refusedFor[r.why] || len(lines) > 0 {
			continue
		}
		refusedFor[r.why] = true
		fill(f.c.book.Phrase("cannot-"+string(r.why)), f.on)
	}
	if f.back {
		fill(f.c.book.Phrase("half-back"), f.on)
		return lines
	}
	for _, a := range f.made {
		fill(a.Say.Value, f.on)
		if a.Helper.Value != "" && !f.facts.Has("limits", "no-helper") {
			fill(f.c.book.Phrase("label-helper")+": “"+a.Helper.Value+"”", f.on)
		}
		if a.Costs.Value != "" {
			fill(f.c.book.Phrase("costs")+" "+a.Costs.Value, f.on)
		}
	}
	if len(f.made) == 0 && len(f.asked) > 0 && len(f.refused) > 0 {
		fill(f.c.book.Phrase("stays"), f.on)
	}
	return lines
}

// relight judges the playbook anew for a scene that changed. The set-up that
// stands stays where it is still about as good, with what was made of it.
func (c *Coach) relight(a *answer.Answer, t *Thread, was *staging, reading hear.Reading, full bool) {
	before := *t.standing()
	c.light(a, t, reading, full)
	now := t.standing()
	if a.Setup == nil || a.Numbers == nil {
		return
	}
	a.Kind = answer.KindChange
	a.Changed = changes(was.numbers, a.Numbers, reading.Style)
	if a.Rebuilt = now.Plan.Setup != before.Plan.Setup; !a.Rebuilt {
		a.Headline = c.changed(a.Changed, was.numbers, a.Numbers)
		if len(a.Changed) == 0 && a.Sign == nil {
			a.Do = []string{c.book.Phrase("same-still")}
			if len(reading.Leftover) > 0 {
				a.Do = []string{c.leftOut("same-unheard", reading)}
				if little := c.leftOut("heard-little", reading); len(a.Notes) > 0 { // the rest made nothing
					a.Notes = slices.DeleteFunc(slices.Clone(a.Notes), func(note string) bool { return note == little })
				}
			}
		}
	}
	if n := len(t.states); !a.Rebuilt && len(a.Changed) == 0 && n > 1 { // "undo" takes back what moved
		t.states = append(t.states[:n-2], t.states[n-1])
	}
	if told := c.happenings(reading.Facts, !a.Rebuilt && len(a.Changed) == 0); a.Rebuilt {
		a.Notes = append(told, a.Notes...)
	} else if len(told) > 0 {
		if len(a.Changed) == 0 {
			a.Do = nil
		}
		a.Do = append(told, a.Do...)
	}
	a.Compose(c.book.Phrase, reading.Style, a.Notes...)
}

// happenings says what to do about what a message tells and nobody asked for:
// a cloud, light that goes, another wall. The playbook has the words, others where
// nothing of the set-up moves for it.
func (c *Coach) happenings(said *fact.Set, still bool) []string {
	var lines []string
	for _, list := range []string{"turn", "ask", "hazards"} {
		for _, choice := range said.Choices(list) {
			line := c.book.Phrase("told-" + choice)
			if same := c.book.Phrase("still-" + choice); still && same != "" {
				line = same
			}
			if line != "" {
				lines = append(lines, line)
			}
		}
	}
	return lines
}

// undo goes back to the state before the last one.
func (c *Coach) undo(a *answer.Answer, t *Thread, reading hear.Reading) {
	before, ok := t.before()
	if !ok {
		c.plain(a, reading, answer.KindChange, "nothing-to-undo")
		return
	}
	last := t.standing()
	was := c.follower(last, last.Facts, reading)
	undone := *last
	t.undone = &undone
	t.states = t.states[:len(t.states)-1]
	t.facts = before.Facts
	a.Facts, a.Heard = before.Facts, fact.HeardJSON(before.Facts)
	c.restate(a, &before, reading)
	if was == nil || a.Numbers == nil {
		return
	}
	a.Changed = changes(was.on.numbers, a.Numbers, reading.Style)
	a.Headline = c.changed(a.Changed, was.on.numbers, a.Numbers)
	a.Do = []string{c.book.Phrase("undone")}
	a.Compose(c.book.Phrase, reading.Style)
}

// undoAll goes back to the first set-up of the thread, as it stood.
func (c *Coach) undoAll(a *answer.Answer, t *Thread, reading hear.Reading) {
	for range mostStates {
		before, ok := t.before()
		if !ok {
			break
		}
		if len(t.states) == 2 && len(t.older) == 0 { // the last step tells what became of it all
			last := *t.standing()
			t.states = []state{before, last}
			break
		}
		last := *t.standing()
		t.states = append(t.states[:len(t.states)-2], last)
	}
	c.undo(a, t, reading)
}

// redo puts back the state that the last undo took away, while nothing else was
// changed since.
func (c *Coach) redo(a *answer.Answer, t *Thread, reading hear.Reading) {
	if t.undone == nil {
		c.plain(a, reading, answer.KindChange, "nothing-to-redo")
		return
	}
	last, next := t.standing(), *t.undone
	was := c.follower(last, last.Facts, reading)
	t.push(next)
	t.facts = next.Facts
	a.Facts, a.Heard = next.Facts, fact.HeardJSON(next.Facts)
	c.restate(a, &next, reading)
	if was == nil || a.Numbers == nil {
		return
	}
	a.Changed = changes(was.on.numbers, a.Numbers, reading.Style)
	a.Headline = c.changed(a.Changed, was.on.numbers, a.Numbers)
	a.Do = []string{c.book.Phrase("redone")}
	a.Compose(c.book.Phrase, reading.Style)
}

// restate shows a state again as it stood.
func (c *Coach) restate(a *answer.Answer, s *state, reading hear.Reading) {
	f := c.follower(s, s.Facts, reading)
	if f == nil {
		c.plain(a, reading, answer.KindChange, "nothing-to-undo")
		return
	}
	a.Kind = answer.KindChange
	raised := c.book.Raise(rules.Env{Facts: s.Facts, Numbers: f.on.numbers.Map(), Technique: f.on.setup.Technique})
	c.show(a, f.on, raised, nil, reading)
	a.Headline = f.on.setup.Title.Value
}

// keepIt accepts the set-up that stands: no advice, only how to save it.
func (c *Coach) keepIt(a *answer.Answer, t *Thread, reading hear.Reading) {
	c.restate(a, t.standing(), reading)
	a.Do = []string{c.book.Phrase("kept")}
	a.Compose(c.book.Phrase, reading.Style)
}
