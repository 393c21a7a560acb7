package area_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"

	"panelhand/calc/area"
	"panelhand/calc/internal/figures"
	"panelhand/calc/units"
)

func m(v float64) units.Metres { return units.Metres(v) }

// The element looks along z; a tilt turns its face away about the y axis.
func tilted(deg float64) area.Point {
	s, c := math.Sincos(deg * math.Pi / 180)
	return area.Point{X: s, Z: c}
}

func rectangle(w, h, d float64) []area.Point {
	return []area.Point{{X: -w / 2, Y: -h / 2, Z: d}, {X: w / 2, Y: -h / 2, Z: d}, {X: w / 2, Y: h / 2, Z: d}, {X: -w / 2, Y: h / 2, Z: d}}
}

func disc(a []float64) (float64, error)   { return area.Disc(m(a[0]), m(a[1])) }
func corner(a []float64) (float64, error) { return area.Corner(m(a[0]), m(a[1]), m(a[2])) }
func cornerUpright(a []float64) (float64, error) {
	return area.CornerUpright(m(a[0]), m(a[1]), m(a[2]))
}
func sourceAngle(a []float64) (float64, error) {
	deg, err := area.SourceAngle(m(a[0]), m(a[1]))
	return float64(deg), err
}

func TestPublished(t *testing.T) {
	figures.Check(t, "published/area.csv", map[string][]figures.Method{
		"disc": {disc}, "corner": {corner}, "corner-upright": {cornerUpright}, "source-angle": {sourceAngle},
		"inverse-square-error": {func(a []float64) (float64, error) {
			f, err := area.Disc(m(a[0]), m(a[1]))
			return a[0] * a[0] / 4 / (a[1] * a[1]) / f, err
		}},
	})
}

