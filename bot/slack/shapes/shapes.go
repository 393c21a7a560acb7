// Package shapes checks that what goes out to Slack has a shape that Slack's
// own types allow: the keys they have, the kinds of value, the words where only
// some will do. It is for tests; lengths are not its matter.
package shapes

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"slices"
	"strconv"
	"strings"
)

// What can be checked.
const (
	Blocks   = "Blocks" // of a message
	Modal    = "Modal"
	Home     = "Home"
	Manifest = "AppManifest"
)

// Types are official types as JSON Schema says them.
type Types struct {
	Definitions map[string]*schema `json:"definitions"`
}

// schema is as much of JSON Schema, draft 7, as the types are written in.
// A keyword that is not here is an error when it is read: it would be checked
// by nobody.
type schema struct {
	Ref        string             `json:"$ref"`
	Type       names              `json:"type"`
	AnyOf      []*schema          `json:"anyOf"`
	Const      any                `json:"const"`
	Enum       []any              `json:"enum"`
	Properties map[string]*schema `json:"properties"`
	Required   []string           `json:"required"`
	Additional *further           `json:"additionalProperties"`
	Items      *schema            `json:"items"`
}

// names are one type or several.
type names []string

func (n *names) UnmarshalJSON(data []byte) error {
	var one string
	if json.Unmarshal(data, &one) == nil {
		*n = names{one}
		return nil
	}
	return json.Unmarshal(data, (*[]string)(n))
}

// further says what keys beyond the named ones may be: none, anything, or of
// a schema.
type further struct {
	allowed bool
	of      *schema
}

func (f *further) UnmarshalJSON(data []byte) error {
	if json.Unmarshal(data, &f.allowed) == nil {
		return nil
	}
	f.allowed, f.of = true, new(schema)
	return strict(data, f.of)
}

func strict(data []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	return d.Decode(into)
}

// Read reads types from a file.
func Read(name string) (*Types, error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	var file struct {
		Schema string `json:"$schema"`
		Types
	}
	if err := strict(data, &file); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return &file.Types, nil
}

// Check reports where a value, as JSON, is not of the type of that name.
func (t *Types) Check(name string, value any) error {
	definition := t.Definitions[name]
	if definition == nil {
		return fmt.Errorf("no type %s", name)
	}
	data, err := json.Marshal(value)
	if err != nil {
		return err
	}
	var plain any
	if err := json.Unmarshal(data, &plain); err != nil {
		return err
	}
	if m := t.mismatch(definition, plain, name, 0); m != nil {
		return m
	}
	return nil
}

// A mismatch is one thing that is not as it should be. How deep it lies tells
// which of several types was meant.
type mismatch struct {
	at, why string
	depth   int
}

func (m *mismatch) Error() string { return m.at + ": " + m.why }

func (t *Types) mismatch(s *schema, v any, at string, depth int) *mismatch {
	wrong := func(format string, args ...any) *mismatch {
		return &mismatch{at, fmt.Sprintf(format, args...), depth}
	}
	if s.Ref != "" {
		name, err := url.PathUnescape(strings.TrimPrefix(s.Ref, "#/definitions/"))
		if err != nil || t.Definitions[name] == nil {
			return wrong("the type %s is not defined", name)
		}
		return t.mismatch(t.Definitions[name], v, at, depth)
	}
	if len(s.AnyOf) > 0 {
		var nearest *mismatch
		for _, one := range s.AnyOf {
			m := t.mismatch(one, v, at, depth)
			if m == nil {
				return nil
			}
			if nearest == nil || m.depth > nearest.depth {
				nearest = m
			}
		}
		return nearest
	}
	if len(s.Type) > 0 && !slices.ContainsFunc(s.Type, func(name string) bool { return is(v, name) }) {
		return wrong("%s is not a %s", short(v), strings.Join(s.Type, " or "))
	}
	if s.Const != nil && v != s.Const {
		return wrong("%s is not %v", short(v), s.Const)
	}
	if len(s.Enum) > 0 && !slices.Contains(s.Enum, v) {
		return wrong("%s is none of %v", short(v), s.Enum)
	}
	switch v := v.(type) {
	case []any:
		for i, item := range v {
			if s.Items == nil {
				break
			}
			if m := t.mismatch(s.Items, item, at+"["+strconv.Itoa(i)+"]", depth+1); m != nil {
				return m
			}
		}
	case map[string]any:
		return t.object(s, v, at, depth)
	}
	return nil
}

func (t *Types) object(s *schema, v map[string]any, at string, depth int) *mismatch {
	// The key "type" first: it tells which of several types is meant.
	keys := make([]string, 0, len(v))
	for key := range v {
		keys = append(keys, key)
	}
	slices.SortFunc(keys, func(a, b string) int {
		if (a == "type") != (b == "type") {
			if a == "type" {
				return -1
			}
			return 1
		}
		return strings.Compare(a, b)
	})
	told := depth
	for _, key := range keys {
		property, here := s.Properties[key], at+"."+key
		switch {
		case property != nil:
		case s.Additional == nil || s.Additional.allowed && s.Additional.of == nil:
			continue
		case s.Additional.of != nil:
			property = s.Additional.of
		default:
			return &mismatch{here, "no such key", told}
		}
		if m := t.mismatch(property, v[key], here, told+1); m != nil {
			return m
		}
		if key == "type" {
			told += 10 // the type meant: what is wrong lies further in
		}
	}
	for _, key := range s.Required {
		if _, there := v[key]; !there {
			return &mismatch{at, "no " + key, told}
		}
	}
	return nil
}

func is(v any, name string) bool {
	switch v := v.(type) {
	case string:
		return name == "string"
	case bool:
		return name == "boolean"
	case float64:
		return name == "number" || name == "integer" && v == float64(int64(v))
	case []any:
		return name == "array"
	case map[string]any:
		return name == "object"
	}
	return name == "null"
}

func short(v any) string {
	data, _ := json.Marshal(v)
	if runes := []rune(string(data)); len(runes) > 60 {
		return string(runes[:60]) + "…"
	}
	return string(data)
}
