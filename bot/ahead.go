package bot

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"panelhand/bot/answer"
	"panelhand/bot/day"
	"panelhand/bot/hear"
	"panelhand/calc/flash"
	"panelhand/calc/stand"
	"panelhand/calc/sun"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// planning is one plan being made.
type planning struct {
	*Coach
	a      *answer.Answer
	plan   *answer.Plan
	facts  *fact.Set // with what is computed, for the playbook's lines
	style  units.Style
	values map[string]string // of holes
	notes  []string
	here   []string // what the list of places says of this one
	ask    string   // the one question back, by its phrase

	zone   *time.Location
	date   day.Date
	dated  bool
	course *day.Course
	from   time.Time // the first picture
	to     time.Time // the last one
	parts  []day.Stretch
	away   bool    // the clock is the asker's own, the place may have another
	script bool    // the helper's brief is asked for
	power  float64 // the most that a slot's set-up takes
}

// plan answers with the day ahead: what can be computed of it from what was
// said, and the one question that would add the most.
func (c *Coach) plan(a *answer.Answer, reading hear.Reading, facts *fact.Set, m Message) {
	p := &planning{Coach: c, a: a, plan: &answer.Plan{}, facts: facts.Clone(), style: reading.Style, values: map[string]string{}, notes: slices.Clone(reading.Notes)}
	a.Kind, a.Plan, p.script = answer.KindPlan, p.plan, reading.Facts.Has("ask", "script")
	p.place(m)
	p.clock(m)
	p.sunlight()
	p.slots()
	p.wind()
	p.batteries()
	p.lines()
	p.raise()
	p.tell()
	a.Env = rules.Env{Facts: p.facts, Technique: []string{}}
}

// say fills a phrase, and returns "" where a hole has no value.
func (p *planning) say(id string, values ...string) string {
	return filled(p.book.Phrase(id), p.values, values...)
}

// filled fills a text's holes from pairs of name and value, then from the
// plan's values; "" where one has none.
func filled(text string, values map[string]string, pairs ...string) string {
	var b strings.Builder
	for {
		before, rest, open := strings.Cut(text, "{")
		b.WriteString(before)
		if !open {
			return b.String()
		}
		name, after, closed := strings.Cut(rest, "}")
		value := values[name]
		for i := 0; i+1 < len(pairs); i += 2 {
			if pairs[i] == name {
				value = pairs[i+1]
			}
		}
		if !closed || value == "" {
			return ""
		}
		b.WriteString(value)
		text = after
	}
}

func (p *planning) set(name, value string) {
	if value != "" {
		p.values[name] = value
	}
}

// assume says what was taken for granted.
func (p *planning) assume(path string, value any, text string) {
	if text != "" {
		p.a.Assumed = append(p.a.Assumed, answer.Assumption{Fact: path, Value: value, Text: text, Why: p.book.Phrase("plan-why-unsaid")})
	}
}

func (p *planning) text(path string) string { v, _ := p.facts.Get(path); return v.Text }

func (p *planning) trait(names ...string) {
	for _, name := range names {
		p.facts.Add("plan.day", name, fact.Value{Origin: fact.Kept})
	}
}

// place finds where it is: what was said, or a place of the team's list.
func (p *planning) place(m Message) {
	venue := p.text("venue")
	site, listed := p.book.SiteIn(venue)
	if !listed {
		site, listed = p.book.SiteIn(m.Text)
	}
	p.plan.Place, p.plan.Contact = venue, p.text("plan.contact")
	if listed {
		p.plan.Place = cmp.Or(p.plan.Place, strings.ReplaceAll(site.ID, "-", " "))
		p.plan.Contact = cmp.Or(p.plan.Contact, site.Contact.Value)
		for _, note := range site.Notes {
			p.plan.Notes = append(p.plan.Notes, note.Value)
		}
		for path, v := range map[string]float64{"where.lat": site.Lat, "where.lon": site.Lon} {
			if _, said := p.facts.Get(path); !said {
				p.facts.Put(path, fact.Value{Number: v, Origin: fact.Kept})
			}
		}
		if p.text("when.zone") == "" && p.text("when.utc_offset") == "" && site.Zone != "" {
			p.facts.Put("when.zone", fact.Value{Text: site.Zone, Origin: fact.Kept})
		}
	}
	p.here = slices.Clone(p.plan.Notes)
	if m.Ground != nil { // a phone is told of them by whoever keeps them
		p.plan.Notes = append(p.plan.Notes, m.Ground.Notes...)
	}
	p.set("place", p.plan.Place)
	p.set("contact", p.plan.Contact)
}