// What was derived is checked twice: the second method integrates over the
// source, or round its edge, and shares no formula with the package.
func TestDerived(t *testing.T) {
	through := func(of func(area.Light) float64) figures.Method {
		return func(a []float64) (float64, error) {
			f := area.Flash{Guide: units.GuideNumber(a[0]), Zoom: units.Millimetres(a[2]), Power: 1}
			l, err := area.Through(f, area.Panel{Round: a[6] == 1, Width: m(a[5])}, a[3], m(a[1]), m(a[4]))
			return of(l), err
		}
	}
	// The same by integration: 6a to 6d leave the beam's rectangle whole, 6e floods the hoop.
	cloth := func(a []float64) float64 { return 2.5 * a[0] * a[0] / (a[1] * a[1]) }
	patch := func(a []float64) float64 {
		w, h := 36*a[1]/a[2], 24*a[1]/a[2]
		if math.Min(w, h) >= a[5] {
			return aroundDisc(a[5]/2, a[4], 0, 0)
		}
		return overRectangle(w, h, a[4], 0, 0)
	}
	figures.Check(t, "derived/area.csv", map[string][]figures.Method{
		"disc": {disc, always(func(a []float64) float64 { return aroundDisc(a[0]/2, a[1], 0, 0) })},
		"disc-tilted": {
			func(a []float64) (float64, error) {
				return area.DiscTilted(m(a[0]), m(a[1]), units.Degrees(a[2]))
			},
			always(func(a []float64) float64 { return aroundDisc(a[0]/2, a[1], 0, a[2]) }),
		},
		"disc-off": {
			func(a []float64) (float64, error) { return area.DiscOffAxis(m(a[0]), m(a[1]), m(a[2])) },
			always(func(a []float64) float64 { return aroundDisc(a[0]/2, a[1], a[2], 0) }),
		},
		"corner-upright": {cornerUpright, always(func(a []float64) float64 {
			// Width lies in the element's plane, height rises along its normal.
			return twice(0, a[0], func(float64) (float64, float64) { return 0, a[1] }, func(y, z float64) float64 {
				r2 := a[2]*a[2] + y*y + z*z
				return z * a[2] / (r2 * r2) / math.Pi
			})
		})},
		"rectangle": {
			func(a []float64) (float64, error) { return area.Rectangle(m(a[0]), m(a[1]), m(a[2])) },
			always(func(a []float64) float64 { return overRectangle(a[0], a[1], a[2], 0, 0) }),
		},
		"rectangle-off": {
			func(a []float64) (float64, error) { return area.RectangleOff(m(a[0]), m(a[1]), m(a[2]), m(a[3]), 0) },
			always(func(a []float64) float64 { return overRectangle(a[0], a[1], a[2], a[3], 0) }),
		},
		"rectangle-tilted": {
			func(a []float64) (float64, error) {
				return area.Polygon(tilted(a[3]), rectangle(a[0], a[1], a[2])...)
			},
			always(func(a []float64) float64 { return overRectangle(a[0], a[1], a[2], 0, a[3]) }),
		},
		"through-surface": {through(func(l area.Light) float64 { return float64(l.Surface) }), always(cloth)},
		"through-factor":  {through(func(l area.Light) float64 { return l.Factor }), always(patch)},
		"through-face": {through(func(l area.Light) float64 { return float64(l.Face) }), always(func(a []float64) float64 {
			return cloth(a) * a[3] * patch(a)
		})},
		"through-aperture": {through(func(l area.Light) float64 { return aperture(l.Face, 100) }), always(func(a []float64) float64 {
			return a[0] / a[1] * math.Sqrt(a[3]*patch(a)) // guide number form, no constant C
		})},
		"source-angle": {sourceAngle, always(func(a []float64) float64 {
			return 180 / math.Pi * math.Acos((a[1]*a[1]-a[0]*a[0]/4)/(a[1]*a[1]+a[0]*a[0]/4)) // between the rays to two edges
		})},
		"solid-angle": {
			func(a []float64) (float64, error) { return area.SolidAngle(m(a[0]), m(a[1])) },
			always(func(a []float64) float64 {
				return quad.Fixed(func(r float64) float64 {
					return 2 * math.Pi * r * a[1] / math.Pow(r*r+a[1]*a[1], 1.5)
				}, 0, a[0]/2, 60, quad.Legendre{}, 0)
			}),
		},
		"shadow-edge": {
			func(a []float64) (float64, error) {
				w, err := area.ShadowEdge(m(a[0]), m(a[1]), m(a[2]))
				return float64(w), err
			},
			always(func(a []float64) float64 { // rays from both edges of the source past the occluder's
				land := func(edge float64) float64 { return edge + (0-edge)*(a[1]+a[2])/a[1] }
				return 1000 * (land(-a[0]/2) - land(a[0]/2))
			}),
		},
	})
}

func always(f func([]float64) float64) figures.Method {
	return func(a []float64) (float64, error) { return f(a), nil }
}

// twice integrates f over x from lo to hi and y within the limits at x.
func twice(lo, hi float64, limits func(x float64) (float64, float64), f func(x, y float64) float64) float64 {
	const n = 80
	return quad.Fixed(func(x float64) float64 {
		from, to := limits(x)
		return quad.Fixed(func(y float64) float64 { return f(x, y) }, from, to, n, quad.Legendre{}, 0)
	}, lo, hi, n, quad.Legendre{}, 0)
}

// overRectangle sums cosθ₁·cosθ₂/πr² over a rectangle, its part under the
// element's horizon left out.
func overRectangle(w, h, d, off, tilt float64) float64 {
	n := tilted(tilt)
	lo, hi := off-w/2, off+w/2
	if n.X > 0 {
		lo = math.Max(lo, -n.Z*d/n.X)
	}
	if lo >= hi {
		return 0
	}
	return twice(lo, hi, func(float64) (float64, float64) { return -h / 2, h / 2 }, func(x, y float64) float64 {
		r2 := x*x + y*y + d*d
		return (n.X*x + n.Z*d) * d / (r2 * r2) / math.Pi
	})
}

