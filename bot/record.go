package bot

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"panelhand/bot/answer"
	"panelhand/bot/memory"
	"panelhand/bot/render"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// Bounds of an answer of the memory: it fits a phone.
const (
	mostFound   = 8
	mostTitle   = 120 // runes of a record's name
	mostExample = 10  // set-ups of the playbook told at once
)

// recordOf is a set-up that was answered, as it would be saved.
func recordOf(a *answer.Answer) *memory.Record {
	r := &memory.Record{Setup: a.Setup, Numbers: a.Numbers.Map(), Heard: a.Heard}
	if v, ok := a.Facts.Get("venue"); ok {
		r.Venue = v.Text
	}
	facts := a.Facts
	if a.Env.Facts != nil {
		facts = a.Env.Facts // with what was assumed
	}
	if v, ok := facts.Get("light.kind"); ok {
		r.Light = append(r.Light, v.Text)
	}
	r.Light = append(r.Light, a.Facts.Choices("light.from")...)
	r.Wants = append(a.Facts.Choices("wants"), a.Facts.Choices("subject.traits")...)
	if v, ok := a.Facts.Get("look"); ok {
		r.Wants = append(r.Wants, v.Text)
	}
	for _, item := range a.Facts.Kit() {
		r.Kit = append(r.Kit, item.Kind)
	}
	return r
}

// saveRecord keeps the set-up that the thread arrived at.
func (t *turn) saveRecord(r request) (*answer.Answer, error) {
	t.hear(r.head)
	switch {
	case t.talk.Setup == nil:
		return t.say("memory-save-nothing"), nil
	case utf8.RuneCountInString(r.text) > mostTitle:
		return t.say("memory-too-long"), nil
	case r.text == "" && strings.HasSuffix(strings.ToLower(strings.TrimSpace(r.head)), " as"):
		return t.say("memory-save-untitled"), nil
	}
	record := *t.talk.Setup
	record.Title = cmp.Or(r.text, record.Setup.Title)
	record.When, record.Who = t.now, t.in.Person
	record.Venue = cmp.Or(record.Venue, t.talk.Venue)
	same, err := t.titled(record.Title)
	if err != nil {
		return nil, err
	}
	if record.ID, err = t.Store.SaveRecord(t.ctx, t.team, record); err != nil {
		return nil, err
	}
	t.talk.Record = record.ID
	lines := []string{t.Coach.phrase("memory-saved", "<title>", record.Title), t.dials(record), t.Coach.phrase("memory-saved-next")}
	if r.note != "" {
		if _, err := t.Store.AddNote(t.ctx, t.team, memory.Note{Text: r.note, When: t.now, Who: t.in.Person, Record: record.ID}); err != nil {
			return nil, err
		}
		lines = append(lines, t.Coach.phrase("memory-noted", "<text>", r.note))
	}
	if len(same) > 0 {
		lines = append(lines, t.Coach.phrase("memory-saved-over"))
	}
	return t.tell(&answer.Record{Saved: record.Title}, lines...), nil
}

// renameOne gives a record another name; its notes stay with it.
func (t *turn) renameOne(r request) (*answer.Answer, error) {
	t.hear("")
	if utf8.RuneCountInString(r.to) > mostTitle {
		return t.say("memory-too-long"), nil
	}
	var records []memory.Record
	var err error
	switch strings.ToLower(r.text) {
	case "it", "this", "that", "this one", "that one":
		if t.talk.Record != 0 {
			records, err = t.Store.Records(t.ctx, t.team, memory.Query{ID: t.talk.Record})
		}
	default:
		records, err = t.titled(strings.TrimPrefix(r.text, whichOne.FindString(r.text)))
		if err == nil && len(records) == 0 {
			records, err = t.titled(r.text)
		}
	}
	if err != nil {
		return nil, err
	}
	if len(records) == 0 {
		return t.tell(&answer.Record{}, t.Coach.phrase("memory-found-nothing", "<query>", r.text), t.Coach.phrase("memory-found-how")), nil
	}
	same, err := t.titled(r.to)
	if err != nil {
		return nil, err
	}
	record, was := records[0], records[0].Title
	record.Title = r.to
	if _, err := t.Store.SaveRecord(t.ctx, t.team, record); err != nil {
		return nil, err
	}
	t.talk.Record = record.ID
	lines := []string{t.Coach.phrase("memory-renamed", "<was>", was, "<title>", record.Title)}
	if slices.ContainsFunc(same, func(o memory.Record) bool { return o.ID != record.ID }) {
		lines = append(lines, t.Coach.phrase("memory-saved-over"))
	}
	return t.tell(&answer.Record{Saved: record.Title}, lines...), nil
}