// clock finds the zone and the date.
func (p *planning) clock(m Message) {
	lon, located := p.facts.Number("where.lon")
	name, offset := p.text("when.zone"), p.text("when.utc_offset")
	var err error
	switch {
	case name != "":
		if p.zone, err = day.Zone(name); err != nil {
			p.notes = append(p.notes, p.say("plan-bad-zone", "zone", name))
		}
	case offset != "":
		p.zone, _ = day.Offset(offset)
	}
	if p.zone == nil && m.Zone != "" {
		p.zone, _ = day.Zone(m.Zone)
		p.away = p.zone != nil
	}
	if p.zone == nil && located {
		p.zone = day.SunZone(units.Degrees(lon))
		p.assume("when.zone", p.zone.String(), p.say("plan-took-zone", "zone", p.zone.String()))
	}
	if p.zone == nil && !m.Now.IsZero() {
		p.zone = m.Now.Location()
	}
	if p.zone == nil {
		p.zone = time.UTC
	} else if p.zone.String() != "" && p.zone != time.UTC && p.zone.String() != "Local" {
		p.plan.Zone = p.zone.String()
	}
	typed := p.text("when.date")
	if typed == "" && !m.Now.IsZero() && p.sunny() {
		d := p.dateOf(m.Now)
		p.fix(d)
		p.assume("when.date", p.plan.Date, p.say("plan-took-today"))
		return
	}
	if typed == "" {
		return
	}
	d, guessed, err := day.Resolve(typed, m.Now, p.zone)
	switch {
	case errors.Is(err, day.ErrNotADay):
		p.notes = append(p.notes, p.say("plan-bad-date", "date", typed))
	case err == nil:
		p.fix(d)
		if guessed {
			p.assume("when.date", p.plan.Date, p.say("plan-took-date"))
		}
	}
}

// fix sets the date.
func (p *planning) fix(d day.Date) {
	p.date, p.dated = d, true
	p.plan.Date = d.On(0, time.UTC).Format(time.DateOnly)
	p.set("date", d.String())
}

func (p *planning) dateOf(t time.Time) day.Date {
	y, m, d := t.In(p.zone).Date()
	return day.Date{Year: y, Month: m, Day: d}
}

// sunny reports whether what was asked depends on where the sun stands.
func (p *planning) sunny() bool {
	for _, path := range []string{"plan.start", "plan.end", "plan.sunset", "when.time", "where.lat"} {
		if _, said := p.facts.Get(path); said {
			return true
		}
	}
	kind := p.text("light.kind")
	return kind == "low-sun" || kind == "dusk"
}

// sunlight finds the sun's course and the moments at which the light changes.
func (p *planning) sunlight() {
	lat, hasLat := p.facts.Number("where.lat")
	lon, hasLon := p.facts.Number("where.lon")
	sunset, known := day.Minutes(p.text("plan.sunset"))
	if !hasLat {
		return
	}
	var err error
	switch {
	case p.dated && hasLon:
		p.course, err = day.New(p.date, p.zone, units.Degrees(lat), units.Degrees(lon))
		p.strange(lon)
	case p.dated && known:
		if p.course, err = day.Known(p.date, units.Degrees(lat), sunset); err == nil {
			p.zone, p.plan.Zone = time.UTC, ""
			p.assume("plan.sunset", p.text("plan.sunset"), p.say("plan-took-sunset"))
		} else if errors.Is(err, sun.ErrAbove) || errors.Is(err, sun.ErrBelow) {
			p.notes, err = append(p.notes, p.say("plan-no-sunset")), nil
		}
	case known:
		p.evenings(units.Degrees(lat), sunset)
		return
	}
	if err != nil {
		p.course = nil
		p.notes = append(p.notes, p.say("plan-bad-sun"))
	}
}

// farClock is how many hours a clock may be off the sun: no country's is more.
const farClock = 3.5

// strange says that the asker's clock is not the place's.
func (p *planning) strange(lon float64) {
	_, offset := p.date.On(12*60, p.zone).Zone()
	off := math.Mod(float64(offset)/3600-lon/15+36, 24) - 12
	if p.away && math.Abs(off) > farClock {
		p.notes = append(p.notes, p.say("plan-far-clock", "zone", p.zone.String(), "n", whole(math.Abs(off))))
	}
}

