package colour_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"

	"panelhand/calc/colour"
	"panelhand/calc/internal/figures"
	"panelhand/calc/units"
)

func out[T ~float64](v T, err error) (float64, error) { return float64(v), err }
func second[T any](_ T, err error) error              { return err }
func k(v float64) units.Kelvin                        { return units.Kelvin(v) }

func TestPublished(t *testing.T) {
	figures.Check(t, "published/colour.csv", map[string][]figures.Method{
		"gel-shift": {func(a []float64) (float64, error) { return float64(colour.Gels[int(a[0])].Shift), nil }},
	})
}

func TestDerived(t *testing.T) {
	// The second method adds up what each kelvin on the way is worth, 10⁶/T² of
	// a mired, by quadrature.
	way := func(from, to float64) float64 {
		lo, hi := min(from, to), max(from, to)
		return math.Copysign(quad.Fixed(func(t float64) float64 { return 1e6 / (t * t) }, lo, hi, 80, quad.Legendre{}, 0), from-to)
	}
	figures.Check(t, "derived/colour.csv", map[string][]figures.Method{
		"mired": {
			func(a []float64) (float64, error) { return out(colour.ToMired(k(a[0]))) },
			func(a []float64) (float64, error) { return 100 + way(10000, a[0]), nil },
		},
		"shift": {
			func(a []float64) (float64, error) { return out(colour.Shift(k(a[0]), k(a[1]))) },
			func(a []float64) (float64, error) { return way(a[0], a[1]), nil },
		},
		"after": {
			func(a []float64) (float64, error) { return out(colour.After(k(a[0]), units.Mired(a[1]))) },
			func(a []float64) (float64, error) {
				lo, hi := 1500.0, 25000.0
				for range 60 {
					if mid := (lo + hi) / 2; way(a[0], mid) > a[1] {
						lo = mid
					} else {
						hi = mid
					}
				}
				return lo, nil
			},
		},
		"mix": {
			func(a []float64) (float64, error) {
				return out(colour.Mix(colour.Part{k(a[0]), units.Lux(a[1])}, colour.Part{k(a[2]), units.Lux(a[3])}))
			},
			// harmonic mean
			func(a []float64) (float64, error) { return (a[1] + a[3]) * a[0] * a[2] / (a[1]*a[2] + a[3]*a[0]), nil },
		},
		"cast": {
			func(a []float64) (float64, error) { return out(colour.Cast(k(a[0]), k(a[1]))) },
			func(a []float64) (float64, error) { return way(a[1], a[0]), nil },
		},
	})
}

// xy is the chromaticity of a glowing body, the cubic of Kang et al. 2002 (from
// memory in the handbook); cct is McCamy's cubic of 1992.
func xy(kelvin float64) (x, y float64) {
	t := 1e3 / kelvin
	if kelvin <= 4000 {
		x = -0.2661239*t*t*t - 0.2343589*t*t + 0.8776956*t + 0.179910
	} else {
		x = -3.0258469*t*t*t + 2.1070379*t*t + 0.2226347*t + 0.240390
	}
	switch {
	case kelvin <= 2222:
		y = -1.1063814*x*x*x - 1.34811020*x*x + 2.18555832*x - 0.20219683
	case kelvin <= 4000:
		y = -0.9549476*x*x*x - 1.37418593*x*x + 2.09137015*x - 0.16748867
	default:
		y = 3.0817580*x*x*x - 5.87338670*x*x + 3.75112997*x - 0.37001483
	}
	return x, y
}

func cct(x, y float64) float64 {
	n := (x - 0.3320) / (0.1858 - y)
	return 449*n*n*n + 3525*n*n + 6823.3*n + 5520.33
}