// showOne tells what is kept of one name: a record with its notes, or a place.
// Nil where nothing has that name and the message may be about the picture.
func (t *turn) showOne(r request) (*answer.Answer, error) {
	name := strings.TrimPrefix(r.text, whichOne.FindString(r.text))
	records, err := t.titled(r.text)
	if err == nil && len(records) == 0 {
		records, err = t.titled(name)
	}
	if err != nil {
		return nil, err
	}
	if len(records) > 0 {
		t.hear("")
		notes, err := t.Store.Notes(t.ctx, t.team, memory.NoteQuery{Record: records[0].ID})
		if err != nil {
			return nil, err
		}
		return t.list(nil, records, notes), nil
	}
	verb, _, _ := strings.Cut(r.verb, " ")
	venue, err := t.knownVenue(name, name)
	if err != nil {
		return nil, err
	}
	if strings.HasPrefix(verb, "any") {
		words := query(name, venue)
		records, notes, exact, err := t.search(venue, words)
		if err != nil || !exact || len(records)+len(notes) == 0 || venue == "" && len(words) == 0 {
			return nil, err
		}
		t.hear("")
		return t.list(nil, records, notes), nil
	}
	said := t.Coach.ear.Read(t.in.Text, nil)
	if !slices.Contains([]string{"find", "recall", "look", "pull"}, verb) || !said.Facts.Empty() || len(memory.Tokens(name)) > 6 {
		return nil, nil
	}
	return t.tell(&answer.Record{}, t.Coach.phrase("memory-found-nothing", "<query>", name), t.Coach.phrase("memory-found-how")), nil
}

// earlier are words for what was done before, which are no name.
var earlier = regexp.MustCompile(`(?i)\b(?:before|last|yesterday|usual|earlier|previous|then|now|that|this|it)\b`)

// beside is where a name ends and what is to be otherwise begins.
var beside = regexp.MustCompile(`(?i)\s*(?:[,;:.!]|\b(?:but|again|now|today|with|please|pls|and|only|except|this time)\b)\s*`)

// lightAgain lights as a record was lit: what led to it is said again in this
// talk, over the dangers and limits that were told here. What is said beside
// the name is a follow-up. Nil where nothing has that name.
func (t *turn) lightAgain(r request) (*answer.Answer, error) {
	record, rest, err := t.beginning(r.text)
	if err != nil {
		return nil, err
	}
	if record == nil {
		if strings.HasPrefix(r.verb, "same again") && len(query(r.text, "")) > 0 && !earlier.MatchString(r.text) && !saysLight(t.Coach.ear.Read(r.text, nil).Facts) {
			return t.tell(&answer.Record{}, t.Coach.phrase("memory-found-nothing", "<query>", r.text), t.Coach.phrase("memory-found-how")), nil
		}
		return nil, nil
	}
	one := len(memory.Tokens(record.Title)) == 1 && !t.Coach.ear.Read(record.Title, nil).Facts.Empty()
	if one && (r.verb == "use" || r.verb == "back to") { // "use the window", whatever is called so
		return nil, nil
	}
	if len(record.Said) == 0 || stops(t.Coach.book.Raise(rules.Env{Facts: t.reading.Facts})) {
		return nil, nil
	}
	here := t.dangers()
	if stops(t.Coach.book.Raise(rules.Env{Facts: here})) {
		return nil, nil // what stops here stops that too
	}
	t.thread = &Thread{facts: here, style: t.thread.style, training: t.thread.training}
	t.talk.Said, t.talk.Setup, t.talk.Record = nil, nil, record.ID
	whole := t.in.Text
	defer func() { t.in.Text = whole }()
	messages := slices.Clone(record.Said)
	if rest != "" {
		messages = append(messages, rest)
	}
	var a *answer.Answer
	for _, said := range messages {
		t.thread.told = nil // what was told then was not told here
		t.in.Text = said
		t.reading = t.Coach.ear.Read(said, t.thread.facts)
		a = t.light()
	}
	if a.Kind == answer.KindChange && a.Setup != nil { // the whole of it was not told here either
		whole := slices.DeleteFunc(append([]string{a.Setup.First}, a.Setup.Place...), func(l string) bool { return l == "" })
		room := max(0, render.MaxLines-2-strings.Count(a.Text, "\n"))
		a.Sections = append(a.Sections, answer.Section{Part: answer.Prose, Lines: whole[:min(len(whole), room)]})
	}
	a.Record = &answer.Record{Found: []answer.Found{t.foundRecord(*record)}}
	line := t.Coach.phrase("memory-again", "<title>", record.Title, "<dials>", present(" · ", on(record.When), t.dials(*record)))
	a.Sections = append(a.Sections, answer.Section{Part: answer.Prose, Lines: []string{line}})
	a.Text = render.Text(a.Sections, t.Coach.labels)
	return a, nil
}

