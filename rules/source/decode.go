package source

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"sync"
)

// Text is a text that knows where it stands.
type Text struct {
	Value  string
	Pos    Pos  // of the first rune, after a quote
	InLine bool // one line, character for character: columns inside it map to the file
}

func (t Text) String() string { return t.Value }

// A Decoder reads its own shape from a node and tells what is wrong with it.
type Decoder interface{ Decode(Node) []Problem }

// Decode fills the value that into points to. It is strict: a key that into
// has no field for, a key of the wrong shape and a required key that is missing
// are problems.
//
// A struct's fields take their keys from the tag `source:"key"`, which ",required"
// may follow; a field without a tag is left alone, but one named Pos of type
// Pos gets the place of the map. Fields may be string, Text, bool, int,
// float64, slices, structs and pointers of these, Node itself, and any type
// whose pointer is a Decoder. The zero Node, of a file that could not be read,
// leaves into as it is: what is wrong with it was told.
func (n Node) Decode(into any) []Problem {
	if n.y == nil {
		return nil
	}
	return n.decode(reflect.ValueOf(into).Elem(), nil)
}

var (
	decoderType = reflect.TypeFor[Decoder]()
	textType    = reflect.TypeFor[Text]()
	nodeType    = reflect.TypeFor[Node]()
	posType     = reflect.TypeFor[Pos]()
)

func (n Node) decode(v reflect.Value, problems []Problem) []Problem {
	t := v.Type()
	if v.CanAddr() && reflect.PointerTo(t).Implements(decoderType) {
		return append(problems, v.Addr().Interface().(Decoder).Decode(n)...)
	}
	switch t {
	case nodeType:
		v.Set(reflect.ValueOf(n))
		return problems
	case textType:
		if n.Kind() != Scalar {
			return append(problems, n.wrong("a text"))
		}
		pos, inLine := n.Inside()
		*v.Addr().Interface().(*Text) = Text{strings.TrimRight(n.Text(), "\n"), pos, inLine}
		return problems
	}
	switch t.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(t.Elem()))
		return n.decode(v.Elem(), problems)
	case reflect.Struct:
		return n.decodeStruct(v, problems)
	case reflect.Slice:
		if n.Kind() != List {
			return append(problems, n.wrong("a list"))
		}
		v.Set(reflect.MakeSlice(t, n.Len(), n.Len()))
		i := 0
		for item := range n.Items() {
			problems = item.decode(v.Index(i), problems)
			i++
		}
		return problems
	case reflect.String:
		if n.Kind() != Scalar {
			return append(problems, n.wrong("a text"))
		}
		v.SetString(strings.TrimRight(n.Text(), "\n"))
		return problems
	case reflect.Bool:
		flag, ok := n.Flag()
		if !ok {
			return append(problems, n.wrong("true or false"))
		}
		v.SetBool(flag)
		return problems
	case reflect.Int:
		number, ok := n.Number()
		if !ok || number != math.Trunc(number) || math.Abs(number) > 1e9 {
			return append(problems, n.wrong("a whole number"))
		}
		v.SetInt(int64(number))
		return problems
	case reflect.Float64:
		number, ok := n.Number()
		if !ok {
			return append(problems, n.wrong("a number"))
		}
		v.SetFloat(number)
		return problems
	}
	panic(fmt.Sprintf("source: cannot decode into %s", t)) // a fault of the calling package, whatever the file says
}

func (n Node) wrong(want string) Problem {
	if n.Kind() == Scalar {
		return n.Problem("wrong-kind", "%q is not %s", n.Text(), want)
	}
	return n.Problem("wrong-kind", "%s is needed here, not %s", want, n.Kind())
}

// Number reads a scalar as a plain finite decimal number.
func (n Node) Number() (float64, bool) {
	if n.Kind() != Scalar || n.Quoted() {
		return 0, false
	}
	return Number(n.Text())
}

// Number reads a plain finite decimal number: no hexadecimal, no infinity, no
// digit separators.
func Number(text string) (float64, bool) {
	if text == "" || strings.Trim(text, "+-.0123456789eE") != "" {
		return 0, false
	}
	number, err := strconv.ParseFloat(text, 64)
	return number, err == nil && !math.IsInf(number, 0)
}

// Flag reads an unquoted true or false.
func (n Node) Flag() (flag, ok bool) {
	if n.Kind() != Scalar || n.Quoted() {
		return false, false
	}
	return n.Text() == "true", n.Text() == "true" || n.Text() == "false"
}

// A shape is how the keys of a map fill the fields of a struct.
type shape struct {
	keys     []string
	field    map[string]int
	required []string
	pos      int // index of the field Pos, or -1
}

var shapes sync.Map // reflect.Type → *shape

func shapeOf(t reflect.Type) *shape {
	if s, ok := shapes.Load(t); ok {
		return s.(*shape)
	}
	s := &shape{field: map[string]int{}, pos: -1}
	for i := range t.NumField() {
		f := t.Field(i)
		if f.Name == "Pos" && f.Type == posType {
			s.pos = i
		}
		key, rest, _ := strings.Cut(f.Tag.Get("source"), ",")
		if key == "" {
			continue
		}
		s.keys = append(s.keys, key)
		s.field[key] = i
		if rest == "required" {
			s.required = append(s.required, key)
		}
	}
	shapes.Store(t, s)
	return s
}

func (n Node) decodeStruct(v reflect.Value, problems []Problem) []Problem {
	s := shapeOf(v.Type())
	if s.pos >= 0 {
		v.Field(s.pos).Set(reflect.ValueOf(n.Pos()))
	}
	if n.Kind() != Map {
		return append(problems, n.wrong("a map"))
	}
	for key, value := range n.Pairs() {
		if key.Kind() != Scalar { // told by Parse
			continue
		}
		i, known := s.field[key.Text()]
		if !known {
			p := key.Problem("unknown-key", "%s is not a key here", key.Text())
			p.Nearest = Nearest(key.Text(), s.keys)
			if p.Nearest == "" {
				p.Message += "; the keys are " + strings.Join(s.keys, ", ")
			}
			problems = append(problems, p)
			continue
		}
		if value.Kind() == Nothing {
			problems = append(problems, key.Problem("empty-key", "%s has no value", key.Text()))
			continue
		}
		problems = value.decode(v.Field(i), problems)
	}
	for _, key := range s.required {
		if !n.Has(key) {
			problems = append(problems, n.Problem("missing-key", "%s is missing", key))
		}
	}
	return problems
}

// Has reports whether a map has the key.
func (n Node) Has(key string) bool { _, ok := n.Get(key); return ok }

// Get returns the value of a map's key.
func (n Node) Get(key string) (Node, bool) {
	for k, v := range n.Pairs() {
		if k.Text() == key {
			return v, true
		}
	}
	return Node{}, false
}