// evenings tells what a sunset and a latitude say without a date.
func (p *planning) evenings(lat units.Degrees, sunset int) {
	low, dusk, err := day.Evenings(lat)
	if err != nil || low.Most == 0 || dusk.Most == 0 {
		p.plan.Light = p.say("plan-evenings-none")
		return
	}
	n := func(v float64) string { return strconv.Itoa(int(math.Round(v))) }
	at := func(before float64) string {
		return day.Date{Year: 2000, Month: 1, Day: 2}.On(sunset-int(math.Round(before)), time.UTC).Format(clockForm)
	}
	p.plan.Light = p.say("plan-evenings", "low_least", n(low.Least), "low_most", n(low.Most), "earliest", at(low.Most), "latest", at(low.Least), "dusk_least", n(dusk.Least), "dusk_most", n(dusk.Most))
	p.set("sunset", p.text("plan.sunset"))
	p.trait("low-sun", "twilight", "outdoors")
	p.plan.Call = at(low.Most + arriveBefore.Minutes())
	p.notes = append(p.notes, p.say("plan-start", "start", at(low.Most), "call", p.plan.Call))
}

const clockForm = "15:04"

// arriveBefore is how long before the first picture a crew is there. Source:
// trade handbook §1.
const arriveBefore = 45 * time.Minute

// moments tells when the light changes; what lies before the hours that are
// planned is only in the document.
func (p *planning) moments(timed bool) {
	c := p.course
	moment := func(name, hole string, t time.Time, err error) string {
		if err != nil {
			return ""
		}
		t = t.Round(time.Minute)
		p.plan.Sun = append(p.plan.Sun, answer.Moment{Name: name, Time: p.stamp(t)})
		p.set(hole, t.Format(clockForm))
		return t.Format(clockForm)
	}
	var parts []string
	add := func(text string) {
		if text != "" {
			parts = append(parts, text)
		}
	}
	noon, err := c.Noon()
	if err != nil {
		return
	}
	highest, _ := c.At(noon)
	lowest, _ := c.At(noon.Add(12 * time.Hour))
	switch {
	case c.NeverSets():
		p.trait("polar-day")
		add(p.say("plan-polar-day", "lowest", degrees(lowest.Elevation), "highest", degrees(highest.Elevation), "noon", noon.Format(clockForm)))
	case c.NeverRises():
		p.trait("polar-night")
		add(p.say("plan-polar-night", "highest", degrees(highest.Elevation), "noon", noon.Format(clockForm)))
	default:
		t, err := c.Rises(sun.Horizon)
		moment("sunrise", "rise", t, err)
		if !timed || p.from.Before(noon) {
			add(p.say("plan-rise"))
		}
	}
	t, err := c.Sets(day.Overhead)
	moment("overhead-ends", "overhead_ends", t, err)
	if !timed || err == nil && p.from.Before(t) {
		add(p.say("plan-overhead"))
	}
	if low, err := c.LowSun(); err == nil {
		moment("low-sun", "low_sun", low.From, nil)
		moment("sunset", "sunset", low.To, nil)
		add(p.say("plan-low", "minutes", minutes(low), "high", degrees(low.High), "stops", whole(float64(low.Stops))))
	} else if t, err := c.Sets(sun.Horizon); err == nil {
		moment("sunset", "sunset", t, nil)
		add(p.say("plan-set"))
	}
	if dusk, err := c.Twilight(); err == nil {
		moment("twilight-ends", "twilight_ends", dusk.To, nil)
		add(p.say("plan-twilight", "minutes", minutes(dusk), "stops", whole(float64(dusk.Stops))))
	}
	p.plan.Light = sentence(strings.Join(parts, "; "))
}

func minutes(f day.Fall) string      { return whole(f.Minutes()) }
func whole(v float64) string         { return strconv.Itoa(int(math.Round(v))) }
func degrees(d units.Degrees) string { return strings.Replace(whole(float64(d)), "-", "−", 1) + "°" }
func (p *planning) stamp(t time.Time) string {
	if !p.dated {
		return t.Format(clockForm)
	}
	if p.plan.Zone == "" && p.zone == time.UTC && p.text("plan.sunset") != "" {
		return t.Format("2006-01-02T15:04") // a clock of which only its sunset is known
	}
	return t.Format(time.RFC3339)
}

// sentence is a text with a capital and a stop.
func sentence(s string) string {
	if s == "" {
		return ""
	}
	r := []rune(s)
	return strings.ToUpper(string(r[:1])) + string(r[1:]) + "."
}