// dangers are the facts of a place and its people that another set-up does not
// change: what could hurt someone there, and what is forbidden.
func (t *turn) dangers() *fact.Set {
	here, was := &fact.Set{}, t.thread.facts
	if was == nil {
		return here
	}
	for _, list := range []string{"hazards", "limits", "subject.traits"} {
		for _, one := range was.Choices(list) {
			here.Add(list, one, fact.Value{Origin: fact.Kept})
		}
	}
	for _, path := range []string{"weather.wind_ms", "weather.gust_ms", "weather.temp_c", "venue"} {
		if v, known := was.Get(path); known {
			v.Origin = fact.Kept
			here.Put(path, v)
		}
	}
	return here
}

// beginning finds the record whose name a text begins with, the longest there
// is, and what is said behind it.
func (t *turn) beginning(text string) (*memory.Record, string, error) {
	ends := [][]int{{len(text), len(text)}}
	all := beside.FindAllStringIndex(text, -1)
	slices.Reverse(all)
	for _, end := range append(ends, all...) {
		records, err := t.titled(unquoted(text[:end[0]]))
		if err != nil {
			return nil, "", err
		}
		if len(records) > 0 {
			return &records[0], strings.TrimSpace(text[end[1]:]), nil
		}
	}
	return nil, "", nil
}

// titled finds the records of exactly that name.
func (t *turn) titled(title string) ([]memory.Record, error) {
	var terms []memory.Term
	for _, w := range memory.Tokens(title) {
		terms = append(terms, memory.Term{In: memory.InTitle, Word: w})
	}
	if len(terms) == 0 {
		return nil, nil
	}
	found, err := t.Store.Records(t.ctx, t.team, memory.Query{Terms: terms})
	return slices.DeleteFunc(found, func(r memory.Record) bool { return memory.Key(r.Title) != memory.Key(title) }), err
}

// hear takes only a part of the message as heard: the rest was a title or a
// note.
func (t *turn) hear(head string) { t.reading = t.Coach.ear.Read(head, t.thread.facts) }

// addNote keeps a sentence, about a venue where it names one.
func (t *turn) addNote(r request) (*answer.Answer, error) {
	t.hear(r.head)
	if r.text == "" {
		return t.say("memory-note-nothing"), nil
	}
	n := memory.Note{Text: r.text, When: t.now, Who: t.in.Person, Venue: r.venue}
	if n.Venue == "" {
		n.Venue, n.Record = t.talk.Venue, t.talk.Record
	}
	if _, err := t.Store.AddNote(t.ctx, t.team, n); err != nil {
		return nil, err
	}
	line := t.Coach.phrase("memory-noted", "<text>", n.Text)
	if n.Venue != "" {
		line = t.Coach.phrase("memory-noted-venue", "<venue>", n.Venue, "<text>", n.Text)
		t.reading.Facts.Put("venue", fact.Value{Text: n.Venue, Origin: fact.Said})
	}
	return t.tell(&answer.Record{Saved: n.Text}, append([]string{line}, t.ruleLines(n)...)...), nil
}

