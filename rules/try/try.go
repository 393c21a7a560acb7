// Package try runs the cases that rule files carry: messages and what the
// rules must make of them, sentences and what words must hear in them. It counts
// which conditions were seen true and false, and reports as text.
package try

import (
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strings"

	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// A Bench is what cases are run on.
type Bench struct {
	Book  *rules.Book
	Files fs.FS // that the book was loaded from

	// Hear turns a message into facts.
	Hear func(say string) *fact.Set

	// Answer gives the whole answer to the last message of a thread. Where it is nil `best` is not
	// tried, and cautions are judged on the facts alone, as if what they ask of a
	// solved set-up did not apply.
	Answer func(thread ...string) Answer

	// Quick leaves coverage out: of a case only what it expects is judged.
	Quick bool

	// Mark marks a typed answer to a drill, false where it does not read as one.
	// Where it is nil the cases of drills are not run.
	Mark func(drill string, numbers map[string]float64, say string) (mark string, ok bool)
}

// An Answer is what of a whole answer cases can ask about.
type Answer struct {
	Winner   string // id of the set-up, or empty
	Raised   []rules.Raised
	Heard    *fact.Set      // what the talk has said, nothing assumed
	Asked    []rules.Asking // what was asked of a set-up that stood
	Stood    rules.Env      // that set-up, as adjustments were judged against it
	Adjusted []string       // ids of the adjustments made
	Result   Result
	Env      rules.Env // that signs and trade-offs were judged against; zero where nothing was lit
}

// A Result is the number that a question got; the zero Result is none.
type Result struct {
	Name, Text string
	Value      *float64
}

// A Failure is a case that did not come out, or that could not be run.
type Failure struct {
	At    source.Pos
	Say   string
	Want  string   // what was expected, and what was
	Trace []string // why
}

func (f Failure) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s", f.At, f.Want)
	if f.Say != "" {
		fmt.Fprintf(&b, "\n    said: %s", f.Say)
	}
	for _, line := range f.Trace {
		fmt.Fprintf(&b, "\n    %s", line)
	}
	return b.String()
}

// A Report is what running all cases came to.
type Report struct {
	Cases    int // messages and sentences run
	Failures []Failure
	ToMend   []Mending   // answers that were reported as wrong
	Unseen   []Condition // conditions that no case saw both ways
	Total    int         // conditions in the book
}

// A Mending is a case whose answer was reported as wrong.
type Mending struct {
	At     source.Pos
	Say    string
	Wrong  string // what is wrong, in the words of who said so
	Now    string // the set-up that answers, or nothing
	Mended bool   // the case expects something, and it comes out
}

func (m Mending) String() string {
	if m.Mended {
		return fmt.Sprintf("%s: mended, what it expects comes out; take its mend line away\n    said: %s", m.At, m.Say)
	}
	return fmt.Sprintf("%s: to mend: %s\n    said: %s\n    answers: %s", m.At, m.Wrong, m.Say, nothing(m.Now))
}

// A Condition is one that was not seen both ways.
type Condition struct {
	Rule        string
	At          source.Pos
	Text        string
	True, False bool // how it was seen
}

// Run runs every case of the book. That no case ran is a failure.
func Run(bench Bench) Report {
	r := &run{bench: bench, seen: map[source.Pos]*Condition{}}
	for rule, line := range bench.Book.Lines() {
		if strings.HasPrefix(line.Text.Pos.File, rules.HousePrefix) {
			continue
		}
		r.order = append(r.order, line.Text.Pos)
		r.seen[line.Text.Pos] = &Condition{Rule: rule, At: line.Text.Pos, Text: line.Text.Value}
	}
	cases, problems := rules.Cases(bench.Files)
	for _, p := range problems {
		r.report.Failures = append(r.report.Failures, Failure{At: p.Pos(), Want: p.Message})
	}
	for _, c := range cases {
		if c.Mend.Value != "" {
			r.mend(c)
		} else {
			r.message(c)
		}
	}
	r.drills()
	for i := range bench.Book.Words {
		r.word(&bench.Book.Words[i])
	}
	if r.report.Cases == 0 {
		r.report.Failures = append(r.report.Failures, Failure{At: source.Pos{File: "."}, Want: "no case ran"})
	}
	r.report.Total = len(r.order)
	for _, at := range r.order {
		if c := r.seen[at]; !c.True || !c.False {
			r.report.Unseen = append(r.report.Unseen, *c)
		}
	}
	return r.report
}

