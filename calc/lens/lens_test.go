package lens_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"panelhand/calc/internal/figures"
	"panelhand/calc/lens"
	"panelhand/calc/units"
)

func out[T ~float64](v T, err error) (float64, error) { return float64(v), err }
func second[T any](_ T, err error) error              { return err }

func mm(v float64) units.Millimetres { return units.Millimetres(v) }
func n(v float64) units.FNumber      { return units.FNumber(v) }
func m(v float64) units.Metres       { return units.Metres(v) }

func hyperfocal(a []float64) (float64, error) {
	return out(lens.Hyperfocal(mm(a[0]), n(a[1]), mm(a[2])))
}
func depth(a []float64) (lens.Depth, error) {
	return lens.DepthOfField(mm(a[0]), n(a[1]), mm(a[2]), m(a[3]))
}

func TestPublished(t *testing.T) {
	figures.Check(t, "published/lens.csv", map[string][]figures.Method{
		// the source drops "+f" throughout
		"hyperfocal-simple": {func(a []float64) (float64, error) { h, err := hyperfocal(a); return h - a[0]/1000, err }},
		"near-simple": {func(a []float64) (float64, error) {
			h, err := hyperfocal(a)
			if err != nil {
				return 0, err
			}
			d, err := depth(append(a, h))
			return float64(d.Near) - a[0]/2000, err
		}},
	})
}

// blurCircle is what a point at distance x draws on a sensor focused on s, in
// mm, by following the cone of light from the aperture: the second method for
// depth of field. Lengths in metres, f in mm.
func blurCircle(f, n, s, x float64) float64 {
	image := func(d float64) float64 { return 1 / (1000/f - 1/d) } // thin lens, metres
	sensor, point := image(s), image(x)
	return f / n * math.Abs(point-sensor) / point
}

// limit finds by bisection where the blur circle reaches c between two
// distances, blur falling from `bad` to `good`.
func limit(f, n, c, s, bad, good float64) float64 {
	for range 200 {
		if mid := (bad + good) / 2; blurCircle(f, n, s, mid) > c {
			bad = mid
		} else {
			good = mid
		}
	}
	return good
}

func traced(a []float64) (near, far float64) {
	return limit(a[0], a[1], a[2], a[3], a[0]/1000*1.01, a[3]), limit(a[0], a[1], a[2], a[3], 1e5, a[3])
}

func TestDerived(t *testing.T) {
	figures.Check(t, "derived/lens.csv", map[string][]figures.Method{
		"hyperfocal": {
			hyperfocal,
			// the focus at which infinity draws just c
			func(a []float64) (float64, error) {
				lo, hi := 0.1, 1e4
				for range 200 {
					if mid := (lo + hi) / 2; blurCircle(a[0], a[1], mid, math.Inf(1)) > a[2] {
						lo = mid
					} else {
						hi = mid
					}
				}
				return hi, nil
			},
		},
		"near": {
			func(a []float64) (float64, error) { d, err := depth(a); return float64(d.Near), err },
			func(a []float64) (float64, error) { near, _ := traced(a); return near, nil },
		},
		"far": {
			func(a []float64) (float64, error) { d, err := depth(a); return float64(d.Far), err },
			func(a []float64) (float64, error) { _, far := traced(a); return far, nil },
		},
		"total": {
			func(a []float64) (float64, error) { d, err := depth(a); return float64(d.Total()), err },
			func(a []float64) (float64, error) { near, far := traced(a); return far - near, nil },
		},
		"aperture-for-depth": {
			func(a []float64) (float64, error) {
				return out(lens.ApertureForDepth(mm(a[0]), mm(a[1]), m(a[2]), m(a[3])))
			},
			func(a []float64) (float64, error) {
				lo, hi := 0.5, 64.0
				for range 200 {
					mid := (lo + hi) / 2
					if near, far := traced([]float64{a[0], mid, a[1], a[2]}); far-near < a[3] {
						lo = mid
					} else {
						hi = mid
					}
				}
				return lo, nil
			},
		},
		"shake": {
			func(a []float64) (float64, error) { return out(lens.ShakeTime(mm(a[0]), a[1])) },
			func(a []float64) (float64, error) { return 1 / a[0] / a[1], nil },
		},
		"blur": {
			func(a []float64) (float64, error) {
				return out(lens.MotionBlur(units.MetresPerSecond(a[0]), units.Seconds(a[1]), mm(a[2]), m(a[3])))
			},
			// image distance over object distance
			func(a []float64) (float64, error) {
				image := 1 / (1000/a[2] - 1/a[3])
				return 1000 * a[0] * a[1] * image / a[3], nil
			},
		},
		"freeze": {
			func(a []float64) (float64, error) {
				return out(lens.FreezeTime(units.MetresPerSecond(a[0]), mm(a[1]), m(a[2]), mm(a[3])))
			},
			func(a []float64) (float64, error) {
				image := 1 / (1000/a[1] - 1/a[2])
				return a[3] / 1000 / (image / a[2]) / a[0], nil
			},
		},
		"frame": {
			func(a []float64) (float64, error) { return out(lens.FrameWidth(mm(a[0]), mm(a[1]), m(a[2]))) },
			// the angle of view, laid out at the distance
			func(a []float64) (float64, error) {
				full, err := lens.FieldOfView(mm(a[0]), mm(a[1]))
				return 2 * a[2] * math.Tan(float64(full)/2*math.Pi/180), err
			},
		},
		"field": {
			func(a []float64) (float64, error) { return out(lens.FieldOfView(mm(a[0]), mm(a[1]))) },
			func(a []float64) (float64, error) {
				return 2 * math.Asin(a[0]/2/math.Hypot(a[0]/2, a[1])) * 180 / math.Pi, nil
			},
		},
	})
}

