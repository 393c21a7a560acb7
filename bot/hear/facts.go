package hear

import (
	"slices"

	"panelhand/rules"
	"panelhand/rules/fact"
)

// means writes down what the phrases mean that no other part has used.
func (r *reader) means() {
	kinds := map[string]fact.Value{}
	for k := range r.marks {
		m := &r.marks[k]
		if m.word == nil || m.empty() {
			continue
		}
		at := fact.Value{Origin: fact.Said, Span: r.span(m.start, m.end)}
		if m.denied {
			r.denied(m, at)
			continue
		}
		for _, meaning := range m.word.Means {
			r.meaning(meaning, m, at, kinds)
		}
	}
	for k := range r.across {
		m := &r.across[k]
		if m.denied || r.negatedAt(m.end-1) {
			continue
		}
		for _, meaning := range m.word.Means {
			r.meaning(meaning, m, fact.Value{Origin: fact.Said, Span: r.span(m.start, m.end)}, kinds)
		}
	}
	r.kinds(kinds)
	r.calm()
	r.implied()
}

// throughCloth are faults that only light sent through a cloth can show.
var throughCloth = []string{"hot-spot", "half-lit-panel"}

// implied adds what two things said together mean. Who moves is sharp when
// frozen; with a flash in the talk, a panel with a hot centre has the flash
// behind it.
func (r *reader) implied() {
	f := r.out.Facts
	if moving, ok := f.Get("subject.moving"); ok && moving.Flag {
		for i, t := range r.toks {
			if t.is("sharp") && !r.inside(i) {
				f.Add("wants", "freeze-motion", fact.Value{Origin: fact.Said, Span: r.span(i, i+1)})
			}
		}
	}
	if len(f.Choices("says")) > 0 || !r.flashTalk() {
		return
	}
	for _, fault := range throughCloth {
		if v, ok := f.ChoiceValue("faults", fault); ok {
			f.Add("says", "through", v)
			return
		}
	}
}

// calm takes the wind back as a limit where all that was said of it is a
// speed below force 3.
func (r *reader) calm() {
	f := r.out.Facts
	wind, said := f.Number("weather.wind_ms")
	gust, gusts := f.Number("weather.gust_ms")
	if said && wind < windyMean && (!gusts || gust < windyGust) {
		f.Remove("limits", "wind")
	}
}

// negatedAt reports whether token i is in a phrase that is denied.
func (r *reader) negatedAt(i int) bool { return r.owner[i] >= 0 && r.marks[r.owner[i]].denied }

func (r *reader) meaning(meaning rules.Meaning, m *mark, at fact.Value, kinds map[string]fact.Value) {
	f := r.out.Facts
	switch meaning.Path {
	case "kit", "subject.people", "helpers": // read elsewhere
		return
	case rules.DeniedPath:
		for _, what := range meaning.Choices {
			f.Deny(what, at.Span)
		}
		return
	case "light.kind":
		at.Text = meaning.Text
		if _, said := kinds[meaning.Text]; !said {
			kinds[meaning.Text] = at
		}
		return
	}
	row, ok := fact.Lookup(meaning.Path)
	if !ok {
		return
	}
	switch row.Kind {
	case fact.List:
		for _, choice := range meaning.Choices {
			f.Add(meaning.Path, choice, at)
		}
	case fact.Flag:
		at.Flag = meaning.Flag
		f.Put(meaning.Path, at)
	case fact.Number:
		at.Number = meaning.Number
		if meaning.Hole {
			at.Number = m.number
		}
		r.put(meaning.Path, at.Number, at.Span)
	case fact.Choice, fact.Text:
		at.Text = meaning.Text
		if meaning.Hole || at.Text == "<text>" {
			at.Text = m.text
		}
		f.Put(meaning.Path, at)
	}
}

// denied writes down what a negated phrase means: what the word says, or, by
// the kind of its paths, that the choice was said not to be so.
func (r *reader) denied(m *mark, at fact.Value) {
	if m.word.Negated != nil {
		for _, meaning := range m.word.Negated {
			r.meaning(meaning, m, at, map[string]fact.Value{})
		}
		return
	}
	f := r.out.Facts
	for _, meaning := range m.word.Means {
		row, ok := fact.Lookup(meaning.Path)
		if !ok {
			continue
		}
		switch {
		case meaning.Path == "helpers":
			f.Add("limits", "no-helper", at)
		case meaning.Path == "subject.people", meaning.Path == "hazards", meaning.Path == "ask":
		case row.Kind == fact.List, row.Kind == fact.Choice:
			for _, choice := range meaning.Choices {
				if row.Kind == fact.List && f.Has(meaning.Path, choice) {
					f.Remove(meaning.Path, choice)
				}
				f.Deny(choice, at.Span)
			}
		case row.Kind == fact.Flag:
			at.Flag = !meaning.Flag
			f.Put(meaning.Path, at)
			if meaning.Flag {
				f.Deny(row.Name, at.Span)
			}
		}
	}
}

// lightOrder ranks the kinds of light that one message names: what shapes the
// light at the face before what it is made of, so that "sun, but she is in the
// shade" is shade and "cafe window, overcast" a window.
var lightOrder = []string{"stage", "dappled", "dusk", "street-night", "canopy", "open-shade", "window", "low-sun", "tungsten", "fluorescent", "led-indoor", "overcast", "sun"}

func (r *reader) kinds(kinds map[string]fact.Value) {
	for _, kind := range lightOrder {
		if v, ok := kinds[kind]; ok && !r.out.Facts.Denied(kind) {
			r.out.Facts.Put("light.kind", v)
			break
		}
	}
	lamps := false
	for _, kind := range []string{"tungsten", "fluorescent"} {
		_, said := kinds[kind]
		lamps = lamps || said
	}
	if v, window := kinds["window"]; window && lamps {
		r.out.Facts.Add("light.cast", "mixed", v)
	}
}

// put writes a number down if it can be believed.
func (r *reader) put(path string, v float64, at fact.Span) {
	row, ok := fact.Lookup(path)
	if !ok || !(v >= row.Low && v <= row.High) {
		r.note(row, v, at)
		return
	}
	r.out.Facts.Put(path, fact.Value{Number: v, Origin: fact.Said, Span: at})
}

func (r *reader) note(row *fact.Fact, v float64, at fact.Span) {
	if row == nil {
		return
	}
	r.say("“" + r.message[at.Start:at.End] + "” can't be right for " + row.Doc + ", so I left it out.")
}

func (r *reader) say(sentence string) {
	if !slices.Contains(r.out.Notes, sentence) && len(r.out.Notes) < 8 {
		r.out.Notes = append(r.out.Notes, sentence)
	}
}

// refuse tells the impossible values that were read as such.
func (r *reader) refuse() {
	for k := range r.marks {
		if m := &r.marks[k]; m.is(refused) {
			m.used = true
			r.say("“" + r.typed(m.start, m.end) + "” can't be set or measured, so I left it out.")
		}
	}
}
