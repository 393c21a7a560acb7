package bot

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"panelhand/bot/answer"
	"panelhand/bot/hear"
	"panelhand/calc/sun"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// question answers a direct question with a number and reports whether the
// message asked one. last is the state of the thread's set-up, nil where there
// is none. A message that describes light and holds numbers stays a set-up unless
// it asks in so many words and holds all that the number takes.
func (c *Coach) question(a *answer.Answer, reading hear.Reading, facts *fact.Set, last *answer.Numbers) bool {
	if len(reading.Asked) == 0 || asksOther(reading) {
		return false
	}
	k := &known{coach: c, said: reading.Facts, facts: facts, last: last, says: reading.Says}
	best, lacking := c.choose(reading, k)
	switch {
	case best != nil && (best.answers(reading) || last != nil && best.alone(reading)):
		a.Kind = answer.KindNumber
		c.tellNumber(a, reading, best)
	case lacking != nil && ahead(reading.Facts) && !lacking.told["lat"]: // of the day, and a plan tells more
		return false
	case lacking != nil && (reading.Asking || last != nil && len(reading.Measures) == 0 && lacking.alone(reading) || lacking.ofADay(reading.Facts)) && lacking.ask.Points >= plainly && (len(lacking.told) > 0 || !lightBeside(reading.Facts, lacking.ask.Span)) && !lit(reading.Facts) && !reading.Facts.Has("ask", "permission") && !termAsked(reading):
		a.Kind, a.AskBack, a.Headline = answer.KindNumber, lacking.missing.Ask, lacking.missing.Ask
		c.cautionsAt(a, reading)
		a.Compose(c.book.Phrase, reading.Style, append(reading.Notes, c.book.Phrase("one-more"))...)
	default:
		return false
	}
	return true
}

// beside adds the number that a message asks for to an answer of another kind.
// One that stops the plan loses nothing by it: the sum hurts nobody, and says how
// far off safe the plan is. last is the set-up that it is asked of; nil for none.
func (c *Coach) beside(a *answer.Answer, reading hear.Reading, facts *fact.Set, last *answer.Numbers) {
	best, _ := c.choose(reading, &known{coach: c, said: reading.Facts, facts: facts, last: last, says: reading.Says})
	if best == nil || last == nil && !best.own() || best.ask.Points < plainly || !best.answers(reading) {
		return
	}
	stop := a.Sections
	headline := a.Headline
	c.tellNumber(a, reading, best)
	a.Sections = append(stop, answer.Section{Part: answer.Prose, Lines: []string{a.Headline}})
	a.Headline = headline
}

// plainly is how much a question's words must say to be one without a question
// mark or a question word: two words, or one that is asked for.
const plainly = 8

// answers reports whether a way that has all its numbers is what the message
// is after. Words that say it plainly do, and so does a sum that takes every number
// of the message. What is wanted of a picture outweighs words that only name a quantity.
func (b *bound) answers(reading hear.Reading) bool {
	if pictures(reading.Facts, b.ask.Span) {
		return b.own() && reading.Asking && b.ask.Points >= plainly
	}
	switch whole := len(b.told) > 1 && b.unused == 0; {
	case termAsked(reading) && len(b.way.With) == 0:
		return false
	case b.inScene(reading):
		return false
	case reading.Facts.Has("ask", "permission") && !whole:
		return false
	case b.own() && b.ask.Points >= plainly:
		return true
	case b.own():
		return len(b.told) > 0 && !gear(reading.Facts) || whole && (reading.Asking || !wishes(reading.Facts))
	}
	return reading.Asking && b.ask.Span.End-b.ask.Span.Start > 1 // a question mark alone asks for no number of the thread's
}

// alone reports whether a message in a talk is nothing but the question, with all
// the numbers that it names used: "max range at f8", "dof". A quantity with a number
// of its own is a dial that is turned, and leaves that number over: "iso 200".
func (b *bound) alone(reading hear.Reading) bool {
	said := reading.Facts
	return b.unused == 0 && !reading.LeftBeside(b.ask.Span) && !pictures(said, b.ask.Span) && !lightBeside(said, b.ask.Span) && !gear(said) &&
		len(said.Choices("turn")) == 0 && !said.Has("ask", "permission") && !termAsked(reading) && b.ask.Span.End-b.ask.Span.Start > 1
}

// ofADay reports whether a question about the sun names a date and nobody to
// photograph: "sunset in lisbon 3 march" asks, question mark or not.
func (b *bound) ofADay(said *fact.Set) bool {
	_, dated := said.Get("when.date")
	_, people := said.Get("subject.people")
	return b.missing.Kind == "latitude" && dated && !people
}

