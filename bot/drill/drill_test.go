package drill_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"panelhand/bot"
	"panelhand/bot/drill"
	"panelhand/rules"
	"panelhand/rules/playbook"
)

func house(t testing.TB) *rules.Book {
	t.Helper()
	book, problems := rules.Load(playbook.Files)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return book
}

type drawn = map[string]float64

// kinds are the thirty kinds of question with the case that the handbook works,
// and what it comes to there. Source: trade handbook §10.2, Q1 to Q30; a figure that
// it gives as the nearest mark (Q5, Q6) has half a click of room.
var kinds = []struct {
	number, id string
	with       drawn
	want, room float64
}{
	{"Q1", "stops-between-apertures", drawn{"from": 2.8, "to": 5.6}, -2, 0.05},
	{"Q2", "shutter-for-a-wider-lens", drawn{"start": 1. / 60, "wider": 2}, 1. / 250, 0.0002},
	{"Q3", "ambient-level", drawn{"ev": 13, "aperture": 4, "shutter": 1. / 200, "iso": 100}, 1.4, 0.05},
	{"Q4", "shutter-for-the-background", drawn{"ev": 8, "aperture": 2.8, "iso": 400, "offset": -1}, 1. / 256, 0.0001},
	{"Q5", "bare-flash-aperture", drawn{"guide": 36, "power": 0.25, "distance": 2, "iso": 200}, 12.7, 0.05},
	{"Q6", "flash-power", drawn{"guide": 36, "aperture": 8, "distance": 3, "iso": 100}, 0.444, 0.001},
	{"Q7", "panel-moved", drawn{"size": 1, "from": 1, "to": 1.5}, -1, 0.05},
	{"Q8", "bare-flash-moved", drawn{"from": 1.5, "to": 3}, -2, 0.001},
	{"Q9", "flash-to-panel", drawn{"size": 1.2, "zoom": 35}, 1.75, 0.005},
	{"Q10", "source-angle", drawn{"size": 1, "distance": 2}, 28, 0.5},
	{"Q11", "even-circle", drawn{"distance": 1.5}, 1.2, 0.005},
	{"Q12", "panel-height", drawn{"distance": 1.2, "up": 30}, 0.60, 0.005},
	{"Q13", "reach-to-elevation", drawn{"reach": 2.05, "eyes": 1.6, "distance": 1.2}, 22, 0.5},
	{"Q14", "flash-beside-ambient", drawn{"ambient": -2}, -0.42, 0.005},
	{"Q15", "two-lights-together", drawn{"ambient": -1, "flash": 0}, 0.6, 0.05},
	{"Q16", "flash-trim", drawn{"ambient": -2}, -0.6, 0.05},
	{"Q17", "lighting-ratio", drawn{"below": 1}, 3, 0.001},
	{"Q18", "fill-for-a-ratio", drawn{"ratio": 5}, -2, 0.001},
	{"Q19", "group-distance", drawn{"width": 2, "side": 15}, 3.0, 0.15},
	{"Q20", "row-drop", drawn{"distance": 4, "behind": 0.5}, -0.34, 0.005},
	{"Q21", "background-fall-off", drawn{"distance": 1.5, "gap": 3}, -3.2, 0.05},
	{"Q22", "high-speed-loss", drawn{"sync": 1. / 200, "shutter": 1. / 1600}, 5, 0.001},
	{"Q23", "flash-behind-a-filter", drawn{"aperture": 2.8, "filter": 3}, 8, 0.1},
	{"Q24", "depth-of-field", drawn{"focal": 85, "aperture": 2.8, "focus": 2}, 9, 0.5},
	{"Q25", "walking-blur", drawn{"speed": 1.4, "shutter": 1. / 250}, 5.6, 0.01},
	{"Q26", "gel-result", drawn{"light": 5500, "shift": 109}, 3440, 5},
	{"Q27", "wind-push", drawn{"area": 0.8, "gust": 25}, 2.8, 0.05},
	{"Q28", "battery-budget", drawn{"frames": 200, "power": 0.25, "more": 80, "strong": 0.5}, 90, 0.001},
	{"Q29", "sun-window", drawn{"drop": 6, "latitude": 55}, 42, 0.5},
	{"Q30", "led-level", drawn{"figure": 800, "distance": 0.7}, 9.4, 0.06},
}

