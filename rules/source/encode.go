package source

import (
	"bytes"
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// An Encoder is a type whose shape on the page is not that of its fields:
// Encode gives a value of that shape, and its Decode reads it.
type Encoder interface{ Encode() any }

// A Pair is a key of a map with its value.
type Pair struct {
	Key   string
	Value any
}

var (
	encoderType = reflect.TypeFor[Encoder]()
	pairsType   = reflect.TypeFor[[]Pair]()
)

// Encode writes a value as a rule file that Decode reads back, off the same
// tags. Keys come in the order of the fields; what is empty is left out. A
// struct inside another and a list of plain words stand on one line. Besides what
// Decode takes, v may hold []Pair for a map.
func Encode(v any) ([]byte, error) {
	var out bytes.Buffer
	e := yaml.NewEncoder(&out)
	e.SetIndent(2)
	if err := e.Encode(node(reflect.ValueOf(v), 0)); err != nil {
		return nil, fmt.Errorf("source: %w", err)
	}
	if err := e.Close(); err != nil {
		return nil, fmt.Errorf("source: %w", err)
	}
	return out.Bytes(), nil
}

// inner is the depth from which on maps stand on one line: the file's list,
// and the rules in it.
const inner = 2

// node is a value as YAML, nil where it is empty.
func node(v reflect.Value, depth int) *yaml.Node {
	for v.Kind() == reflect.Interface || v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return nil
		}
		if v.Type().Implements(encoderType) {
			break
		}
		if v = v.Elem(); v.Kind() != reflect.Pointer && !v.Type().Implements(encoderType) {
			return present(v, depth)
		}
	}
	if v.Type().Implements(encoderType) {
		return node(reflect.ValueOf(v.Interface().(Encoder).Encode()), depth)
	}
	if v.IsZero() {
		return nil
	}
	return present(v, depth)
}

// present is a value that was said, zero or not.
func present(v reflect.Value, depth int) *yaml.Node {
	switch v.Type() {
	case textType:
		return scalar("!!str", strings.TrimRight(v.Interface().(Text).Value, "\n"))
	case pairsType:
		m := &yaml.Node{Kind: yaml.MappingNode, Style: style(depth >= inner)}
		for _, p := range v.Interface().([]Pair) {
			if value := node(reflect.ValueOf(p.Value), depth+1); value != nil {
				m.Content = append(m.Content, scalar("!!str", p.Key), value)
			}
		}
		return filled(m)
	}
	switch v.Kind() {
	case reflect.Struct:
		m := &yaml.Node{Kind: yaml.MappingNode, Style: style(depth >= inner)}
		s := shapeOf(v.Type())
		for _, key := range s.keys {
			if value := node(v.Field(s.field[key]), depth+1); value != nil {
				m.Content = append(m.Content, scalar("!!str", key), value)
			}
		}
		return filled(m)
	case reflect.Slice:
		words := v.Type().Elem().Kind() == reflect.String || v.Type().Elem().Implements(encoderType)
		l := &yaml.Node{Kind: yaml.SequenceNode, Style: style(words)}
		for i := range v.Len() {
			if item := node(v.Index(i), depth+1); item != nil {
				l.Content = append(l.Content, item)
			}
		}
		return filled(l)
	case reflect.String:
		return scalar("!!str", v.String())
	case reflect.Bool:
		return scalar("!!bool", strconv.FormatBool(v.Bool()))
	case reflect.Int:
		return scalar("!!int", strconv.FormatInt(v.Int(), 10))
	case reflect.Float64:
		text := strconv.FormatFloat(v.Float(), 'f', -1, 64)
		if !strings.Contains(text, ".") { // as people write it: 5, not 5.0
			return scalar("!!int", text)
		}
		return scalar("!!float", text)
	}
	panic(fmt.Sprintf("source: cannot encode %s", v.Type())) // a fault of the calling package
}

func scalar(tag, value string) *yaml.Node {
	return &yaml.Node{Kind: yaml.ScalarNode, Tag: tag, Value: value}
}

func style(oneLine bool) yaml.Style {
	if oneLine {
		return yaml.FlowStyle
	}
	return 0
}

func filled(n *yaml.Node) *yaml.Node {
	if len(n.Content) == 0 {
		return nil
	}
	return n
}
