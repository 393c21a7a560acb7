package bot

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"panelhand/bot/answer"
	"panelhand/bot/hear"
	"panelhand/calc/colour"
	"panelhand/calc/lens"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// A bound is one way of a question with its numbers found.
type bound struct {
	question  *rules.Question
	way       *rules.Way
	inputs    map[string]float64
	also      map[string]float64 // what the way says besides, once computed
	told      map[string]bool    // inputs that the message itself said
	elsewhere int                // inputs taken from the thread or assumed
	taken     map[string]string  // the thread's numbers that are inputs, with the kind of each
	assumed   []answer.Assumption
	zone      *time.Location
	missing   *rules.Input // the first that could not be had
	ask       hear.Ask
	unused    int // amounts of the message that it does not need
	points    int
}

// own reports whether the message holds all that the way takes.
func (b *bound) own() bool { return b.elsewhere == 0 }

// What finding a number is worth in choosing between ways, beside the words.
const (
	usedPoints   = 3
	unusedPoints = -3
	foundPoints  = -1 // taken from the thread, or assumed
	lackPoints   = -6
	withPoints   = 4
)

// bind finds the numbers of a way: first among the message's amounts, the
// surest fit first, then in what is known, then what the way says to take.
func bind(q *rules.Question, w *rules.Way, amounts []hear.Measure, k *known) *bound {
	b := &bound{question: q, way: w, inputs: map[string]float64{}, also: map[string]float64{}, told: map[string]bool{}, taken: map[string]string{}, zone: k.zone()}
	taken := make([]bool, len(amounts))
	for _, fit := range fits(w, amounts) {
		name := w.From[fit.input].Name
		if taken[fit.amount] || b.told[name] {
			continue
		}
		taken[fit.amount] = true
		b.inputs[name], b.told[name] = fit.value, true
		b.points += usedPoints
	}
	b.yield(w)
	b.onward(w)
	for i, a := range amounts {
		if !taken[i] && a.Kind != "number" && a.Kind != "temperature" {
			b.unused++
			b.points += unusedPoints
		}
	}
	for i := range w.From {
		if in := &w.From[i]; !b.told[in.Name] && !b.spoken(in, k) {
			b.find(in, k)
		}
	}
	ended := b.ends(w)
	for i := range w.From {
		in := &w.From[i]
		if _, there := b.inputs[in.Name]; there {
			continue
		}
		if in == ended || !b.otherwise(in, k) {
			b.points += lackPoints
			if b.missing == nil {
				b.missing = in
			}
		}
	}
	return b
}

// yield gives what an input took that could do without to one of its kind
// that cannot: with one weight said, "stand plus bag 18 kg" is the stand's.
func (b *bound) yield(w *rules.Way) {
	for i := range w.From {
		need := &w.From[i]
		if need.Else != nil || need.Must || b.told[need.Name] {
			continue
		}
		for j := range w.From {
			if spare := &w.From[j]; spare.Kind == need.Kind && spare.Else != nil && !spare.Must && b.told[spare.Name] {
				b.inputs[need.Name], b.told[need.Name] = b.inputs[spare.Name], true
				delete(b.inputs, spare.Name)
				delete(b.told, spare.Name)
				break
			}
		}
	}
}

// onward makes the only number of a change the one that it goes to, where it
// can start from what stands: "what power if I go f4".
func (b *bound) onward(w *rules.Way) {
	for i := range w.From {
		from := &w.From[i]
		if rest, starts := strings.CutPrefix(from.Name, "from"); starts && b.told[from.Name] && len(from.Fact) > 0 {
			to := "to" + rest
			if j := slices.IndexFunc(w.From, func(in rules.Input) bool { return in.Name == to }); j >= 0 && w.From[j].Kind == from.Kind && w.From[j].Else == nil && !b.told[to] {
				b.inputs[to], b.told[to] = b.inputs[from.Name], true
				delete(b.inputs, from.Name)
				delete(b.told, from.Name)
			}
		}
	}
}

