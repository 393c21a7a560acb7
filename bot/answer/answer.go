// Package answer is the document the coach hands to every channel: what was
// heard, the set-up with its numbers, the cautions, and the phone text's
// sections in their one order. Its JSON is the project's contract; keys are
// only ever added.
package answer

import (
	"strconv"
	"strings"

	"panelhand/rules"
	"panelhand/rules/fact"
)

// Kind says what sort of answer this is.
type Kind string

// The kinds of the contract.
const (
	KindSetup   Kind = "setup"
	KindNumber  Kind = "number"
	KindChange  Kind = "change"
	KindMeaning Kind = "meaning"
	KindSafety  Kind = "safety"
	KindRecord  Kind = "record"
	KindDrill   Kind = "drill"
	KindPlan    Kind = "plan"
	KindHelp    Kind = "help"
	KindUnsure  Kind = "unsure"
)

// An Answer is one message's answer, free of any channel.
type Answer struct {
	Kind      Kind           `json:"kind"`
	Headline  string         `json:"headline"`
	Text      string         `json:"text"`
	Heard     map[string]any `json:"heard,omitempty"`
	Unheard   []string       `json:"unheard,omitempty"`
	Assumed   []Assumption   `json:"assumed,omitempty"`
	AskBack   string         `json:"ask_back,omitempty"`
	Sign      *Sign          `json:"sign,omitempty"`
	Setup     *Setup         `json:"setup,omitempty"`
	Others    []Other        `json:"others,omitempty"`
	Dropped   []Other        `json:"dropped,omitempty"`
	Numbers   *Numbers       `json:"numbers,omitempty"`
	Changed   []Change       `json:"changed,omitempty"`
	Do        []string       `json:"do,omitempty"`       // of a change: what to do, what it costs, what could not be done
	Question  string         `json:"-"`                  // id of the question that it answers with a number
	Adjusted  []string       `json:"adjusted,omitempty"` // ids of the adjustments made
	Result    *Result        `json:"result,omitempty"`
	Tradeoffs []Tradeoff     `json:"tradeoffs,omitempty"`
	Safety    []Caution      `json:"safety,omitempty"`
	Instead   *Instead       `json:"instead,omitempty"`
	Next      []Next         `json:"next,omitempty"`
	Plan      *Plan          `json:"plan,omitempty"`
	Drill     *Drill         `json:"drill,omitempty"`
	Record    *Record        `json:"record,omitempty"`
	Working   []Working      `json:"working,omitempty"`
	Trace     []Trace        `json:"trace,omitempty"`

	// Asked is what a follow-up asked of the set-up that stood, Stood that
	// set-up as adjustments were judged against it.
	Asked []rules.Asking `json:"-"`
	Stood rules.Env      `json:"-"`
	// Rebuilt says that a follow-up found another set-up: it is told whole.
	Rebuilt bool `json:"-"`
	// Told are the cautions that this thread was shown before; the JSON has
	// them again, a phone does not.
	Told []string `json:"-"`
	// Notes are sentences about this answer that belong to no part.
	Notes []string `json:"-"`

	// Sections are the phone text before it is laid out; not in the JSON,
	// which has the text itself.
	Sections []Section `json:"-"`
	// Facts are what the thread knows after this message.
	Facts *fact.Set `json:"-"`
	// Raised are the cautions as the rules raised them.
	Raised []rules.Raised `json:"-"`
	// Env is what signs and trade-offs were judged against: the facts with
	// their defaults, and the solved set-up.
	Env rules.Env `json:"-"`
}

// A Next is a follow-up that fits this answer: what a crew would say, and a
// label short enough for a button.
type Next struct {
	Say   string `json:"say"`
	Label string `json:"label"`
}

// A Change is one number of a set-up that moved.
type Change struct {
	Name  string   `json:"name"`
	From  float64  `json:"from"`
	To    float64  `json:"to"`
	Text  string   `json:"text"`
	Stops *float64 `json:"stops,omitempty"` // + is more light; absent where the number is no dial
}

