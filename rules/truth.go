package rules

// Truth is what a condition comes to.
type Truth int8

// The three values, in order: all-of is the least, any the greatest.
const (
	False Truth = iota - 1
	Unknown
	True
)

func (t Truth) String() string { return [...]string{"false", "unknown", "true"}[t+1] }

// Not turns the value round; not unknown is unknown.
func (t Truth) Not() Truth { return -t }
