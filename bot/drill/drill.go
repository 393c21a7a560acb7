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

// Topic returns the ids of the drills that a message asks about, by the words
// people have for their matter: of several, those of which it names the most. It
// is empty where it names none.
func Topic(book *rules.Book, message string) []string {
	text := " " + hear.Plain(message) + " "
	var ids []string
	most := 0
	for _, d := range book.Drills {
		named := 0
		for _, about := range d.About {
			if strings.Contains(text, " "+hear.Plain(about)+" ") {
				named += len(about)
			}
		}
		switch {
		case named > most:
			ids, most = []string{d.ID}, named
		case named == most && named > 0:
			ids = append(ids, d.ID)
		}
	}
	return ids
}
