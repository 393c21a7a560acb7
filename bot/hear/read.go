// Package hear reads a short message typed on a phone into facts, each with
// the stretch of the message that it came from, and says what it could not use.
//
// A message goes through it once, left to right: it is made plain
// (normalise.go), cut into tokens (token.go), its slips of the thumb are mended
// (spelling.go), then phrases of the playbook's words (lexicon.go, match.go) and
// quantities (quantity.go) are found in it, what is negated is marked
// (negation.go), and what is left of the work is to say which number belongs to
// what: to kit (kit.go, kitfield.go, surface.go), people (people.go), the camera
// (camera.go), a meter (meter.go), a distance (distance.go), the weather
// (weather.go), the day ahead (dayplan.go) or by how much something is turned (turned.go). facts.go writes down what the phrases mean. Merge (merge.go) lays
// a message over what its thread knew.
//
// What words mean stands in the playbook; what is here is grammar: the small
// words, the units, what a negation reaches, which number goes with which noun.
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
	turns  *lexicon // dials and lights asked to be turned
	spell  *speller

	questions listener
}

// New builds an Ear from the words of a playbook, and its questions.
func New(words []rules.Word, questions ...rules.Question) *Ear {
	matter, manner, turns := newLexicons(words)
	ear := &Ear{lex: matter, manner: manner, turns: turns, spell: newSpeller(matter.vocabulary)}
	ear.questions = newListener(questions, matter.vocabulary)
	return ear
}

// A Reading is what one message says.
type Reading struct {
	Facts    *fact.Set   // of this message alone
	Leftover []string    // words that could not be used, as typed
	left     []fact.Span // where they stand
	Content  int         // words that could say something, those left over included
	Style    units.Style // how the asker writes lengths, wind and temperature
	Notes    []string    // calm sentences about what was not believed or was decided
	Amounts  []Amount    // how much is asked for, in the order typed
	TooLong  bool        // over MaxBytes: nothing was read
	Empty    bool        // nothing to read in it

	Measures []Measure      // its numbers with what they measure, in their order; where it asks
	Asked    map[string]Ask // the questions that it asks, by id
	Asking   bool           // it reads as a question
	words    map[string]bool
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
	message  string
	plain    plain
	toks     []token
	shouts   bool     // typed in capitals throughout
	small    int      // longer words without a capital
	stems    []string // singular of each token's word, or empty
	wished   []bool   // a wish stands earlier in the sentence
	stride   []int    // tokens of the number of stops that starts at each, or 0
	marks    []mark
	owner    []int     // token → mark, or -1
	across   []mark    // phrases that begin inside a mark and end behind it
	inFaults []kitMark // cloths named in a fault: "hot spot in the panel"
	turn     []int     // token → what it asks to be turned, or -1; nil where nothing can be
	known    *fact.Set
	out      Reading
	items    []kitMark // kit found, before it is written down
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
	if !slices.ContainsFunc(r.toks, func(t token) bool { return !t.symbol() }) {
		r.out.Empty = true
		return r.out
	}
	r.mend()
	r.wishes()
	r.strides()
	heard := r.overhear(r.manner)
	r.turn = r.overhear(r.turns)
	r.scan()
	r.deny()
	r.refuse()
	r.amounts()
	r.day()
	r.keySide()
	r.sized()
	r.camera()
	r.weather()
	r.kit()
	r.distances()
	r.people()
	r.means()
	r.hourly()
	r.company()
	r.venue()
	r.out.Asked = r.asked()
	r.leftovers(heard)
	if r.out.Asked != nil {
		r.out.Measures, r.out.Asking, r.out.words = r.tally(), r.asking(), r.wordSet()
	}
	return r.out
}

// overhear reads what is said beside the matter: dangers and the kind of
// answer asked for, dials to be turned. It returns which tokens they took.
func (r *reader) overhear(beside *lexicon) []int {
	if beside.phrases == 0 {
		return nil
	}
	ear := *r.Ear
	ear.lex = beside
	second := *r
	second.Ear = &ear
	second.own()
	for i := 0; i < len(r.toks); {
		w := second.wordAt(i)
		if w.word == nil {
			i++
			continue
		}
		second.mark(mark{start: i, end: w.end, word: w.word, number: w.number, text: w.text, denied: w.denied})
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
		case w.word != nil && w.end >= end && !(q.kind == date && w.end == end): // "plan sat" is a day
			r.mark(mark{start: i, end: w.end, word: w.word, number: w.number, text: w.text, denied: w.denied})
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
// lights from the front" the lights are the stage's and come from the front;
// and single words inside it that say something of their own: "sun behind the
// couple" is a couple as well.
func (r *reader) overlap(start, end int) {
	last := r.marks[len(r.marks)-1]
	for i := start; i < end && end-start > 1 && !last.empty(); i++ {
		if w := r.aloneAt(i, "kit"); w.word != nil && w.word.kit != nil && w.word != last.word && returns(w.word.kit.Kind) && means(&last.word.Word, "faults") && !last.denied {
			r.inFaults = append(r.inFaults, kitMark{item: fact.Item{Kind: w.word.kit.Kind, Count: 1}, first: i, end: i + 1, mark: len(r.marks) - 1})
		}
		if w := r.aloneAt(i, "subject.traits"); w.word != nil && w.word != last.word && hasChoice(w.word, "subject.traits", sorts...) && !settles(last.word) {
			r.across = append(r.across, mark{start: i, end: w.end, word: w.word})
		}
	}
	placed := means(&r.marks[len(r.marks)-1].word.Word, "light.from", "light.cast") || hasChoice(r.marks[len(r.marks)-1].word, "wants", "match-colour")
	for i := start; i < end; i++ {
		w := r.wordAt(i)
		if w.word == nil || w.word == r.marks[len(r.marks)-1].word {
			if placed { // "window behind her" is a window as well
				w = r.aloneAt(i, "light.kind")
			}
		}
		if w.word == nil {
			continue
		}
		if i > start && w.end > end && w.word.kit == nil && !w.word.person || placed && means(&w.word.Word, "light.kind") {
			r.across = append(r.across, mark{start: i, end: w.end, word: w.word, number: w.number, text: w.text, denied: w.denied})
		}
	}
}

// sorts are the traits that say who the sitters are, not what is on them: they
// hold whatever else is said of the sitters in the same words.
var sorts = []string{"child", "baby", "couple", "group", "pet"}

// settles reports whether a phrase says by itself who is in the picture: "boy of
// 19", "the boy has gone".
func settles(e *entry) bool {
	return hasChoice(e, "subject.traits", "adult") || means(&e.Word, rules.DeniedPath)
}

// aloneAt finds the single word at token i that makes the path known by itself.
func (r *reader) aloneAt(i int, path string) match {
	for _, text := range [2]string{r.toks[i].text, r.stems[i]} {
		if text == "" {
			continue
		}
		for _, ph := range r.lex.byWord[text] {
			if len(ph.parts) == 1 && !ph.wished && means(&ph.word.Word, path) && r.guarded(ph.word, i, i+1) {
				for _, row := range ph.parts[0] {
					if len(row) == 1 && row[0].text == text {
						return match{word: ph.word, end: i + 1}
					}
				}
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
