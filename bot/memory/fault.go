package memory

import (
	"errors"
	"fmt"
)

// ErrNone says that there is nothing of that number.
var ErrNone = errors.New("memory: no such entry")

// ErrStale says that a thread has moved on since it was read.
var ErrStale = errors.New("memory: the thread has moved on")

// A Fault is a failure that a crew should hear of: a calm sentence for them,
// and the cause for whoever looks after the program.
type Fault struct {
	Calm  string // what happened, what is safe, what to do next
	Cause error
}

func (f *Fault) Error() string {
	if f.Cause == nil {
		return f.Calm
	}
	return fmt.Sprintf("%s (%v)", f.Calm, f.Cause)
}

// Unwrap gives the cause.
func (f *Fault) Unwrap() error { return f.Cause }

// Calm is the sentence for the crew in an error, and a general one where it
// has none.
func Calm(err error) string {
	var f *Fault
	if errors.As(err, &f) {
		return f.Calm
	}
	return "I could not reach my notes just now; what was kept before is safe. Try again in a minute."
}
