package face

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// The second method: plain sums over directions and over surfaces, which share
// no formula with the package.

// skyGrid sums luminance over directions. seen says which directions count,
// luminance is π·L there. n by 2n cells, evenly spaced in sine and azimuth.
func skyGrid(n int, seen func(w vec) bool, normal vec, luminance func(w vec) float64) float64 {
	sum := 0.0
	for i := range n {
		y := -1 + (float64(i)+0.5)*2/float64(n)
		c := math.Sqrt(1 - y*y)
		for j := range 2 * n {
			s, cos := math.Sincos((float64(j) + 0.5) * math.Pi / float64(n))
			w := vec{c * s, y, c * cos}
			if d := normal.dot(w); d > 0 && seen(w) {
				sum += d * luminance(w)
			}
		}
	}
	return sum * (2 / float64(n)) * (math.Pi / float64(n)) / math.Pi
}

func bruteRegion(r Region, v view, n int) float64 {
	return skyGrid(n, func(w vec) bool { return v.sees(w) && inBox(r, w) }, v.normal, func(w vec) float64 { return bruteLuminance(r, w) })
}

// inBox is a region by angles, as a person would read it off a compass.
func inBox(r Region, w vec) bool {
	up := math.Asin(w.Y) * 180 / math.Pi
	if up < float64(r.Low) || up > float64(r.High) {
		return false
	}
	if r.From == 0 && r.To == 0 || r.To-r.From >= 360 {
		return true
	}
	side := math.Atan2(w.X, w.Z) * 180 / math.Pi
	for turn := -3.0; turn <= 3; turn++ {
		if at := side + 360*turn; at >= float64(r.From) && at <= float64(r.To) {
			return true
		}
	}
	return false
}

func bruteLuminance(r Region, w vec) float64 {
	if !r.Overcast {
		return r.Level
	}
	return r.Level * 9 / 7 * (1 + 2*w.Y) / 3
}

// brutePoints walks over a sheet's face: places and their areas.
func brutePoints(f *surface, n int, visit func(p vec, area float64)) {
	for i := range n {
		for j := range n {
			a, b := (float64(i)+0.5)/float64(n), (float64(j)+0.5)/float64(n)
			if f.round {
				r := f.halfU * a
				s, c := math.Sincos(2 * math.Pi * b)
				visit(f.at(r*c, r*s), r*2*math.Pi*f.halfU/float64(n*n))
				continue
			}
			visit(f.at(f.halfU*(2*a-1), f.halfV*(2*b-1)), 4*f.halfU*f.halfV/float64(n*n))
		}
	}
}

func bruteFactor(f *surface, from vec, v view, n int) float64 {
	sum := 0.0
	brutePoints(f, n, func(p vec, area float64) {
		d := p.minus(from)
		r2 := d.dot(d)
		w := d.times(1 / math.Sqrt(r2))
		if out := -f.normal.dot(w); out > 0 && v.sees(w) {
			sum += v.normal.dot(w) * out / r2 * area / math.Pi
		}
	})
	return sum
}

// evenlySplit integrates g over elevations with many Gauss points.
func evenlySplit(g func(float64) float64, low, high float64) float64 {
	return quad.Fixed(g, low*math.Pi/180, high*math.Pi/180, 60, quad.Legendre{}, 0)
}
