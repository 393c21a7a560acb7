package bot

import (
	"encoding/json"
	"errors"
	"strings"

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
	states []state  // newest last
	told   []string // cautions and assumptions shown so far

	planning bool // a day ahead was planned: dates, places and hours add to it
}

// A state is a set-up as it stood after one message.
type state struct {
	Facts   *fact.Set
	Assumed []rules.Assumption // what was taken for granted; it stays while the scene does
	Plan    plan
	Asked   []rules.Asking // what its message asked for, so that "still" knows
}

// assume takes for granted what the state did. Of the light only where held:
// where a message names another light, it is guessed anew.
func (s *state) assume(facts *fact.Set, light bool) []rules.Assumption {
	var out []rules.Assumption
	for _, a := range s.Assumed {
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

func (t *Thread) standing() *state {
	if len(t.states) == 0 {
		return nil
	}
	return &t.states[len(t.states)-1]
}

func (t *Thread) push(s state) {
	if len(t.states) == mostStates {
		t.states = append(t.states[:0], t.states[1:]...)
	}
	t.states = append(t.states, s)
}

// kept is a thread as a store has it.
type kept struct {
	Facts  *fact.Set   `json:"facts,omitempty"`
	Style  units.Style `json:"style"`
	States []state     `json:"states,omitempty"`
	Told   []string    `json:"told,omitempty"`

	Planning bool `json:"planning,omitempty"`
}

// MarshalJSON writes the thread for a store.
func (t *Thread) MarshalJSON() ([]byte, error) {
	return json.Marshal(kept{t.facts, t.style, t.states, t.told, t.planning})
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (t *Thread) UnmarshalJSON(data []byte) error {
	var k kept
	if err := json.Unmarshal(data, &k); err != nil {
		return err
	}
	for _, s := range k.States {
		if s.Facts == nil {
			return errors.New("a set-up of the thread has no facts")
		}
	}
	*t = Thread{facts: k.Facts, style: k.Style, states: k.States, told: k.Told, planning: k.Planning}
	return nil
}
