package rules

import (
	"errors"
	"fmt"
	"slices"
	"sync"

	"github.com/expr-lang/expr/vm"

	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// A Step is one kind of judging.
type Step string

// The steps. Lines are conditions; groups of them are judged but are no event
// of their own.
const (
	StepLine    Step = "line"    // a condition of a set-up or a caution
	StepPrefer  Step = "prefer"  // a condition of a preference
	StepShift   Step = "shift"   // a condition of a shift
	StepAssume  Step = "assume"  // a condition of a default
	StepAdjust  Step = "adjust"  // a condition of an adjustment
	StepOffer   Step = "offer"   // a condition of an adjustment's button
	StepSign    Step = "sign"    // a condition of a sign
	StepWeigh   Step = "weigh"   // a condition of a trade-off
	StepPlan    Step = "plan"    // a condition of a line of a plan
	StepNeed    Step = "need"    // kit that must be at hand
	StepHands   Step = "hands"   // helpers' hands
	StepOutcome Step = "outcome" // the set-up, the caution or the default as a whole
)

// An Event is one step of judging, as it happens.
type Event struct {
	Step  Step
	Rule  string     // id of the set-up or caution, path of the default
	At    source.Pos // of what was judged
	Text  string     // as written, or the outcome in words
	Truth Truth
	Waits []string // facts that would settle it
	Why   string   // why it has no value, where it has none
}

// Outcome is what a set-up comes to.
type Outcome int

// The outcomes.
const (
	RuledOut Outcome = iota
	Waits
	Fires
)

func (o Outcome) String() string { return [...]string{"ruled out", "waits", "fires"}[o] }

// A Verdict is one set-up judged.
type Verdict struct {
	Setup    *Setup
	Outcome  Outcome
	Why      string     // the line, need or hands that ruled it out, or the first that waits
	At       source.Pos // of that line
	WaitsFor []string   // paths of open facts, in the order of its lines
	Score    Score      // zero where it is ruled out
}

// A Score is a set-up's preliminary worth in points, part by part. What the
// set-up really does is known only when it is solved.
type Score struct {
	Serves float64 // points of the wants and faults that it answers
	Prefer float64 // points of its preferences that hold
	Effort float64 // a point a minute to build, half a point a hand
}

// Total is the sum.
func (s Score) Total() float64 { return s.Serves + s.Prefer - s.Effort }

// UsualHelpers is how many helpers a crew has of whom nothing was said
// (common practice; a default for the fact helpers tells it).
const UsualHelpers = 1

// A scene is one Env being judged: each atom read and each program run once.
type scene struct {
	book     *Book
	env      *Env
	machine  vm.VM
	values   map[string]any // atoms by key, as the programs see them
	readings map[*atom]reading
	results  []result // by program id
	kinds    map[string]bool
	helpers  int
}

// A result is what a program came to. The zero result was not run yet.
type result struct {
	done   bool
	truth  Truth
	number float64 // of a quantity that is True
	waits  []string
	why    string
}

func (b *Book) scene(env *Env) *scene {
	if env.Facts == nil {
		env.Facts = &fact.Set{}
	}
	s := b.idle.get()
	s.book, s.env = b, env
	if len(s.results) != len(b.programs.all) {
		s.results = make([]result, len(b.programs.all))
	}
	for _, item := range env.Facts.Kit() {
		s.kinds[item.Kind] = true
	}
	s.helpers = UsualHelpers
	if n, ok := env.Facts.Number("helpers"); ok {
		s.helpers = int(n)
	} else if env.Facts.Has("limits", "no-helper") || env.Facts.Denied("helpers") {
		s.helpers = 0
	}
	return s
}

// scenes are a few idle scenes, for the next judging: a book's results are
// many, and an answer judges half a dozen times. A list of our own, for the
// library's pool is emptied with every collection.
type scenes struct {
	mu   sync.Mutex
	free []*scene
}

// mostIdle is how many scenes are kept: one a core that judges, and some.
const mostIdle = 4

func (x *scenes) get() *scene {
	x.mu.Lock()
	defer x.mu.Unlock()
	if n := len(x.free); n > 0 {
		s := x.free[n-1]
		x.free = x.free[:n-1]
		return s
	}
	return &scene{values: map[string]any{}, readings: map[*atom]reading{}, kinds: map[string]bool{}}
}

func (x *scenes) put(s *scene) {
	s.env = nil
	clear(s.kinds)
	clear(s.values)
	s.forget()
	x.mu.Lock()
	defer x.mu.Unlock()
	if len(x.free) < mostIdle {
		x.free = append(x.free, s)
	}
}

// forget makes the scene read its facts anew.
func (s *scene) forget() {
	clear(s.readings)
	clear(s.results)
}

// run runs a program, or returns what it came to.
func (s *scene) run(p *program) *result {
	r := &s.results[p.id]
	if r.done {
		return r
	}
	r.done = true
	s.book.programs.ready(p)
	if p.code == nil {
		r.why = "the condition is broken: " + p.wrong[0].message
		return r
	}
	missing := present
	for _, a := range p.atoms {
		read, ok := s.readings[a]
		if !ok {
			read = a.read(s.env)
			s.readings[a] = read
			s.values[a.key] = read.value
		}
		switch {
		case read.standing == absent && missing != absent:
			missing, r.why, r.waits = absent, read.why, nil
		case read.standing == unsaid && missing != absent:
			if missing = unsaid; r.why == "" {
				r.why = read.why
			}
			for _, path := range a.facts {
				if !slices.Contains(r.waits, path) {
					r.waits = append(r.waits, path)
				}
			}
		}
	}
	switch missing {
	case absent:
		r.truth = False
		return r
	case unsaid:
		return r
	}
	value, err := s.machine.Run(p.code, s.values)
	if err != nil {
		if inner := errors.Unwrap(err); inner != nil {
			err = inner
		}
		r.why = err.Error()
		return r
	}
	switch v := value.(type) {
	case bool:
		r.truth = False
		if v {
			r.truth = True
		}
	case float64:
		if !finite(v) {
			r.why = errNotFinite.Error()
			return r
		}
		r.truth, r.number = True, v
	}
	return r
}

// A finding is what lines came to, and the line that decided it.
type finding struct {
	truth Truth
	line  *Line // the first false line, else the first that is unknown
	waits []string
}

// all judges lines that must all hold.
func (s *scene) all(lines Lines, step Step, rule string) finding {
	f := finding{truth: True}
	for i := range lines {
		one := s.line(&lines[i], step, rule)
		if one.truth < f.truth {
			f.truth, f.line = one.truth, &lines[i]
			if one.truth == False {
				f.waits = nil
			}
		}
		if f.truth == Unknown && one.truth == Unknown {
			f.waits = union(f.waits, one.waits)
		}
		if f.truth == False && s.env.Watch == nil {
			break
		}
	}
	return f
}

// holds judges the lines of a rule and tells how it came out. An Unknown line
// does not hold.
func (s *scene) holds(lines Lines, step Step, rule string, at source.Pos) bool {
	truth := s.all(lines, step, rule).truth
	s.tell(StepOutcome, rule, at, truth.String(), truth)
	return truth == True
}

// any judges lines one of which must hold.
func (s *scene) any(lines Lines, step Step, rule string) finding {
	f := finding{truth: False}
	for i := range lines {
		one := s.line(&lines[i], step, rule)
		f.truth = max(f.truth, one.truth)
		if one.truth == Unknown {
			f.waits = union(f.waits, one.waits)
		}
		if f.truth == True && s.env.Watch == nil {
			break
		}
	}
	if f.truth != Unknown {
		f.waits = nil
	}
	return f
}

func (s *scene) line(l *Line, step Step, rule string) finding {
	switch {
	case l.Any != nil:
		return s.any(l.Any, step, rule)
	case l.All != nil:
		return s.all(l.All, step, rule)
	case l.program == nil: // what could not be read
		return finding{truth: Unknown}
	}
	r := s.run(l.program)
	if s.env.Watch != nil {
		s.env.Watch(Event{Step: step, Rule: rule, At: l.Text.Pos, Text: l.Text.Value, Truth: r.truth, Waits: r.waits, Why: r.why})
	}
	return finding{truth: r.truth, waits: r.waits}
}

func union(a, b []string) []string {
	for _, x := range b {
		if !slices.Contains(a, x) {
			a = append(a[:len(a):len(a)], x)
		}
	}
	return a
}

// Judge judges every set-up, in the order of the book.
func (b *Book) Judge(env Env) []Verdict {
	s := b.scene(&env)
	defer b.idle.put(s)
	out := make([]Verdict, len(b.Setups))
	for i := range b.Setups {
		out[i] = s.setup(&b.Setups[i])
	}
	return out
}

func (s *scene) setup(setup *Setup) Verdict {
	v := Verdict{Setup: setup, Outcome: Fires}
	ruleOut := func(why string, at source.Pos) {
		if v.Outcome != RuledOut {
			v.Outcome, v.Why, v.At = RuledOut, why, at
		}
	}
	for i := range setup.Needs {
		need := &setup.Needs[i]
		met := slices.ContainsFunc(need.Kinds, func(kind string) bool { return s.kinds[kind] })
		if !met {
			ruleOut("needs "+need.String(), need.Pos)
		}
		if s.env.Watch != nil {
			s.tell(StepNeed, setup.ID, need.Pos, "needs "+need.String(), truthOf(met))
		}
	}
	if setup.Hands > 0 {
		if setup.Hands > s.helpers {
			ruleOut(fmt.Sprintf("needs %s, and there is %s", hands(setup.Hands), hands(s.helpers)), setup.Pos)
		}
		if s.env.Watch != nil {
			s.tell(StepHands, setup.ID, setup.Pos, "needs "+hands(setup.Hands), truthOf(setup.Hands <= s.helpers))
		}
	}
	if v.Outcome == RuledOut && s.env.Watch == nil {
		return v
	}
	lines := s.all(setup.When, StepLine, setup.ID)
	switch lines.truth {
	case False:
		ruleOut(lines.line.String(), lines.line.Pos)
	case Unknown:
		if v.Outcome == Fires {
			v.Outcome, v.Why, v.At, v.WaitsFor = Waits, lines.line.String(), lines.line.Pos, lines.waits
		}
	}
	if v.Outcome != RuledOut {
		v.Score = s.score(setup)
	}
	s.tell(StepOutcome, setup.ID, setup.Pos, v.Outcome.String(), Truth(v.Outcome)-1)
	return v
}

func hands(n int) string {
	switch n {
	case 0:
		return "no helper's hand"
	case 1:
		return "one helper's hand"
	}
	return fmt.Sprintf("%d helpers' hands", n)
}

func truthOf(b bool) Truth {
	if b {
		return True
	}
	return False
}

func (s *scene) tell(step Step, rule string, at source.Pos, text string, truth Truth) {
	if s.env.Watch != nil {
		s.env.Watch(Event{Step: step, Rule: rule, At: at, Text: text, Truth: truth})
	}
}

func (s *scene) score(setup *Setup) Score {
	score := Score{Effort: float64(setup.Seconds)/60 + float64(setup.Hands)/2}
	for _, serve := range setup.Serves {
		if serve.Want != "" && s.env.Facts.Has("wants", serve.Want) || serve.Fault != "" && s.env.Facts.Has("faults", serve.Fault) {
			score.Serves += serve.Points
		}
	}
	for i := range setup.Prefer {
		if s.all(setup.Prefer[i].When, StepPrefer, setup.ID).truth == True {
			score.Prefer += setup.Prefer[i].Points
		}
	}
	return score
}

// A Raised is a caution that the answer must show.
type Raised struct {
	ID      string // the contract's
	Text    string
	Stop    bool
	Instead *Alternative // of a stop
	Rule    *Caution
	Truth   Truth // True, or Unknown: it is shown because it may hold
	Waits   []string
}

// Raise judges every caution and returns what is raised: one a contract
// id, the gravest, stops first, then in the order of CautionIDs. A caution whose
// condition is Unknown is raised; a stop only where its condition is True.
func (b *Book) Raise(env Env) []Raised {
	s := b.scene(&env)
	defer b.idle.put(s)
	gravest := map[string]Raised{}
	for i := range b.Cautions {
		c := &b.Cautions[i]
		f := s.all(c.When, StepLine, c.ID)
		s.tell(StepOutcome, c.ID, c.Pos, f.truth.String(), f.truth)
		if f.truth == False || c.Stop && f.truth == Unknown {
			continue
		}
		r := Raised{ID: c.Raises, Text: c.Text.Value, Stop: c.Stop, Rule: c, Truth: f.truth, Waits: f.waits}
		if c.Stop {
			r.Instead = c.Instead
		}
		if old, ok := gravest[c.Raises]; !ok || r.grave() > old.grave() {
			gravest[c.Raises] = r
		}
	}
	var stops, others []Raised
	for _, id := range CautionIDs {
		if r, ok := gravest[id]; ok && r.Stop {
			stops = append(stops, r)
		} else if ok {
			others = append(others, r)
		}
	}
	return append(stops, others...)
}

func (r Raised) grave() int {
	switch {
	case r.Stop:
		return 2
	case r.Rule.added:
		return -1
	case r.Truth == True:
		return 1
	}
	return 0
}
