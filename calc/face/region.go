package face

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"

	"panelhand/calc/units"
)

// A Region is a part of the far surroundings: open sky, a wall, the ground; a
// box between two elevations and two directions. What a canopy, walls or trees
// hide of the sky is simply not in any region.
//
// Level is the light that a whole sky of this luminance would put on level
// ground; half of an even one reaches an upright plane. An overcast sky
// (CIE traditional: a horizon a third of the zenith) lies above the horizon.
type Region struct {
	Low, High units.Degrees // above the eye line, −90 to 90
	From, To  units.Degrees // round from the lens axis, the lit side positive; both −720 to 720; 0, 0 is all round
	Level     float64       // 0 to 1e6, against any reference
	Overcast  bool
}

// Elevations of a region are integrated numerically, azimuths in closed form,
// piece by piece between the elevations where a horizon or a cap begins or
// ends. With 8 points a piece that is exact to 8 digits for upright and level
// planes with an upright head, and within 0.001 of Level for leaning ones.
const elevationPoints = 8

var gaussAt, gaussWeight = func() (x, w [elevationPoints]float64) {
	quad.Legendre{}.FixedLocations(x[:], w[:], -1, 1)
	return x, w
}()

func (r Region) check() error {
	heights := units.Range{Quantity: "height of a part of the sky", Unit: "degree", Low: -90, High: 90}
	if r.Overcast {
		heights.Low = 0
	}
	upper, end := heights, ends
	upper.Low, end.Low = float64(r.Low), float64(r.From)
	return units.First(heights.Check(float64(r.Low)), upper.Check(float64(r.High)),
		ends.Check(float64(r.From)), end.Check(float64(r.To)), levels.Check(r.Level))
}

// luminance is π·L over Level at an elevation's sine.
func (r Region) luminance(sin float64) float64 {
	if r.Overcast { // L = Lz(1+2·sinγ)/3 with (7π/9)·Lz on level ground: photometry handbook §5.1
		return 3.0 / 7 * (1 + 2*sin)
	}
	return 1
}

// azimuths are the region's two ends in radians, at most a turn apart.
func (r Region) azimuths() (from, to float64) {
	if r.From == 0 && r.To == 0 || r.To-r.From >= 360 {
		return -math.Pi, math.Pi
	}
	return radians(r.From), radians(r.To)
}

// covers says whether the direction w lies in the region.
func (r Region) covers(w vec) bool {
	if w.Y < math.Sin(radians(r.Low)) || w.Y > math.Sin(radians(r.High)) {
		return false
	}
	from, to := r.azimuths()
	past := math.Mod(math.Atan2(w.X, w.Z)-from, 2*math.Pi)
	if past < 0 {
		past += 2 * math.Pi
	}
	return past <= to-from
}

// A slice of a region is one elevation of the quadrature; weight holds its
// luminance and its part of the whole.
type slice struct{ sin, cos, weight float64 }

type sheaf [elevationPoints]slice

// slices are those of the part of the region between two elevations, radians.
func (r Region) slices(low, high float64) (s sheaf) {
	middle, half := (high+low)/2, (high-low)/2
	for i := range s {
		sin, cos := math.Sincos(middle + half*gaussAt[i])
		s[i] = slice{sin, cos, gaussWeight[i] * half * cos * r.Level * r.luminance(sin) / math.Pi}
	}
	return s
}

// sliced is a region made ready for many planes.
type sliced struct {
	Region
	from, to  float64 // azimuths
	low, high float64 // elevations
	whole     sheaf
	half      bool // an even half of all directions: a sky or a ground
}

func (r Region) slice() sliced {
	s := sliced{Region: r, low: radians(r.Low), high: radians(r.High)}
	s.from, s.to = r.azimuths()
	s.whole = r.slices(s.low, s.high)
	s.half = !r.Overcast && s.to-s.from >= 2*math.Pi && (r.Low == 0 && r.High == 90 || r.Low == -90 && r.High == 0)
	return s
}