type run struct {
	bench  Bench
	report Report
	order  []source.Pos
	seen   map[source.Pos]*Condition
}

// drills runs the cases of drills.
func (r *run) drills() {
	if r.bench.Mark == nil {
		return
	}
	cases, problems := rules.DrillCases(r.bench.Files)
	for _, p := range problems {
		r.report.Failures = append(r.report.Failures, Failure{At: p.Pos(), Want: p.Message})
	}
	for _, c := range cases {
		for _, m := range c.Marks {
			r.report.Cases++
			got, ok := r.bench.Mark(c.Drill.Value, c.With, m.Say.Value)
			if !ok {
				got = "no answer"
			}
			if got != m.Mark.Value {
				r.report.Failures = append(r.report.Failures, Failure{At: m.Say.Pos, Say: m.Say.Value, Want: fmt.Sprintf("%s must mark it %q, and marks it %q", c.Drill.Value, m.Mark.Value, got)})
			}
		}
	}
}

// mend runs a case that need not come out yet.
func (r *run) mend(c rules.Case) {
	before := len(r.report.Failures)
	now := r.message(c)
	r.report.ToMend = append(r.report.ToMend, Mending{
		At: c.Pos, Say: c.Say.Value, Wrong: c.Mend.Value, Now: now.Winner,
		Mended: c.Expects() && len(r.report.Failures) == before,
	})
	r.report.Failures = r.report.Failures[:before]
}

// message runs one case of a rule file and returns the answer to it.
func (r *run) message(c rules.Case) Answer {
	r.report.Cases++
	say := c.Say.Value
	var thread []string
	for _, t := range c.After {
		thread = append(thread, t.Value)
	}
	var answer Answer
	if r.bench.Answer != nil {
		answer = r.bench.Answer(append(thread, say)...)
	}
	var j judged
	asksRules := !r.bench.Quick || r.bench.Answer == nil || c.AsksRules()
	if asksRules {
		j = r.judge(&answer, say, len(thread) > 0, r.mark)
	}
	verdicts, seen, weighed, planned := j.verdicts, j.seen, j.weighed, j.planned
	isPlanned := func(id string) bool {
		return slices.ContainsFunc(planned, func(l *rules.PlanLine) bool { return l.ID == id })
	}
	isSeen := func(id string) bool {
		return slices.ContainsFunc(seen, func(s rules.Seen) bool { return s.Sign.ID == id })
	}
	isWeighed := func(id string) bool {
		return slices.ContainsFunc(weighed, func(w rules.Weighed) bool { return w.Tradeoff.ID == id })
	}
	fail := func(at source.Pos, rule, format string, args ...any) {
		var events []rules.Event
		if asksRules { // few cases fail: what led to it is gathered then
			again := answer
			r.judge(&again, say, len(thread) > 0, func(e rules.Event) { events = append(events, e) })
		}
		r.report.Failures = append(r.report.Failures, Failure{At: at, Say: say, Want: fmt.Sprintf(format, args...), Trace: trace(events, r.rules(rule))})
	}

	for _, want := range c.Fires {
		if v, ok := verdictOf(verdicts, want.Value); !ok {
			fail(want.Pos, "", "%s is no set-up", want.Value)
		} else if v.Outcome != rules.Fires {
			fail(want.Pos, want.Value, "%s must fire, and %s: %s", want.Value, outcome(v), v.Why)
		}
	}
	for _, want := range c.Sees {
		if !isSeen(want.Value) {
			fail(want.Pos, want.Value, "%s must be seen, and is not", want.Value)
		}
	}
	for _, want := range c.Weighs {
		if !isWeighed(want.Value) {
			fail(want.Pos, want.Value, "%s must be told, and is not", want.Value)
		}
	}
	for _, want := range c.Plans {
		if !isPlanned(want.Value) {
			fail(want.Pos, want.Value, "%s must be planned, and is not", want.Value)
		}
	}
	for _, want := range c.Adjusts {
		if !slices.Contains(answer.Adjusted, want.Value) {
			fail(want.Pos, want.Value, "%s must be made, and is not: %s", want.Value, nothing(strings.Join(answer.Adjusted, ", ")))
		}
	}
	for _, want := range c.Not {
		switch v, ok := verdictOf(verdicts, want.Value); {
		case ok && v.Outcome == rules.Fires:
			fail(want.Pos, want.Value, "%s must not fire, and it fires", want.Value)
		case isSeen(want.Value):
			fail(want.Pos, want.Value, "%s must not be seen, and it is", want.Value)
		case isWeighed(want.Value):
			fail(want.Pos, want.Value, "%s must not be told, and it is", want.Value)
		case isPlanned(want.Value):
			fail(want.Pos, want.Value, "%s must not be planned, and it is", want.Value)
		case slices.Contains(answer.Adjusted, want.Value):
			fail(want.Pos, want.Value, "%s must not be made, and it is", want.Value)
		case !ok && !r.isRule(want.Value):
			fail(want.Pos, "", "%s is no rule", want.Value)
		}
	}
	if best := c.Best; best.Value != "" && r.bench.Answer != nil && answer.Winner != best.Value {
		fail(best.Pos, best.Value, "%s must be the best, and %s is", best.Value, nothing(answer.Winner))
	}
	for _, want := range c.Raises {
		if !slices.ContainsFunc(answer.Raised, named(want.Value)) {
			fail(want.Pos, want.Value, "%s must be raised, and is not", want.Value)
		}
	}
	for _, want := range c.Quiet {
		if i := slices.IndexFunc(answer.Raised, named(want.Value)); i >= 0 {
			fail(want.Pos, want.Value, "%s must stay quiet, and %s raises it", want.Value, answer.Raised[i].Rule.ID)
		}
	}
	if want := c.Result; want != nil && r.bench.Answer != nil && !answer.Result.is(want) {
		fail(want.Name.Pos, "", "%s must be asked for, and the answer is %s", want, answer.Result)
	}
	if c.Stop != nil {
		i := slices.IndexFunc(answer.Raised, func(x rules.Raised) bool { return x.Stop })
		switch {
		case *c.Stop && i < 0:
			fail(c.Pos, "", "the answer must stop, and nothing stops it")
		case !*c.Stop && i >= 0:
			fail(c.Pos, answer.Raised[i].Rule.ID, "the answer must not stop, and %s stops it", answer.Raised[i].Rule.ID)
		}
	}
	return answer
}

