package drill

import (
	"math/rand/v2"
	"slices"
	"time"

	"panelhand/rules"
)

// mostTries bounds the drawing of numbers that a drill can use.
const mostTries = 200

// Ask chooses a drill and draws its numbers. The same seed, progress and time
// give the same question. What is due comes first, the longest due before the
// rest; then what was never asked; then what is due next. The drill asked last is
// not asked again where there is another. It is false where none of the ids is a
// drill that can be asked; no ids are all.
func Ask(book *rules.Book, seed uint64, person Progress, now time.Time, ids []string) (Question, bool) {
	random := rand.New(rand.NewPCG(seed, 0))
	var left []*rules.Drill
	for i := range book.Drills {
		if d := &book.Drills[i]; len(ids) == 0 || slices.Contains(ids, d.ID) {
			left = append(left, d)
		}
	}
	if len(left) > 1 {
		left = slices.DeleteFunc(left, func(d *rules.Drill) bool { return d.ID == person.Last })
	}
	for len(left) > 0 {
		i := next(left, random, person, now)
		if q, ok := draw(book, left[i], random); ok {
			return q, true
		}
		left = slices.Delete(left, i, i+1)
	}
	return Question{}, false
}

// next is the place of the drill to be asked.
func next(drills []*rules.Drill, random *rand.Rand, person Progress, now time.Time) int {
	first := -1
	var fresh []int
	for i, d := range drills {
		record, asked := person.Drills[d.ID]
		if !asked {
			fresh = append(fresh, i)
		} else if first < 0 || record.Due.Before(person.Drills[drills[first].ID].Due) {
			first = i
		}
	}
	if len(fresh) > 0 && (first < 0 || person.Drills[drills[first].ID].Due.After(now)) {
		return fresh[random.IntN(len(fresh))]
	}
	return first
}

func draw(book *rules.Book, d *rules.Drill, random *rand.Rand) (Question, bool) {
	for range mostTries {
		values := make(map[string]float64, len(d.Draws))
		for _, draw := range d.Draws {
			values[draw.Name] = draw.Values[random.IntN(len(draw.Values))]
		}
		if _, ok := book.Deal(d, values); ok {
			return Question{Drill: d.ID, Values: values}, true
		}
	}
	return Question{}, false
}