// lightBeside reports whether a message names light or place outside the words
// that ask: "when does the sun go" names none.
func lightBeside(said *fact.Set, asked fact.Span) bool {
	beside := func(v fact.Value) bool { return v.Span.Start < asked.Start || v.Span.End > asked.End }
	for _, row := range fact.Table {
		if !strings.HasPrefix(row.Path, "light.") {
			continue
		}
		if v, ok := said.Get(row.Path); ok && beside(v) {
			return true
		}
		for _, choice := range said.Choices(row.Path) {
			if v, _ := said.ChoiceValue(row.Path, choice); beside(v) {
				return true
			}
		}
	}
	return false
}

// inScene reports whether a quantity is only named in a scene and what to
// light it with. A message that begins by asking for what goes on the lens is none:
// "nd for f1.8 in sun".
func (b *bound) inScene(reading hear.Reading) bool {
	if _, kind := reading.Facts.Get("light.kind"); !kind || len(reading.Facts.Kit()) == 0 {
		return false
	}
	if reading.Asking {
		return gear(reading.Facts) && b.ask.Points < plainly
	}
	return b.ask.Span.Start > 0 || lamps(reading.Facts)
}

// termAsked reports whether a message without a number asks what a word means.
func termAsked(reading hear.Reading) bool {
	return reading.Facts.Has("ask", "meaning") && len(reading.Measures) == 0 && len(reading.Facts.Choices("turn")) == 0
}

// pictures reports whether a message says how a picture is to look, in words
// outside those that ask the question: "motion blur" is no wish there.
func pictures(said *fact.Set, asked fact.Span) bool {
	for _, list := range []string{"wants", "faults"} {
		for _, choice := range said.Choices(list) {
			if v, _ := said.ChoiceValue(list, choice); v.Span.Start < asked.Start || v.Span.End > asked.End {
				return true
			}
		}
	}
	_, look := said.Get("look")
	return look
}

// lit reports whether a message has enough in it to light a picture by: then
// a set-up, with all its numbers, serves better than a question back.
func lit(said *fact.Set) bool {
	_, kind := said.Get("light.kind")
	return gear(said) || kind && len(said.Kit()) > 0 || len(said.Choices("wants")) > 0 || len(said.Choices("faults")) > 0
}

// lamps reports whether a message names kit that makes or shapes light: more
// than what goes on the lens.
func lamps(said *fact.Set) bool {
	return slices.ContainsFunc(said.Kit(), func(i fact.Item) bool { return i.Kind != "nd-filter" && i.Kind != "polarizer" && i.Kind != "meter" })
}

// gear reports whether a message names kit to build with.
func gear(said *fact.Set) bool {
	_, ok := said.Item("panel", "reflector", "diffuser", "umbrella", "softbox", "led", "stand")
	return ok
}

// asksOther reports whether a message asks for what is no number: why, a
// meaning, a drill, the record.
func asksOther(reading hear.Reading) bool {
	for _, other := range []string{"why", "cost", "drill", "save", "list", "recall", "forget", "script"} {
		if reading.Facts.Has("ask", other) && (other != "cost" || len(reading.Measures) == 0) { // "1/125 to 1/15, how many stops is that"
			return true
		}
	}
	if reading.Facts.Has("ask", "meaning") && !figures(reading.Measures) && reading.Content <= 5 {
		return true
	}
	return reading.Says("explain", "define", "meaning", "definition", "mean", "means") && reading.Facts.Has("ask", "meaning") && len(reading.Measures) < 2
}

// figures reports whether a number is written in digits: "what is a stop" has
// none.
func figures(all []hear.Measure) bool {
	return slices.ContainsFunc(all, func(m hear.Measure) bool { return strings.ContainsAny(m.Text, "0123456789") })
}

// choose finds the way that answers best, and, where none has all it takes,
// the one that lacks least.
func (c *Coach) choose(reading hear.Reading, k *known) (best, lacking *bound) {
	amounts := inOrder(reading.Measures)
	for i := range c.book.Questions {
		q := &c.book.Questions[i]
		ask, asked := reading.Asked[q.ID]
		if !asked {
			continue
		}
		for j := range q.Ways {
			w := &q.Ways[j]
			if len(w.With) > 0 && !reading.Says(w.With...) || len(w.Not) > 0 && reading.Says(w.Not...) {
				continue
			}
			b := bind(q, w, amounts, k)
			b.ask = ask
			b.points += ask.Points
			if len(w.With) > 0 {
				b.points += withPoints
			}
			switch {
			case b.missing == nil && (best == nil || b.points > best.points):
				best = b
			case b.missing != nil && (lacking == nil || b.points > lacking.points):
				lacking = b
			}
		}
	}
	return best, lacking
}

