//go:build !race

package slack_test

const slower = 1