func TestThirtyKinds(t *testing.T) {
	book := house(t)
	seen := map[string]bool{}
	for i, k := range kinds {
		if k.number != fmt.Sprintf("Q%d", i+1) {
			t.Errorf("%s stands in the place of Q%d", k.number, i+1)
		}
		d, ok := book.Drill(k.id)
		if !ok {
			t.Errorf("%s: there is no %s", k.number, k.id)
			continue
		}
		if seen[k.id] = true; !strings.HasPrefix(d.Source+",", "trade handbook "+k.number+",") {
			t.Errorf("%s: %s is from %s", k.number, k.id, d.Source)
		}
		deal, ok := book.Deal(d, k.with)
		if !ok || math.Abs(deal.Answer()-k.want) > k.room {
			t.Errorf("%s: %s with %v is %g, the handbook has %g", k.number, k.id, k.with, deal.Answer(), k.want)
		}
	}
	if len(seen) != 30 {
		t.Errorf("%d kinds, the handbook has 30", len(seen))
	}
}

// Every sign of the handbook's table R1 to R26 is read.
func TestSignDrills(t *testing.T) {
	book := house(t)
	for n := 1; n <= 26; n++ {
		source := fmt.Sprintf("trade handbook R%d", n)
		i := slices.IndexFunc(book.Drills, func(d rules.Drill) bool { return d.Sign != "" && d.Source == source })
		if i < 0 {
			t.Errorf("no drill reads the sign of %s", source)
			continue
		}
		q := drill.Question{Drill: book.Drills[i].ID}
		if text, ok := q.Text(book); !ok || !strings.Contains(text, "You see: ") {
			t.Errorf("%s asks %q", q.Drill, text)
		}
	}
}

// What a stop drill orders is stopped when someone means it, by a caution of
// the kind that the drill names; the marks of "stop" rest on that.
func TestStopDrillsBreakStops(t *testing.T) {
	book := house(t)
	coach := bot.New(book)
	stops := 0
	for _, d := range book.Drills {
		if d.Stop == nil {
			continue
		}
		for seed := range uint64(8) {
			q, ok := drill.Ask(book, seed, drill.Progress{}, time.Time{}, []string{d.ID})
			if !ok {
				t.Fatalf("%s cannot be asked", d.ID)
			}
			if deal, _ := book.Deal(&d, q.Values); deal.Stop == nil {
				continue // wind, and not too much of it
			}
			stops++
			caution, _ := book.Caution(d.Stop.Caution) // a worse one of its kind may stand in its place
			asked, _ := q.Text(book)
			a := coach.Answer(new(bot.Thread), bot.Message{Text: asked})
			if !slices.ContainsFunc(a.Raised, func(r rules.Raised) bool { return r.Stop && r.Rule.Raises == caution.Raises }) {
				t.Errorf("%s: %q raises no %s", d.ID, asked, d.Stop.Caution)
			}
			if m, ok := drill.Reply(book, q, "stop"); !ok || m.Mark != drill.StopRight {
				t.Errorf("%s: stop is marked %q", d.ID, m.Mark)
			}
		}
	}
	if stops == 0 {
		t.Error("nothing was to be stopped")
	}
}

// The same seed asks the same, others ask other numbers.
func TestSeeds(t *testing.T) {
	book := house(t)
	asked := map[string]bool{}
	for seed := range uint64(40) {
		q, ok := drill.Ask(book, seed, drill.Progress{}, time.Time{}, []string{"panel-moved"})
		again, _ := drill.Ask(book, seed, drill.Progress{}, time.Time{}, []string{"panel-moved"})
		text, _ := q.Text(book)
		if other, _ := again.Text(book); !ok || text != other || strings.Contains(text, "{") {
			t.Fatalf("seed %d asks %q, then %q", seed, text, other)
		}
		asked[text] = true
	}
	if len(asked) < 10 {
		t.Errorf("forty seeds asked %d questions", len(asked))
	}
}