// An Assumption is a default that was used because nobody said otherwise.
type Assumption struct {
	Fact  string `json:"fact"`
	Value any    `json:"value"`
	Text  string `json:"text"`
	Why   string `json:"why"`
}

// A Setup is how to light it, in words; its numbers are in Numbers.
type Setup struct {
	ID        string   `json:"id"`
	Title     string   `json:"title"`
	Technique []string `json:"technique"`
	First     string   `json:"first,omitempty"`
	Place     []string `json:"place,omitempty"`
	Helper    []string `json:"helper,omitempty"`
	Check     []string `json:"check,omitempty"`
	Careful   []string `json:"careful,omitempty"`
	Why       string   `json:"why,omitempty"`
	Source    string   `json:"source,omitempty"`
}

// A Sign is what was seen on the face or in the frame, why it is so, and what
// helps, the least effort first.
type Sign struct {
	ID       string   `json:"id"` // of the fact faults
	See      string   `json:"see"`
	Cause    string   `json:"cause"`
	Remedies []Remedy `json:"remedies,omitempty"`
}

// A Drill is a training question; after the answer to it also the mark.
type Drill struct {
	Question string `json:"question"`
	Mark     string `json:"mark,omitempty"` // right · half · not yet
	Of       string `json:"of,omitempty"`   // the right answer, worked
	Stop     bool   `json:"stop,omitempty"` // "stop" was the right answer, and was said
}

// A Remedy is one thing that helps.
type Remedy struct {
	Effort string `json:"effort"` // words · move · dial · panel · flash
	Text   string `json:"text"`
}

// A Tradeoff is a wish against a limit, and which wins.
type Tradeoff struct {
	ID   string `json:"id"`
	Wins string `json:"wins"`
	Text string `json:"text"`
}

// A Result is a direct question's number. Value is exact; Text says it in
// words, with the nearest mark of the dial. A gel and a time have words alone.
type Result struct {
	Name  string   `json:"name"`
	Value *float64 `json:"value,omitempty"`
	Unit  string   `json:"unit,omitempty"`
	Text  string   `json:"text"`
}

// Other is a set-up that was not chosen, and why.
type Other struct {
	ID    string `json:"id"`
	Title string `json:"title"`
	Why   string `json:"why"`
}

// A Caution is one safety line.
type Caution struct {
	ID   string `json:"id"`
	Text string `json:"text"`
	Stop bool   `json:"stop"`
}

// Instead is the nearest safe picture where something was declined.
type Instead struct {
	Title string   `json:"title"`
	Place []string `json:"place,omitempty"`
}

// A Record is what was kept, or looked up and found.
type Record struct {
	Saved string  `json:"saved,omitempty"` // in one line, what was kept, changed or deleted
	Found []Found `json:"found,omitempty"`
}

// Found is one thing that was found, the newest first.
type Found struct {
	Title string `json:"title"`
	When  string `json:"when,omitempty"` // RFC 3339
	Text  string `json:"text"`
}

// Working is one formula with its numbers put in.
type Working struct {
	Name    string  `json:"name"`
	Formula string  `json:"formula"`
	Value   float64 `json:"value"`
	Unit    string  `json:"unit,omitempty"`
	Source  string  `json:"source"`
}

// Trace is what one rule said of this message.
type Trace struct {
	Rule    string  `json:"rule"`
	Verdict string  `json:"verdict"` // fires · ruled out · waits
	Why     string  `json:"why,omitempty"`
	Score   float64 `json:"score,omitempty"`
}

// Stops reports whether any caution stops the set-up.
func (a *Answer) Stops() bool {
	for _, c := range a.Safety {
		if c.Stop {
			return true
		}
	}
	return false
}

// Told is the working as one line: what it is, the formula with its numbers,
// what comes out.
func (w Working) Told() string {
	value := strconv.FormatFloat(w.Value, 'g', 4, 64)
	return strings.TrimSpace(strings.ReplaceAll(w.Name, "_", " ") + ": " + w.Formula + " = " + value + " " + w.Unit)
}