// tellNumber writes the answer: the number in words, how it was reckoned, and
// what was taken for what nobody said.
func (c *Coach) tellNumber(a *answer.Answer, reading hear.Reading, b *bound) {
	reading.Style = reading.Style.With(unitAsked(reading))
	if typed := lengths(reading.Measures); len(typed) == 1 && typed[0].Unit != "" && unitAsked(reading) == "" {
		reading.Style.Length = typed[0].Unit
	}
	a.Question = b.question.ID
	a.Assumed = b.assumed
	value, err := c.book.Compute(b.way, b.inputs)
	for i := range b.way.Also {
		also := &b.way.Also[i]
		if v, bad := c.book.Otherwise(also, b.inputs); err == nil && bad == nil {
			b.also[also.Name] = v
		} else {
			err = cmp.Or(err, bad)
		}
	}
	result := &answer.Result{Name: b.question.Result, Unit: rules.Results[b.question.Result]}
	lines := append([]string(nil), reading.Notes...)
	if err != nil {
		result.Text = cmp.Or(c.allDay(b.question.ID, err), reason(err))
		a.Headline = sentenceOf(result.Text)
		lines = append([]string{a.Headline}, lines...)
	} else {
		result.Text = tellResult(result.Name, value, reading.Style, b.zone, strings.Contains(b.way.Tell.Value, "{more}"))
		if result.Name != "gel" && result.Name != "time" {
			result.Value = &value
		}
		told := result.Text
		if result.Name == "time" { // the document has it in full
			told = b.clock(value)
		}
		a.Headline = b.fill(b.way.Tell.Value, told, value, reading.Style)
		how := b.working(value, result.Unit, reading.Style)
		a.Working = how
		lines = append([]string{a.Headline}, lines...)
		if note := b.way.Note.Value; note != "" {
			lines = append(lines, b.fill(note, result.Text, value, reading.Style))
		}
		if formulas := b.way.Formulas(); len(formulas) == 1 && len(formulas[0].Written) <= shortFormula {
			lines = append(lines, formulas[0].Written)
		}
	}
	a.Result = result
	if a.Safety == nil {
		c.cautionsAt(a, reading)
	}
	a.Compose(c.book.Phrase, reading.Style, lines...)
}

// allDay says of a height that the sun does not cross that day what it means
// for what was asked; "" for another reason.
func (c *Coach) allDay(question string, err error) string {
	switch { // of a formula only the words are left
	case strings.HasSuffix(err.Error(), sun.ErrAbove.Error()):
		return c.book.Phrase(question + "-above")
	case strings.HasSuffix(err.Error(), sun.ErrBelow.Error()):
		return c.book.Phrase(question + "-below")
	}
	return ""
}

// clock is a moment as people read it: hours and minutes, by which clock, and the
// date where it is not that of the day asked about.
func (b *bound) clock(value float64) string {
	t := time.Unix(int64(math.Round(value)), 0).In(b.zone).Round(time.Minute)
	text := t.Format(clockForm)
	if day, asked := b.inputs["day"]; asked && t.Format(time.DateOnly) != time.Unix(int64(day), 0).In(b.zone).Format(time.DateOnly) {
		text += t.Format(" on 2 Jan 2006")
	}
	zone := b.zone.String()
	if zone == "" {
		zone = "UTC" + t.Format("-07:00")
	}
	return text + " (" + zone + ")"
}

// shortFormula is how long a formula may be, in bytes, to be a line on a
// phone; --full and JSON have all of them, with their numbers.
const shortFormula = 32

// lengths are the amounts of a message that are lengths.
func lengths(all []hear.Measure) []hear.Measure {
	return slices.DeleteFunc(slices.Clone(all), func(m hear.Measure) bool { return m.Kind != "length" })
}

// andThen are the words that a message may have besides its numbers to ask the
// last question again.
var andThen = []string{"and", "or", "at", "what", "about", "how", "for", "with", "if", "on", "then", "now", "to", "same", "a"}

