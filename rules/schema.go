package rules

import (
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
func (*Need) Schema() source.Schema { return source.Schema{"type": "string"} }

// Schema is that of a word as it is written.
func (*Word) Schema() source.Schema { return source.SchemaOf(wordShape{}) }
