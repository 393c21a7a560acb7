//go:build race

package slack_test

// slower is how much more time everything has: the race detector takes it.
const slower = 5