// judged is what the rules make of one message.
type judged struct {
	verdicts []rules.Verdict
	seen     []rules.Seen
	weighed  []rules.Weighed
	planned  []*rules.PlanLine
}

// mark notes how a condition was seen.
func (r *run) mark(e rules.Event) {
	if condition := r.seen[e.At]; condition != nil && isLine(e.Step) {
		condition.True = condition.True || e.Truth == rules.True
		condition.False = condition.False || e.Truth == rules.False
	}
}

// judge puts a message before all the rules, in a talk after others where it is
// one. Where nothing answers, what is raised goes into the answer.
func (r *run) judge(answer *Answer, say string, talk bool, watch func(rules.Event)) (j judged) {
	book := r.bench.Book
	said := r.bench.Hear(say)
	facts := said.Clone()
	book.Assume(facts, watch)
	if talk && answer.Heard != nil { // what a talk takes for granted shows only in it
		book.Assume(answer.Heard.Clone(), watch)
	}
	j.verdicts = book.Judge(rules.Env{Facts: facts, Watch: watch})
	book.Shifting(rules.Env{Facts: facts, Watch: watch})
	// Cautions see what was said, never what was assumed.
	raised := book.Raise(rules.Env{Facts: said, Technique: []string{}, Watch: watch})
	if r.bench.Answer == nil {
		answer.Raised = raised
	}
	env := answer.Env
	if env.Facts == nil {
		env = rules.Env{Facts: facts, Technique: []string{}}
	} else {
		// What a caution asks of the set-up shows only once there is one.
		book.Raise(rules.Env{Facts: said, Numbers: env.Numbers, Technique: env.Technique, Watch: watch})
	}
	env.Watch = watch
	book.Offers(env)
	if answer.Asked != nil {
		stood := answer.Stood
		stood.Watch = watch
		book.Options(stood, answer.Asked)
	}
	j.seen, j.weighed, j.planned = book.Seen(env), book.Weigh(env), book.Planned(env)
	return j
}

