package slack

import (
	"slices"
	"sync"
)

// Lanes keep what was said in one thread in order, and threads apart: each
// has one worker while it has work. What waits in all of them is bounded.
type lanes struct {
	most  int          // that may wait in all lanes
	batch int          // more than this waiting in one lane are taken together
	work  func([]said) // answers one, or several together

	mu      sync.Mutex
	waiting map[string][]said
	total   int
	closed  bool
	workers sync.WaitGroup
}

// put queues s behind what was said in its lane before; false where there is
// no room.
func (l *lanes) put(lane string, s said) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.closed || l.total >= l.most {
		return false
	}
	if l.waiting == nil {
		l.waiting = map[string][]said{}
	}
	queue, running := l.waiting[lane]
	// Two sockets may deliver in the wrong order what was said in the right.
	at := len(queue)
	for at > 0 && s.TS != "" && queue[at-1].TS > s.TS {
		at--
	}
	l.waiting[lane] = slices.Insert(queue, at, s)
	l.total++
	if !running {
		l.workers.Go(func() { l.run(lane) })
	}
	return true
}

func (l *lanes) run(lane string) {
	for {
		l.mu.Lock()
		queue := l.waiting[lane]
		if len(queue) == 0 || l.closed {
			delete(l.waiting, lane)
			l.mu.Unlock()
			return
		}
		n := 1
		if len(queue) > l.batch {
			n = len(queue)
		}
		taken := slices.Clone(queue[:n])
		l.waiting[lane] = queue[n:]
		l.mu.Unlock()
		l.work(taken)
		l.mu.Lock()
		l.total -= n
		l.mu.Unlock()
	}
}

func (l *lanes) depth() int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.total
}

// close lets workers finish what they hold and begin nothing new.
func (l *lanes) close() {
	l.mu.Lock()
	l.closed = true
	l.mu.Unlock()
}