// longNight is the longest stretch past midnight that is believed.
const longNight = 14 * time.Hour

// hours finds the stretch that is planned: what was said, the light that was
// asked for, or the whole day.
func (p *planning) hours() bool {
	start, started := day.Minutes(cmp.Or(p.text("plan.start"), p.text("when.time")))
	end, ended := day.Minutes(p.text("plan.end"))
	kind := p.text("light.kind")
	date := p.date
	if !p.dated {
		date = day.Date{Year: 2000, Month: time.January, Day: 2} // hours of a day that nobody named
	}
	at := func(height units.Degrees, rises bool) time.Time {
		if p.course == nil {
			return time.Time{}
		}
		crosses := p.course.Sets
		if rises {
			crosses = p.course.Rises
		}
		t, _ := crosses(height)
		return t.Round(time.Minute)
	}
	switch {
	case started:
		p.from = date.On(start, p.zone)
	case ended && p.course != nil && kind == "low-sun":
		p.from = at(sun.LowSun, false)
	case ended:
		p.from = date.On(end, p.zone).Add(-2 * time.Hour)
	case kind == "low-sun":
		p.from = at(sun.LowSun, false)
	case kind == "dusk":
		p.from = at(sun.Horizon, false)
	case p.course != nil && (p.course.NeverSets() || p.course.NeverRises()):
		p.from = date.On(0, p.zone)
	default:
		p.from = at(sun.Horizon, true)
	}
	if p.from.IsZero() {
		return false
	}
	if ended {
		p.to = date.On(end, p.zone)
		if started && end <= start {
			p.to = date.On(end+24*60, p.zone)
			if p.to.Sub(p.from) > longNight { // rather typed the wrong way round
				p.from, p.to = date.On(end, p.zone), date.On(start, p.zone)
				p.assume("plan.start", p.from.Format(clockForm), p.say("plan-took-round", "from", p.from.Format(clockForm), "to", p.to.Format(clockForm)))
			}
		}
	} else {
		switch {
		case kind == "low-sun" && !started:
			p.to = at(sun.Horizon, false)
		case kind == "dusk":
			p.to = at(sun.Civil, false)
		case !started && p.course != nil && (p.course.NeverSets() || p.course.NeverRises()):
			p.to = date.On(24*60, p.zone)
		case !started:
			p.to = at(sun.Civil, false)
			if p.to.IsZero() {
				p.to = at(sun.Horizon, false)
			}
		}
		if !p.to.After(p.from) {
			p.to = p.from.Add(2 * time.Hour)
		}
		p.assume("plan.end", p.to.Format(clockForm), p.say("plan-took-end", "to", p.to.Format(clockForm)))
	}
	if !p.to.After(p.from) {
		return false
	}
	p.parts = []day.Stretch{{From: p.from, To: p.to}}
	for _, more := range strings.Fields(p.text("plan.more")) {
		from, to, _ := strings.Cut(more, "-")
		start, ok1 := day.Minutes(from)
		end, ok2 := day.Minutes(to)
		if !ok1 || !ok2 || !started || !ended {
			continue
		}
		if end <= start {
			end += 24 * 60
		}
		p.parts = append(p.parts, day.Stretch{From: date.On(start, p.zone), To: date.On(end, p.zone)})
	}
	p.parts = day.InOrder(p.parts)
	p.from, p.to = p.parts[0].From, p.parts[len(p.parts)-1].To
	p.set("from", p.from.Format(clockForm))
	p.set("to", p.to.Format(clockForm))
	return true
}

// indoorKinds are lights that the sun does not change.
var indoorKinds = []string{"tungsten", "fluorescent", "led-indoor", "stage", "street-night"}

