package rules

import (
	"maps"
	"slices"
	"strings"

	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// Schemas describe the files of a playbook for editors that check YAML as it
// is typed, by the part of the playbook that they are for: "setups", "words",
// "off.yaml", "cases". They are read off the types that files are decoded into,
// so they cannot fall behind; what only a whole book shows is left to check.
func Schemas() map[string]source.Schema {
	list := func(sample any) source.Schema {
		return source.Schema{"$schema": "http://json-schema.org/draft-07/schema#", "type": "array", "items": source.SchemaOf(sample)}
	}
	off := source.SchemaOf(switches{})
	off["$schema"] = "http://json-schema.org/draft-07/schema#"
	return map[string]source.Schema{
		"words": list(Word{}), "setups": list(Setup{}), "adjust": list(Adjustment{}), "signs": list(Sign{}),
		"tradeoffs": list(Tradeoff{}), "plan": list(PlanLine{}), "safety": list(Caution{}), "terms": list(Term{}),
		"phrases": list(Phrase{}), "questions": list(Question{}), "looks.yaml": list(Look{}), "shifts.yaml": list(Shift{}),
		"defaults.yaml": list(Default{}), "places.yaml": list(Site{}), "off.yaml": off, "cases": list(Case{}),
		"drills": list(Drill{}), "week": list(Day{}), "cards": list(Card{}),
	}
}

// Schema is that of conditions: texts, and groups of them.
func (*Lines) Schema() source.Schema {
	// A group inside a group is not followed further: check does that.
	group := source.Schema{"type": "array", "minItems": 1, "items": source.Schema{"type": []string{"string", "boolean", "object"}}}
	return source.Schema{"type": "array", "items": source.Schema{"anyOf": []any{
		source.Schema{"type": []string{"string", "boolean"}},
		source.Schema{"type": "object", "properties": source.Schema{"any": group, "all": group}, "additionalProperties": false, "maxProperties": 1},
	}}}
}

// Schema is that of {softer: 3, "fault:dark-sockets": 2}.
func (*Serves) Schema() source.Schema {
	points := source.Schema{"type": "number", "minimum": 1, "maximum": 3}
	properties := source.Schema{}
	wants, _ := fact.Lookup("wants")
	for _, want := range wants.Choices {
		properties[want] = points
	}
	for _, fault := range fact.Faults {
		properties["fault:"+fault] = points
	}
	return source.Schema{"type": "object", "properties": properties, "additionalProperties": false}
}

// Schema is that of "flash|strobe".
func (*Need) Schema() source.Schema {
	kinds := "(" + strings.Join(fact.KitKinds, "|") + ")"
	return source.Schema{"type": "string", "pattern": "^ *" + kinds + `( *\| *` + kinds + ")* *$"}
}

// Schema is that of a word as it is written.
func (*Word) Schema() source.Schema { return source.SchemaOf(wordShape{}) }

// Schema is that of "softer", "fault:hot-spot", "turn:power-up".
func (*Asking) Schema() source.Schema {
	var words []string
	for prefix, path := range askings {
		list, _ := fact.Lookup(path)
		for _, choice := range list.Choices {
			words = append(words, prefix+choice)
		}
	}
	slices.Sort(words)
	return source.One(words)
}

// Closed are the keys under which only words of a table of ours may stand; the
// Decoders refuse the same.

func (*Setup) Closed() map[string]source.Schema {
	return map[string]source.Schema{"technique": source.Some(fact.Techniques)}
}

func (*Light) Closed() map[string]source.Schema {
	return map[string]source.Schema{"light": source.One(LightKinds), "panel": source.One(fact.Surfaces), "gel": source.One(fact.Gels)}
}

func (*Daylight) Closed() map[string]source.Schema {
	return map[string]source.Schema{"model": source.One(DaylightModels), "side": source.One(fact.Surfaces)}
}

func (*Adjustment) Closed() map[string]source.Schema {
	return map[string]source.Schema{"follow": source.Some(Followers)}
}

func (*Caution) Closed() map[string]source.Schema {
	return map[string]source.Schema{"raises": source.One(CautionIDs)}
}

func (*Look) Closed() map[string]source.Schema {
	look, _ := fact.Lookup("look")
	return map[string]source.Schema{"look": source.One(look.Choices)}
}

func (*Sign) Closed() map[string]source.Schema {
	return map[string]source.Schema{"fault": source.One(fact.Faults)}
}

// Schema is that of a line, or of a line with what it needs.
func (*Remedy) Schema() source.Schema {
	text := source.SchemaOf(source.Text{})
	needs := source.Schema{"type": "array", "items": (*Need).Schema(nil)}
	return source.Schema{"anyOf": []any{text, source.Schema{
		"type": "object", "properties": source.Schema{"say": text, "needs": needs, "side": source.One(fact.Surfaces)}, "required": []string{"say"}, "additionalProperties": false,
	}}}
}

func (*PlanLine) Closed() map[string]source.Schema {
	return map[string]source.Schema{"part": source.One(PlanParts), "kit": source.Some(fact.KitKinds)}
}

func (*Default) Closed() map[string]source.Schema {
	var open []string
	for _, f := range fact.Table {
		if !f.Closed() {
			open = append(open, f.Path)
		}
	}
	return map[string]source.Schema{"default": source.One(open)}
}

func (*Question) Closed() map[string]source.Schema {
	return map[string]source.Schema{"result": source.One(slices.Sorted(maps.Keys(Results)))}
}

func (*wordShape) Closed() map[string]source.Schema {
	means := meaningSchema()
	sentences := source.Schema{"type": "object", "additionalProperties": means}
	return map[string]source.Schema{"means": means, "negated": means, "hears": sentences, "traps": sentences}
}

// meaningSchema is that of {fact: value, …}.
func meaningSchema() source.Schema {
	some := func(choices []string) source.Schema { // one, or several
		return source.Schema{"anyOf": []any{source.One(choices), source.Some(choices)}}
	}
	properties := source.Schema{DeniedPath: some(calls["denied"].choices)}
	for _, f := range fact.Table {
		switch f.Kind {
		case fact.Number: // as a text too: "1/200", "<n>"
			properties[f.Path] = source.Schema{"type": []string{"number", "string"}}
		case fact.Flag:
			properties[f.Path] = source.Schema{"type": "boolean"}
		case fact.Choice:
			properties[f.Path] = source.One(f.Choices)
		case fact.List:
			properties[f.Path] = some(f.Choices)
		case fact.Kit:
			item := itemSchema()
			properties[f.Path] = source.Schema{"anyOf": []any{item, source.Schema{"type": "array", "items": item}}}
		default:
			properties[f.Path] = source.Schema{"type": []string{"string", "number", "boolean"}}
		}
	}
	return source.Schema{"type": "object", "properties": properties, "additionalProperties": false}
}

// itemSchema is that of flash, or {kind: flash, gn_m: 36}.
func itemSchema() source.Schema {
	fields := source.Schema{}
	for _, field := range kitFields {
		fields[field] = source.Schema{"type": []string{"number", "string"}}
	}
	fields["kind"], fields["gel"] = source.One(fact.KitKinds), source.One(fact.Gels)
	fields["surfaces"] = source.Schema{"anyOf": []any{source.One(fact.Surfaces), source.Some(fact.Surfaces)}}
	fields["hss"] = source.Schema{"type": "boolean"}
	return source.Schema{"anyOf": []any{source.One(fact.KitKinds), source.Schema{"type": "object", "properties": fields, "additionalProperties": false}}}
}