// aroundDisc integrates n·(r×dr)/|r|² round the visible part of a disc: along
// its rim, and along the horizon where that cuts it.
func aroundDisc(radius, d, off, tilt float64) float64 {
	n := tilted(tilt)
	rim := func(φ float64) area.Point {
		s, c := math.Sincos(φ)
		return area.Point{X: off + radius*c, Y: radius * s, Z: d}
	}
	end := math.Pi
	if n.X > 0 {
		cut := -(n.Z*d/n.X + off) / radius
		if cut >= 1 {
			return 0
		}
		if cut > -1 {
			end = math.Acos(cut)
		}
	}
	along := func(p, dp area.Point) float64 {
		cross := area.Point{X: p.Y*dp.Z - p.Z*dp.Y, Y: p.Z*dp.X - p.X*dp.Z, Z: p.X*dp.Y - p.Y*dp.X}
		return (n.X*cross.X + n.Y*cross.Y + n.Z*cross.Z) / (p.X*p.X + p.Y*p.Y + p.Z*p.Z)
	}
	sum := quad.Fixed(func(φ float64) float64 {
		s, c := math.Sincos(φ)
		return along(rim(φ), area.Point{X: -radius * s, Y: radius * c})
	}, -end, end, 200, quad.Legendre{}, 0)
	if end < math.Pi {
		from, to := rim(end), rim(-end)
		sum += quad.Fixed(func(k float64) float64 {
			step := area.Point{X: to.X - from.X, Y: to.Y - from.Y}
			return along(area.Point{X: from.X + k*step.X, Y: from.Y + k*step.Y, Z: d}, step)
		}, 0, 1, 200, quad.Legendre{}, 0)
	}
	return math.Abs(sum) / (2 * math.Pi)
}

// The workhorse must agree with the closed forms it could replace.
func TestPolygonAgreesWithClosedForms(t *testing.T) {
	near := func(name string, a, b float64) {
		t.Helper()
		if math.Abs(a-b) > 1e-10 {
			t.Errorf("%s: contour sum %.12f, closed form %.12f", name, a, b)
		}
	}
	rng := rand.New(rand.NewPCG(4, 2))
	for range 200 {
		w, h, d := 0.1+2*rng.Float64(), 0.1+2*rng.Float64(), 0.2+3*rng.Float64()
		closed, _ := area.Rectangle(m(w), m(h), m(d))
		sum, _ := area.Polygon(area.Point{Z: 1}, rectangle(w, h, d)...)
		near("B-3", sum, closed)

		closed, _ = area.CornerUpright(m(w), m(h), m(d))
		sum, _ = area.Polygon(area.Point{Z: 1}, area.Point{X: d}, area.Point{X: d, Y: w}, area.Point{X: d, Y: w, Z: h}, area.Point{X: d, Z: h})
		near("B-4", sum, closed)

		// A disc is a polygon of many sides; 2000 are within 2 millionths of it.
		tilt, off := 170*rng.Float64(), 2*rng.Float64()
		const sides = 2000
		var ring, offRing []area.Point
		for k := range sides {
			s, c := math.Sincos(2 * math.Pi * float64(k) / sides)
			ring = append(ring, area.Point{X: w / 2 * c, Y: w / 2 * s, Z: d})
			offRing = append(offRing, area.Point{X: w/2*c + off, Y: w / 2 * s, Z: d})
		}
		closed, _ = area.DiscTilted(m(w), m(d), units.Degrees(tilt))
		sum, _ = area.Polygon(tilted(tilt), ring...)
		if math.Abs(sum-closed) > 2e-6 {
			t.Errorf("B-13 at %.1f°: contour sum %.9f, closed form %.9f", tilt, sum, closed)
		}
		closed, _ = area.DiscOffAxis(m(w), m(d), m(off))
		sum, _ = area.Polygon(area.Point{Z: 1}, offRing...)
		if math.Abs(sum-closed) > 2e-6 {
			t.Errorf("B-14 off %.2f: contour sum %.9f, closed form %.9f", off, sum, closed)
		}
	}
}

func TestFactorProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 7))
	for range 2000 {
		size, d := m(0.02+3*rng.Float64()), m(0.05+8*rng.Float64())
		tilt, off := units.Degrees(179*rng.Float64()), m(3*rng.Float64())
		at := func(f float64, err error) float64 {
			if err != nil || !(f >= 0 && f <= 1) {
				t.Fatalf("size %v distance %v tilt %v off %v: factor %v, %v", size, d, tilt, off, f, err)
			}
			return f
		}
		f := at(area.DiscTilted(size, d, tilt))
		// On a tilted element a disc brought nearer may sink below the horizon: only square on must it fall with distance.
		if further := at(area.Disc(size, d+0.1)); further >= at(area.Disc(size, d)) {
			t.Fatalf("disc %v: factor does not fall from %v on", size, d)
		}
		if more := at(area.DiscTilted(size, d, tilt+1)); more > f+1e-12 {
			t.Fatalf("disc %v at %v: factor rises with tilt from %v: %v to %v", size, d, tilt, f, more)
		}
		if more := at(area.DiscOffAxis(size, d, off+0.1)); more > at(area.DiscOffAxis(size, d, off)) {
			t.Fatalf("disc %v at %v: factor rises off its axis at %v", size, d, off)
		}
		if on := at(area.DiscOffAxis(size, d, 0)); math.Abs(on-at(area.Disc(size, d))) > 1e-12 {
			t.Fatalf("B-14 at the axis is not B-12: %v", on)
		}
		// Two halves make the whole, wherever the element stands.
		right, up := m(4*rng.Float64()-2), m(4*rng.Float64()-2)
		whole := at(area.RectangleOff(size, size, d, right, up))
		l := at(area.RectangleOff(size/2, size, d, right-size/4, up))
		r := at(area.RectangleOff(size/2, size, d, right+size/4, up))
		if math.Abs(l+r-whole) > 1e-12 {
			t.Fatalf("halves %v + %v are not %v", l, r, whole)
		}
	}
}

func TestOutOfRangeIsAnError(t *testing.T) {
	nan, inf := units.Metres(math.NaN()), units.Metres(math.Inf(1))
	p, f := area.RoundPanel(1), area.Flash{Guide: 36, Zoom: 35, Power: 1}
	for name, err := range map[string]error{
		"disc of no distance":     second(area.Disc(1, 0)),
		"disc of NaN":             second(area.Disc(nan, 1)),
		"infinite rectangle":      second(area.Rectangle(inf, 1, 1)),
		"tilt over 180":           second(area.DiscTilted(1, 1, 181)),
		"offset NaN":              second(area.DiscOffAxis(1, 1, nan)),
		"two-cornered polygon":    second(area.Polygon(area.Point{Z: 1}, area.Point{X: 1}, area.Point{Y: 1})),
		"polygon without normal":  second(area.Polygon(area.Point{}, rectangle(1, 1, 1)...)),
		"corner at the element":   second(area.Polygon(area.Point{Z: 1}, area.Point{}, area.Point{X: 1}, area.Point{Y: 1})),
		"panel of no size":        second(area.Panel{Round: true}.Factor(1)),
		"panel of negative size":  second(area.RoundPanel(-1).Factor(1)),
		"cloth passing too much":  second(area.Through(f, p, 1.1, 1, 1)),
		"flash in the cloth":      second(area.Through(f, p, 0.5, 0, 1)),
		"power over full":         second(area.Through(area.Flash{Guide: 36, Zoom: 35, Power: 2}, p, 0.5, 1, 1)),
		"panel in the lens":       second(area.Bounce(f, p, 0.85, 0, 0, 2, 2)),
		"panel edge-on":           second(area.Bounce(f, p, 0.85, 0, 0, 1, 2)),
		"key behind the shoulder": second(area.Bounce(f, p, 0.85, 200, 0, 1, 2)),
		"wall seen edge-on":       second(area.Wall{Flash: 1, Face: 1, In: 90, Out: 0}.Off(f, 0.8)),
		"reach over the distance": second(area.Elevation(3, 1.6, 1)),
		"light in the group":      second(area.GroupSpread(4, 1, 90)),
		"scrim of NaN":            second(area.Scrim(p, math.NaN(), 1)),
		"sun under the horizon":   second(area.SunReflector(p, 0.85, 1, -5)),
		"zoom nought":             second(area.FillDistance(p, 0)),
	} {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func second[T any](_ T, err error) error { return err }