// typed writes an exact answer with all that makes it right.
func typed(deal rules.Deal) string {
	v := deal.Answer()
	switch unit := deal.Drill.Answer.Unit; unit {
	case "level":
		way := "over"
		if v < 0 {
			way = "under"
		}
		return fmt.Sprintf("%.3f stops %s", math.Abs(v), way)
	case "f-number":
		return fmt.Sprintf("f/%.3f", v)
	case "shutter":
		return fmt.Sprintf("1/%.2f s", 1/v)
	case "ratio":
		return fmt.Sprintf("%.3f:1", v)
	case "deg":
		return fmt.Sprintf("%.3f°", v)
	case "ev":
		return fmt.Sprintf("EV %.3f", v)
	case "power", "count":
		return fmt.Sprintf("%.4f", v)
	default:
		return fmt.Sprintf("%.4f %s", v, unit)
	}
}

// Whatever is drawn, the exact answer is right, one far off is not, and the
// working has its numbers in.
func TestExactAnswerIsRight(t *testing.T) {
	book := house(t)
	for _, d := range book.Drills {
		if d.Answer == nil {
			continue
		}
		for seed := range uint64(25) {
			q, ok := drill.Ask(book, seed, drill.Progress{}, time.Time{}, []string{d.ID})
			if !ok {
				t.Fatalf("%s cannot be asked", d.ID)
			}
			deal, _ := book.Deal(&d, q.Values)
			if deal.Stop != nil {
				continue
			}
			m, ok := drill.Reply(book, q, typed(deal))
			if !ok || m.Mark != drill.Right {
				t.Errorf("%s with %v: %q is marked %q (%s)", d.ID, q.Values, typed(deal), m.Mark, m.Why)
			}
			if m.Of == "" || strings.Contains(m.Of, "{") {
				t.Errorf("%s is worked as %q", d.ID, m.Of)
			}
			deal.Values["answer"] = deal.Answer()*5 + math.Copysign(3, deal.Answer())
			if m, ok := drill.Reply(book, q, typed(deal)); !ok || m.Mark == drill.Right {
				t.Errorf("%s with %v: %q is marked %q", d.ID, q.Values, typed(deal), m.Mark)
			}
		}
	}
}

// Intervals of the graduated recall that the schedule names: each about five
// times the one before it.
func TestSchedule(t *testing.T) {
	now := time.Date(2026, 6, 1, 9, 0, 0, 0, time.UTC)
	q := drill.Question{Drill: "panel-moved"}
	due := func(p drill.Progress) time.Duration { return p.Drills[q.Drill].Due.Sub(now) }
	wrong := drill.Progress{}.After(q, drill.NotYet, now)
	if due(wrong) != 5*time.Second {
		t.Errorf("a wrong one comes back after %s", due(wrong))
	}
	p, before := wrong, due(wrong)
	for range 9 {
		p = p.After(q, drill.Right, now)
		if step := float64(due(p)) / float64(before); step < 4.5 || step > 6.1 {
			t.Errorf("from %s to %s is %.1f times as long", before, due(p), step)
		}
		before = due(p)
	}
	if half := p.After(q, drill.Half, now); due(half) != due(p) {
		t.Errorf("half moves %s to %s", due(p), due(half))
	}
	if back := p.After(q, drill.NotYet, now); due(back) != 5*time.Second {
		t.Errorf("a wrong one comes back after %s", due(back))
	}
	if fresh := (drill.Progress{}).After(q, drill.StopRight, now); due(fresh) != 24*time.Hour {
		t.Errorf("what a newcomer knows comes back after %s", due(fresh))
	}
}

