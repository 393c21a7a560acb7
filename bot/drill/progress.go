package drill

import (
	"maps"
	"slices"
	"strings"
	"time"
)

// Progress is what one person was asked and how it went. It belongs to that
// person: a lead sees it only where Shared. The zero Progress is a newcomer's.
type Progress struct {
	Drills map[string]Record `json:"drills,omitempty"` // by drill
	Days   map[string]Tally  `json:"days,omitempty"`   // by date, the last of them
	Last   string            `json:"last,omitempty"`   // drill asked last
	Shared bool              `json:"shared,omitempty"` // agreed that the leads see the week
}

// A Record is how one kind of question went.
type Record struct {
	Step  int       `json:"step"` // in schedule
	Due   time.Time `json:"due"`
	Asked int       `json:"asked"`
	Last  Mark      `json:"last"`
}

// A Tally counts a day's questions.
type Tally struct {
	Asked int `json:"asked"`
	Right int `json:"right"`
	Half  int `json:"half,omitempty"`
}

// schedule is when a question comes again: "A Memory Schedule", The Modern
// Language Journal 51(2), February 1967, graduated interval recall, which grows
// fivefold from five seconds. The article is found in public catalogues; its
// intervals, rounded as it has them, are from memory.
var schedule = []time.Duration{
	5 * time.Second, 25 * time.Second, 2 * time.Minute, 10 * time.Minute, time.Hour, 5 * time.Hour,
	24 * time.Hour, 5 * 24 * time.Hour, 25 * 24 * time.Hour, 120 * 24 * time.Hour, 2 * 365 * 24 * time.Hour,
}

// Where a question enters the schedule when it was never asked before: what a
// newcomer knows already is not asked again the same hour (house rule).
const (
	entersHalf  = 3 // ten minutes
	entersRight = 6 // a day
)

// mostDays is how many days are tallied.
const mostDays = 14

// After is the progress after a mark: a right answer moves its drill a step on, a
// half leaves it, any other sends it back to the first step.
func (p Progress) After(q Question, mark Mark, now time.Time) Progress {
	r, asked := p.Drills[q.Drill]
	switch mark {
	case Right, StopRight:
		r.Step = min(r.Step+1, len(schedule)-1)
		if !asked {
			r.Step = entersRight
		}
	case Half:
		if !asked {
			r.Step = entersHalf
		}
	default:
		r.Step = 0
	}
	r.Asked++
	r.Last, r.Due = mark, now.Add(schedule[min(max(r.Step, 0), len(schedule)-1)])

	after := Progress{Drills: map[string]Record{}, Days: map[string]Tally{}, Last: q.Drill, Shared: p.Shared}
	maps.Copy(after.Drills, p.Drills)
	maps.Copy(after.Days, p.Days)
	after.Drills[q.Drill] = r
	day := now.Format(time.DateOnly)
	tally := after.Days[day]
	tally.Asked++
	switch mark {
	case Right, StopRight:
		tally.Right++
	case Half:
		tally.Half++
	}
	after.Days[day] = tally
	for len(after.Days) > mostDays {
		delete(after.Days, slices.Min(slices.Collect(maps.Keys(after.Days))))
	}
	return after
}

// A Week is what a person's last seven days came to.
type Week struct {
	Person string
	Tally
	Again []string // drills not right the last time, by id
}

// Week sums the seven days that end with now.
func (p Progress) Week(person string, now time.Time) Week {
	w := Week{Person: person}
	first := now.AddDate(0, 0, -6).Format(time.DateOnly)
	for day, t := range p.Days {
		if day >= first && day <= now.Format(time.DateOnly) {
			w.Asked, w.Right, w.Half = w.Asked+t.Asked, w.Right+t.Right, w.Half+t.Half
		}
	}
	for _, id := range slices.Sorted(maps.Keys(p.Drills)) {
		if last := p.Drills[id].Last; last != Right && last != StopRight {
			w.Again = append(w.Again, id)
		}
	}
	return w
}

// Weeks is what a lead may see: the week of each person who agreed to it, by
// name. Of the others it says nothing, not even that they exist.
func Weeks(people map[string]Progress, now time.Time) []Week {
	var all []Week
	for name, p := range people {
		if p.Shared {
			all = append(all, p.Week(name, now))
		}
	}
	slices.SortFunc(all, func(a, b Week) int { return strings.Compare(a.Person, b.Person) })
	return all
}