// ends takes back a change's end that only the thread has: what stands is where
// a change starts, and one that nobody said the end of is none ("from f/2 to f/2").
// It returns that end.
func (b *bound) ends(w *rules.Way) *rules.Input {
	for i := range w.From {
		to := &w.From[i]
		rest, ends := strings.CutPrefix(to.Name, "to")
		if !ends || b.told[to.Name] {
			continue
		}
		if slices.ContainsFunc(w.From, func(in rules.Input) bool { return in.Name == "from"+rest && in.Kind == to.Kind && !b.told[in.Name] }) {
			delete(b.inputs, to.Name)
			return to
		}
	}
	return nil
}

// A fit is an amount that may be an input.
type fit struct {
	input, amount int
	value         float64
	points        int
}

// fits lists which amounts may be which inputs, the surest first.
func fits(w *rules.Way, amounts []hear.Measure) []fit {
	var all []fit
	for i := range w.From {
		in := &w.From[i]
		for n, a := range amounts {
			value, sure, ok := a.As(in.Kind)
			if !ok {
				continue
			}
			points := 0
			if sure {
				points += 4
			}
			beside := 0
			if sure || a.Kind != "focal" {
				beside = near(a, in.Near)
			}
			if beside == 0 && in.Must {
				continue
			}
			points += beside
			if roled[in.Kind] && a.Path != "" && slices.Contains(in.Fact, a.Path) {
				points += 3
			}
			all = append(all, fit{i, n, value, points})
		}
	}
	slices.SortStableFunc(all, func(x, y fit) int { return cmp.Compare(y.points, x.points) })
	return all
}

// roled are the kinds of which a message may hold several, each with a role of
// its own that facts tell apart.
var roled = map[string]bool{"length": true, "width": true, "weight": true, "speed": true}

// near is how close beside an amount one of the words stands: 12 right before
// it, 11 right behind, less the further off, 0 not at all.
func near(a hear.Measure, words []string) int {
	best := 0
	for i, w := range a.Before {
		if slices.Contains(words, w) {
			best = max(best, 12-2*i)
			break
		}
	}
	for i, w := range a.After {
		if slices.Contains(words, w) {
			best = max(best, 11-2*i)
			break
		}
	}
	return best
}

// starts are the words before the number from which a change starts.
var starts = []string{"from", "than", "as", "instead", "compared", "was", "were"}

// inOrder puts the number that a change starts from before the others of its
// kind: "to f2 from f5.6".
func inOrder(amounts []hear.Measure) []hear.Measure {
	out := slices.Clone(amounts)
	for i := range out {
		before := out[i].Before
		if len(before) > 1 && slices.Contains([]string{"at", "of", "on", "with"}, before[0]) {
			before = before[1:]
		}
		if len(before) == 0 || !slices.Contains(starts, before[0]) {
			continue
		}
		for j := range i {
			if out[j].Kind == out[i].Kind {
				out[j], out[i] = out[i], out[j]
				break
			}
		}
	}
	return out
}

// spoken takes an input that a word stands for, or that simply is so.
func (b *bound) spoken(in *rules.Input, k *known) bool {
	for _, by := range in.By {
		if k.says(by.Word) {
			b.inputs[in.Name] = by.Value
			return true
		}
	}
	if in.Is != nil {
		b.inputs[in.Name] = *in.Is
	}
	return in.Is != nil
}

// find looks an input up in what is known.
func (b *bound) find(in *rules.Input, k *known) {
	for _, path := range in.Fact {
		v, here, ok := k.number(path)
		if !ok || b.taken[path] == in.Kind { // one number is not two of a kind
			continue
		}
		b.taken[path] = in.Kind
		b.inputs[in.Name] = v
		if here {
			b.told[in.Name] = true
		} else {
			b.elsewhere++
			if !in.Must { // what only the thread can say is no loss
				b.points += foundPoints
			}
			b.assumed = append(b.assumed, answer.Assumption{Fact: path, Value: sig(v), Text: printNamed(in, v, units.Style{}), Why: k.coach.book.Phrase("why-thread")})
		}
		return
	}
}

