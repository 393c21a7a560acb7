package source

import "reflect"

// A Schema is a JSON schema, as encoding/json writes it.
type Schema map[string]any

// A Schemer is a Decoder whose shape on the page is not that of its fields.
type Schemer interface{ Schema() Schema }

// A Chooser is a Decoder that takes only certain words under some of its keys.
type Chooser interface {
	// Closed is the schema of each such key, in place of its field's.
	Closed() map[string]Schema
}

// One is the schema of one word of a list.
func One(choices []string) Schema { return Schema{"type": "string", "enum": choices} }

// Some is the schema of a list of such words.
func Some(choices []string) Schema { return Schema{"type": "array", "items": One(choices)} }

var (
	schemerType = reflect.TypeFor[Schemer]()
	chooserType = reflect.TypeFor[Chooser]()
)

// SchemaOf describes what Decode takes for the type that sample is of, read
// off the same tags: the keys, which of them must be there, and the kind of each.
// What a Decoder checks beyond that is left to check.
func SchemaOf(sample any) Schema { return schemaOf(reflect.TypeOf(sample)) }

func schemaOf(t reflect.Type) Schema {
	if t.Kind() == reflect.Pointer {
		return schemaOf(t.Elem())
	}
	if reflect.PointerTo(t).Implements(schemerType) {
		return reflect.New(t).Interface().(Schemer).Schema()
	}
	text := Schema{"type": []string{"string", "number", "boolean"}} // 5 and true are texts too
	switch t {
	case textType:
		return text
	case nodeType:
		return Schema{}
	}
	switch t.Kind() {
	case reflect.Struct:
		s := shapeOf(t)
		if len(s.keys) == 0 { // a Decoder of its own
			return Schema{}
		}
		properties := Schema{}
		for key, i := range s.field {
			properties[key] = schemaOf(t.Field(i).Type)
		}
		if reflect.PointerTo(t).Implements(chooserType) {
			for key, closed := range reflect.New(t).Interface().(Chooser).Closed() {
				properties[key] = closed
			}
		}
		out := Schema{"type": "object", "properties": properties, "additionalProperties": false}
		if len(s.required) > 0 {
			out["required"] = s.required
		}
		return out
	case reflect.Slice:
		if reflect.PointerTo(t).Implements(decoderType) { // written in some way of its own
			return Schema{}
		}
		return Schema{"type": "array", "items": schemaOf(t.Elem())}
	case reflect.String:
		return text
	case reflect.Bool:
		return Schema{"type": "boolean"}
	case reflect.Int:
		return Schema{"type": "integer"}
	case reflect.Float64:
		return Schema{"type": "number"}
	}
	return Schema{}
}
