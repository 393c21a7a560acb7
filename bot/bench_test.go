package bot_test

import (
	"testing"

	"panelhand/bot"
)

// A lead waits for a follow-up with a helper's arms in the air: under a
// millisecond in process, and no longer late in a thread than early.
func BenchmarkFollowUp(b *testing.B) {
	coach := houseCoach(b)
	turns := []string{"softer", "bg a stop darker, leave her face", "forehead hot", "still", "undo", "flash down a click", "f4", "go back"}
	for _, c := range []struct {
		name string
		said int // messages of the thread before
	}{{"turn 2", 1}, {"turn 200", 199}} {
		b.Run(c.name, func(b *testing.B) {
			thread := new(bot.Thread)
			coach.Answer(thread, bot.Message{Text: "harbour market roof, overhead light, flash + 40in panel, one helper"})
			for i := range c.said - 1 {
				coach.Answer(thread, bot.Message{Text: turns[i%len(turns)]})
			}
			b.ReportAllocs()
			// What is only shown leaves the thread as it stands, so that every round
			// answers at the same turn.
			for i := 0; b.Loop(); i++ {
				coach.Answer(thread, bot.Message{Text: "what if " + turns[i%4]})
			}
		})
	}
}

// TestLongThreadCostsNoMore: a thread keeps a bounded past, so the
// two-hundredth message takes about what the second does.
func TestLongThreadCostsNoMore(t *testing.T) {
	coach := houseCoach(t)
	thread := new(bot.Thread)
	say := func(text string) { coach.Answer(thread, bot.Message{Text: text}) }
	cost := func() float64 { return testing.AllocsPerRun(5, func() { say("what if flash up a stop") }) }
	say("harbour market roof, overhead light, flash + 40in panel, one helper")
	early := cost()
	for i := range 198 {
		say([]string{"flash up a click", "flash down a click", "warmer", "cooler", "forehead hot", "undo"}[i%6])
	}
	if late := cost(); late > 1.2*early {
		t.Errorf("a message takes %v allocations at turn 200, %v at turn 2", late, early)
	}
}