// slots plans the stretches of the day: the sun in each, the light, and the
// playbook's set-up for it.
func (p *planning) slots() {
	kind := p.text("light.kind")
	indoors := slices.Contains(indoorKinds, kind) && kind != "street-night" || kind == "" && p.facts.Has("hazards", "indoors")
	if indoors {
		p.trait("indoors")
	} else if kind != "" || p.course != nil || p.facts.Has("hazards", "public-place") || p.facts.Has("hazards", "drop") || p.text("venue") != "" || p.facts.Has("limits", "rain") || p.facts.Has("limits", "wind") {
		p.trait("outdoors")
	}
	timed := p.hours()
	if p.course != nil {
		p.moments(timed)
	}
	spots, _ := p.facts.Number("plan.spots")
	if timed && p.to.Sub(p.from) >= 3*time.Hour {
		p.trait("long")
	}
	switch {
	case p.course == nil && (!timed || !indoors):
		p.question(timed)
		p.unseen(indoors)
		return
	case !timed:
		p.ask = "plan-ask-hours"
		p.unseen(indoors)
		return
	}
	var slots []day.Slot
	var err error
	for i, n := range day.Share(int(spots), p.parts) {
		part := p.parts[i]
		some := []day.Slot{{From: part.From, To: part.To}}
		if p.course != nil {
			some, err = p.course.Slots(part.From, part.To, n)
		}
		if err != nil {
			return
		}
		slots = append(slots, some...)
	}
	for i, s := range slots {
		p.slot(i, s, indoors)
	}
}

// question asks for what the sun's course lacks.
func (p *planning) question(timed bool) {
	_, frames := p.facts.Number("plan.frames")
	switch {
	case !timed && !p.sunny() && (frames || p.text("when.date") == ""):
	case !p.dated:
		p.ask = "plan-ask-date"
	default:
		p.ask = "plan-ask-place"
	}
}

// unseen asks the coach once for a day without slots, so that the packing list
// knows what is worked with.
func (p *planning) unseen(indoors bool) {
	facts := p.facts.Clone()
	if k := p.text("light.kind"); !indoors && (k == "low-sun" || k == "dusk") && p.course == nil {
		facts.Drop("light.kind")
	}
	p.ask1(0, facts)
}

func (p *planning) ask1(i int, facts *fact.Set) *answer.Answer {
	b := &answer.Answer{Facts: facts}
	p.light(b, new(Thread), hear.Reading{Facts: facts, Style: p.style}, false)
	if b.Setup == nil || b.Numbers == nil {
		return b
	}
	if i == 0 {
		p.set("title", b.Setup.Title)
		for hole, key := range map[string]string{"distance": "panel_subject_m", "key_side": "key_side_deg"} {
			if text, ok := b.Numbers.Show(key, p.style); ok {
				p.set(hole, text)
			}
		}
	}
	if power, lit := b.Numbers.Get("flash_power"); lit {
		p.power = max(p.power, power)
		p.trait("flash")
	}
	if setup, ok := p.book.Setup(b.Setup.ID); ok {
		for _, need := range setup.Needs {
			if slices.ContainsFunc(need.Kinds, func(k string) bool { return k == "panel" || k == "reflector" || k == "diffuser" }) {
				p.trait("panel")
			}
		}
	}
	return b
}

