package rules_test

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"

	"panelhand/rules"
	"panelhand/rules/playbook"
)

// accepts is a second reading of the parts of JSON schema draft 7 that the
// schemas use, apart from the decoder: what is wrong with a value, or nothing.
func accepts(schema map[string]any, v any, at string) string {
	if shapes, ok := schema["anyOf"].([]any); ok {
		for _, one := range shapes {
			if accepts(one.(map[string]any), v, at) == "" {
				return ""
			}
		}
		return at + ": none of the shapes"
	}
	kinds := map[string]bool{}
	switch kind := schema["type"].(type) {
	case string:
		kinds[kind] = true
	case []any:
		for _, k := range kind {
			kinds[k.(string)] = true
		}
	default:
		return ""
	}
	switch v := v.(type) {
	case map[string]any:
		if !kinds["object"] {
			return at + ": a map"
		}
		properties, _ := schema["properties"].(map[string]any)
		for key, value := range v {
			one, ok := properties[key].(map[string]any)
			if !ok && schema["additionalProperties"] == false {
				return at + ": unknown key " + key
			}
			if others, all := schema["additionalProperties"].(map[string]any); !ok && all {
				one = others
			}
			if bad := accepts(one, value, at+"."+key); bad != "" {
				return bad
			}
		}
		required, _ := schema["required"].([]any)
		for _, key := range required {
			if _, ok := v[key.(string)]; !ok {
				return fmt.Sprintf("%s: no %s", at, key)
			}
		}
	case []any:
		if !kinds["array"] {
			return at + ": a list"
		}
		items, _ := schema["items"].(map[string]any)
		for i, item := range v {
			if bad := accepts(items, item, fmt.Sprintf("%s[%d]", at, i)); bad != "" {
				return bad
			}
		}
	case float64:
		if !kinds["number"] && !(kinds["integer"] && v == math.Trunc(v)) {
			return at + ": a number"
		}
		if low, ok := schema["minimum"].(float64); ok && v < low || schema["maximum"] != nil && v > schema["maximum"].(float64) {
			return at + ": out of range"
		}
	case bool:
		if !kinds["boolean"] {
			return at + ": true or false"
		}
	case string:
		if !kinds["string"] {
			return at + ": a text"
		}
		if words, closed := schema["enum"].([]any); closed && !slices.Contains(words, any(v)) {
			return at + ": no such choice as " + v
		}
		if pattern, ok := schema["pattern"].(string); ok && !regexp.MustCompile(pattern).MatchString(v) {
			return at + ": not of the form of " + v
		}
	case nil:
		return at + ": nothing"
	}
	return ""
}

// schemaFor is the schema of a file of a playbook, through JSON as an editor
// gets it.
func schemaFor(t *testing.T, name string) map[string]any {
	t.Helper()
	part, _, _ := strings.Cut(name, "/")
	if strings.HasSuffix(name, rules.CasesSuffix) {
		part = "cases"
	}
	data, err := json.Marshal(rules.Schemas()[part])
	if err != nil {
		t.Fatal(err)
	}
	var schema map[string]any
	if err := json.Unmarshal(data, &schema); err != nil || schema == nil {
		t.Fatalf("%s has no schema (%v)", name, err)
	}
	return schema
}

func plain(t *testing.T, text []byte) any {
	t.Helper()
	var v, out any
	if err := yaml.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

func TestSchemasAcceptTheHouseBook(t *testing.T) {
	seen := 0
	err := fs.WalkDir(playbook.Files, ".", func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || path.Ext(name) != ".yaml" || strings.HasPrefix(name, "drills/") && strings.HasSuffix(name, rules.CasesSuffix) { // typed answers have a shape of their own
			return err
		}
		data, err := fs.ReadFile(playbook.Files, name)
		if err != nil {
			return err
		}
		seen++
		if bad := accepts(schemaFor(t, name), plain(t, data), name); bad != "" {
			t.Error(bad)
		}
		return nil
	})
	if err != nil || seen < 40 {
		t.Fatal(seen, err)
	}
}

func TestSchemasRefuse(t *testing.T) {
	const good = "- setup: a\n  title: T\n  technique: [edge]\n  serves: {softer: 2}\n  hands: 1\n  when: ['people > 1', {any: ['people > 2']}]\n  why: W\n  source: S\n"
	if bad := accepts(schemaFor(t, "setups/a.yaml"), plain(t, []byte(good)), "good"); bad != "" {
		t.Fatal(bad)
	}
	for _, c := range []struct{ name, text string }{
		{"setups/a.yaml", strings.Replace(good, "title", "titel", 1)},
		{"setups/a.yaml", strings.Replace(good, "  why: W\n", "", 1)},
		{"setups/a.yaml", strings.Replace(good, "softer", "softest", 1)},
		{"setups/a.yaml", strings.Replace(good, "softer: 2", "softer: 7", 1)},
		{"setups/a.yaml", strings.Replace(good, "hands: 1", "hands: one", 1)},
		{"setups/a.yaml", strings.Replace(good, "[edge]", "edge", 1)},
		{"setups/a.yaml", strings.Replace(good, "any:", "or:", 1)},
		{"safety/a.yaml", "- caution: a\n  raises: wind\n  when: [moving]\n  text: T\n  stop: maybe\n  source: S\n"},
		{"words/a.yaml", "- word: a\n  say: a\n  means: {}\n  hears: {a: {}}\n"},
		{"words/a.yaml", "- word: a\n  say: [a]\n  hears: {a: {}}\n"},
		{"looks.yaml", "- look: moody\n  ambient: dark\n  background: 1\n  ratio: 2\n"},
		{"setups/a.cases.yaml", "- fires: [a]\n"},
		{"off.yaml", "- a\n"},
		{"off.yaml", "on: [a]\n"},
	} {
		if accepts(schemaFor(t, c.name), plain(t, []byte(c.text)), c.name) == "" {
			t.Errorf("%s is accepted:\n%s", c.name, c.text)
		}
	}
}