// on is the light of the region on an element. What a horizon or a cap leaves
// of an elevation changes its law, or ends abruptly, where either begins and
// ends: the region is cut there and each part integrated alone.
func (s *sliced) on(v view) float64 {
	var room [5]float64
	cuts := room[:0]
	below, above := reach(v.normal.times(-1), 0)
	cuts = append(cuts, below.turn, above.turn)
	capLow, capHigh := math.Inf(1), math.Inf(-1) // the elevations the cap reaches
	if v.cap < 1 {
		below, above = reach(v.pole, v.cap)
		cuts = append(cuts, below.turn, above.turn)
		capLow, capHigh = below.end, above.end
	}
	if s.half && (v.cap >= 1 || s.high <= capLow || s.low >= capHigh) { // closed: photometry handbook §5.1
		up := 1.0
		if s.high <= 0 {
			up = -1
		}
		return s.Level * (1 + up*v.normal.Y) / 2
	}
	slices.Sort(cuts)
	sum, low := 0.0, s.low
	for _, cut := range append(cuts, s.high) {
		cut = min(cut, s.high)
		if cut-low < 1e-9 {
			continue
		}
		part, v := &s.whole, v
		if low > s.low || cut < s.high {
			thin := s.slices(low, cut)
			part = &thin
		}
		if cut <= capLow || low >= capHigh {
			v.cap = 1
		}
		sum += s.part(v, part)
		low = cut
	}
	return math.Max(0, sum)
}

// An end of a cap: the elevation it reaches, and the one where its rim turns
// about; they differ where it lies over the zenith or the nadir.
type end struct{ end, turn float64 }

// reach is how low and how high the cap of directions w with pole·w > cap is.
func reach(pole vec, cap float64) (below, above end) {
	middle, half := math.Asin(math.Max(-1, math.Min(1, pole.Y))), math.Acos(cap)
	below, above = end{middle - half, middle - half}, end{middle + half, middle + half}
	if below.end < -math.Pi/2 {
		below = end{-math.Pi / 2, -math.Pi - below.end}
	}
	if above.end > math.Pi/2 {
		above = end{math.Pi / 2, math.Pi - above.end}
	}
	return below, above
}

// part is the light on an element of what the slices stand for.
func (s *sliced) part(v view, all *sheaf) float64 {
	level := math.Hypot(v.normal.X, v.normal.Z)
	facing := math.Atan2(v.normal.X, v.normal.Z)
	poleLevel := math.Hypot(v.pole.X, v.pole.Z)
	behindPole := math.Atan2(-v.pole.X, -v.pole.Z)
	allRound := s.to-s.from >= 2*math.Pi
	sum := 0.0
	for _, e := range all {
		if e.weight == 0 {
			continue
		}
		across, along := level*e.cos, v.normal.Y*e.sin
		half, free := share(-along, across), math.Pi
		if v.cap < 1 {
			// Free of the cap where pole·w ≤ cap: an arc about the pole's far side.
			free = share(v.pole.Y*e.sin-v.cap, poleLevel*e.cos)
		}
		if half == 0 || free == 0 {
			continue
		}
		if allRound && free == math.Pi { // one arc, alike on both sides
			sum += e.weight * 2 * (across*math.Sin(half) + along*half)
			continue
		}
		seen := arcs{n: 1}
		seen.arc[0] = [2]float64{s.from, s.to}
		seen.keep(facing, half)
		seen.keep(behindPole, free)
		for _, a := range seen.arc[:seen.n] {
			sum += e.weight * (across*(math.Sin(a[1]-facing)-math.Sin(a[0]-facing)) + along*(a[1]-a[0]))
		}
	}
	return sum
}

// share is half the arc on which swing·cos φ > least.
func share(least, swing float64) float64 {
	switch {
	case least >= swing:
		return 0
	case least <= -swing:
		return math.Pi
	}
	return math.Acos(least / swing)
}

// arcs are stretches of azimuth: one of a region, cut by a horizon and a cap,
// leaves three at most.
type arcs struct {
	n   int
	arc [4][2]float64
}

// keep cuts the arcs down to what lies within half of centre, round the circle.
func (a *arcs) keep(centre, half float64) {
	if half >= math.Pi {
		return
	}
	old, n := a.arc, a.n
	a.n = 0
	for _, s := range old[:n] {
		turns := math.Ceil((s[0] - half - centre) / (2 * math.Pi))
		for c := centre + turns*2*math.Pi; c-half < s[1] && a.n < len(a.arc); c += 2 * math.Pi {
			from, to := math.Max(s[0], c-half), math.Min(s[1], c+half)
			if to > from {
				a.arc[a.n] = [2]float64{from, to}
				a.n++
			}
		}
	}
}
