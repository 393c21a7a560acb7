package memory

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// A Field is a part of a record that can be searched by itself.
type Field string

// The fields of a record. Anywhere is all of them.
const (
	Anywhere Field = ""
	InTitle  Field = "title"
	InPlace  Field = "place"
	InLight  Field = "light"
	InWants  Field = "wants"
	InKit    Field = "kit"
	InWords  Field = "words" // what was said, and the set-up's own words
)

// Fields are all that a record's words are filed under, in one order.
var Fields = []Field{InTitle, InPlace, InLight, InWants, InKit, InWords}

// A Term is the beginning of a word that must stand in a field.
type Term struct {
	In   Field
	Word string
}

// Tokens cuts a text into words to search by: lower case, without accents,
// letters and digits alone. Every store files and finds by these, so that all
// find alike.
func Tokens(text string) []string {
	return strings.FieldsFunc(strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return unicode.ToLower(r)
	}, norm.NFKD.String(text)), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// Key is a name by which it is found again: "the Net-Shed Yard" and "net shed
// yard" are one place.
func Key(name string) string {
	words := Tokens(name)
	if len(words) > 1 && words[0] == "the" {
		words = words[1:]
	}
	return strings.Join(words, " ")
}

// Words are the words of a record by which it is found in a field.
func (r *Record) Words(f Field) []string {
	var texts []string
	switch f {
	case InTitle:
		texts = []string{r.Title}
	case InPlace:
		texts = []string{r.Venue}
	case InLight:
		texts = r.Light
	case InWants:
		texts = r.Wants
	case InKit:
		texts = r.Kit
	case InWords:
		texts = slices.Clone(r.Said)
		if r.Setup != nil {
			texts = append(append(texts, r.Setup.Title), r.Setup.Technique...)
		}
	}
	var words []string
	for _, t := range texts {
		words = append(words, Tokens(t)...)
	}
	return words
}

// Named reports whether all words of a name stand in a text, one after the
// other.
func Named(text, name string) bool {
	words := strings.Fields(Key(name))
	return len(words) > 0 && strings.Contains(" "+strings.Join(Tokens(text), " ")+" ", " "+strings.Join(words, " ")+" ")
}

// Forget takes a person out of a record: the name of who saved it, and the
// messages that name them. It reports whether anything was taken.
func (r *Record) Forget(name string) bool {
	before := len(r.Said)
	r.Said = slices.DeleteFunc(r.Said, func(s string) bool { return Named(s, name) })
	wrote := r.Who != "" && Key(r.Who) == Key(name)
	if wrote {
		r.Who = ""
	}
	return wrote || len(r.Said) != before
}

// Names reports whether a note was written by a person or names them.
func (n *Note) Names(name string) bool {
	return Named(n.Text, name) || n.Who != "" && Key(n.Who) == Key(name)
}

// Names reports whether a draft is a person's or names them.
func (d *Draft) Names(name string) bool {
	return d.Who != "" && Key(d.Who) == Key(name) || Named(strings.Join(append([]string{d.Title, d.Why}, d.Said...), "\n"), name)
}

// Names reports whether a person wrote the message or is named in it.
func (m *Message) Names(name string) bool {
	return Named(m.Text, name) || m.Who != "" && Key(m.Who) == Key(name)
}

// Matches reports whether a note is one of those asked for.
func (q NoteQuery) Matches(n Note) bool {
	if q.Venue != "" && Key(q.Venue) != Key(n.Venue) || q.Record != 0 && q.Record != n.Record {
		return false
	}
	if len(q.Words) == 0 {
		return true
	}
	have := append(Tokens(n.Text), Tokens(n.Venue)...)
	return !slices.ContainsFunc(q.Words, func(w string) bool { return !begins(have, w) })
}

// begins reports whether one of the words begins with the start.
func begins(words []string, start string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return strings.HasPrefix(w, start) })
}
