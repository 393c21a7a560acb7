package rules

import (
	"slices"

	"panelhand/rules/source"
)

// A Day is one day of a new assistant's first week: what to know, and what to be
// quizzed on.
type Day struct {
	Day    int           `source:"day,required"` // from 1
	Title  source.Text   `source:"title,required"`
	Know   []source.Text `source:"know,required"`
	Terms  []string      `source:"terms"` // ids of terms to look up
	Cards  []string      `source:"cards"` // ids of cards to know by heart
	Drills []string      `source:"drills,required"`
	Pass   source.Text   `source:"pass,required"`
	Marks  PassMark      `source:"marks,required"`
	Source string        `source:"source,required"`
	Pos    source.Pos
}

// A PassMark is how many of a day's drills must be right, of how many asked.
type PassMark struct {
	Right int `source:"right,required"`
	Of    int `source:"of,required"`
}

// A Card is a page to carry: calls and what each means exactly.
type Card struct {
	ID     string      `source:"card,required"`
	Say    []string    `source:"say,required"` // what people ask for it by
	Title  source.Text `source:"title,required"`
	Lines  []Call      `source:"lines,required"`
	Source string      `source:"source,required"`
	Pos    source.Pos
}

// A Call is a word or a sign of the hand, and what it means.
type Call struct {
	Call  source.Text `source:"call,required"`
	Means source.Text `source:"means,required"`
}

// Card returns a card by its id.
func (b *Book) Card(id string) (*Card, bool) {
	for i := range b.Cards {
		if b.Cards[i].ID == id {
			return &b.Cards[i], true
		}
	}
	return nil, false
}

// DayOf returns the day with a number.
func (b *Book) DayOf(number int) (*Day, bool) {
	i := slices.IndexFunc(b.Days, func(d Day) bool { return d.Day == number })
	if i < 0 {
		return nil, false
	}
	return &b.Days[i], true
}

// training checks that the week names what is in the book, and can be passed.
func (c *bookCheck) training() {
	seen := map[int]source.Pos{}
	for i := range c.book.Days {
		d := &c.book.Days[i]
		if first, twice := seen[d.Day]; twice {
			c.fail(d.Pos, "duplicate-id", "day %d stands already at %s", d.Day, first)
		}
		seen[d.Day] = d.Pos
		for _, id := range d.Terms {
			if _, ok := c.book.Term(id); !ok {
				c.fail(d.Pos, "unknown-rule", "%s is no term of this book", id)
			}
		}
		for _, id := range d.Cards {
			if _, ok := c.book.Card(id); !ok {
				c.fail(d.Pos, "unknown-rule", "%s is no card of this book", id)
			}
		}
		for _, id := range d.Drills {
			if _, ok := c.book.Drill(id); !ok {
				c.fail(d.Pos, "unknown-rule", "%s is no drill of this book", id)
			}
		}
		if d.Marks.Right < 1 || d.Marks.Right > d.Marks.Of {
			c.fail(d.Pos, "out-of-range", "%d right of %d cannot be a pass mark", d.Marks.Right, d.Marks.Of)
		}
	}
}
