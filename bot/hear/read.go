// Package hear reads a short message typed on a phone into facts, each with
// the stretch of the message that it came from, and says what it could not use.
//
// A message goes through it once, left to right: it is made plain
// (normalise.go), cut into tokens (token.go), its slips of the thumb are mended
// (spelling.go), then phrases of the playbook's words (lexicon.go) and
// quantities (quantity.go) are found in it, what is negated is marked
// (negation.go), and what is left of the work is to say which number belongs to
// what: to kit (kit.go), people (people.go), the camera (camera.go), a distance
// (distance.go) or the weather (weather.go).
package hear

import (
	"slices"

	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// MaxBytes is the length of the longest message that is read.
const MaxBytes = 8 << 10

// An Ear reads messages. It is built once and safe for concurrent use.
type Ear struct {
	lex    *lexicon // what the message is about
	manner *lexicon // dangers named, the kind of answer asked for
	spell  *speller
}

// New builds an Ear from the words of a playbook.
func New(words []rules.Word) *Ear {
	matter, manner := newLexicons(words)
	return &Ear{lex: matter, manner: manner, spell: newSpeller(matter.vocabulary)}
}

// A Reading is what one message says.
type Reading struct {
	Facts    *fact.Set   // of this message alone
	Leftover []string    // words that could not be used, as typed
	Style    units.Style // how the asker writes lengths, wind and temperature
	Notes    []string    // calm sentences about what was not believed or was decided
	TooLong  bool        // over MaxBytes: nothing was read
	Empty    bool        // nothing to read in it
}

// A mark is a stretch of tokens with a meaning: a phrase or a quantity.
type mark struct {
	start, end int
	word       *entry // nil for a quantity
	number     float64
	text       string
	q          quantity
	denied     bool
	used       bool // taken by kit, people, a distance, …
}

func (m *mark) isKit() bool { return m.word != nil && m.word.kit != nil && m.word.kit.Kind != "" }
func (m *mark) empty() bool {
	return m.word != nil && len(m.word.Means) == 0 && len(m.word.Negated) == 0
}
func (m *mark) is(k quantityKind) bool { return m.word == nil && m.q.kind == k }

// A reader is one message being read.
type reader struct {
	*Ear
	message string
	plain   plain
	toks    []token
	stems   []string // singular of each token's word, or empty
	wished  []bool   // a wish stands earlier in the sentence
	marks   []mark
	owner   []int  // token → mark, or -1
	across  []mark // phrases that begin inside a mark and end behind it
	known   *fact.Set
	out     Reading
	items   []kitMark // kit found, before it is written down
}

// Read reads one message. What the thread knows so far may help to tell what
// a number is ("1/8" is a power where a flash is in the talk); it may be nil.
func (ear *Ear) Read(text string, known *fact.Set) Reading {
	r := reader{Ear: ear, message: text, known: known, out: Reading{Facts: &fact.Set{}}}
	if known == nil {
		r.known = &fact.Set{}
	}
	if len(text) > MaxBytes {
		r.out.TooLong = true
		return r.out
	}
	r.plain = normalise(text)
	r.toks = tokenise(r.plain.text)
	if len(r.toks) == 0 {
		r.out.Empty = true
		return r.out
	}
	r.mend()
	r.wishes()
	heard := r.overhear()
	r.scan()
	r.deny()
	r.refuse()
	r.camera()
	r.weather()
	r.kit()
	r.distances()
	r.people()
	r.means()
	r.venue()
	r.leftovers(heard)
	return r.out
}

// overhear reads dangers and the kind of answer asked for, and returns which
// tokens they took.
func (r *reader) overhear() []int {
	if r.manner.root.next == nil {
		return nil
	}
	ear := *r.Ear
	ear.lex = r.manner
	second := *r
	second.Ear = &ear
	second.own()
	for i := 0; i < len(r.toks); {
		w := second.wordAt(i)
		if w.word == nil {
			i++
			continue
		}
		second.mark(mark{start: i, end: w.end, word: w.word, number: w.number, text: w.text})
		i = w.end
	}
	second.deny()
	second.means()
	return second.owner
}

// scan finds phrases and quantities, left to right, the longer one winning.
func (r *reader) scan() {
	r.own()
	for i := 0; i < len(r.toks); {
		w := r.wordAt(i)
		q, end := r.quantityAt(i)
		switch {
		case w.word != nil && w.end >= end:
			r.mark(mark{start: i, end: w.end, word: w.word, number: w.number, text: w.text})
			r.overlap(i, w.end)
			i = w.end
		case end > i:
			r.mark(mark{start: i, end: end, q: q})
			i = end
		default:
			i++
		}
	}
}

// overlap finds phrases that share the end of the mark just made: in "stage
// lights from the front" the lights are the stage's and come from the front.
func (r *reader) overlap(start, end int) {
	placed := means(&r.marks[len(r.marks)-1].word.Word, "light.from", "light.cast")
	for i := start; i < end; i++ {
		w := r.wordAt(i)
		if w.word == nil || w.word == r.marks[len(r.marks)-1].word {
			if placed { // "window behind her" is a window as well
				w = r.kindAt(i)
			}
		}
		if w.word == nil {
			continue
		}
		if i > start && w.end > end && w.word.kit == nil && !w.word.person || placed && means(&w.word.Word, "light.kind") {
			r.across = append(r.across, mark{start: i, end: w.end, word: w.word, number: w.number, text: w.text})
		}
	}
}

// kindAt finds the single word at token i that names a kind of light.
func (r *reader) kindAt(i int) match {
	for _, text := range [2]string{r.toks[i].text, r.stems[i]} {
		n := r.lex.root.next[text]
		if text == "" || n == nil {
			continue
		}
		for _, ph := range n.phrases {
			if means(&ph.word.Word, "light.kind") && r.guarded(ph.word, i, i+1) {
				return match{word: ph.word, end: i + 1}
			}
		}
	}
	return match{}
}

// own starts an empty table of marks.
func (r *reader) own() {
	r.marks = make([]mark, 0, len(r.toks)/2+2)
	r.owner = make([]int, len(r.toks))
	for i := range r.owner {
		r.owner[i] = -1
	}
}

func (r *reader) mark(m mark) {
	for i := m.start; i < m.end; i++ {
		r.owner[i] = len(r.marks)
	}
	r.marks = append(r.marks, m)
}

// inside reports whether token i is part of a phrase or a quantity.
func (r *reader) inside(i int) bool { return r.owner[i] >= 0 }

// markStarting returns the mark that starts at token i, or -1.
func (r *reader) markStarting(i int) int {
	if i < 0 || i >= len(r.toks) || r.owner[i] < 0 || r.marks[r.owner[i]].start != i {
		return -1
	}
	return r.owner[i]
}

// markEnding returns the mark of a phrase that ends right before token i, or
// with nothing but a colon or dash between; -1 where there is none.
func (r *reader) markEnding(i int) int {
	i--
	for i >= 0 && r.toks[i].in(":", "-", "=") {
		i--
	}
	if i < 0 || r.owner[i] < 0 || r.marks[r.owner[i]].word == nil || r.marks[r.owner[i]].empty() {
		return -1
	}
	return r.owner[i]
}

// wishes notes where in the message a wish has been spoken.
func (r *reader) wishes() {
	r.wished = make([]bool, len(r.toks))
	wish := false
	for i, t := range r.toks {
		r.wished[i] = wish
		switch {
		case t.breaks() && !t.is("\n"), t.in("have", "got", "using", "with", "is", "are", "its", "im", "were", "we", "but") && t.kind == wordToken && !wishesAhead(r, i):
			if t.breaks() || t.in("have", "got", "using", "but") {
				wish = false
			}
		case t.kind == wordToken && wishWords[t.text]:
			wish = true
		case t.in("looking", "going", "hoping", "aiming", "after") && r.at(i+1).in("for", "something", "a", "some", "to"):
			wish = true
		case t.in("like", "love") && r.at(i-1).in("would", "id", "wed", "shed", "hed", "theyd", "clients"):
			wish = true
		case t.is("get") && r.at(i-1).in("to", "i", "we", "can") && (r.at(i-2).in("how", "can", "could", "trying", "do") || r.at(i-1).is("to")):
			wish = true
		case t.in("make", "keep", "lets", "give", "go") && (i == 0 || r.toks[i-1].pauses() || r.toks[i-1].in("to", "please", "pls", "you", "and", "just", "lets", "can", "we", "now", "but")):
			wish = true
		case t.in("please", "pls", "plz"):
			// a wish that ends in please: all of its clause is one
			for j := i; j >= 0 && !r.toks[j].breaks(); j-- {
				r.wished[j] = true
			}
		}
	}
}

func wishesAhead(r *reader, i int) bool { return wishWords[r.at(i+1).text] }

var wishWords = set(`want wants wanting wanna wnt wantd wanted wana need needs needed prefer prefers wish wishes trying try aim goal must should brief asks asked
	desire require requires requested vibe mood feel style would please fancy fancies chasing achieve create`)

// means writes down what the phrases mean that no other part has used.
func (r *reader) means() {
	kinds := map[string]fact.Value{}
	for k := range r.marks {
		m := &r.marks[k]
		if m.word == nil || m.empty() {
			continue
		}
		at := fact.Value{Origin: fact.Said, Span: r.span(m.start, m.end)}
		if m.denied {
			r.denied(m, at)
			continue
		}
		for _, meaning := range m.word.Means {
			r.meaning(meaning, m, at, kinds)
		}
	}
	for k := range r.across {
		m := &r.across[k]
		if r.negatedAt(m.end - 1) {
			continue
		}
		for _, meaning := range m.word.Means {
			r.meaning(meaning, m, fact.Value{Origin: fact.Said, Span: r.span(m.start, m.end)}, kinds)
		}
	}
	r.kinds(kinds)
}

// negatedAt reports whether token i is in a phrase that is denied.
func (r *reader) negatedAt(i int) bool { return r.owner[i] >= 0 && r.marks[r.owner[i]].denied }

func (r *reader) meaning(meaning rules.Meaning, m *mark, at fact.Value, kinds map[string]fact.Value) {
	f := r.out.Facts
	switch meaning.Path {
	case "kit", "subject.people", "helpers": // read elsewhere
		return
	case rules.DeniedPath:
		for _, what := range meaning.Choices {
			f.Deny(what, at.Span)
		}
		return
	case "light.kind":
		at.Text = meaning.Text
		if _, said := kinds[meaning.Text]; !said {
			kinds[meaning.Text] = at
		}
		return
	}
	row, ok := fact.Lookup(meaning.Path)
	if !ok {
		return
	}
	switch row.Kind {
	case fact.List:
		for _, choice := range meaning.Choices {
			f.Add(meaning.Path, choice, at)
		}
	case fact.Flag:
		at.Flag = meaning.Flag
		f.Put(meaning.Path, at)
	case fact.Number:
		at.Number = meaning.Number
		if meaning.Hole {
			at.Number = m.number
		}
		r.put(meaning.Path, at.Number, at.Span)
	case fact.Choice, fact.Text:
		at.Text = meaning.Text
		if meaning.Hole || at.Text == "<text>" {
			at.Text = m.text
		}
		f.Put(meaning.Path, at)
	}
}

// denied writes down what a negated phrase means: what the word says, or, by
// the kind of its paths, that the choice was said not to be so.
func (r *reader) denied(m *mark, at fact.Value) {
	if m.word.Negated != nil {
		for _, meaning := range m.word.Negated {
			r.meaning(meaning, m, at, map[string]fact.Value{})
		}
		return
	}
	f := r.out.Facts
	for _, meaning := range m.word.Means {
		row, ok := fact.Lookup(meaning.Path)
		if !ok {
			continue
		}
		switch {
		case meaning.Path == "helpers":
			f.Add("limits", "no-helper", at)
		case meaning.Path == "subject.people", meaning.Path == "hazards", meaning.Path == "ask":
		case row.Kind == fact.List, row.Kind == fact.Choice:
			for _, choice := range meaning.Choices {
				if row.Kind == fact.List && f.Has(meaning.Path, choice) {
					f.Remove(meaning.Path, choice)
				}
				f.Deny(choice, at.Span)
			}
		case row.Kind == fact.Flag:
			at.Flag = !meaning.Flag
			f.Put(meaning.Path, at)
			if meaning.Flag {
				f.Deny(row.Name, at.Span)
			}
		}
	}
}

// lightOrder ranks the kinds of light that one message names: what shapes the
// light at the face before what it is made of, so that "sun, but she is in the
// shade" is shade and "cafe window, overcast" a window.
var lightOrder = []string{"stage", "dappled", "dusk", "street-night", "canopy", "open-shade", "window", "low-sun", "tungsten", "fluorescent", "led-indoor", "overcast", "sun"}

func (r *reader) kinds(kinds map[string]fact.Value) {
	for _, kind := range lightOrder {
		if v, ok := kinds[kind]; ok && !r.out.Facts.Denied(kind) {
			r.out.Facts.Put("light.kind", v)
			break
		}
	}
	lamps := false
	for _, kind := range []string{"tungsten", "fluorescent"} {
		_, said := kinds[kind]
		lamps = lamps || said
	}
	if v, window := kinds["window"]; window && lamps {
		r.out.Facts.Add("light.cast", "mixed", v)
	}
}

// put writes a number down if it can be believed.
func (r *reader) put(path string, v float64, at fact.Span) {
	row, ok := fact.Lookup(path)
	if !ok || !(v >= row.Low && v <= row.High) {
		r.note(row, v, at)
		return
	}
	r.out.Facts.Put(path, fact.Value{Number: v, Origin: fact.Said, Span: at})
}

func (r *reader) note(row *fact.Fact, v float64, at fact.Span) {
	if row == nil {
		return
	}
	r.say("“" + r.message[at.Start:at.End] + "” can't be right for " + row.Doc + ", so I left it out.")
}

func (r *reader) say(sentence string) {
	if !slices.Contains(r.out.Notes, sentence) && len(r.out.Notes) < 8 {
		r.out.Notes = append(r.out.Notes, sentence)
	}
}

// refuse tells the impossible values that were read as such.
func (r *reader) refuse() {
	for k := range r.marks {
		if m := &r.marks[k]; m.is(refused) {
			m.used = true
			r.say("“" + r.typed(m.start, m.end) + "” can't be set or measured, so I left it out.")
		}
	}
}

// leftovers lists the words that nothing could use.
func (r *reader) leftovers(heard []int) {
	for i, t := range r.toks {
		if t.kind == symbolToken || r.inside(i) || heard != nil && heard[i] >= 0 || fillers[t.text] || idle[t.text] || noBefore[t.text] || noThrough[t.text] || wishWords[t.text] || sitters[t.text] || reachEnds[t.text] || havingVerbs[t.text] {
			continue
		}
		r.out.Leftover = append(r.out.Leftover, r.typed(i, i+1))
	}
}

// idle words carry nothing that could be missed.
var idle = set(`and or n with on in at to from of for by as off up down out into onto over under near next behind front left right side back again also ok okay hi hey hello
	thanks thx cheers please pls plz yes yep no not i im ive id we weve were you u he she do does did done can could will would shall may might if when while then than what whats which who
	how why where there here today tonight tomorrow now later soon about around only just one two like want need get make take use using stand help today team guys mate lol haha um uh er
	well right gonna wanna gotta lets let says said say thing things stuff bit more less most much many few lot lots same other another each every because since before after until during
	between across along against thru through via per plus vs`)
