package day_test

import (
	"slices"
	"testing"
	"time"

	"panelhand/bot/day"
)

// Stretches of a day are in order, those that overlap are one, and spots go to
// where there is time for them.
func TestStretches(t *testing.T) {
	at := func(hour int) time.Time { return time.Date(2026, 5, 2, hour, 0, 0, 0, time.UTC) }
	parts := day.InOrder([]day.Stretch{{From: at(17), To: at(19)}, {From: at(9), To: at(12)}, {From: at(11), To: at(13)}})
	if len(parts) != 2 || !parts[0].From.Equal(at(9)) || !parts[0].To.Equal(at(13)) || !parts[1].To.Equal(at(19)) {
		t.Fatalf("%v", parts)
	}
	for spots, want := range map[int][]int{0: {0, 0}, 1: {1, 1}, 3: {2, 1}, 6: {4, 2}} {
		if got := day.Share(spots, parts); !slices.Equal(got, want) {
			t.Errorf("%d spots: %v, want %v", spots, got, want)
		}
	}
}