func TestDepthGrows(t *testing.T) {
	last := units.Metres(0)
	for _, f := range []units.FNumber{1.4, 2, 2.8, 4, 5.6, 8, 11} {
		d, err := lens.DepthOfField(85, f, 0.03, 2.25)
		if err != nil || !(d.Near < 2.25 && d.Far > 2.25 && d.Total() > last) {
			t.Errorf("at %v depth is %+v (%v)", f, d, err)
		}
		last = d.Total()
		back, err := lens.ApertureForDepth(85, 0.03, 2.25, d.Total())
		if err != nil || math.Abs(float64(back/f)-1) > 1e-9 {
			t.Errorf("%v comes back as %v (%v)", f, back, err)
		}
		off, err := lens.FocusForDepth(85, f, 0.03, d.Total())
		if err != nil || math.Abs(float64(off/2.25)-1) > 1e-9 {
			t.Errorf("at %v 2.25 m comes back as %v (%v)", f, off, err)
		}
	}
}

func TestDepthCanBeEndless(t *testing.T) {
	d, err := lens.DepthOfField(24, 11, 0.03, 8)
	if err != nil || !d.Endless || d.Far != 0 || d.Total() != 0 || d.Near <= 0 {
		t.Errorf("%+v %v", d, err)
	}
}

// Published crop values are the diagonals' ratios. c of 0.03 is the diagonal
// over some 1440 in every format, to a tenth. Source: photometry handbook §10.
func TestFormats(t *testing.T) {
	for name, crop := range map[string]float64{"full-frame": 1, "aps-c": 1.53, "four-thirds": 2.0, "medium-format": 0.79} {
		f, ok := lens.LookupFormat(name)
		if !ok || math.Abs(f.Crop()-crop) > 0.005 {
			t.Errorf("%s: crop %g, want %g", name, f.Crop(), crop)
		}
		if scaled := 0.03 / f.Crop(); math.Abs(float64(f.Circle)/scaled-1) > 0.1 {
			t.Errorf("%s: circle %v, scaled %g", name, f.Circle, scaled)
		}
	}
	if _, ok := lens.LookupFormat("quarter-plate"); ok {
		t.Error("found quarter-plate")
	}
}

func TestOutsideIsRefused(t *testing.T) {
	for i, err := range []error{
		second(lens.Hyperfocal(0, 4, 0.03)), second(lens.Hyperfocal(50, 0, 0.03)), second(lens.Hyperfocal(50, 4, 0)), second(lens.DepthOfField(85, 4, 0.03, 0.1)), second(lens.DepthOfField(85, 4, 9, 2)),
		second(lens.ApertureForDepth(85, 0.03, 2, 0)), second(lens.ApertureForDepth(85, 0.03, units.Metres(math.NaN()), 1)), second(lens.ShakeTime(85, 0)), second(lens.MotionBlur(0, 1, 50, 2)),
		second(lens.MotionBlur(1, 1, 50, 0.05)), second(lens.FreezeTime(1, 50, 2, 0)), second(lens.FrameWidth(0, 50, 2)), second(lens.FieldOfView(36, 0)),
	} {
		var outside *units.RangeError
		if !errors.As(err, &outside) {
			t.Errorf("%d: %v is no RangeError", i, err)
		}
	}
}

// The course's worked example: a 2 in lens at f/8 with a circle of 0.002 in is
// sharp from 10.4 ft to infinity when focused at 20.8 ft.
// Source: military correspondence course, photometry handbook §10, 10g.
func ExampleHyperfocal() {
	h, err := lens.Hyperfocal(50.8, 8, 0.0508)
	fmt.Printf("%.1f ft %v\n", (float64(h)-0.0508)/0.3048, err)
	// Output: 20.8 ft <nil>
}