// slot plans one stretch.
func (p *planning) slot(i int, s day.Slot, indoors bool) {
	facts := p.facts.Clone()
	said := p.text("light.kind")
	overcast := said == "overcast" || p.text("plan.sky") == "overcast"
	height := s.Sun.Elevation
	kind := day.Kind(height, overcast)
	out := answer.Slot{From: p.stamp(s.From), To: p.stamp(s.To), Elevation: hundredth(float64(height)), Azimuth: hundredth(float64(s.Sun.Azimuth))}
	light := ""
	switch {
	case indoors:
		kind = said
	case kind == "street-night":
		p.trait("night", "outdoors")
		p.change(facts, kind)
	default:
		p.trait("outdoors")
		below := units.EV(0) // a roof, a window, leaves: less than open shade
		if kind != "dusk" && slices.Contains([]string{"open-shade", "canopy", "dappled", "window"}, said) {
			kind, below = said, p.usual("open-shade")-p.usual(said)
		}
		ev, spread, err := day.FaceEV(kind, height)
		if err != nil {
			return
		}
		ev -= below
		out.EV100, out.Spread = tenth(float64(ev)), float64(spread)
		p.change(facts, kind)
		facts.Put("light.ev100", fact.Value{Number: out.EV100, Origin: fact.Kept})
		values := []string{"ev", evText(ev), "spread", strconv.FormatFloat(float64(spread), 'f', -1, 64)}
		light = p.say("plan-light-other", values...)
		if kind == "sun" || kind == "low-sun" {
			shade, _, _ := day.FaceEV("open-shade", height)
			cloud, _, _ := day.FaceEV("overcast", height)
			v := tenth(float64(shade))
			out.Shade = &v
			values = append(values, "shade", evText(shade), "cloud", evText(cloud))
			light = p.say("plan-light-sun", values...)
			if p.text("plan.sky") != "clear" {
				light = p.say("plan-light-broken", values...)
			}
		}
		switch {
		case height >= day.Overhead && kind == "sun":
			p.trait("overhead-light")
			if len(facts.Choices("light.from")) == 0 {
				facts.Add("light.from", "overhead", fact.Value{Origin: fact.Kept})
			}
		case kind == "low-sun" || kind == "overcast" && height < sun.LowSun:
			p.trait("low-sun")
		case kind == "dusk":
			p.trait("twilight")
		}
	}
	p.trait("has-slots")
	b := p.ask1(i, facts)
	if b.Numbers != nil && light == "" {
		ev, ok := b.Numbers.Get("ambient_ev100")
		if ok {
			out.EV100, out.Spread = tenth(ev), 1.5 // indoors and street lamps: photometry handbook §2
			light = p.say("plan-light-other", "ev", evText(units.EV(ev)), "spread", "1.5")
		}
		kind = cmp.Or(kind, kindOfLight(b.Env.Facts))
	}
	out.Kind = kind
	phrase := "plan-slot"
	if indoors {
		phrase = "plan-slot-indoors"
	}
	out.Text = p.say(phrase, "from", s.From.Format(clockForm), "to", s.To.Format(clockForm), "height", degrees(height), "azimuth", degrees(s.Sun.Azimuth), "bearing", day.Bearing(s.Sun.Azimuth), "light", light)
	if b.Setup != nil {
		out.Setup, out.SetupID = b.Setup.Title, b.Setup.ID
		if b.Numbers != nil {
			camera, _ := answer.Fill(p.book.Phrase("lead-camera"), b.Numbers, nil, p.style)
			lit, ok := answer.Fill(p.book.Phrase("lead-flash"), b.Numbers, nil, p.style)
			if out.Dials = camera; ok {
				out.Dials += " · " + lit
			}
		}
		out.Text += ": " + out.Setup + "."
	}
	p.plan.Slots = append(p.plan.Slots, out)
}

// change gives a slot's facts the light of its hour.
func (p *planning) change(facts *fact.Set, kind string) {
	facts.Drop("light.kind")
	facts.Put("light.kind", fact.Value{Text: kind, Origin: fact.Kept})
}

// usual is the level that the playbook takes for a kind of light.
func (p *planning) usual(kind string) units.EV {
	facts := &fact.Set{}
	facts.Put("light.kind", fact.Value{Text: kind})
	p.book.Assume(facts, nil)
	ev, _ := facts.Number("light.ev100")
	return units.EV(ev)
}

func evText(ev units.EV) string {
	return strings.Replace(strconv.FormatFloat(math.Round(float64(ev)), 'f', -1, 64), "-", "−", 1)
}

func tenth(v float64) float64     { return math.Round(10*v) / 10 }
func hundredth(v float64) float64 { return math.Round(100*v) / 100 }

// wind reads the forecast that was typed.
func (p *planning) wind() {
	mean, hasMean := p.facts.Number("weather.wind_ms")
	gust, hasGust := p.facts.Number("weather.gust_ms")
	if !hasMean && !hasGust {
		return
	}
	if !hasMean {
		mean = 0
	}
	bare := stand.Sail{Area: bareFlashArea, Drag: stand.FlatDrag}
	sail := stand.Sail{Drag: stand.FlatDrag}
	for _, one := range []struct {
		kinds []string
		house units.Metres
		drag  float64
	}{{[]string{"umbrella"}, houseUmbrella, stand.UmbrellaDrag}, {[]string{"softbox"}, houseSoftbox, stand.FlatDrag}, {[]string{"panel", "reflector", "diffuser"}, housePanel, stand.FlatDrag}} {
		if panel, said := panelOf(p.facts, one.kinds, one.house); said || one.house == housePanel && sail.Area == 0 {
			if panel.Area()*one.drag > sail.Area*sail.Drag {
				sail = stand.Sail{Area: panel.Area(), Drag: one.drag}
			}
		}
	}
	near := true // a crew works among people unless it says otherwise
	w, err := day.Forecast(units.MetresPerSecond(mean), units.MetresPerSecond(gust), houseStand, sail, bare, near)
	if err != nil {
		return
	}
	if !hasGust {
		p.facts.Put("weather.gust_ms", fact.Value{Number: float64(w.Gust), Origin: fact.Assumed})
		p.assume("weather.gust_ms", float64(w.Gust), p.say("plan-took-gust"))
	}
	p.set("gust", p.style.Speed(w.Gust))
	p.set("mean", p.style.Speed(w.Mean))
	p.set("take_down", p.style.Speed(w.TakeDown))
	p.set("ballast", units.Kilograms(math.Ceil(float64(w.Ballast))).String())
	p.set("ballast_bare", units.Kilograms(math.Ceil(float64(w.BallastBare))).String())
}

