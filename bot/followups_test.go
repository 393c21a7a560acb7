package bot_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"panelhand/bot"
	"panelhand/bot/answer"
)

// A handbookRow is one row of trade handbook §4, F1 to F66: what a crew
// complains of, and the single best change with its first size.
type handbookRow struct {
	Row, Wish, Size string   // as the handbook has them
	After           []string // the thread before
	Say             string
	By              []string // adjustments that may answer
	Moves           []rowMove
	Stays           []string // numbers that must not move
	Says            string   // what the advice names, where no number can
	Because         string   // why a size is not the handbook's
}

// A rowMove is one number that moves: by stops of light, by a difference, to a
// value or times a factor.
type rowMove struct {
	Key    string
	Stops  *float64 // within a click unless told
	By     *float64
	To     *float64
	Times  *float64
	Within float64
}

const click = 1.0 / 3

// off is how far from the row's size the number went, against what is allowed.
func (m rowMove) off(was, is float64) (off, within float64, want string) {
	within = m.Within
	switch {
	case m.Stops != nil:
		if within == 0 {
			within = click + 0.02 // and what the names of marks round away
		}
		by := math.Log2(is / was)
		if m.Key == "aperture" {
			by *= -2
		}
		return math.Abs(by - *m.Stops), within, fmt.Sprintf("by %+.2f stops, went %+.2f", *m.Stops, by)
	case m.By != nil:
		return math.Abs(is - was - *m.By), within, fmt.Sprintf("by %+.2f, went %+.2f", *m.By, is-was)
	case m.To != nil:
		return math.Abs(is - *m.To), within, fmt.Sprintf("to %.2f, went to %.3f", *m.To, is)
	}
	if within == 0 {
		within = 0.02
	}
	return math.Abs(is/was - *m.Times), within, fmt.Sprintf("times %.2f, went times %.2f", *m.Times, is/was)
}

// rightWay reports whether a number went the way the row says. A size under a
// click may round away on a dial.
func (m rowMove) rightWay(was, is float64) bool {
	switch {
	case m.Stops != nil && math.Abs(*m.Stops) < click && is == was:
		return true
	case m.Stops != nil && m.Key == "aperture":
		return (is < was) == (*m.Stops > 0)
	case m.Stops != nil:
		return (is > was) == (*m.Stops > 0)
	case m.By != nil && *m.By != 0:
		return (is > was) == (*m.By > 0)
	case m.Times != nil:
		return (is > was) == (*m.Times > 1)
	}
	return true
}

// TestHandbookFollowUps walks all rows of trade handbook §4: the change that
// answers, its size within a click of the handbook's first size, what stays.
func TestHandbookFollowUps(t *testing.T) {
	long(t)
	data, err := os.ReadFile(filepath.Join("..", "testdata", "followups.json"))
	if err != nil {
		t.Fatal(err)
	}
	var rows []handbookRow
	if err := json.Unmarshal(data, &rows); err != nil {
		t.Fatal(err)
	}
	for k := 1; k <= 66; k++ {
		if id := fmt.Sprintf("F%d", k); !slices.ContainsFunc(rows, func(r handbookRow) bool { return r.Row == id }) {
			t.Errorf("%s is lost", id)
		}
	}
	coach := houseCoach(t)
	for _, r := range rows {
		t.Run(r.Row+" "+r.Wish, func(t *testing.T) { r.walk(t, coach) })
	}
}

func (r handbookRow) walk(t *testing.T, coach *bot.Coach) {
	thread := new(bot.Thread)
	var before, a *answer.Answer
	for _, say := range r.After {
		before = coach.Answer(thread, bot.Message{Text: say})
	}
	if before.Numbers == nil {
		t.Fatalf("no set-up to change:\n%s", before.Text)
	}
	a = coach.Answer(thread, bot.Message{Text: r.Say})
	if len(a.Adjusted) != 1 || !slices.Contains(r.By, a.Adjusted[0]) {
		t.Fatalf("%q is answered by %v, not by %v:\n%s", r.Say, a.Adjusted, r.By, a.Text)
	}
	if len(r.Moves) == 0 && r.Says == "" {
		t.Fatal("the row moves nothing and says nothing, so it cannot fail")
	}
	was, is := before.Numbers.Map(), a.Numbers.Map()
	for _, m := range r.Moves {
		from, ok := was[m.Key]
		to, there := is[m.Key]
		if !there || !ok && m.To == nil && m.By == nil { // what was not there is 0
			t.Errorf("%s is not among the numbers", m.Key)
			continue
		}
		off, within, want := m.off(from, to)
		if off > within {
			t.Errorf("%s should go %s (handbook: %s)\n%s", m.Key, want, r.Size, a.Text)
		}
		if !m.rightWay(from, to) {
			t.Errorf("%s goes the wrong way: %v to %v", m.Key, from, to)
		}
	}
	for _, key := range r.Stays {
		if math.Abs(is[key]-was[key]) > 1e-9*math.Abs(was[key])+1e-9 {
			t.Errorf("%s must stay, and goes from %v to %v:\n%s", key, was[key], is[key], a.Text)
		}
	}
	if r.Says != "" && !strings.Contains(strings.Join(a.Do, " "), r.Says) {
		t.Errorf("the advice does not name %q:\n%s", r.Says, strings.Join(a.Do, "\n"))
	}
}