func isLine(s rules.Step) bool {
	switch s {
	case rules.StepLine, rules.StepPrefer, rules.StepShift, rules.StepAssume, rules.StepAdjust, rules.StepOffer, rules.StepSign, rules.StepWeigh, rules.StepPlan:
		return true
	}
	return false
}

// isRule reports whether an adjustment, a sign or a trade-off has the id.
func (r *run) isRule(id string) bool {
	return slices.ContainsFunc(r.bench.Book.Signs, func(s rules.Sign) bool { return s.ID == id }) ||
		slices.ContainsFunc(r.bench.Book.Adjustments, func(a rules.Adjustment) bool { return a.ID == id }) ||
		slices.ContainsFunc(r.bench.Book.PlanLines, func(l rules.PlanLine) bool { return l.ID == id }) ||
		slices.ContainsFunc(r.bench.Book.Tradeoffs, func(t rules.Tradeoff) bool { return t.ID == id })
}

func verdictOf(verdicts []rules.Verdict, id string) (rules.Verdict, bool) {
	for _, v := range verdicts {
		if v.Setup.ID == id {
			return v, true
		}
	}
	return rules.Verdict{}, false
}

func outcome(v rules.Verdict) string {
	if v.Outcome == rules.Waits {
		return "waits for " + strings.Join(v.WaitsFor, ", ")
	}
	return "is " + v.Outcome.String()
}

func nothing(id string) string {
	if id == "" {
		return "nothing"
	}
	return id
}

// named matches a raised caution by the contract's id or its rule's.
func named(id string) func(rules.Raised) bool {
	return func(r rules.Raised) bool { return r.ID == id || r.Rule != nil && r.Rule.ID == id }
}

// rules are the ids that a name in a case stands for: itself, and the rules
// that raise the contract's caution of that name.
func (r *run) rules(name string) []string {
	ids := []string{name}
	for _, c := range r.bench.Book.Cautions {
		if c.Raises == name {
			ids = append(ids, c.ID)
		}
	}
	return ids
}

// trace is what happened to some rules.
func trace(events []rules.Event, ids []string) []string {
	var out []string
	for _, e := range events {
		if !slices.Contains(ids, e.Rule) {
			continue
		}
		line := fmt.Sprintf("%-7s  %s", e.Truth, e.Text)
		if e.Step == rules.StepPrefer {
			line += " (preference)"
		}
		if len(e.Waits) > 0 {
			line += "  waits for " + strings.Join(e.Waits, ", ")
		} else if e.Why != "" {
			line += "  " + e.Why
		}
		out = append(out, fmt.Sprintf("%s  %s", line, e.At))
	}
	return out
}

// word runs the sentences of one word.
func (r *run) word(w *rules.Word) {
	// A team may give the house's sentences another sense, but not take from
	// them what safety reads.
	house := strings.HasPrefix(w.Pos.File, rules.HousePrefix)
	for _, h := range w.Hears {
		r.report.Cases++
		facts := r.bench.Hear(h.Say)
		for _, m := range h.Means {
			if house && !r.bench.Book.SafetyReads(m) {
				continue
			}
			if !Holds(facts, m) {
				r.report.Failures = append(r.report.Failures, Failure{At: h.Pos, Say: h.Say, Want: fmt.Sprintf("%s: %s must be heard, and is not", w.ID, m), Trace: []string{"heard: " + heard(facts)}})
			}
		}
	}
	for _, h := range w.Traps {
		if house {
			break
		}
		r.report.Cases++
		facts := r.bench.Hear(h.Say)
		for _, m := range h.Means {
			if Holds(facts, m) {
				r.report.Failures = append(r.report.Failures, Failure{At: h.Pos, Say: h.Say, Want: fmt.Sprintf("%s: %s must not be heard, and is", w.ID, m), Trace: []string{"heard: " + heard(facts)}})
			}
		}
	}
}

