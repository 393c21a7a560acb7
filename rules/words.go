package rules

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"

	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// A Word is what a stretch of a message means: phrases on one side, facts on
// the other. The longest phrase that matches wins.
type Word struct {
	ID         string     `source:"word,required"`
	Say        []string   `source:"say,required"` // phrases; <n> stands for a number
	Means      []Meaning  // what hearing it makes known
	Negated    []Meaning  // what "no X" makes known; nil leaves it to the path's kind
	NotBefore  []string   `source:"not_before"`  // the next word is none of these
	NotAfter   []string   `source:"not_after"`   // the word before is none of these
	OnlyBefore []string   `source:"only_before"` // the next word is one of these
	OnlyAfter  []string   `source:"only_after"`  // the word before is one of these
	Hears      []Hearing  // sentences in which it must be heard
	Traps      []Hearing  // sentences in which it must not
	Pos        source.Pos // of the word in its file
}

// A Meaning is one fact that a word makes known. The fact's Kind says which
// field counts.
type Meaning struct {
	Path    string    // of a fact, or "denied"
	Choices []string  // of a Choice (one) or a List; what is denied
	Number  float64   // of a Number
	Hole    bool      // the number is the one that stood at <n>
	Flag    bool      // of a Flag
	Text    string    // of a Text
	Item    fact.Item // of the Kit
	Fills   string    // the Item's field that takes the number at <n>: "count", "size_m"; or empty
	Pos     source.Pos
}

// A Hearing is a case for a word: a sentence and what it says.
type Hearing struct {
	Say   string
	Means []Meaning
	Pos   source.Pos
}

// DeniedPath is the path under which a meaning denies choices or facts.
const DeniedPath = "denied"

// wordShape is a word as it is written.
type wordShape struct {
	ID         string      `source:"word,required"`
	Say        []string    `source:"say,required"`
	Means      source.Node `source:"means,required"`
	Negated    source.Node `source:"negated"`
	NotBefore  []string    `source:"not_before"`
	NotAfter   []string    `source:"not_after"`
	OnlyBefore []string    `source:"only_before"`
	OnlyAfter  []string    `source:"only_after"`
	Hears      source.Node `source:"hears,required"`
	Traps      source.Node `source:"traps"`
	Pos        source.Pos
}

// Decode reads a word, telling unknown paths and choices.
func (w *Word) Decode(n source.Node) []source.Problem {
	var raw wordShape
	problems := n.Decode(&raw)
	*w = Word{ID: raw.ID, Say: raw.Say, NotBefore: raw.NotBefore, NotAfter: raw.NotAfter, OnlyBefore: raw.OnlyBefore, OnlyAfter: raw.OnlyAfter, Pos: raw.Pos}
	w.Means, problems = meanings(raw.Means, problems)
	w.Negated, problems = meanings(raw.Negated, problems)
	w.Hears, problems = hearings(raw.Hears, problems)
	w.Traps, problems = hearings(raw.Traps, problems)
	if raw.Hears.Kind() == source.Map && len(w.Hears) == 0 {
		problems = append(problems, raw.Hears.Problem("no-cases", "%s has no sentence in which it is heard", w.ID))
	}
	holed := false
	for _, phrase := range w.Say {
		holed = holed || strings.Contains(phrase, "<n>")
		if strings.TrimSpace(phrase) == "" {
			problems = append(problems, n.Problem("wrong-kind", "an empty phrase would match everywhere"))
		}
	}
	for _, m := range append(w.Means, w.Negated...) {
		if (m.Hole || m.Fills != "") && !holed {
			problems = append(problems, source.Errorf(m.Pos, "no-hole", "no phrase of %s has a <n> to take the number from", w.ID))
		}
	}
	return problems
}

func hearings(n source.Node, problems []source.Problem) ([]Hearing, []source.Problem) {
	if n.Kind() == source.Nothing {
		return nil, problems
	}
	if n.Kind() != source.Map {
		return nil, append(problems, n.Problem("wrong-kind", `cases are a map: "the sentence": {fact: value}`))
	}
	var out []Hearing
	for say, means := range n.Pairs() {
		h := Hearing{Say: say.Text(), Pos: say.Pos()}
		h.Means, problems = meanings(means, problems)
		out = append(out, h)
	}
	return out, problems
}