// small are words of a question that say nothing of what is looked for.
var small = func() map[string]bool {
	all := map[string]bool{}
	for _, w := range strings.Fields(`a all about again and any are at bring by can chat coach could did do does done ever every everything find for from get give had has have hey hi how i in is it its kept know last
		let list lit look made make me mine my note notes of on once one ones or our out over own playbook please pls record records recall remember remind saved set setup setups shoot shoots shot show so
		some tell than that the them then there these they this those time times to up us use used was we were what whats when where which who will with you your already before light lighting lit here
		month week year day ago entry entries s t re`) {
		all[w] = true
	}
	return all
}()

// query are the words of a question that are worth looking for.
func query(text, venue string) []string {
	of := memory.Tokens(venue)
	var words []string
	for _, w := range memory.Tokens(text) {
		if !small[w] && !slices.Contains(of, w) && !slices.Contains(words, w) {
			words = append(words, w)
		}
	}
	return words
}

// search finds records and notes by venue and words: all of the words, else
// any. Exact reports which.
func (t *turn) search(venue string, words []string) (records []memory.Record, notes []memory.Note, exact bool, err error) {
	q := memory.Query{Venue: venue}
	for _, w := range words {
		q.Terms = append(q.Terms, memory.Term{Word: singular(w)})
	}
	nq := memory.NoteQuery{Venue: venue, Words: singulars(words)}
	if records, err = t.Store.Records(t.ctx, t.team, q); err != nil {
		return nil, nil, false, err
	}
	if notes, err = t.Store.Notes(t.ctx, t.team, nq); err != nil {
		return nil, nil, false, err
	}
	if len(records)+len(notes) > 0 || len(words) == 0 {
		return records, notes, true, nil
	}
	if venue != "" {
		q.Terms, nq.Words = nil, nil // the place, if not with those words
	}
	q.Any = true
	if records, err = t.Store.Records(t.ctx, t.team, q); err != nil {
		return nil, nil, false, err
	}
	if venue != "" {
		notes, err = t.Store.Notes(t.ctx, t.team, nq)
	}
	return records, notes, false, err
}

// singular takes the s off a plural, so that "nights" finds "night": terms
// match beginnings of words.
func singular(w string) string {
	if len(w) > 3 && strings.HasSuffix(w, "s") && !strings.HasSuffix(w, "ss") {
		return w[:len(w)-1]
	}
	return w
}

func singulars(words []string) []string {
	var all []string
	for _, w := range words {
		all = append(all, singular(w))
	}
	return all
}

// find answers "what did we do last time at …" and "show me all …".
func (t *turn) find(r request) (*answer.Answer, error) {
	venue, err := t.knownVenue(r.text, r.venue)
	if err != nil {
		return nil, err
	}
	words := query(r.text, cmp.Or(venue, r.venue))
	if venue == "" && r.venue != "" { // a place that was never noted may be in a title
		words = append(words, memory.Tokens(r.venue)...)
	}
	records, notes, exact, err := t.search(venue, words)
	if err != nil {
		return nil, err
	}
	asked := strings.TrimSpace(cmp.Or(venue, r.venue) + " " + strings.Join(query(r.text, cmp.Or(venue, r.venue)), " "))
	if len(records)+len(notes) == 0 {
		line := t.Coach.phrase("memory-found-nothing", "<query>", asked)
		if asked == "" {
			line = t.Coach.phrase("memory-empty")
		}
		return t.tell(&answer.Record{}, line, t.Coach.phrase("memory-found-how")), nil
	}
	var lines []string
	if !exact {
		lines = append(lines, t.Coach.phrase("memory-nearest", "<query>", asked))
	}
	return t.list(lines, records, notes), nil
}

