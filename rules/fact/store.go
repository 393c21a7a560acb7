package fact

import "encoding/json"

// A stored set is a Set as it is kept between messages: everything but the
// stretches of text, which belong to a message that is gone.
type stored struct {
	Values map[string]storedValue            `json:"values,omitempty"`
	Lists  map[string]map[string]storedValue `json:"lists,omitempty"`
	Kit    []storedItem                      `json:"kit,omitempty"`
	Denied []string                          `json:"denied,omitempty"`
}

type storedValue struct {
	Number float64 `json:"n,omitempty"`
	Flag   bool    `json:"f,omitempty"`
	Text   string  `json:"t,omitempty"`
	Origin Origin  `json:"o,omitempty"`
}

type storedItem struct {
	Item
	Origin Origin `json:"o,omitempty"`
}

// MarshalJSON writes the set for a store. HeardJSON is what people get.
func (s *Set) MarshalJSON() ([]byte, error) {
	out := stored{Denied: s.Denials()}
	keep := func(v Value) storedValue { return storedValue{v.Number, v.Flag, v.Text, v.Origin} }
	if len(s.values) > 0 {
		out.Values = map[string]storedValue{}
		for path, v := range s.values {
			out.Values[path] = keep(v)
		}
	}
	for path, choices := range s.lists {
		for choice, v := range choices {
			if out.Lists == nil {
				out.Lists = map[string]map[string]storedValue{}
			}
			if out.Lists[path] == nil {
				out.Lists[path] = map[string]storedValue{}
			}
			out.Lists[path][choice] = keep(v)
		}
	}
	for _, item := range s.kit {
		out.Kit = append(out.Kit, storedItem{item, item.Origin})
	}
	return json.Marshal(out)
}

// UnmarshalJSON reads what MarshalJSON wrote. What the table no longer has is
// left out, so that an old thread still opens.
func (s *Set) UnmarshalJSON(data []byte) error {
	var in stored
	if err := json.Unmarshal(data, &in); err != nil {
		return err
	}
	*s = Set{}
	value := func(v storedValue) Value {
		return Value{Number: v.Number, Flag: v.Flag, Text: v.Text, Origin: v.Origin}
	}
	for path, v := range in.Values {
		if _, ok := Lookup(path); ok {
			s.Put(path, value(v))
		}
	}
	for path, choices := range in.Lists {
		if _, ok := Lookup(path); !ok {
			continue
		}
		for choice, v := range choices {
			s.Add(path, choice, value(v))
		}
	}
	for _, i := range in.Kit {
		i.Item.Origin = i.Origin
		s.kit = append(s.kit, i.Item)
	}
	for _, what := range in.Denied {
		s.Deny(what, Span{})
	}
	return nil
}