// meanings reads {path: value, …}.
func meanings(n source.Node, problems []source.Problem) ([]Meaning, []source.Problem) {
	if n.Kind() == source.Nothing {
		return nil, problems
	}
	if n.Kind() != source.Map {
		return nil, append(problems, n.Problem("wrong-kind", "a meaning is a map: {fact: value}"))
	}
	out := []Meaning{}
	for key, value := range n.Pairs() {
		path := key.Text()
		m := Meaning{Path: path, Pos: value.Pos()}
		if path == DeniedPath {
			m.Choices, problems = texts(value, problems)
			problems = eachChoice(value, &fact.Fact{Path: "what can be denied", Choices: calls["denied"].choices}, problems)
			out = append(out, m)
			continue
		}
		f, known := fact.Lookup(path)
		if !known {
			p := key.Problem("unknown-fact", "%s is not a fact", path)
			p.Nearest = source.Nearest(path, paths())
			problems = append(problems, p)
			continue
		}
		switch f.Kind {
		case fact.Number:
			m.Hole = value.Text() == "<n>"
			if !m.Hole {
				m.Number, problems = numberIn(value, f, problems)
			}
		case fact.Flag:
			flag, ok := value.Flag()
			if !ok {
				problems = append(problems, value.Problem("wrong-kind", "%s is true or false", path))
			}
			m.Flag = flag
		case fact.Text:
			m.Text = value.Text()
			m.Hole = m.Text == "<n>"
			if value.Kind() != source.Scalar {
				problems = append(problems, value.Problem("wrong-kind", "%s is a text", path))
			}
		case fact.Choice:
			m.Text = value.Text()
			m.Choices = []string{m.Text}
			problems = choiceIn(value, f, problems)
		case fact.List:
			m.Choices, problems = texts(value, problems)
			problems = eachChoice(value, f, problems)
		case fact.Kit:
			// A list of items is as many meanings of the one path.
			items := []source.Node{value}
			if value.Kind() == source.List {
				items = items[:0]
				for item := range value.Items() {
					items = append(items, item)
				}
			}
			for _, item := range items {
				m := Meaning{Path: path, Pos: item.Pos()}
				m.Item, m.Fills, problems = kitItem(item, f, problems)
				out = append(out, m)
			}
			continue
		}
		out = append(out, m)
	}
	return out, problems
}

// texts reads one text or a list of texts.
func texts(n source.Node, problems []source.Problem) ([]string, []source.Problem) {
	switch n.Kind() {
	case source.Scalar:
		return []string{n.Text()}, problems
	case source.List:
		var out []string
		for item := range n.Items() {
			if item.Kind() != source.Scalar {
				problems = append(problems, item.Problem("wrong-kind", "a text is needed here, not %s", item.Kind()))
				continue
			}
			out = append(out, item.Text())
		}
		return out, problems
	}
	return nil, append(problems, n.Problem("wrong-kind", "a text or a list of texts is needed here"))
}

func eachChoice(n source.Node, f *fact.Fact, problems []source.Problem) []source.Problem {
	if n.Kind() != source.List {
		return choiceIn(n, f, problems)
	}
	for item := range n.Items() {
		problems = choiceIn(item, f, problems)
	}
	return problems
}

func choiceIn(n source.Node, f *fact.Fact, problems []source.Problem) []source.Problem {
	return oneOf(n, f.Path, f.Choices, problems)
}

// oneOf tells a word that is none of the choices of what.
func oneOf(n source.Node, what string, choices []string, problems []source.Problem) []source.Problem {
	if n.Kind() != source.Scalar {
		return append(problems, n.Problem("wrong-kind", "one word of %s is needed here, not %s", what, n.Kind()))
	}
	for _, c := range choices {
		if c == n.Text() {
			return problems
		}
	}
	p := n.Problem("unknown-choice", "%q is not a choice of %s", n.Text(), what)
	p.Nearest = source.Nearest(n.Text(), choices)
	if p.Nearest == "" && len(choices) <= 20 {
		p.Message += "; the choices are " + strings.Join(choices, ", ")
	}
	return append(problems, p)
}

func numberIn(n source.Node, f *fact.Fact, problems []source.Problem) (float64, []source.Problem) {
	number, ok := n.Number()
	switch {
	case !ok:
		problems = append(problems, n.Problem("wrong-kind", "%s is a number%s", f.Path, inUnit(f.Unit)))
	case number < f.Low || number > f.High:
		problems = append(problems, n.Problem("out-of-range", "%s is believed from %g to %g%s", f.Path, f.Low, f.High, inUnit(f.Unit)))
	}
	return number, problems
}