// batteries budgets the frames.
func (p *planning) batteries() {
	frames, said := p.facts.Number("plan.frames")
	if !said || p.facts.Has("limits", "no-flash") {
		return
	}
	power, _ := p.facts.Number("plan.power")
	phrase := "plan-batteries"
	if sum, several := p.facts.Number("plan.full"); several {
		frames, power, phrase = sum, 1, "plan-batteries-sum"
	}
	if item, ok := p.facts.Item("flash", "strobe"); power == 0 && ok {
		power = item.Power
	}
	if power == 0 && p.power > 0 {
		power = p.power
		p.assume("plan.power", power, p.say("plan-took-power", "power", units.Fraction(power).String()))
	}
	if power == 0 {
		return
	}
	temp, metered := p.facts.Number("weather.temp_c")
	cold := metered && temp < day.ColdCells || !metered && p.facts.Has("limits", "cold")
	cells, err := day.Budget(frames, units.Fraction(power), flash.AssumedFlashes, cold)
	if err != nil {
		return
	}
	coldly := ""
	if cold {
		coldly = p.book.Phrase("plan-batteries-cold")
	}
	text := strings.Replace(p.book.Phrase(phrase), "{cold}", coldly, 1)
	text = filled(text, p.values, "frames", whole(frames), "power", units.Fraction(power).String(), "full", strconv.FormatFloat(tenth(cells.Full), 'f', -1, 64), "sets", counted(cells.Sets, "set"), "per_set", whole(flash.AssumedFlashes), "carry", counted(cells.Sets+1, "set"))
	if have, ok := p.facts.Number("plan.sets"); ok {
		if short := cells.Sets + 1 - int(have); short > 0 {
			text += " " + p.say("plan-batteries-short", "have", counted(int(have), "set"), "short", whole(float64(short)))
			p.plan.Missing = append(p.plan.Missing, fmt.Sprintf("%s of cells", counted(short, "set")))
		} else {
			text += " " + p.say("plan-batteries-enough", "have", counted(int(have), "set"))
		}
	}
	p.plan.Batteries = &answer.Battery{Frames: frames, Power: power, Full: tenth(cells.Full), Sets: cells.Sets, Text: text}
	p.set("full", whole(cells.Full))
	p.set("sets", counted(cells.Sets, "set"))
}

func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}

// lines puts the playbook's lines in their places, and says what of the kit is
// missing.
func (p *planning) lines() {
	kit := p.facts.Kit()
	for _, item := range kit { // what is in the bag is carried and may be used
		switch item.Kind {
		case "flash", "strobe":
			p.trait("flash")
		case "panel", "reflector", "diffuser":
			p.trait("panel")
		}
	}
	if people, ok := p.facts.Number("subject.people"); ok {
		p.set("people", whole(people))
	}
	if spots, ok := p.facts.Number("plan.spots"); ok {
		p.set("spots", whole(spots))
	}
	if call := p.text("plan.call"); call != "" {
		p.plan.Call = call
	} else if _, started := p.facts.Get("plan.start"); !p.from.IsZero() && (started || len(p.plan.Slots) > 0) {
		p.plan.Call = p.from.Add(-arriveBefore).Format(clockForm)
	}
	p.set("call", p.plan.Call)
	for _, item := range kit {
		p.plan.Pack = append(p.plan.Pack, p.item(item))
	}
	var brief []string
	for _, l := range p.book.Planned(rules.Env{Facts: p.facts, Technique: []string{}}) {
		text := filled(l.Say.Value, p.values)
		if text == "" {
			continue
		}
		switch l.Part {
		case "pack":
			p.pack(l, text)
		case "wind":
			p.plan.Wind = append(p.plan.Wind, text)
		case "rain":
			p.plan.Rain = append(p.plan.Rain, text)
		case "before":
			p.plan.Before = append(p.plan.Before, text)
		case "note":
			p.plan.Notes = append(p.plan.Notes, text)
		case "brief":
			brief = append(brief, text)
		}
	}
	p.plan.Brief = strings.Join(brief, " ")
}

