package drill

import (
	"strings"

	"panelhand/rules"
)

// A Mark is what an answer comes to.
type Mark string

// The marks. StopRight is right too: "stop" was the answer.
const (
	Right     Mark = "right"
	Half      Mark = "half"
	NotYet    Mark = "not yet"
	StopRight Mark = "stop right"
)

// A Marked is an answer with its mark, why it got it, and what is right.
type Marked struct {
	Mark Mark
	Why  string // id of the playbook's sentence that says it, without "drill-"
	Of   string // the right answer, worked

	// Degrees says that the text is nothing but the degrees that were asked for:
	// those of an angle, not of the weather.
	Degrees bool
}

// Reply marks a typed answer. It is false where the text does not read as an
// answer to this question, or the playbook has the drill no more.
func Reply(book *rules.Book, q Question, text string) (Marked, bool) {
	deal, ok := q.deal(book)
	if !ok {
		return Marked{}, false
	}
	asked, ok := q.Text(book)
	if !ok {
		return Marked{}, false
	}
	text = strings.TrimSpace(text)
	forced := len(text) >= len(saidSo) && strings.EqualFold(text[:len(saidSo)], saidSo)
	if forced {
		text = text[len(saidSo):]
	}
	if deal.Drill.Sign != "" {
		return sign(book, deal.Drill, asked, text, forced)
	}
	var expected class
	if deal.Drill.Answer != nil {
		expected = classes[deal.Drill.Answer.Unit].of
	}
	said := read(text, asked, expected)
	m := Marked{Mark: NotYet, Of: worked(deal)}
	if deal.Stop != nil {
		known := said.unknown == 0 && (len(said.amounts) > 0 || said.refused || said.direction != 0)
		switch {
		case said.stop && said.unknown <= mostBeside && !strings.Contains(text, "?"):
			m.Mark, m.Why = StopRight, "stop-right"
		case said.passed:
			m.Why = "passed"
		case known || forced:
			m.Why = "stop-needed"
		default:
			return m, false
		}
		return m, true
	}
	switch {
	case said.passed:
		m.Why = "passed"
	case said.stop && said.unknown == 0 && len(said.amounts) == 0:
		m.Why = "no-stop-needed"
	case !forced && (said.unknown > 0 || len(said.amounts) == 0 && said.direction == 0):
		return m, false
	default:
		m.Mark, m.Why = number(deal, said)
		m.Degrees = expected == angle && m.Mark == Right && said.unknown == 0
	}
	return m, true
}

// saidSo opens a message that is an answer, whatever it reads like.
const saidSo = "answer:"

// mostBeside is how many words of its own a "stop" may have beside it: it is
// said with its reason, "stop, thunder is too near".
const mostBeside = 6

// Hint is how the answer is reckoned, without the answer; "" for a question
// that is not one of a number.
func Hint(book *rules.Book, q Question) string {
	deal, ok := q.deal(book)
	if !ok || deal.Stop != nil || deal.Drill.Sign != "" {
		return ""
	}
	before, _, reckoned := strings.Cut(deal.Drill.Working.Value, "{answer}")
	if !reckoned {
		return ""
	}
	return strings.TrimRight(filled(before, deal), " =,") + " = ?"
}

// worked is the right answer with its working, or why the answer is "stop".
func worked(deal rules.Deal) string {
	if deal.Stop != nil {
		return strings.TrimSpace("Stop. " + filled(deal.Stop.Text.Value, deal))
	}
	lines := []string{sentence(filled(deal.Drill.Working.Value, deal))}
	for _, aside := range deal.Asides {
		lines = append(lines, sentence(filled(aside.Value, deal)))
	}
	return strings.Join(lines, " ")
}

func sentence(s string) string {
	if s == "" || strings.HasSuffix(s, ".") {
		return s
	}
	return s + "."
}
