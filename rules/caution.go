package rules

import (
	"slices"

	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// A Caution is a rule about what could hurt someone or break a venue's rule.
type Caution struct {
	ID      string       `source:"caution,required"`
	Raises  string       `source:"raises,required"` // one of CautionIDs
	Stop    bool         `source:"stop"`            // the answer declines
	When    Lines        `source:"when,required"`
	Text    source.Text  `source:"text,required"`
	Instead *Alternative `source:"instead"` // the nearest safe picture, for stops
	Source  string       `source:"source,required"`
	Pos     source.Pos

	added bool // by a team: it never stands in the place of one of the house
}

// An Alternative is the nearest safe picture.
type Alternative struct {
	Title source.Text   `source:"title,required"`
	Place []source.Text `source:"place,required"`
}

// CautionIDs are the contract's ids of what can be raised, gravest matters of
// life first: the order in which raised cautions are told.
var CautionIDs = []string{
	"thunder", "power-lines", "wet-electrics", "operators", "edge", "photosensitive", "eyes", "minors", "consent", "lithium", "heat", "cold",
	"animals", "wind", "stand-ballast", "sun-optics", "crowd", "cables", "authority", "venue-rules",
}

// Decode reads a caution.
func (c *Caution) Decode(n source.Node) []source.Problem {
	type plain Caution
	problems := n.Decode((*plain)(c))
	if raises, ok := n.Get("raises"); ok {
		problems = oneOf(raises, "the contract's cautions", CautionIDs, problems)
	}
	if c.Stop && c.Instead == nil {
		problems = append(problems, n.Problem("no-instead", "%s stops the answer and offers no nearest safe picture; add instead", c.ID))
	}
	if when, ok := n.Get("when"); ok && when.Kind() == source.List && when.Len() == 0 {
		problems = append(problems, when.Problem("empty-key", "a caution without a condition would always be raised"))
	}
	return problems
}

// Texts are all texts that a reader sees.
func (c *Caution) Texts() []source.Text {
	out := []source.Text{c.Text}
	if c.Instead != nil {
		out = slices.Concat(out, []source.Text{c.Instead.Title}, c.Instead.Place)
	}
	return out
}

// A Look is what one word for a look means in stops.
type Look struct {
	ID         string  `source:"look,required"`
	Ambient    float64 `source:"ambient,required"`    // stops of the light that is there, on the face
	Background float64 `source:"background,required"` // stops
	Ratio      float64 `source:"ratio,required"`      // lit side : shadow side, fill reaching both
	Hard       bool    `source:"hard"`                // with a hard source
	Source     string  `source:"source"`
	Pos        source.Pos
}

// Decode reads a look, which must be a choice of the fact look.
func (l *Look) Decode(n source.Node) []source.Problem {
	type plain Look
	problems := n.Decode((*plain)(l))
	if id, ok := n.Get("look"); ok {
		f, _ := fact.Lookup("look")
		problems = choiceIn(id, f, problems)
	}
	if ratio, ok := n.Get("ratio"); ok && l.Ratio < 1 {
		problems = append(problems, ratio.Problem("out-of-range", "a ratio is 1 or more"))
	}
	return problems
}

// A Term is the plain meaning of one word of the trade.
type Term struct {
	ID     string      `source:"term,required"`
	Say    []string    `source:"say,required"`
	Means  source.Text `source:"means,required"` // in one or two lines
	Why    source.Text `source:"why"`            // why it matters, in one
	Not    source.Text `source:"not"`            // the near word it is told apart from
	Source string      `source:"source"`
	Pos    source.Pos
}

// A Phrase is a text of the program's own that playbooks can reword.
type Phrase struct {
	ID     string      `source:"phrase,required"`
	Text   source.Text `source:"text,required"`
	Safety bool        `source:"safety"` // cautions are printed with it, so a team cannot reword it
	Pos    source.Pos
}