// pack takes a thing along that the kit has, or that a kit list has no word
// for; one that the kit lacks is missing as well.
func (p *planning) pack(l *rules.PlanLine, text string) {
	have := 0
	for _, kind := range l.Kit {
		have += p.facts.Count(kind)
	}
	if have > 0 && have >= l.Count {
		return // it is packed under its own name
	}
	p.plan.Pack = append(p.plan.Pack, text)
	if len(l.Kit) > 0 && len(p.facts.Kit()) > 0 {
		p.plan.Missing = append(p.plan.Missing, text)
	}
}

// item is a piece of kit in words.
func (p *planning) item(item fact.Item) string {
	name := strings.ReplaceAll(item.Kind, "-", " ")
	if item.Gel != "" {
		name = strings.ReplaceAll(item.Gel, "-", " ") + " gel"
	}
	if item.SizeM > 0 {
		name = p.style.Metres(units.Metres(item.SizeM)) + " " + name
	}
	if item.Count > 1 {
		return strconv.Itoa(item.Count) + " × " + name
	}
	return name
}

// raise shows the cautions of what was said.
func (p *planning) raise() {
	p.a.Raised = p.book.Raise(rules.Env{Facts: p.a.Facts})
	p.a.Safety = cautions(p.a.Raised, nil, hear.Reading{Style: p.style})
}

// Bounds of what a phone is told; the document has all.
const (
	mostSlotLines = 4
	mostPacked    = 170 // characters of a list
)

// tell writes the phone's lines.
func (p *planning) tell() {
	title := []string{cmp.Or(p.say("plan-title"), p.book.Phrase("plan-undated"))}
	if text := p.say("plan-at"); text != "" {
		title = append(title, text)
	}
	for _, part := range p.parts {
		title = append(title, p.say("plan-hours", "from", part.From.Format(clockForm), "to", part.To.Format(clockForm)))
	}
	if p.plan.Zone != "" && p.course != nil {
		title = append(title, p.say("plan-clock", "zone", p.plan.Zone))
	}
	p.plan.Title = strings.Join(title, ", ")
	p.a.Headline = p.plan.Title
	var lines []string
	add := func(text string) {
		if text != "" {
			lines = append(lines, text)
		}
	}
	joined := func(id string, texts []string) string {
		if len(texts) == 0 {
			return ""
		}
		return p.say(id, "lines", strings.Join(texts, " "), "items", strings.Join(texts, "; "))
	}
	add(p.plan.Title)
	lines = append(lines, p.notes...)
	if p.script && p.plan.Brief != "" {
		add(p.say("plan-brief", "brief", p.plan.Brief))
		p.a.Compose(p.book.Phrase, p.style, lines...)
		return
	}
	add(p.plan.Light)
	for i, s := range p.plan.Slots {
		if i == mostSlotLines {
			add(p.say("plan-more-slots", "n", strconv.Itoa(len(p.plan.Slots)-i)))
			break
		}
		add(s.Text)
	}
	if b := p.plan.Batteries; b != nil {
		add(b.Text)
	}
	if _, started := p.facts.Get("plan.start"); started || len(p.plan.Slots) > 0 {
		add(strings.TrimSpace(p.say("plan-call") + " " + p.say("plan-contact")))
	} else {
		add(p.say("plan-contact"))
	}
	if p.values["gust"] != "" {
		add(joined("plan-wind", p.plan.Wind[:min(1, len(p.plan.Wind))]))
	} else if p.facts.Has("limits", "wind") {
		add(joined("plan-wind-unsaid", p.plan.Wind))
	}
	add(joined("plan-missing", shortened(p.plan.Missing, mostPacked)))
	add(joined("plan-pack", shortened(p.plan.Pack, mostPacked)))
	add(joined("plan-note", shortened(p.here, mostPacked)))
	if p.facts.Has("limits", "rain") {
		add(joined("plan-rain", p.plan.Rain))
	}
	if p.ask != "" {
		p.a.AskBack = p.book.Phrase(p.ask)
	} else if len(p.facts.Kit()) == 0 && !p.facts.Denied("kit") {
		row, _ := fact.Lookup("kit")
		p.a.AskBack = row.Ask
	}
	p.a.Compose(p.book.Phrase, p.style, lines...)
}

// shortened keeps as many texts as fit on a line.
func shortened(texts []string, width int) []string {
	used := 0
	for i, t := range texts {
		if used += len([]rune(t)) + 2; used > width {
			return append(slices.Clone(texts[:i]), "…")
		}
	}
	return texts
}
