package fact

import (
	"maps"
	"slices"
)

// Span is the stretch of the message, in bytes, that a value came from.
type Span struct{ Start, End int }

// Overlaps reports whether two stretches share a byte.
func (s Span) Overlaps(t Span) bool { return s.Start < t.End && t.Start < s.End }

// Origin says how a value came to be known.
type Origin int

// The origins, weakest first: a value is replaced by one of the same or a
// stronger origin.
const (
	Assumed Origin = iota // a house default, and the answer says so
	FromKit               // the crew's kit list
	Kept                  // an earlier message of the thread
	Said                  // this message
)

func (o Origin) String() string { return [...]string{"assumed", "kit list", "thread", "said"}[o] }

// A Value is one thing known. Which of its fields counts is the fact's Kind.
type Value struct {
	Number float64
	Flag   bool
	Text   string // of a Choice or a Text
	Origin Origin
	Span   Span
	Say    string // an assumption in the words in which it is told
	Why    string // why it was assumed
}

// An Item is one kind of kit at hand. A zero field was not said.
type Item struct {
	Kind     string   `json:"kind,omitempty"`
	Count    int      `json:"count,omitempty"`
	SizeM    float64  `json:"size_m,omitempty"`  // longest side or diameter
	Size2M   float64  `json:"size2_m,omitempty"` // the other side
	Surfaces []string `json:"surfaces,omitempty"`
	GuideM   float64  `json:"gn_m,omitempty"` // guide number, metres, ISO 100, full power
	GuideMM  float64  `json:"gn_zoom_mm,omitempty"`
	EnergyWs float64  `json:"energy_ws,omitempty"`
	Lux1m    float64  `json:"lux_1m,omitempty"`
	Power    float64  `json:"power,omitempty"` // fraction of full
	ZoomMM   float64  `json:"zoom_mm,omitempty"`
	HSS      bool     `json:"hss,omitempty"`
	Gel      string   `json:"gel,omitempty"`
	Stops    float64  `json:"stops,omitempty"` // of a filter, or of light lost
	WeightKg float64  `json:"weight_kg,omitempty"`
	HeightM  float64  `json:"height_m,omitempty"`

	// What only a kit list tells.
	Clicks      int     `json:"dial_clicks,omitempty"`    // marks of the power dial a stop: 3 or 10
	LowestPower float64 `json:"lowest_power,omitempty"`   // fraction of full
	RecycleS    float64 `json:"recycle_s,omitempty"`      // wait after a full flash
	Charge      float64 `json:"charge_flashes,omitempty"` // full flashes of a charge
	FootM       float64 `json:"foot_m,omitempty"`         // of a stand: column to the tip of a leg on the ground

	// Calibrated is what the crew's own test frames found lost, beyond the
	// model, for each way of lighting ("through").
	Calibrated map[string]Loss `json:"calibrated,omitempty"`

	Origin Origin `json:"-"`
	Span   Span   `json:"-"`
}

// A Loss is how many stops of light are lost, more or less by a spread.
type Loss struct {
	Stops  float64 `json:"stops"`
	Spread float64 `json:"spread"`
}

// A Set is what is known: values by path, choices of list facts, kit, and
// what was denied. The zero Set knows nothing and is ready to use.
type Set struct {
	values map[string]Value
	lists  map[string]map[string]Value // path → choice → where it came from
	kit    []Item
	denied map[string]Span
}

// Clone copies the set, so that a change to one leaves the other alone.
func (s *Set) Clone() *Set {
	c := &Set{values: maps.Clone(s.values), denied: maps.Clone(s.denied)}
	if s.lists != nil {
		c.lists = make(map[string]map[string]Value, len(s.lists))
		for path, choices := range s.lists {
			c.lists[path] = maps.Clone(choices)
		}
	}
	for _, item := range s.kit {
		item.Surfaces = slices.Clone(item.Surfaces)
		c.kit = append(c.kit, item)
	}
	return c
}

// Put sets an open fact, unless a stronger origin already holds it.
func (s *Set) Put(path string, v Value) {
	if old, ok := s.values[path]; ok && old.Origin > v.Origin {
		return
	}
	if s.values == nil {
		s.values = map[string]Value{}
	}
	s.values[path] = v
}

// Drop forgets an open fact.
func (s *Set) Drop(path string) { delete(s.values, path) }

// Get returns an open fact's value.
func (s *Set) Get(path string) (Value, bool) { v, ok := s.values[path]; return v, ok }

// Number returns a number fact.
func (s *Set) Number(path string) (float64, bool) { v, ok := s.values[path]; return v.Number, ok }

// Add puts a choice into a list fact and takes back its denial.
func (s *Set) Add(path, choice string, v Value) {
	delete(s.denied, choice)
	if s.lists == nil {
		s.lists = map[string]map[string]Value{}
	}
	if s.lists[path] == nil {
		s.lists[path] = map[string]Value{}
	}
	if old, ok := s.lists[path][choice]; ok && old.Origin > v.Origin {
		return
	}
	s.lists[path][choice] = v
}

// Remove takes a choice out of a list fact.
func (s *Set) Remove(path, choice string) { delete(s.lists[path], choice) }

// Has reports whether a list fact holds the choice.
func (s *Set) Has(path, choice string) bool { _, ok := s.lists[path][choice]; return ok }

// Choices returns a list fact's choices in the order of the table.
func (s *Set) Choices(path string) []string {
	held := s.lists[path]
	if len(held) == 0 {
		return nil
	}
	f, ok := Lookup(path)
	if !ok {
		return nil
	}
	var out []string
	for _, c := range f.Choices {
		if _, ok := held[c]; ok {
			out = append(out, c)
		}
	}
	return out
}

// ChoiceValue returns where a list fact's choice came from.
func (s *Set) ChoiceValue(path, choice string) (Value, bool) {
	v, ok := s.lists[path][choice]
	return v, ok
}

// Deny records that a choice or a fact was said not to be so.
func (s *Set) Deny(what string, at Span) {
	if s.denied == nil {
		s.denied = map[string]Span{}
	}
	s.denied[what] = at
}

// Undeny takes a denial back.
func (s *Set) Undeny(what string) { delete(s.denied, what) }

// Denied reports whether it was said not to be so.
func (s *Set) Denied(what string) bool { _, ok := s.denied[what]; return ok }

// Denials lists what was denied, sorted.
func (s *Set) Denials() []string { return slices.Sorted(maps.Keys(s.denied)) }

// Kit returns the kit at hand. The slice is the set's own.
func (s *Set) Kit() []Item { return s.kit }

// SetKit replaces the kit.
func (s *Set) SetKit(items []Item) { s.kit = items }

// Item returns the first item of any of the kinds.
func (s *Set) Item(kinds ...string) (Item, bool) {
	for _, kind := range kinds {
		for _, item := range s.kit {
			if item.Kind == kind {
				return item, true
			}
		}
	}
	return Item{}, false
}

// Count adds up the items of a kind.
func (s *Set) Count(kind string) int {
	n := 0
	for _, item := range s.kit {
		if item.Kind == kind {
			n += max(1, item.Count)
		}
	}
	return n
}

// Empty reports whether nothing at all is known.
func (s *Set) Empty() bool {
	for _, held := range s.lists {
		if len(held) > 0 {
			return false
		}
	}
	return len(s.values) == 0 && len(s.kit) == 0 && len(s.denied) == 0
}
