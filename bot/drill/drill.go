// Package drill asks training questions and marks what people type in answer.
//
// It is pure: a playbook's drills, a seed and a person's progress give a question
// (ask.go); a question and a typed answer give a mark (mark.go, number.go, sign.go),
// after the answer was read (read.go); a mark and the time give the progress after
// it (progress.go). print.go writes numbers as drills show them.
package drill

import (
	"strings"

	"panelhand/bot/hear"
	"panelhand/rules"
)

// A Question is a drill with its numbers drawn. It is kept by those alone and can
// be marked as long as the playbook has the drill.
type Question struct {
	Drill  string             `json:"drill"`
	Values map[string]float64 `json:"values,omitempty"`
}

// deal reckons the question anew.
func (q Question) deal(book *rules.Book) (rules.Deal, bool) {
	d, ok := book.Drill(q.Drill)
	if !ok {
		return rules.Deal{}, false
	}
	return book.Deal(d, q.Values)
}

// Text is what the question asks, false where the playbook has no such drill
// any more.
func (q Question) Text(book *rules.Book) (string, bool) {
	deal, ok := q.deal(book)
	if !ok {
		return "", false
	}
	if deal.Drill.Sign != "" {
		sign, ok := book.Sign(deal.Drill.Sign)
		if !ok {
			return "", false
		}
		return strings.NewReplacer("{sign}", sign.See.Value).Replace(book.Phrase("drill-sign-asked")), true
	}
	return filled(deal.Drill.Ask.Value, deal), true
}

// Topics are the words that people have for the matter of each drill.
type Topics []topic

type topic struct {
	id    string
	about []string // as hear.Plain writes them
}

// NewTopics reads the topics of a book's drills.
func NewTopics(book *rules.Book) Topics {
	var all Topics
	for _, d := range book.Drills {
		one := topic{id: d.ID}
		for _, about := range d.About {
			one.about = append(one.about, hear.Plain(about))
		}
		all = append(all, one)
	}
	return all
}

// In returns the ids of the drills that a message asks about: of several, those
// of which it names the most. It is empty where it names none.
func (all Topics) In(message string) []string {
	text := " " + hear.Plain(message) + " "
	var ids []string
	most := 0
	for _, t := range all {
		named := 0
		for _, about := range t.about {
			if strings.Contains(text, " "+about+" ") {
				named += len(about)
			}
		}
		switch {
		case named > most:
			ids, most = []string{t.id}, named
		case named == most && named > 0:
			ids = append(ids, t.id)
		}
	}
	return ids
}