// list tells records and notes. One record alone is told with its places.
func (t *turn) list(lines []string, records []memory.Record, notes []memory.Note) *answer.Answer {
	found := &answer.Record{}
	for _, r := range records {
		found.Found = append(found.Found, t.foundRecord(r))
	}
	for _, n := range notes {
		found.Found = append(found.Found, foundNote(n))
	}
	head := len(lines)
	for i, r := range records {
		if len(lines)-head == mostFound {
			break
		}
		lines = append(lines, t.recordLine(r))
		if i == 0 && len(records) <= 2 && r.Setup != nil {
			lines = append(lines, r.Setup.Place...)
		}
	}
	told := min(len(records), len(lines))
	for _, n := range notes {
		if len(lines)-head >= mostFound+2 {
			break
		}
		lines = append(lines, noteLine(n))
		told++
	}
	if rest := len(records) + len(notes) - told; rest > 0 {
		lines = append(lines, t.Coach.phrase("memory-found-more", "<count>", strconv.Itoa(rest)))
	}
	if len(records) > 0 {
		t.talk.Record = records[0].ID
	}
	return t.tell(found, lines...)
}

func rfc3339(at time.Time) string {
	if at.IsZero() {
		return ""
	}
	return at.Format(time.RFC3339)
}

func (t *turn) foundRecord(r memory.Record) answer.Found {
	lines := []string{t.recordLine(r)}
	if r.Setup != nil {
		lines = append(append(lines, r.Setup.First), r.Setup.Place...)
	}
	return answer.Found{Title: r.Title, When: rfc3339(r.When), Text: strings.Join(slices.DeleteFunc(lines, func(l string) bool { return l == "" }), "\n")}
}

func foundNote(n memory.Note) answer.Found {
	return answer.Found{Title: cmp.Or(n.Venue, "note"), When: rfc3339(n.When), Text: n.Text}
}

// on is a day as a phone tells it.
func on(at time.Time) string {
	if at.IsZero() {
		return ""
	}
	return at.Format("2 Jan 2006")
}

// present puts together what is there.
func present(sep string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), sep)
}

// recordLine is a record on one line: name, place, day, what it was, dials.
func (t *turn) recordLine(r memory.Record) string {
	title := ""
	if r.Setup != nil && r.Setup.Title != r.Title {
		title = r.Setup.Title
	}
	return present(" · ", r.Title, r.Venue, on(r.When), title, t.dials(r))
}

func noteLine(n memory.Note) string {
	return present(" · ", n.Venue, "“"+n.Text+"”", present(", ", n.Who, on(n.When)))
}

// dials are the settings of a record as the phone's first line has them.
func (t *turn) dials(r memory.Record) string {
	var n answer.Numbers
	for key, v := range r.Numbers {
		if _, known := answer.KeyNamed(key); known {
			n.Set(key, v)
		}
	}
	line, _ := answer.Fill(t.Coach.book.Phrase("lead-camera"), &n, nil, units.Style{})
	lit, _ := answer.Fill(t.Coach.book.Phrase("lead-flash"), &n, nil, units.Style{})
	return present(", ", line, lit)
}

// listPlaybook answers "list what's in the playbook for …": what was saved,
// then the playbook's own set-ups that hold in that light.
func (t *turn) listPlaybook(r request) (*answer.Answer, error) {
	words := query(r.text, "")
	var records []memory.Record
	if len(words) > 0 {
		var exact bool
		var err error
		if records, _, exact, err = t.search("", words); err != nil {
			return nil, err
		}
		if !exact {
			records = nil
		}
	}
	var lines []string
	found := &answer.Record{}
	for _, rec := range records[:min(len(records), 3)] {
		lines = append(lines, t.recordLine(rec))
		found.Found = append(found.Found, t.foundRecord(rec))
	}
	lines = append(lines, t.Coach.phrase("memory-playbook"))
	for _, s := range t.Coach.setupsFor(t.reading.Facts) {
		found.Found = append(found.Found, answer.Found{Title: s.Title.Value, Text: s.Why.Value})
		if len(lines) < mostExample {
			lines = append(lines, s.Title.Value)
		}
	}
	if rest := len(found.Found) - len(lines) + 1; rest > 0 {
		lines = append(lines, t.Coach.phrase("memory-found-more", "<count>", strconv.Itoa(rest)))
	}
	return t.tell(found, lines...), nil
}