// Every key with a closed list: a word of the list is taken, one beside it is not.
func TestSchemasKnowTheChoices(t *testing.T) {
	const word = "- word: a\n  say: [a]\n  means: {MEANS}\n  hears: {a b: {MEANS}}\n"
	const setup = "- setup: a\n  title: T\n  technique: [edge]\n  serves: {softer: 2}\n  why: W\n  source: S\n"
	const caution = "- caution: a\n  raises: wind\n  when: [moving]\n  text: T\n  source: S\n"
	means := func(m string) string { return strings.ReplaceAll(word, "MEANS", m) }
	for _, c := range []struct{ name, text, good, bad string }{
		{"setups/a.yaml", setup, "[edge]", "[edges]"},
		{"setups/a.yaml", setup + "  needs: [flash|strobe]\n", "flash|strobe", "flash|stroboscope"},
		{"setups/a.yaml", setup + "  key: {light: through, panel: white, gel: half-cto}\n", "through", "thru"},
		{"setups/a.yaml", setup + "  fill: {light: through, panel: white, gel: half-cto}\n", "white", "pink"},
		{"setups/a.yaml", setup + "  rim: {light: through, panel: white, gel: half-cto}\n", "half-cto", "cto"},
		{"setups/a.yaml", setup + "  daylight: {model: scrim, side: white}\n", "scrim", "screen"},
		{"setups/a.yaml", setup + "  daylight: {model: scrim, side: white}\n", "white", "grey"},
		{"adjust/a.yaml", "- adjust: a\n  answers: [softer]\n  follow: [power]\n  say: S\n  source: S\n", "power", "powers"},
		{"adjust/a.yaml", "- adjust: a\n  answers: [softer]\n  say: S\n  source: S\n", "softer", "softest"},
		{"adjust/a.yaml", "- adjust: a\n  answers: [fault:hot-spot]\n  say: S\n  source: S\n", "fault:hot-spot", "fault:hotspot"},
		{"adjust/a.yaml", "- adjust: a\n  answers: [turn:power-up]\n  say: S\n  source: S\n", "turn:power-up", "turn:fault:hot-spot"},
		{"safety/a.yaml", caution, "raises: wind", "raises: windy"},
		{"looks.yaml", "- look: moody\n  ambient: 1\n  background: 1\n  ratio: 2\n", "moody", "gloomy"},
		{"signs/a.yaml", "- sign: a\n  fault: squint\n  see: S\n  cause: C\n  source: S\n", "squint", "squinting"},
		{"signs/a.yaml", "- sign: squint\n  see: S\n  cause: C\n  panel: {say: P, needs: [flash | panel], side: black}\n  source: S\n", "side: black", "side: grey"},
		{"signs/a.yaml", "- sign: squint\n  see: S\n  cause: C\n  panel: {say: P, needs: [flash | panel], side: black}\n  source: S\n", "[flash | panel]", "[flash, a panel]"},
		{"plan/a.yaml", "- line: a\n  part: pack\n  kit: [flash]\n  say: S\n  source: S\n", "pack", "packing"},
		{"plan/a.yaml", "- line: a\n  part: pack\n  kit: [flash]\n  say: S\n  source: S\n", "[flash]", "[flashgun]"},
		{"defaults.yaml", "- default: light.ev100\n  value: 12\n  say: S\n  why: W\n", "light.ev100", "light.ev"},
		{"defaults.yaml", "- default: light.ev100\n  value: 12\n  say: S\n  why: W\n", "light.ev100", "wants"}, // a closed list has no default
		{"questions/a.yaml", "- question: a\n  result: stops\n  say: [a]\n  ways: [{gives: 'x', tell: 'y'}]\n", "result: stops", "result: steps"},
		{"words/a.yaml", means("wants: softer"), "wants", "want"},
		{"words/a.yaml", means("wants: softer"), "softer", "softest"},
		{"words/a.yaml", means("faults: [squint, hot-spot]"), "squint", "squinting"},
		{"words/a.yaml", means("limits: wind"), "limits: wind", "limits: windy"},
		{"words/a.yaml", means("light.kind: canopy"), "canopy", "awning"},
		{"words/a.yaml", means("light.kind: canopy"), "light.kind", "light.kinds"},
		{"words/a.yaml", means("denied: wind"), "denied: wind", "denied: windy"},
		{"words/a.yaml", means("kit: flash"), "kit: flash", "kit: flashgun"},
		{"words/a.yaml", means("kit: {kind: panel, surfaces: [white], size_m: <n>}"), "panel", "pannel"},
		{"words/a.yaml", means("kit: {kind: panel, surfaces: [white], size_m: <n>}"), "white", "pink"},
		{"words/a.yaml", means("kit: {kind: panel, surfaces: [white], size_m: <n>}"), "size_m", "size"},
		{"words/a.yaml", means("kit: [{kind: gel, gel: half-cto}]"), "half-cto", "cto"},
	} {
		if bad := accepts(schemaFor(t, c.name), plain(t, []byte(c.text)), c.name); bad != "" {
			t.Errorf("%s\n%s", bad, c.text)
		}
		wrong := strings.ReplaceAll(c.text, c.good, c.bad)
		if wrong == c.text || accepts(schemaFor(t, c.name), plain(t, []byte(wrong)), c.name) == "" {
			t.Errorf("%s is accepted:\n%s", c.name, wrong)
		}
	}
}