// asksOn takes numbers alone, after a number, as the same question of other
// numbers: "and at f4", "50 mm?". Where no set-up stands, the name of a quantity
// asks for it of what was said: "hyperfocal for that".
func (t *Thread) asksOn(reading *hear.Reading, text string) {
	if t.asked == "" {
		return
	}
	if len(reading.Measures) == 0 {
		reading.Asking = reading.Asking || t.standing() == nil && len(reading.Asked) > 0 && len(reading.Leftover) == 0
		return
	}
	rest, end := "", 0
	for _, m := range reading.Measures {
		if m.Span.Start >= end {
			rest, end = rest+text[end:m.Span.Start]+" ", m.Span.End
		}
	}
	rest += text[end:]
	words := strings.FieldsFunc(strings.ToLower(rest), func(r rune) bool { return !unicode.IsLetter(r) })
	if slices.ContainsFunc(words, func(w string) bool { return !slices.Contains(andThen, w) }) {
		return
	}
	if t.standing() != nil && len(words) == 0 && !strings.Contains(rest, "?") { // a dial that is turned
		return
	}
	reading.Asked = map[string]hear.Ask{t.asked: {Points: plainly, Span: fact.Span{End: len(text)}}}
	reading.Asking = true
}

// unitAsked is the unit of length that a message wants an answer in, as "in
// feet" does; empty where it names none.
func unitAsked(reading hear.Reading) string {
	for _, unit := range []string{"feet", "ft", "inches", "metres", "meters", "cm", "centimetres"} {
		if reading.Says(unit) {
			return unit
		}
	}
	return ""
}

// cautionsAt raises what the message's own words call for; a number does not
// make anything safe.
func (c *Coach) cautionsAt(a *answer.Answer, reading hear.Reading) {
	raised := c.book.Raise(rules.Env{Facts: a.Facts, Technique: []string{}})
	a.Raised, a.Safety = raised, cautions(raised, nil, reading)
}

// fill puts a way's numbers into its sentence.
func (b *bound) fill(text, result string, value float64, style units.Style) string {
	var out strings.Builder
	for {
		before, rest, holed := strings.Cut(text, "{")
		out.WriteString(before)
		if !holed {
			break
		}
		name, after, _ := strings.Cut(rest, "}")
		switch name {
		case "value", "more":
			out.WriteString(result)
		case "spare":
			out.WriteString(spare(value))
		default:
			out.WriteString(b.print(name, style))
		}
		text = after
	}
	return sentenceOf(out.String())
}

// print writes one input of the way as its kind is written.
func (b *bound) print(name string, style units.Style) string {
	for i := range b.way.From {
		if in := &b.way.From[i]; in.Name == name {
			return printKind(in.Kind, b.inputs[name], style)
		}
	}
	for i := range b.way.Also {
		if also := &b.way.Also[i]; also.Name == name {
			return printFound(also.Kind, b.also[name], style)
		}
	}
	return ""
}

// working is each formula as people write it, with the numbers put in.
func (b *bound) working(value float64, unit string, style units.Style) []answer.Working {
	var parts []string
	for i := range b.way.From {
		in := &b.way.From[i]
		if v, ok := b.inputs[in.Name]; ok {
			parts = append(parts, printNamed(in, v, style))
		}
	}
	with := strings.Join(parts, ", ")
	formulas := b.way.Formulas()
	if len(formulas) == 0 {
		return []answer.Working{{Name: b.question.Result, Formula: joinWith(written.Replace(b.way.Gives.Value), with), Value: sig(value), Unit: unit, Source: b.way.Source}}
	}
	var out []answer.Working
	for i, f := range formulas {
		w := answer.Working{Name: f.Name, Formula: f.Written, Value: sig(value), Unit: unit, Source: f.Source}
		if i == 0 {
			w.Name, w.Formula = b.question.Result, joinWith(f.Written, with)
		}
		out = append(out, w)
	}
	return out
}

// written makes an expression of a rule file one that people write.
var written = strings.NewReplacer(" ** ", "^", " * ", "·", " / ", "/", "0 - ", "−", " - ", " − ", "_", " ")

func joinWith(formula, with string) string {
	if with == "" {
		return formula
	}
	return formula + " with " + with
}

// reason is a formula's refusal as a calm sentence: without its name.
func reason(err error) string {
	var outside *units.RangeError
	if errors.As(err, &outside) {
		return outside.Error()
	}
	text := err.Error()
	if _, rest, named := strings.Cut(text, ": "); named {
		text = rest
	}
	return text
}

func sentenceOf(s string) string {
	if s == "" {
		return s
	}
	if !strings.HasSuffix(s, ".") && !strings.HasSuffix(s, "?") {
		s += "."
	}
	if strings.HasPrefix(s, "f/") {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func plainNumber(v float64, digits int) string {
	if math.Abs(v) >= 1e6 || v != 0 && math.Abs(v) < 1e-4 {
		return strconv.FormatFloat(v, 'g', digits, 64)
	}
	places := digits
	if v != 0 {
		places = max(0, digits-1-int(math.Floor(math.Log10(math.Abs(v)))))
	}
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return strings.Replace(s, "-", "−", 1)
}
