package fact

import "strings"

// HeardJSON returns what a set knows as contract.md's "heard": nested maps by
// the dotted paths of the table, ready for encoding/json. What is not known is
// absent.
func HeardJSON(s *Set) map[string]any {
	out := map[string]any{}
	for _, row := range Table {
		if v, ok := jsonValue(s, row); ok {
			place(out, row.Path, v)
		}
	}
	if denied := s.Denials(); len(denied) > 0 {
		out["denied"] = denied
	}
	return out
}

func jsonValue(s *Set, row Fact) (any, bool) {
	switch row.Kind {
	case Kit:
		return s.Kit(), len(s.Kit()) > 0
	case List:
		choices := s.Choices(row.Path)
		return choices, len(choices) > 0
	}
	v, ok := s.Get(row.Path)
	switch row.Kind {
	case Number:
		return v.Number, ok
	case Flag:
		return v.Flag, ok
	}
	return v.Text, ok
}

// place puts a value at a dotted path.
func place(at map[string]any, path string, v any) {
	for {
		head, rest, nested := strings.Cut(path, ".")
		if !nested {
			at[head] = v
			return
		}
		next, ok := at[head].(map[string]any)
		if !ok {
			next = map[string]any{}
			at[head] = next
		}
		at, path = next, rest
	}
}