// Holds reports whether what a meaning says is among the facts. Of kit, every
// field that the meaning names must agree.
func Holds(facts *fact.Set, m rules.Meaning) bool {
	if m.Path == rules.DeniedPath {
		return !slices.ContainsFunc(m.Choices, func(c string) bool { return !facts.Denied(c) })
	}
	f, ok := fact.Lookup(m.Path)
	if !ok {
		return false
	}
	v, said := facts.Get(m.Path)
	switch f.Kind {
	case fact.Number:
		return said && (m.Hole || near(v.Number, m.Number))
	case fact.Flag:
		return said && v.Flag == m.Flag
	case fact.Choice, fact.Text:
		return said && (m.Hole || v.Text == m.Text)
	case fact.List:
		return !slices.ContainsFunc(m.Choices, func(c string) bool { return !facts.Has(m.Path, c) })
	}
	return slices.ContainsFunc(facts.Kit(), func(item fact.Item) bool { return agrees(item, m.Item) })
}

// heard is what is known, in one line.
func heard(facts *fact.Set) string {
	var parts []string
	for _, f := range fact.Table {
		value := strings.Join(facts.Choices(f.Path), ", ")
		if v, ok := facts.Get(f.Path); ok {
			value = v.Text
			switch f.Kind {
			case fact.Number:
				value = fmt.Sprint(v.Number)
			case fact.Flag:
				value = fmt.Sprint(v.Flag)
			}
		}
		if f.Kind == fact.Kit {
			for _, item := range facts.Kit() {
				parts = append(parts, rules.Meaning{Path: f.Path, Item: item}.String())
			}
		}
		if value != "" {
			parts = append(parts, f.Path+": "+value)
		}
	}
	if denials := facts.Denials(); len(denials) > 0 {
		parts = append(parts, "denied: "+strings.Join(denials, ", "))
	}
	if len(parts) == 0 {
		return "nothing"
	}
	return strings.Join(parts, " · ")
}

// near allows for what a unit conversion rounds.
func near(a, b float64) bool { return math.Abs(a-b) <= 1e-3*math.Max(math.Abs(a), math.Abs(b)) }

func agrees(have, want fact.Item) bool {
	for _, pair := range [][2]float64{
		{have.SizeM, want.SizeM}, {have.Size2M, want.Size2M}, {have.GuideM, want.GuideM}, {have.GuideMM, want.GuideMM}, {have.EnergyWs, want.EnergyWs}, {have.Lux1m, want.Lux1m},
		{have.Power, want.Power}, {have.ZoomMM, want.ZoomMM}, {have.Stops, want.Stops}, {have.WeightKg, want.WeightKg}, {have.HeightM, want.HeightM},
	} {
		if pair[1] != 0 && !near(pair[0], pair[1]) {
			return false
		}
	}
	return (want.Kind == "" || have.Kind == want.Kind) && (want.Count == 0 || max(1, have.Count) == want.Count) && (want.Gel == "" || have.Gel == want.Gel) && (!want.HSS || have.HSS) &&
		!slices.ContainsFunc(want.Surfaces, func(s string) bool { return !slices.Contains(have.Surfaces, s) })
}

// Told are the failures, at most so many.
func (r Report) Told(most int) string {
	var b strings.Builder
	for i, f := range r.Failures {
		if i == most {
			fmt.Fprintf(&b, "… and %d more\n", len(r.Failures)-most)
			break
		}
		fmt.Fprintln(&b, f)
	}
	return strings.TrimRight(b.String(), "\n")
}

// String is the report for people: failures, what is to mend, then the counts.
func (r Report) String() string {
	var b strings.Builder
	for _, f := range r.Failures {
		fmt.Fprintln(&b, f)
	}
	for _, m := range r.ToMend {
		fmt.Fprintln(&b, m)
	}
	fmt.Fprintf(&b, "%d cases, %d failures; %d of %d conditions seen true and false\n", r.Cases, len(r.Failures), r.Total-len(r.Unseen), r.Total)
	return b.String()
}

// NeverSeen lists the conditions that no case saw both true and false, a line
// each.
func (r Report) NeverSeen() string {
	var b strings.Builder
	for _, c := range r.Unseen {
		how := "true or false"
		switch {
		case c.True:
			how = "false"
		case c.False:
			how = "true"
		}
		fmt.Fprintf(&b, "%s: %s: never seen %s: %s\n", c.At, c.Rule, how, c.Text)
	}
	return b.String()
}
