package slack

import (
	"slices"
	"testing"
	"time"
)

// TestLanesSort: what waits in a thread is answered in the order in which it was
// said, whichever socket was quicker, and what waits too long is taken together.
func TestLanesSort(t *testing.T) {
	var done [][]string
	hold, begun := make(chan struct{}), make(chan struct{}, 10)
	l := lanes{most: 6, batch: 3, work: func(batch []said) {
		begun <- struct{}{}
		<-hold
		var stamps []string
		for _, s := range batch {
			stamps = append(stamps, s.TS)
		}
		done = append(done, stamps)
	}}
	l.put("a", said{TS: "1"})
	<-begun
	for _, ts := range []string{"3", "2", "5", "4"} {
		if !l.put("a", said{TS: ts}) {
			t.Fatalf("no room for %s", ts)
		}
	}
	if !l.put("a", said{TS: ""}) || l.put("b", said{TS: "9"}) {
		t.Error("there is room for six, not for seven")
	}
	close(hold)
	for deadline := time.Now().Add(5 * time.Second); l.depth() > 0 && time.Now().Before(deadline); {
		time.Sleep(time.Millisecond)
	}
	l.workers.Wait()
	want := [][]string{{"1"}, {"2", "3", "4", "5", ""}}
	if !slices.EqualFunc(done, want, slices.Equal) {
		t.Errorf("taken as %v, want %v", done, want)
	}
	l.close()
	if l.put("a", said{TS: "6"}) {
		t.Error("a closed lane takes more")
	}
}
