package balance_test

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"panelhand/calc/balance"
)

// The ranking solves up to six drafts for each message, so Solve must be quick.
func BenchmarkSolve(b *testing.B) {
	through, bounce, alone, shallow := natural(12), natural(10), natural(12), natural(13)
	through.Key, bounce.Key, shallow.Key = head(balance.Through), head(balance.Bounce), head(balance.Through)
	shallow.Key.HSS, shallow.Want.Aperture = true, 2.8
	shallow.Camera.ND = stops(3, 6)
	for _, c := range []struct {
		name  string
		scene balance.Scene
	}{{"through", through}, {"bounce", bounce}, {"no-flash", alone}, {"filters-and-high-speed", shallow}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				solve(b, c.scene)
			}
		})
	}
	b.Run("random", func(b *testing.B) {
		rng := rand.New(rand.NewPCG(3, 3))
		var scenes [256]balance.Scene
		for i := range scenes {
			scenes[i] = randomScene(rng)
		}
		b.ReportAllocs()
		var took []time.Duration
		for i := 0; b.Loop(); i++ {
			from := time.Now()
			_, _ = balance.Solve(scenes[i%len(scenes)])
			took = append(took, time.Since(from))
		}
		slices.Sort(took)
		b.ReportMetric(float64(took[len(took)/2].Nanoseconds()), "median-ns")
	})
}