// Mixing by mired stays within 5 mired of adding chromaticities; the handbook's
// own figures are 4153.41, 4799.81 and 3632.78 K (photometry handbook §9).
func TestMixAgainstChromaticity(t *testing.T) {
	if got := cct(0.3127, 0.3290); math.Abs(got-6505.08) > 0.005 {
		t.Fatalf("McCamy's check is %.2f K", got)
	}
	for _, c := range []struct{ share, want float64 }{{0.5, 4153.41}, {0.75, 4799.81}, {0.25, 3632.78}} {
		x1, y1 := xy(5600)
		x2, y2 := xy(3200)
		a, b := c.share, 1-c.share // illuminance is Y; X and Z go with it over y
		sumX, sumY, sumZ := a*x1/y1+b*x2/y2, 1.0, a*(1-x1-y1)/y1+b*(1-x2-y2)/y2
		whole := sumX + sumY + sumZ
		proper := cct(sumX/whole, sumY/whole)
		if math.Abs(proper-c.want) > 0.01 {
			t.Errorf("chromaticities at %g add to %.2f K, want %g", c.share, proper, c.want)
		}
		simple, err := colour.Mix(colour.Part{5600, units.Lux(100 * a)}, colour.Part{3200, units.Lux(100 * b)})
		if err != nil || math.Abs(1e6/float64(simple)-1e6/proper) > 5 {
			t.Errorf("mixing at %g gives %v against %.0f K (%v)", c.share, simple, proper, err)
		}
	}
}

func TestMiredInverts(t *testing.T) {
	for kelvin := units.Kelvin(1600); kelvin <= 20000; kelvin += 137 {
		m, err := colour.ToMired(kelvin)
		back, err2 := colour.ToKelvin(m)
		if err != nil || err2 != nil || math.Abs(float64(back-kelvin)) > 1e-9 {
			t.Errorf("%v comes back as %v (%v, %v)", float64(kelvin), float64(back), err, err2)
		}
		for _, shift := range []units.Mired{20, -20, 8} {
			there, err := colour.After(kelvin, shift)
			if err != nil {
				continue
			}
			if back, err := colour.After(there, -shift); err != nil || math.Abs(float64(back-kelvin)) > 1e-9 {
				t.Errorf("%v shifted by %v and back is %v (%v)", kelvin, shift, float64(back), err)
			}
		}
	}
}

func TestGels(t *testing.T) {
	for _, g := range colour.Gels {
		if found, ok := colour.LookupGel(g.Name); !ok || found != g {
			t.Errorf("%s is not found", g.Name)
		}
		if g.Loss <= 0 || g.Loss > 2 || g.Green != (g.Shift == 0) {
			t.Errorf("%+v", g)
		}
		if got, left, err := colour.Nearest(g.Shift); !g.Green && (got != g || left != 0 || err != nil) {
			t.Errorf("the gel for %v is %v, %v left (%v)", g.Shift, got.Name, left, err)
		}
	}
	// 5500 to 3200 K wants 131 mired, about three quarters. Source: trade handbook N37.
	shift, _ := colour.Shift(5500, 3200)
	if got, left, _ := colour.Nearest(shift); got.Name != "three-quarter-cto" || math.Abs(float64(left)-6.68) > 0.01 {
		t.Errorf("the gel for %v is %s, %v left", shift, got.Name, left)
	}
	if got, left, _ := colour.Nearest(5); got != (colour.Gel{}) || left != 5 {
		t.Errorf("5 mired wants %v", got)
	}
	half, _ := colour.LookupGel("half-cto")
	quarter, _ := colour.LookupGel("quarter-cto")
	if shift, loss := colour.Stack(half, quarter); shift != 173 || loss != 0.75 {
		t.Errorf("half and quarter make %v and %v", shift, loss)
	}
	if _, ok := colour.LookupGel("full-moon"); ok {
		t.Error("found full-moon")
	}
}

func TestOutsideIsRefused(t *testing.T) {
	for i, err := range []error{
		second(colour.ToMired(0)), second(colour.ToKelvin(0)), second(colour.Shift(0, 5600)), second(colour.Shift(5600, 1)), second(colour.After(5600, 9999)), second(colour.After(5600, -178)),
		second(colour.After(5600, -200)), second(colour.After(1600, 300)), second(colour.Cast(0, 5600)), second(colour.Mix()), second(colour.Mix(colour.Part{5600, 0})), second(colour.Mix(colour.Part{5600, -1})),
		second(colour.Mix(colour.Part{0, 1})),
	} {
		var outside *units.RangeError
		if !errors.As(err, &outside) {
			t.Errorf("%d: %v is no RangeError", i, err)
		}
	}
	if _, _, err := colour.Nearest(units.Mired(math.NaN())); err == nil {
		t.Error("found a gel for NaN")
	}
}

// Full CTO on a 5600 K flash. Source: photometry handbook §9.
func ExampleAfter() {
	warm, err := colour.After(5600, 159)
	fmt.Printf("%.4f %v\n", float64(warm), err)
	// Output: 2962.3360 <nil>
}