// otherwise takes for an input what its way says to take.
func (b *bound) otherwise(in *rules.Input, k *known) bool {
	if in.Kind == "ev" && !in.Must {
		if v, text, why, ok := k.level(); ok {
			b.inputs[in.Name] = v
			b.points += foundPoints
			b.assumed = append(b.assumed, answer.Assumption{Fact: "light.ev100", Value: v, Text: text, Why: why})
			return true
		}
	}
	if in.Else == nil {
		return false
	}
	v, err := k.coach.book.Otherwise(in, b.inputs)
	if err != nil {
		return false
	}
	b.inputs[in.Name] = v
	if v != 0 {
		b.points += foundPoints
		b.assumed = append(b.assumed, answer.Assumption{Fact: in.Name, Value: sig(v), Text: printNamed(in, v, units.Style{}), Why: k.coach.book.Phrase("why-unsaid")})
	}
	return true
}

// known is what there is besides the message's amounts.
type known struct {
	coach *Coach
	said  *fact.Set // by this message
	facts *fact.Set // by the thread, this message in it
	last  *answer.Numbers
	says  func(words ...string) bool
}

// number looks up a path of rules.Kinds; here is true where this message said
// it. A number that this message typed is one of its amounts and is not found
// here again: a way that wants two powers must not take one twice. What was worked
// out from several (a metered level) is.
func (k *known) number(path string) (v float64, here, ok bool) {
	top, rest := cut(path)
	switch top {
	case "numbers":
		v, ok = k.last.Get(rest)
		return v, false, ok
	case "kit":
		v, ok = kitNumber(k.facts, rest)
		return v, false, ok
	case "gel":
		for _, set := range []*fact.Set{k.said, k.facts} {
			if g, found := gelOf(set); found {
				return map[string]float64{"shift": float64(g.Shift), "loss": float64(g.Loss)}[rest], set == k.said, true
			}
		}
		return 0, false, false
	case "format":
		for _, set := range []*fact.Set{k.said, k.facts} {
			if name, found := set.Get("camera.format"); found {
				if f, found := lens.LookupFormat(name.Text); found {
					return map[string]float64{"circle": float64(f.Circle), "crop": f.Crop(), "width": float64(f.Width)}[rest], set == k.said, true
				}
			}
		}
		return 0, false, false
	case "when":
		return k.moment(rest == "instant")
	}
	value, ok := k.facts.Get(path)
	if ok && value.Origin == fact.Said && top != "light" {
		return 0, false, false
	}
	return value.Number, value.Origin == fact.Said, ok
}

// level is the light of a kind that was said, as the house assumes it.
func (k *known) level() (v float64, text, why string, ok bool) {
	if _, said := k.facts.Get("light.kind"); !said {
		return 0, "", "", false
	}
	facts := k.facts.Clone()
	for _, a := range k.coach.book.Assume(facts, nil) {
		if a.Fact == "light.ev100" {
			return a.Value.Number, a.Text, a.Why, true
		}
	}
	return 0, "", "", false
}

func gelOf(set *fact.Set) (colour.Gel, bool) {
	for _, item := range set.Kit() {
		if g, ok := colour.LookupGel(item.Gel); ok {
			return g, true
		}
	}
	return colour.Gel{}, false
}

func kitNumber(set *fact.Set, field string) (float64, bool) {
	for _, item := range set.Kit() {
		if item.Origin == fact.Said {
			continue
		}
		v := map[string]float64{
			"size_m": item.SizeM, "gn_m": item.GuideM, "gn_zoom_mm": item.GuideMM, "energy_ws": item.EnergyWs, "lux_1m": item.Lux1m,
			"power": item.Power, "zoom_mm": item.ZoomMM, "stops": item.Stops, "weight_kg": item.WeightKg, "recycle_s": item.RecycleS, "charge": item.Charge,
		}[field]
		if v > 0 {
			return v, true
		}
	}
	return 0, false
}
