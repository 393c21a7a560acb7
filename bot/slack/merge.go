package slack

import (
	"slices"
	"sync"

	"panelhand/bot/answer"
)

// merge is the last of a thread's answers, which was given with all before it
// in mind, and the cautions of those before, which nobody was shown.
func merge(answers []*answer.Answer) *answer.Answer {
	last := answers[len(answers)-1]
	if len(answers) == 1 {
		return last
	}
	merged := *last
	merged.Safety, merged.Sections, merged.Told = slices.Clone(last.Safety), slices.Clone(last.Sections), slices.Clone(last.Told)
	var lines []string
	for _, a := range answers[:len(answers)-1] {
		for _, c := range a.Safety {
			merged.Told = slices.DeleteFunc(merged.Told, func(told string) bool { return told == c.Text || told == c.Text+"." })
			if !slices.ContainsFunc(merged.Safety, func(have answer.Caution) bool { return have.ID == c.ID }) {
				merged.Safety = append(merged.Safety, c)
			}
		}
		for _, s := range a.Sections {
			if s.Part == answer.Careful {
				lines = append(lines, s.Lines...)
			}
		}
	}
	at := slices.IndexFunc(merged.Sections, func(s answer.Section) bool { return s.Part >= answer.Careful })
	switch {
	case at < 0:
		at = len(merged.Sections)
		fallthrough
	case merged.Sections[at].Part != answer.Careful:
		merged.Sections = slices.Insert(merged.Sections, at, answer.Section{Part: answer.Careful})
	}
	careful := &merged.Sections[at]
	careful.Lines = slices.Clone(careful.Lines)
	for _, line := range lines {
		if !slices.Contains(careful.Lines, line) {
			careful.Lines = append(careful.Lines, line)
			merged.Text += "\n" + line
		}
	}
	if len(careful.Lines) == 0 {
		merged.Sections = slices.Delete(merged.Sections, at, at+1)
	}
	return &merged
}

// lastAnswers are the latest answers of the latest threads: what a photo
// without words is taken to show.
type lastAnswers struct {
	mu       sync.Mutex
	byThread map[string]*answer.Answer
	order    []string // as they came, the oldest first
}

const mostLast = 256

func (l *lastAnswers) put(thread string, a *answer.Answer) {
	if a.Setup == nil {
		return
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.byThread == nil {
		l.byThread = map[string]*answer.Answer{}
	}
	if _, ok := l.byThread[thread]; !ok {
		if l.order = append(l.order, thread); len(l.order) > mostLast {
			delete(l.byThread, l.order[0])
			l.order = slices.Delete(l.order, 0, 1)
		}
	}
	l.byThread[thread] = a
}

func (l *lastAnswers) get(thread string) *answer.Answer {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.byThread[thread]
}
