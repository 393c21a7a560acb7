package bot

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"

	"panelhand/bot/answer"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// A Thread is what one conversation remembers: what it knows, how its people
// write lengths, and the set-ups it has had, each as it stood. The zero Thread is
// new. It is used by one message at a time.
type Thread struct {
	facts  *fact.Set
	style  units.Style
	older  []json.RawMessage // set-ups of before, as the store has them, oldest first
	states []state           // newest last
	undone *state            // what the last undo took away
	last   *answer.Numbers   // of the set-up answered last
	told   []string          // cautions and assumptions shown so far
	asked  string            // the question that the last message asked, for "and at f4"

	planning bool // a day ahead was planned: dates, places and hours add to it
	training training
}

// A state is a set-up as it stood after one message.
type state struct {
	Facts   *fact.Set
	Assumed []rules.Assumption // what was taken for granted; it stays while the scene does
	Plan    plan
	Asked   []rules.Asking // what its message asked for, so that "still" knows
}

// framed is what depends on how many are in the picture.
var framed = []string{"subject.framing", "camera.focal_mm", "distance.camera_subject_m"}

// assume takes for granted what the state did. Of the light only where held:
// where a message names another light, it is guessed anew.
func (s *state) assume(facts *fact.Set, light bool) []rules.Assumption {
	var out []rules.Assumption
	people := func(set *fact.Set) float64 { n, _ := set.Number("subject.people"); return n }
	recounted := people(facts) > 0 && people(facts) != people(s.Facts)
	for _, a := range s.Assumed {
		if recounted && slices.Contains(framed, a.Fact) {
			continue
		}
		if strings.HasPrefix(a.Fact, "light.") && !light {
			continue
		}
		f, ok := fact.Lookup(a.Fact)
		if _, known := facts.Get(a.Fact); !ok || known || facts.Denied(a.Fact) || facts.Denied(f.Name) {
			continue
		}
		facts.Put(a.Fact, a.Value)
		out = append(out, a)
	}
	return out
}

// mostStates is how far back "undo" goes. A thread never grows past it, so
// that its two-hundredth message costs what its second did.
const mostStates = 20

// mostMade bounds the adjustments that a set-up counts, for the same reason.
const mostMade = 24

func (t *Thread) standing() *state {
	if len(t.states) == 0 {
		return nil
	}
	return &t.states[len(t.states)-1]
}

// before is the set-up that stood before the last one; false where none did.
func (t *Thread) before() (state, bool) {
	if len(t.states) < 2 && len(t.older) > 0 {
		var s state
		if err := json.Unmarshal(t.older[len(t.older)-1], &s); err != nil || s.Facts == nil {
			return state{}, false
		}
		t.older = t.older[:len(t.older)-1]
		t.states = append([]state{s}, t.states...)
	}
	if len(t.states) < 2 {
		return state{}, false
	}
	return t.states[len(t.states)-2], true
}

func (t *Thread) push(s state) {
	t.undone = nil
	s.Plan.Made = last(s.Plan.Made, mostMade)
	for len(t.older)+len(t.states) >= mostStates {
		if len(t.older) > 0 {
			t.older = t.older[1:]
		} else {
			t.states = append(t.states[:0], t.states[1:]...)
		}
	}
	t.states = append(t.states, s)
}

// kept is a thread as a store has it. All its set-ups are written and few are
// read: "undo" is rare, and a message must not cost more for it.
type kept struct {
	Facts  *fact.Set         `json:"facts,omitempty"`
	Style  units.Style       `json:"style"`
	States []json.RawMessage `json:"states,omitempty"`
	Undone *state            `json:"undone,omitempty"`
	Told   []string          `json:"told,omitempty"`
	Asked  string            `json:"asked,omitempty"`

	Planning bool     `json:"planning,omitempty"`
	Training training `json:"training,omitzero"`
}

// MarshalJSON writes the thread for a store.
func (t *Thread) MarshalJSON() ([]byte, error) {
	states := slices.Clone(t.older)
	for _, s := range t.states {
		data, err := json.Marshal(s)
		if err != nil {
			return nil, err
		}
		states = append(states, data)
	}
	return json.Marshal(kept{t.facts, t.style, states, t.undone, t.told, t.asked, t.planning, t.training})
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (t *Thread) UnmarshalJSON(data []byte) error {
	var k kept
	if err := json.Unmarshal(data, &k); err != nil {
		return err
	}
	*t = Thread{facts: k.Facts, style: k.Style, undone: k.Undone, told: k.Told, asked: k.Asked, planning: k.Planning, training: k.Training}
	if n := len(k.States); n > 0 {
		var s state
		if err := json.Unmarshal(k.States[n-1], &s); err != nil {
			return err
		}
		if s.Facts == nil {
			return errors.New("a set-up of the thread has no facts")
		}
		t.older, t.states = k.States[:n-1], []state{s}
	}
	return nil
}