// What was wrong comes back when it is due, before anything new.
func TestWrongComesBack(t *testing.T) {
	book := house(t)
	now := time.Date(2026, 6, 1, 9, 0, 0, 0, time.UTC)
	p := drill.Progress{}.After(drill.Question{Drill: "panel-moved"}, drill.NotYet, now)
	p = p.After(drill.Question{Drill: "row-drop"}, drill.Right, now)
	for seed := range uint64(10) {
		if q, _ := drill.Ask(book, seed, p, now.Add(time.Minute), nil); q.Drill != "panel-moved" {
			t.Errorf("a minute later %s is asked", q.Drill)
		}
		if q, _ := drill.Ask(book, seed, p, now, nil); q.Drill == "panel-moved" || q.Drill == "row-drop" {
			t.Errorf("at once %s is asked again", q.Drill)
		}
	}
}

// A week is a person's own until they share it.
func TestWeeksArePrivate(t *testing.T) {
	now := time.Date(2026, 6, 10, 9, 0, 0, 0, time.UTC)
	q := drill.Question{Drill: "panel-moved"}
	old := drill.Progress{}.After(q, drill.Right, now.AddDate(0, 0, -8))
	p := old.After(q, drill.Half, now)
	if all := drill.Weeks(map[string]drill.Progress{"Ines": p}, now); len(all) != 0 {
		t.Errorf("a lead sees %v", all)
	}
	p.Shared = true
	all := drill.Weeks(map[string]drill.Progress{"Ines": p, "Oke": old}, now)
	if len(all) != 1 || all[0].Person != "Ines" || all[0].Asked != 1 || all[0].Half != 1 || !slices.Equal(all[0].Again, []string{"panel-moved"}) {
		t.Errorf("a lead sees %+v", all)
	}
}

// The first week has seven days, and each can be passed with its own drills.
func TestFirstWeek(t *testing.T) {
	book := house(t)
	if len(book.Days) != 7 {
		t.Errorf("%d days", len(book.Days))
	}
	for day := 1; day <= 7; day++ {
		d, ok := book.DayOf(day)
		if !ok {
			t.Errorf("there is no day %d", day)
			continue
		}
		if len(d.Drills) < d.Marks.Of {
			t.Errorf("day %d asks for %d of %d, and has %d drills", day, d.Marks.Right, d.Marks.Of, len(d.Drills))
		}
	}
	last, _ := book.DayOf(7)
	if last.Marks != (rules.PassMark{Right: 24, Of: 30}) { // trade handbook §10.1
		t.Errorf("the review passes with %v", last.Marks)
	}
}

// FuzzReply types anything at any drill: no panic, a mark of the four or none.
func FuzzReply(f *testing.F) {
	for _, s := range []string{"2 stops darker", "1 1/2 stop", "½", "f/8", "1/250s", "-0.6", "5 ft 9", "3:1", "a third of a stop under", "stop!", "1/4 -1 click", "9e999", "1/0", "= = 3", "answer: -", "EV -3", "two and a half", "0,5 m"} {
		for i := range uint64(4) {
			f.Add(s, i)
		}
	}
	book := house(f)
	marks := []drill.Mark{drill.Right, drill.Half, drill.NotYet, drill.StopRight}
	f.Fuzz(func(t *testing.T, text string, seed uint64) {
		q, ok := drill.Ask(book, seed, drill.Progress{}, time.Time{}, nil)
		if !ok {
			t.Fatal("nothing is asked")
		}
		m, ok := drill.Reply(book, q, text)
		if !ok {
			return
		}
		if !slices.Contains(marks, m.Mark) || m.Of == "" || book.Phrase("drill-"+m.Why) == "" {
			t.Errorf("%s: %q is %+v", q.Drill, text, m)
		}
		if m.Mark == drill.StopRight && !strings.Contains(strings.ToLower(text), "stop") {
			t.Errorf("%q stops", text)
		}
	})
}