// setupsFor are the playbook's set-ups that hold for the facts with any kit,
// the best first.
func (c *Coach) setupsFor(facts *fact.Set) []*rules.Setup {
	facts = facts.Clone()
	if len(facts.Kit()) == 0 {
		var all []fact.Item
		for _, kind := range fact.KitKinds {
			all = append(all, fact.Item{Kind: kind, Count: 2})
		}
		facts.SetKit(all)
	}
	c.book.Assume(facts, nil)
	var fires []rules.Verdict
	for _, v := range c.book.Judge(rules.Env{Facts: facts, Numbers: before(facts)}) {
		if v.Outcome == rules.Fires {
			fires = append(fires, v)
		}
	}
	slices.SortStableFunc(fires, func(x, y rules.Verdict) int { return cmp.Compare(y.Score.Total(), x.Score.Total()) })
	var all []*rules.Setup
	for _, v := range fires {
		all = append(all, v.Setup)
	}
	return all
}

// deleteOne deletes what a message names: a record by its name, a note by its
// words, a venue's notes, or, with "forget", whoever is named. Nil where there
// is nothing of that name and the message may be about the picture.
func (t *turn) deleteOne(r request) (*answer.Answer, error) {
	if r.text == "" {
		return nil, nil
	}
	t.hear(r.head)
	if records, err := t.titled(r.text); err != nil || len(records) > 0 {
		if err != nil {
			return nil, err
		}
		if err := t.Store.DeleteRecord(t.ctx, t.team, records[0].ID); err != nil {
			return nil, err
		}
		return t.tell(&answer.Record{Saved: records[0].Title}, t.Coach.phrase("memory-deleted", "<title>", t.recordLine(records[0]))), nil
	}
	if a, err := t.forgetVenue(r.text); a != nil || err != nil {
		return a, err
	}
	if r.verb == "forget" {
		return t.forgetPerson(r.text)
	}
	records, notes, exact, err := t.search("", query(r.text, ""))
	if err != nil {
		return nil, err
	}
	switch {
	case !exact || len(query(r.text, "")) == 0 || len(records)+len(notes) == 0:
		if r.verb != "delete" && r.verb != "erase" {
			return nil, nil
		}
		return t.tell(&answer.Record{}, t.Coach.phrase("memory-found-nothing", "<query>", r.text)), nil
	case len(records) == 1 && len(notes) == 0:
		if err := t.Store.DeleteRecord(t.ctx, t.team, records[0].ID); err != nil {
			return nil, err
		}
		return t.tell(&answer.Record{Saved: records[0].Title}, t.Coach.phrase("memory-deleted", "<title>", t.recordLine(records[0]))), nil
	case len(notes) == 1 && len(records) == 0:
		if !t.mayEdit(notes[0].Venue) {
			return t.say("memory-leads-only"), nil
		}
		if err := t.Store.DeleteNote(t.ctx, t.team, notes[0].ID); err != nil {
			return nil, err
		}
		return t.tell(&answer.Record{Saved: notes[0].Text}, t.Coach.phrase("memory-deleted", "<title>", noteLine(notes[0]))), nil
	}
	return t.list([]string{t.Coach.phrase("memory-which")}, records, notes), nil
}

// forgetPerson takes a name out of all that is kept. A word that the coach
// hears something in is no name.
func (t *turn) forgetPerson(name string) (*answer.Answer, error) {
	first, _ := utf8.DecodeRuneInString(name)
	if strings.ToLower(string(first)) == string(first) || !t.Coach.ear.Read(name, nil).Facts.Empty() {
		return nil, nil
	}
	n, err := t.Store.ForgetPerson(t.ctx, t.team, name)
	if err != nil || n == 0 {
		return nil, err
	}
	// This thread may be one of those that went, and must not come back.
	t.deleted = true
	return t.tell(&answer.Record{Saved: name}, t.Coach.phrase("memory-forgot-person", "<count>", strconv.Itoa(n), "<name>", name)), nil
}

// forgetTalk forgets this thread and its messages.
func (t *turn) forgetTalk() (*answer.Answer, error) {
	if err := t.Store.DeleteThread(t.ctx, t.team, t.in.Thread); err != nil {
		return nil, err
	}
	t.deleted = true
	return t.say("memory-forgot-thread"), nil
}
