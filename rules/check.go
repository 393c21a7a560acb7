package rules

import (
	"io/fs"
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// Check reads the whole book against itself: every condition compiled, every
// choice known, every id said once, every hole named, every rule with a case that
// raises it and one that does not. It returns what it found, sorted, with source
// lines. files is what the book was loaded from.
func (b *Book) Check(files fs.FS) []source.Problem {
	c := bookCheck{book: b}
	c.conditions()
	c.ids()
	c.setups()
	c.adjustments()
	c.signs()
	c.tradeoffs()
	c.planLines()
	c.cautions()
	c.words()
	c.looks()
	c.questions()
	c.cases(files)
	c.drills(files)
	c.training()
	c.beaten()
	c.unread()
	if _, laid := files.(layers); laid { // the house is checked by itself
		c.problems = slices.DeleteFunc(c.problems, func(p source.Problem) bool { return ofHouse(p.File) })
	}
	return quoted(c.problems, files)
}

type bookCheck struct {
	book     *Book
	problems []source.Problem
}

func (c *bookCheck) fail(at source.Pos, code, format string, args ...any) {
	c.problems = append(c.problems, source.Errorf(at, code, format, args...))
}

func (c *bookCheck) warn(at source.Pos, code, format string, args ...any) {
	p := source.Errorf(at, code, format, args...)
	p.Warning = true
	c.problems = append(c.problems, p)
}

// near adds the nearest name to the problem told last.
func (c *bookCheck) near(name string, names []string) {
	c.problems[len(c.problems)-1].Nearest = source.Nearest(name, names)
}

// conditions compiles every expression and tells the first mistake of each.
func (c *bookCheck) conditions() {
	tell := func(l *Line) {
		if l.program == nil || !l.Text.InLine { // told when it was read
			return
		}
		if p := c.book.programs.ready(l.program); len(p.wrong) > 0 {
			w := p.wrong[0]
			c.fail(l.Text.Pos.Right(w.column), w.code, "%s", w.message)
			c.problems[len(c.problems)-1].Nearest = w.nearest
		}
	}
	for _, l := range c.book.Lines() {
		tell(l)
	}
	for f := range c.book.formulas() {
		tell(f)
	}
	c.book.drillLines(tell)
}

// ids tells names said twice.
func (c *bookCheck) ids() {
	b := c.book
	seen := map[string]source.Pos{}
	once := func(kind, id string, at source.Pos) {
		if id == "" {
			return
		}
		space := kind
		if kind == "sign" || kind == "trade-off" || kind == "adjustment" || kind == "line" { // cases call them by the bare name, as they do set-ups
			space = "setup"
		}
		if first, twice := seen[space+" "+id]; twice {
			c.fail(at, "duplicate-id", "%s %s stands already at %s", kind, id, first)
			return
		}
		seen[space+" "+id] = at
		if !plainID.MatchString(id) {
			c.fail(at, "wrong-kind", "%q: a name has small letters, digits and hyphens", id)
		}
	}
	for _, x := range b.Words {
		once("word", x.ID, x.Pos)
	}
	for _, x := range b.Setups {
		once("setup", x.ID, x.Pos)
	}
	for _, x := range b.Adjustments {
		once("adjustment", x.ID, x.Pos)
	}
	for _, x := range b.Signs {
		once("sign", x.ID, x.Pos)
	}
	for _, x := range b.Tradeoffs {
		once("trade-off", x.ID, x.Pos)
	}
	for _, x := range b.PlanLines {
		once("line", x.ID, x.Pos)
	}
	for _, x := range b.Sites {
		once("place", x.ID, x.Pos)
	}
	for _, x := range b.Cautions {
		once("caution", x.ID, x.Pos)
	}
	for _, x := range b.Looks {
		once("look", x.ID, x.Pos)
	}
	for _, x := range b.Shifts {
		once("shift", x.ID, x.Pos)
	}
	for _, x := range b.Terms {
		once("term", x.ID, x.Pos)
	}
	for _, x := range b.Phrases {
		once("phrase", x.ID, x.Pos)
	}
	for _, x := range b.Drills {
		once("drill", x.ID, x.Pos)
	}
	for _, x := range b.Cards {
		once("card", x.ID, x.Pos)
	}
	for _, x := range b.Questions {
		once("question", x.ID, x.Pos)
	}
}

var plainID = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// Lengths in runes that keep the whole answer on a phone's screen.
const (
	maxTitle = 60
	maxFirst = 90
	maxLine  = 110

	maxTradeoff = 150 // a wish, a limit and what to do are two sentences
)

func (c *bookCheck) setups() {
	for i := range c.book.Setups {
		s := &c.book.Setups[i]
		if s.Key != nil && s.Key.Light != "" {
			c.lit(s)
		}
		if len(s.Technique) == 0 {
			c.fail(s.Pos, "missing-key", "technique names what the light is made of, the key first")
		}
		if len(s.When) == 0 {
			c.fail(s.Pos, "missing-key", "%s has no condition, so it would fit every message; add when", s.ID)
		}
		names := make([]string, 0, len(NumberKeys)+len(s.Geometry))
		for _, m := range s.Geometry {
			names = append(names, m.Name)
		}
		names = append(names, NumberKeys...)
		for _, text := range s.Texts() {
			c.holes(text, names)
		}
		c.short(s.Title, maxTitle)
		c.short(s.First, maxFirst)
		for _, lines := range [][]source.Text{s.Place, s.Helper, s.Check} {
			for _, line := range lines {
				c.short(line, maxLine)
			}
			if len(lines) > 2 {
				c.warn(lines[2].Pos, "too-long", "more than two lines do not fit a phone")
			}
		}
		if s.Hands > 0 && len(s.Helper) == 0 {
			c.fail(s.Pos, "missing-key", "%s needs a helper and has no words for one; add helper", s.ID)
		}
	}
}

// lit asks a set-up with a light of its own for what its numbers are computed
// from.
func (c *bookCheck) lit(s *Setup) {
	key := s.Key
	if s.Camera == nil || s.Camera.Aperture <= 0 {
		c.fail(key.Pos, "no-camera-numbers", "%s is lit and does not say where the search for depth starts; add camera: {aperture: …}", s.ID)
	}
	var missing []string
	if key.Side == nil {
		missing = append(missing, "side")
	}
	if key.Up == nil {
		missing = append(missing, "up")
	}
	if key.Distance == nil {
		missing = append(missing, "distance")
	}
	if len(missing) > 0 {
		c.fail(key.Pos, "no-geometry", "%s is lit and its key has no %s", s.ID, strings.Join(missing, ", no "))
	}
}

var hole = regexp.MustCompile(`\{([^{}]*)\}`)

// holes tells a hole that names nothing.
func (c *bookCheck) holes(text source.Text, names []string) {
	for _, m := range hole.FindAllStringSubmatchIndex(text.Value, -1) {
		name := text.Value[m[2]:m[3]]
		if slices.Contains(names, name) {
			continue
		}
		at := text.Pos
		if text.InLine {
			at = at.Right(utf8.RuneCountInString(text.Value[:m[0]]))
		}
		c.fail(at, "unknown-hole", "{%s} names no number of the answer and no geometry of this rule", name)
		c.near(name, names)
	}
	if rest := hole.ReplaceAllString(text.Value, ""); strings.ContainsAny(rest, "{}") {
		c.fail(text.Pos, "unknown-hole", "a brace that opens or closes no hole")
	}
}

func (c *bookCheck) short(text source.Text, most int) {
	if n := utf8.RuneCountInString(text.Value); n > most {
		c.warn(text.Pos, "too-long", "%d characters; at most %d fit a phone's line", n, most)
	}
}

// adjustments checks holes and lengths, and that something follows where the
// face would not stay.
func (c *bookCheck) adjustments() {
	for i := range c.book.Adjustments {
		a := &c.book.Adjustments[i]
		for _, text := range a.Texts() {
			c.holes(text, NumberKeys)
			c.short(text, maxLine)
		}
		if len(a.Answers) == 0 {
			c.fail(a.Pos, "missing-key", "%s answers nothing, so it is never asked for", a.ID)
		}
	}
}

// signs checks holes and lengths: what is seen, why, and the cheapest remedy
// stand on one line of a phone.
func (c *bookCheck) signs() {
	bare := map[string]bool{}
	for i := range c.book.Signs {
		s := &c.book.Signs[i]
		if bare[s.Fault] {
			c.fail(s.Pos, "never-seen", "a sign of %s without conditions stands before %s, which is never reached", s.Fault, s.ID)
		}
		bare[s.Fault] = bare[s.Fault] || len(s.When) == 0
		c.holes(s.See, nil)
		c.holes(s.Cause, nil)
		for _, r := range s.Remedies() {
			c.holes(r.Say, NumberKeys)
			c.short(r.Say, maxLine)
		}
		if n := utf8.RuneCountInString(s.See.Value + s.Cause.Value); n > maxFirst {
			c.warn(s.Cause.Pos, "too-long", "%d characters of what is seen and why; at most %d leave room for a remedy", n, maxFirst)
		}
	}
	for i := range c.book.Signs {
		if s := &c.book.Signs[i]; !bare[s.Fault] {
			c.fail(s.Pos, "no-last-sign", "every sign of %s has conditions, so none may hold; end with one that has none", s.Fault)
			bare[s.Fault] = true
		}
	}
}

func (c *bookCheck) tradeoffs() {
	for i := range c.book.Tradeoffs {
		t := &c.book.Tradeoffs[i]
		var names []string
		for _, a := range t.With {
			if slices.Contains(NumberKeys, a.Name) {
				c.fail(a.Pos, "duplicate-id", "%s is a number that the answer computes; name this one otherwise", a.Name)
			}
			if !strings.Contains(t.Say.Value, "{"+a.Name+"}") {
				c.fail(a.Pos, "unread-amount", "say does not name {%s}", a.Name)
			}
			names = append(names, a.Name)
		}
		c.holes(t.Say, append(names, NumberKeys...))
		c.short(t.Say, maxTradeoff)
		if len(t.When) == 0 {
			c.fail(t.Pos, "missing-key", "%s has no condition, so it would be told with every answer; add when", t.ID)
		}
	}
}

func (c *bookCheck) cautions() {
	for i := range c.book.Cautions {
		x := &c.book.Cautions[i]
		for _, text := range x.Texts() {
			c.holes(text, NumberKeys)
		}
		c.short(x.Text, maxLine)
	}
	for i := range c.book.Defaults {
		c.holes(c.book.Defaults[i].Say, []string{"value"})
	}
}

// tellings are the holes for a question's result: as its name is told, as more
// or less light, as light to spare or short.
var tellings = []string{"value", "more", "spare"}

// maxNote fits two lines of a phone.
const maxNote = 150

// questions checks that a way's sentence names its own numbers and tells the
// result, and that its numbers are read.
func (c *bookCheck) questions() {
	for i := range c.book.Questions {
		q := &c.book.Questions[i]
		if len(q.Ways) == 0 {
			c.fail(q.Pos, "missing-key", "%s has no way to compute it", q.ID)
		}
		for j := range q.Ways {
			w := &q.Ways[j]
			names := w.From.names()
			names = append(names, w.Also.names()...)
			c.holes(w.Tell, append(names, tellings...))
			c.holes(w.Note, names)
			c.short(w.Note, maxNote)
			if !slices.ContainsFunc(tellings, func(hole string) bool { return strings.Contains(w.Tell.Value, "{"+hole+"}") }) {
				c.fail(w.Tell.Pos, "unknown-hole", "tell does not tell the result: name {value}")
			}
			if len(w.Formulas()) == 0 && w.Source == "" {
				c.fail(w.Pos, "missing-key", "no formula of the table is called, so source must say where this comes from")
			}
		}
	}
}

// words tells a phrase that means two things. Two words may share a phrase
// where guards tell them apart, where one means nothing and is there to hide
// shorter ones, and where one names a danger or the kind of answer: those are heard
// beside what the message is about.
func (c *bookCheck) words() {
	type owner struct {
		word  *Word
		means string
	}
	byManner := map[bool]map[string]owner{true: {}, false: {}}
	for i := range c.book.Words {
		w := &c.book.Words[i]
		if len(w.NotBefore)+len(w.NotAfter)+len(w.OnlyBefore)+len(w.OnlyAfter) > 0 || len(w.Means) == 0 {
			continue
		}
		owners := byManner[slices.ContainsFunc(w.Means, func(m Meaning) bool {
			return m.Path == "hazards" || m.Path == "ask" || m.Path == "term" || m.Path == "turn"
		})]
		means := meaning(w.Means)
		for _, phrase := range w.Say {
			phrase = strings.ToLower(strings.Join(strings.Fields(phrase), " "))
			first, taken := owners[phrase]
			switch {
			case !taken:
				owners[phrase] = owner{w, means}
			case first.means != means:
				c.fail(w.Pos, "two-meanings", "%q means one thing in %s and another in %s (%s)", phrase, w.ID, first.word.ID, first.word.Pos)
			}
		}
	}
}

// meaning is a key that two equal meanings share.
func meaning(means []Meaning) string {
	var b strings.Builder
	for _, m := range means {
		m.Pos = source.Pos{}
		b.WriteString(m.String())
		b.WriteByte('\n')
	}
	return b.String()
}

func (c *bookCheck) looks() {
	if len(c.book.Looks) == 0 {
		return
	}
	f, _ := fact.Lookup("look")
	for _, word := range f.Choices {
		if _, ok := c.book.Look(word); !ok {
			c.fail(c.book.Looks[0].Pos, "missing-look", "no look says what %s means", word)
		}
	}
}

// cases asks for a case that each rule passes and one that it does not, and
// checks the names in them.
func (c *bookCheck) cases(files fs.FS) {
	cases, problems := OwnCases(files)
	c.problems = append(c.problems, problems...)
	var setupIDs, adjustIDs, signIDs, tradeoffIDs, cautionIDs []string
	contract := map[string]string{} // caution rule → contract id
	for _, s := range c.book.Setups {
		setupIDs = append(setupIDs, s.ID)
	}
	for _, x := range c.book.Cautions {
		cautionIDs = append(cautionIDs, x.ID)
		contract[x.ID], contract[x.Raises] = x.Raises, x.Raises
	}
	for _, a := range c.book.Adjustments {
		adjustIDs = append(adjustIDs, a.ID)
	}
	for _, s := range c.book.Signs {
		signIDs = append(signIDs, s.ID)
	}
	for _, t := range c.book.Tradeoffs {
		tradeoffIDs = append(tradeoffIDs, t.ID)
	}
	ruleIDs := slices.Concat(setupIDs, adjustIDs, signIDs, tradeoffIDs, planIDs(c.book))
	yes, no := map[string]bool{}, map[string]bool{}
	note := func(file string, refs []source.Text, names []string, into map[string]bool) {
		for _, ref := range refs {
			if !slices.Contains(names, ref.Value) {
				c.fail(ref.Pos, "unknown-rule", "%s is no rule of this book", ref.Value)
				c.near(ref.Value, names)
				continue
			}
			into[file+" "+ref.Value] = true
		}
	}
	cautionNames := slices.Concat(cautionIDs, CautionIDs)
	for _, one := range cases {
		note(one.Pos.File, one.Fires, setupIDs, yes)
		note(one.Pos.File, one.Not, ruleIDs, no)
		note(one.Pos.File, one.Sees, signIDs, yes)
		note(one.Pos.File, one.Adjusts, adjustIDs, yes)
		note(one.Pos.File, one.Weighs, tradeoffIDs, yes)
		note(one.Pos.File, one.Plans, planIDs(c.book), yes)
		if one.Best.Value != "" {
			note(one.Pos.File, []source.Text{one.Best}, setupIDs, yes)
		}
		note("", one.Raises, cautionNames, yes)
		note("", one.Quiet, cautionNames, no)
	}
	both := func(id string, at source.Pos, does, doing string) {
		file := casesFile(at.File)
		if !yes[file+" "+id] {
			c.fail(at, "no-cases", "no case in %s %s %s", file, does, id)
		}
		if !no[file+" "+id] {
			c.fail(at, "no-cases", "no case in %s keeps %s from %s", file, id, doing)
		}
	}
	for _, s := range c.book.Setups {
		both(s.ID, s.Pos, "fires", "firing")
	}
	for _, a := range c.book.Adjustments {
		both(a.ID, a.Pos, "adjusts by", "being made")
	}
	for _, s := range c.book.Signs {
		both(s.ID, s.Pos, "sees", "being seen")
	}
	for _, t := range c.book.Tradeoffs {
		both(t.ID, t.Pos, "weighs", "being told")
	}
	for _, l := range c.book.PlanLines {
		if l.conditional() {
			both(l.ID, l.Pos, "plans", "being planned")
		}
	}
	for _, id := range slices.Sorted(maps.Keys(contract)) {
		if contract[id] == id {
			continue
		}
		yes[" "+contract[id]] = yes[" "+contract[id]] || yes[" "+id]
		no[" "+contract[id]] = no[" "+contract[id]] || no[" "+id]
	}
	for _, q := range c.book.Questions {
		asked := func(x Case) bool {
			return x.Pos.File == casesFile(q.Pos.File) && x.Result != nil && x.Result.Name.Value == q.Result
		}
		if !slices.ContainsFunc(cases, asked) {
			c.fail(q.Pos, "no-cases", "no case in %s asks for %s", casesFile(q.Pos.File), q.Result)
		}
	}
	told := map[string]bool{}
	for _, x := range c.book.Cautions {
		if told[x.Raises] {
			continue
		}
		told[x.Raises] = true
		if !yes[" "+x.Raises] {
			c.fail(x.Pos, "no-cases", "no case raises %s", x.Raises)
		}
		if !no[" "+x.Raises] {
			c.fail(x.Pos, "no-cases", "no case keeps %s quiet", x.Raises)
		}
	}
}

// beaten warns of a set-up that another with the same lines and needs never
// loses to: it would never be the answer.
func (c *bookCheck) beaten() {
	groups := map[string][]*Setup{}
	for i := range c.book.Setups {
		s := &c.book.Setups[i]
		groups[sameness(s)] = append(groups[sameness(s)], s)
	}
	for _, group := range groups {
		for _, s := range group {
			for _, other := range group {
				if other != s && beats(other, s) {
					c.warn(s.Pos, "beaten", "%s has the same lines and needs and is never worse, so %s cannot win", other.ID, s.ID)
					break
				}
			}
		}
	}
}

func sameness(s *Setup) string {
	var parts []string
	for i := range s.When {
		parts = append(parts, s.When[i].String())
	}
	for _, n := range s.Needs {
		parts = append(parts, "needs "+n.String())
	}
	slices.Sort(parts)
	return strings.Join(parts, "\n")
}

// beats reports whether a scores at least what b does in every message, with
// ties going to the one that stands first.
func beats(a, b *Setup) bool {
	if a.Hands > b.Hands || a.Seconds > b.Seconds || preferences(a) != preferences(b) {
		return false
	}
	better := a.Hands < b.Hands || a.Seconds < b.Seconds
	points := map[string]float64{}
	for _, s := range a.Serves {
		points[s.Want+" "+s.Fault] = s.Points
	}
	for _, s := range b.Serves {
		if points[s.Want+" "+s.Fault] < s.Points {
			return false
		}
		better = better || points[s.Want+" "+s.Fault] > s.Points
	}
	if better || len(a.Serves) > len(b.Serves) {
		return true
	}
	return a.Pos.File < b.Pos.File || a.Pos.File == b.Pos.File && a.Pos.Line < b.Pos.Line
}

func preferences(s *Setup) string {
	var b strings.Builder
	for _, p := range s.Prefer {
		for i := range p.When {
			b.WriteString(p.When[i].String() + "\n")
		}
		b.WriteString(strings.Repeat("+", max(0, int(p.Points*10))) + strings.Repeat("-", max(0, int(-p.Points*10))) + "\n")
	}
	return b.String()
}

// unread warns of a hazard or a limit that words make known and no rule reads:
// what was said about danger would be lost.
func (c *bookCheck) unread() {
	b := c.book
	if len(b.Cautions) == 0 {
		return
	}
	read := map[string]bool{}
	for _, p := range b.programs.all {
		for _, a := range b.programs.ready(p).atoms {
			read[a.key] = true
		}
	}
	reads := func(name, choice string) bool {
		for key := range read {
			if strings.HasPrefix(key, name+"(") && strings.Contains(key, `"`+choice+`"`) {
				return true
			}
		}
		return false
	}
	told := map[string]bool{}
	for _, w := range b.Words {
		for _, m := range w.Means {
			f, ok := fact.Lookup(m.Path)
			if !ok || f.Path != "hazards" && f.Path != "limits" {
				continue
			}
			for _, choice := range m.Choices {
				if key := f.Name + " " + choice; !told[key] && !reads(f.Name, choice) {
					told[key] = true
					c.warn(m.Pos, "unread-fact", "no rule reads %s(%q)", f.Name, choice)
				}
			}
		}
	}
}
