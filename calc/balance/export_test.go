package balance

import (
	"math"
	"math/rand/v2"
)

// RestartGap is by how much the best of n descents from random places costs
// less than what Solve finds; 0 where none does.
func RestartGap(s Scene, rng *rand.Rand, n int) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	q := search{s: &s}
	if err := q.d.read(&s); err != nil {
		return 0, err
	}
	q.price()
	best, err := q.run()
	if err != nil {
		return 0, err
	}
	gap := 0.0
	for range n {
		x := best
		for kind := range kinds {
			x.dial[kind] = rng.IntN(q.size[kind])
		}
		if q.geometry(&x) != nil {
			continue
		}
		q.rate(&x, math.Inf(1))
		q.descend(&x)
		gap = max(gap, best.cost-x.cost)
	}
	return gap, nil
}
