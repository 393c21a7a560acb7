package rules

import (
	"cmp"
	"slices"
	"strings"
	"unicode/utf8"

	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// An Adjustment is one change to a set-up that stands: what asks for it, when
// it is the one to make, what it moves and which dials follow so that the face
// stays. Several may answer one asking: the first whose lines hold and that can be
// done is made; asked again, the next.
type Adjustment struct {
	ID      string      `source:"adjust,required"`
	Answers []Asking    `source:"answers,required"`
	When    Lines       `source:"when"`
	Do      Moves       `source:"do"`     // in the order written; none where words alone do it
	Follow  []string    `source:"follow"` // dials that turn with it to keep the face: Followers
	Say     source.Text `source:"say,required"`
	Helper  source.Text `source:"helper"` // words spoken to the helper
	Costs   source.Text `source:"costs"`  // what is paid for it, in a few words

	// Button is what a crew would say to ask for it, short enough to be
	// pressed; Offer says when they are likely to, in points that add up.
	Button source.Text  `source:"button"`
	Offer  []Preference `source:"offer"` // none: one point, always

	Source string `source:"source,required"`
	Pos    source.Pos
}

// maxButton is how many characters of a button's words a phone shows whole.
const maxButton = 24

// Decode reads an adjustment and checks the dials that follow.
func (a *Adjustment) Decode(n source.Node) []source.Problem {
	type plain Adjustment
	problems := n.Decode((*plain)(a))
	if follow, ok := n.Get("follow"); ok {
		for item := range follow.Items() {
			problems = oneOf(item, "follow", Followers, problems)
		}
	}
	if offer, ok := n.Get("offer"); ok && a.Button.Value == "" {
		problems = append(problems, offer.Problem("missing-key", "an offer needs a button: the words to press"))
	}
	if utf8.RuneCountInString(a.Button.Value) > maxButton {
		at, _ := n.Get("button")
		problems = append(problems, at.Problem("too-long", "a button has at most %d characters", maxButton))
	}
	return problems
}

// Texts are all texts that a reader sees.
func (a *Adjustment) Texts() []source.Text {
	return slices.DeleteFunc([]source.Text{a.Say, a.Helper, a.Costs, a.Button}, func(t source.Text) bool { return t.Value == "" })
}

// An Asking is what of a message asks for an adjustment: a want ("softer"), a
// fault seen ("fault:hot-forehead") or a turn ("turn:power-up").
type Asking struct {
	Path   string // wants, faults or turn
	Choice string
}

func (a Asking) String() string {
	for prefix, path := range askings {
		if path == a.Path {
			return prefix + a.Choice
		}
	}
	return a.Choice
}

var askings = map[string]string{"fault:": "faults", "turn:": "turn", "keep:": "keep", "": "wants"}

// Decode reads "softer", "fault:hot-forehead", "turn:power-up".
func (a *Asking) Decode(n source.Node) []source.Problem {
	a.Path, a.Choice = "wants", n.Text()
	if prefix, choice, ok := strings.Cut(n.Text(), ":"); ok {
		a.Path, a.Choice = askings[prefix+":"], choice
	}
	list, ok := fact.Lookup(a.Path)
	if !ok {
		return []source.Problem{n.Problem("unknown-choice", "what asks is a want, fault:… or turn:…, not %q", n.Text())}
	}
	if !slices.Contains(list.Choices, a.Choice) {
		p := n.Problem("unknown-choice", "%q is not a choice of %s", a.Choice, list.Path)
		p.Nearest = source.Nearest(a.Choice, list.Choices)
		return []source.Problem{p}
	}
	return nil
}

// Askings are what a message asks of a set-up that stands, in the order of the
// fact table: turns first, for they are the plainest.
func Askings(said *fact.Set) []Asking {
	var out []Asking
	for _, path := range []string{"turn", "faults", "wants"} {
		for _, choice := range said.Choices(path) {
			out = append(out, Asking{path, choice})
		}
	}
	return out
}

// Followers are the dials that may follow a move.
var Followers = []string{"iso", "aperture", "shutter", "nd", "power", "distance"}

// Moved is what a move moves, and the unit it is in.
var Moved = map[string]string{
	"iso": Clicks, "aperture": Clicks, "shutter": Clicks, "nd": Clicks, "power": Clicks, // stops of light: + is more
	"face": Clicks, "background": Clicks, // levels, for the solver to reach
	"distance": Metres, "flash_panel": Metres, "camera": Metres, "gap": Metres, // of the key to the face, the flash to its panel, camera to face, sitter to background
	"fill": Metres, "black": Metres, // white or black side to the face, on the shadow side
	"side": Degrees, "up": Degrees, "feather": Degrees,
	"zoom":   Steps,  // marks of the flash's zoom, + is longer
	"warmth": Kelvin, // of the white balance
	"gel":    "",     // by name, or none
	"hss":    "",     // high-speed sync, on
}

// Units of moves that a Quantity does not have.
const (
	Clicks = "stops"
	Steps  = "steps"
	Kelvin = "K"
)

// How a move changes what it moves.
type How int

// The ways.
const (
	Add   How = iota // "+1", "-10 deg", "+0.2 m"
	Times            // "x0.75"
	To               // "to 0.75 panels", "to sync", "to half-cto"
)

// A Move is one thing moved.
type Move struct {
	What string // of Moved
	How  How
	Quantity
	Word string // of a To that is no quantity: sync, filled, none, a gel
	Pos  source.Pos
}

// Moves are moved in the order written; the first takes the size a message
// names, the others go with it.
type Moves []Move

// Decode reads {shutter: +1, distance: x0.75, gel: to quarter-cto}.
func (m *Moves) Decode(n source.Node) []source.Problem {
	if n.Kind() != source.Map {
		return []source.Problem{n.Problem("wrong-kind", "do is a map of what is moved: {shutter: +1}")}
	}
	var problems []source.Problem
	for key, value := range n.Pairs() {
		one := Move{What: key.Text(), Pos: key.Pos()}
		unit, ok := Moved[one.What]
		if !ok {
			p := key.Problem("unknown-key", "%q is nothing that moves", one.What)
			p.Nearest = source.Nearest(one.What, movedNames())
			problems = append(problems, p)
			continue
		}
		if bad := one.read(value, unit); bad != nil {
			problems = append(problems, bad...)
			continue
		}
		*m = append(*m, one)
	}
	return problems
}

func movedNames() []string {
	var names []string
	for name := range Moved {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// moveWords are what a To may name instead of a quantity.
var moveWords = map[string][]string{
	"shutter":     {"sync", "beat"}, // beat: of lamps on the mains
	"flash_panel": {"filled"},       // the beam just fills the panel
	"fill":        {"none"},
	"black":       {"none"},
	"nd":          {"none"},
	"hss":         {"on"},
}

func (m *Move) read(n source.Node, unit string) []source.Problem {
	text := strings.TrimSpace(n.Text())
	wrong := func() []source.Problem {
		return []source.Problem{n.Problem("wrong-kind", `%s moves by "+1", "x0.75" or "to 1.2 m" (its unit here is %s), not by %q`, m.What, unit, text)}
	}
	switch {
	case strings.HasPrefix(text, "to "):
		m.How, text = To, text[len("to "):]
		if m.What == "gel" && (text == "none" || slices.Contains(fact.Gels, text)) || slices.Contains(moveWords[m.What], text) {
			m.Word = text
			return nil
		}
	case strings.HasPrefix(text, "x"):
		m.How, text = Times, text[1:]
	}
	number, suffix, _ := strings.Cut(text, " ")
	value, ok := source.Number(strings.TrimPrefix(number, "+"))
	if !ok || unit == "" {
		return wrong()
	}
	if m.Value, m.Unit = value, strings.TrimSpace(suffix); m.Unit == "" {
		m.Unit = unit
	}
	switch {
	case m.How == Times && (suffix != "" || value <= 0 || value > 10):
		return wrong()
	case m.Unit == Panels && unit == Metres, m.Unit == unit:
		return nil
	}
	return wrong()
}

// Options are the adjustments whose lines hold for each asking, in the order
// of the book. env is of the set-up as it stands, with what the message says among
// its facts. An Unknown line does not hold.
func (b *Book) Options(env Env, asked []Asking) [][]*Adjustment {
	s := b.scene(&env)
	defer b.idle.put(s)
	out := make([][]*Adjustment, len(asked))
	for i := range b.Adjustments {
		a := &b.Adjustments[i]
		if !slices.ContainsFunc(asked, func(x Asking) bool { return slices.Contains(a.Answers, x) }) {
			continue
		}
		if !s.holds(a.When, StepAdjust, a.ID, a.Pos) {
			continue
		}
		for k, x := range asked {
			if slices.Contains(a.Answers, x) {
				out[k] = append(out[k], a)
			}
		}
	}
	return out
}

// Offers are the adjustments that have a button and whose lines hold, the
// likeliest to be asked for first, then in the order of the book. What scores
// nothing is not offered.
func (b *Book) Offers(env Env) []*Adjustment {
	type offer struct {
		*Adjustment
		points float64
	}
	s := b.scene(&env)
	defer b.idle.put(s)
	var all []offer
	for i := range b.Adjustments {
		a := &b.Adjustments[i]
		if a.Button.Value == "" || s.all(a.When, StepAdjust, a.ID).truth != True {
			continue
		}
		points := 0.0
		if len(a.Offer) == 0 {
			points = 1
		}
		for j := range a.Offer {
			if s.all(a.Offer[j].When, StepOffer, a.ID).truth == True {
				points += a.Offer[j].Points
			}
		}
		if points > 0 {
			all = append(all, offer{a, points})
		}
	}
	slices.SortStableFunc(all, func(x, y offer) int { return cmp.Compare(y.points, x.points) })
	out := make([]*Adjustment, len(all))
	for i, o := range all {
		out[i] = o.Adjustment
	}
	return out
}