func inUnit(unit string) string {
	if unit == "" {
		return ""
	}
	return " in " + unit
}

// kitItem reads {kind: flash, count: 2, size_m: <n>}.
func kitItem(n source.Node, f *fact.Fact, problems []source.Problem) (item fact.Item, fills string, _ []source.Problem) {
	if n.Kind() == source.Scalar { // kit: flash
		return fact.Item{Kind: n.Text()}, "", choiceIn(n, f, problems)
	}
	if n.Kind() != source.Map {
		return item, "", append(problems, n.Problem("wrong-kind", "kit is {kind: …} with the kit's fields"))
	}
	numbers := map[string]*float64{
		"size_m": &item.SizeM, "size2_m": &item.Size2M, "gn_m": &item.GuideM, "gn_zoom_mm": &item.GuideMM, "energy_ws": &item.EnergyWs, "lux_1m": &item.Lux1m,
		"power": &item.Power, "zoom_mm": &item.ZoomMM, "stops": &item.Stops, "weight_kg": &item.WeightKg, "height_m": &item.HeightM,
	}
	for key, value := range n.Pairs() {
		name := key.Text()
		if value.Text() == "<n>" && (name == "count" || numbers[name] != nil) {
			fills = name
			continue
		}
		switch {
		case name == "kind":
			item.Kind = value.Text()
			problems = choiceIn(value, f, problems)
		case name == "count":
			count, ok := value.Number()
			if !ok || count != math.Trunc(count) || count < 1 || count > 1000 {
				problems = append(problems, value.Problem("wrong-kind", "count is a whole number from 1"))
				continue
			}
			item.Count = int(count)
		case name == "surfaces":
			item.Surfaces, problems = texts(value, problems)
			problems = eachChoice(value, &fact.Fact{Path: "surfaces", Choices: fact.Surfaces}, problems)
		case name == "gel":
			item.Gel = value.Text()
			problems = oneOf(value, "gel", fact.Gels, problems)
		case name == "hss":
			flag, ok := value.Flag()
			if !ok {
				problems = append(problems, value.Problem("wrong-kind", "hss is true or false"))
			}
			item.HSS = flag
		case numbers[name] != nil:
			number, ok := value.Number()
			if !ok || number < 0 {
				problems = append(problems, value.Problem("wrong-kind", "%s is a number from 0", name))
			}
			*numbers[name] = number
		default:
			p := key.Problem("unknown-key", "%s is not a field of kit", name)
			p.Nearest = source.Nearest(name, kitFields)
			problems = append(problems, p)
		}
	}
	if item.Kind == "" && fills == "" && n.Len() == 0 {
		problems = append(problems, n.Problem("missing-key", "kind is missing"))
	}
	return item, fills, problems
}

var kitFields = []string{"kind", "count", "size_m", "size2_m", "surfaces", "gn_m", "gn_zoom_mm", "energy_ws", "lux_1m", "power", "zoom_mm", "hss", "gel", "stops", "weight_kg", "height_m"}

func paths() []string {
	out := []string{DeniedPath}
	for _, f := range fact.Table {
		out = append(out, f.Path)
	}
	return out
}

// String is the meaning in one line: "kit: flash", "wants: softer, harder".
func (m Meaning) String() string {
	f, ok := fact.Lookup(m.Path)
	var value string
	switch {
	case m.Hole:
		value = "<n>"
	case !ok:
		value = strings.Join(m.Choices, ", ")
	default:
		switch f.Kind {
		case fact.Number:
			value = strconv.FormatFloat(m.Number, 'g', -1, 64)
		case fact.Flag:
			value = strconv.FormatBool(m.Flag)
		case fact.Text:
			value = m.Text
		case fact.Kit:
			item := m.Item
			item.Span, item.Origin = fact.Span{}, 0
			text, _ := json.Marshal(item) // an Item is plain data: it always marshals
			value = string(text)
			if m.Fills != "" {
				value += " " + m.Fills + ": <n>"
			}
		default:
			value = strings.Join(m.Choices, ", ")
		}
	}
	return m.Path + ": " + value
}
