package units

import (
	"fmt"
	"math"
	"slices"
)

// A Tick is one thirtieth of a stop, + for more light. Halves (15), thirds
// (10) and tenths (3) of a stop are all whole ticks, so dial arithmetic is
// exact: settings that cancel in clicks cancel to zero.
type Tick int

const (
	Click Tick = 10 // a third of a stop, what one click of most dials does
	Stop  Tick = 30
)

// Stops returns the ticks as stops.
func (t Tick) Stops() Stops { return Stops(t) / Stops(Stop) }

// Ticks rounds stops to the nearest tick.
func (s Stops) Ticks() Tick { return Tick(math.Round(float64(s) * float64(Stop))) }

// A Mark is one position of a dial. Ticks is its light against the dial's
// zero (f/1, 1 s, ISO 100, full power), so the ticks of aperture, time and ISO
// add up to what a setting takes: f/8, 1/125 s, ISO 400 are -180-210+60 ticks,
// EV 11 at ISO 100.
//
// Value is the nominal mark: 1/200 s is 0.005, though its ticks (−230, 23
// clicks) stand for 1/203.187 s, which is what a shutter runs. Powers have no
// nominal value; theirs is exact.
type Mark struct {
	Ticks Tick
	Value float64
	Text  string
}

// A Dial is an ordered list of marks, rising in light: f/32 comes before f/1,
// 1/8000 before 30 s, low power before full.
type Dial struct {
	marks []Mark
	exact func(Tick) float64 // the value a tick stands for
	ticks func(float64) float64
}

// Len returns the number of marks.
func (d Dial) Len() int { return len(d.marks) }

// At returns the mark at i. Outside the dial it returns the end that is
// nearer: a dial stops there. An empty dial gives the zero Mark.
func (d Dial) At(i int) Mark {
	if len(d.marks) == 0 {
		return Mark{}
	}
	return d.marks[min(max(i, 0), len(d.marks)-1)]
}

// Marks returns a copy of the marks in order.
func (d Dial) Marks() []Mark { return slices.Clone(d.marks) }

// Exact returns the value that a mark of this dial stands for: 5.656854 for
// f/5.6.
func (d Dial) Exact(m Mark) float64 {
	if d.exact == nil {
		return m.Value
	}
	return d.exact(m.Ticks)
}

// Index returns where the mark with this nominal value is, and whether there
// is one. A value within a thousandth of a mark's is that mark's.
func (d Dial) Index(value float64) (int, bool) {
	for i, m := range d.marks {
		if math.Abs(value-m.Value) <= m.Value/1000 {
			return i, true
		}
	}
	return 0, false
}

// Nearest returns the mark nearest to a value in stops. A nominal value finds
// its own mark; a value off the dial finds the end; one that is no positive
// number finds the first mark. Of two marks equally near, the darker.
func (d Dial) Nearest(value float64) Mark {
	if i, ok := d.Index(value); ok {
		return d.marks[i]
	}
	if d.ticks == nil || !(value > 0) {
		return d.At(0)
	}
	return d.nearest(d.ticks(value))
}

// NearestTicks returns the mark nearest to a light level in ticks.
func (d Dial) NearestTicks(t Tick) Mark { return d.nearest(float64(t)) }

func (d Dial) nearest(ticks float64) Mark {
	best, gap := Mark{}, math.Inf(1)
	for _, m := range d.marks {
		if g := math.Abs(float64(m.Ticks) - ticks); g < gap-1e-9 {
			best, gap = m, g
		}
	}
	if math.IsInf(gap, 1) { // ticks infinite, or no marks
		if ticks > 0 {
			return d.At(len(d.marks) - 1)
		}
		return d.At(0)
	}
	return best
}

// Turn returns the mark n positions from the mark nearest to value, + for more
// light, and false where the dial ends before.
func (d Dial) Turn(value float64, n int) (Mark, bool) {
	from := d.Nearest(value)
	i := slices.Index(d.marks, from) + n
	return d.At(i), i >= 0 && i < len(d.marks)
}

// Between returns the part of the dial whose nominal values lie in lo..hi,
// both included.
func (d Dial) Between(lo, hi float64) Dial {
	part := Dial{exact: d.exact, ticks: d.ticks}
	for _, m := range d.marks {
		if m.Value >= lo*(1-1e-9) && m.Value <= hi*(1+1e-9) {
			part.marks = append(part.marks, m)
		}
	}
	return part
}

// The values a tick stands for, and back.
func apertureOf(t Tick) float64 { return math.Exp2(-float64(t) / 60) }
func timeOf(t Tick) float64     { return math.Exp2(float64(t) / 30) }
func isoOf(t Tick) float64      { return 100 * math.Exp2(float64(t)/30) }

func ticksOfAperture(n float64) float64 { return -60 * math.Log2(n) }
func ticksOfTime(t float64) float64     { return 30 * math.Log2(t) }
func ticksOfISO(s float64) float64      { return 30 * math.Log2(s/100) }

// The nominal marks. Source: photometry handbook §1.2; the series are from
// memory and match camera practice. Exact values follow from the position, so
// only the numbers people read are written down here.
var (
	apertureThirds = []float64{
		0.7, 0.8, 0.9, 1, 1.1, 1.2, 1.4, 1.6, 1.8, 2, 2.2, 2.5, 2.8, 3.2, 3.5, 4, 4.5, 5, 5.6, 6.3, 7.1, 8, 9, 10,
		11, 13, 14, 16, 18, 20, 22, 25, 29, 32, 36, 40, 45, 51, 57, 64,
	}
	apertureHalves = []float64{
		0.7, 0.8, 1, 1.2, 1.4, 1.7, 2, 2.4, 2.8, 3.3, 4, 4.8, 5.6, 6.7, 8, 9.5, 11, 13, 16, 19, 22, 27, 32, 38, 45, 54, 64,
	}
	// Short times are written as what stands under the line.
	shutterThirdsUnder = []float64{
		4, 5, 6, 8, 10, 13, 15, 20, 25, 30, 40, 50, 60, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800,
		1000, 1250, 1600, 2000, 2500, 3200, 4000, 5000, 6400, 8000,
	}
	shutterThirdsLong  = []float64{0.3, 0.4, 0.5, 0.6, 0.8, 1, 1.3, 1.6, 2, 2.5, 3.2, 4, 5, 6, 8, 10, 13, 15, 20, 25, 30}
	shutterHalvesUnder = []float64{
		3, 4, 6, 8, 10, 15, 20, 30, 45, 60, 90, 125, 180, 250, 350, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000,
	}
	shutterHalvesLong = []float64{0.5, 0.7, 1, 1.5, 2, 3, 4, 6, 8, 10, 15, 20, 30}
	isoThirds         = []float64{
		50, 64, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600, 2000, 2500, 3200, 4000, 5000,
		6400, 8000, 10000, 12800, 16000, 20000, 25600, 32000, 40000, 51200, 64000, 80000, 102400,
	}
)

var (
	aperturesByThird = apertureDial(apertureThirds, 10)
	aperturesByHalf  = apertureDial(apertureHalves, 15)
	shuttersByThird  = shutterDial(shutterThirdsUnder, shutterThirdsLong, -60, 10)
	shuttersByHalf   = shutterDial(shutterHalvesUnder, shutterHalvesLong, -45, 15)
	isosByThird      = isoDial(isoThirds)
)

// ApertureThirds is f/64 to f/0.7 in thirds of a stop.
func ApertureThirds() Dial { return aperturesByThird }

// ApertureHalves is f/64 to f/0.7 in halves of a stop. Its f/1.2 and f/13 are
// not those of the thirds: 1.189 and 13.454 against 1.260 and 12.699.
func ApertureHalves() Dial { return aperturesByHalf }

// ShutterThirds is 1/8000 to 30 s in thirds of a stop.
func ShutterThirds() Dial { return shuttersByThird }

// ShutterHalves is 1/8000 to 30 s in halves of a stop.
func ShutterHalves() Dial { return shuttersByHalf }

// ISOThirds is ISO 50 to 102400 in thirds of a stop.
func ISOThirds() Dial { return isosByThird }

// apertureDial takes f-numbers rising from f/0.7, which is +1 stop of f/1.
func apertureDial(nominal []float64, step Tick) Dial {
	d := Dial{exact: apertureOf, ticks: ticksOfAperture}
	for i, n := range slices.Backward(nominal) {
		d.marks = append(d.marks, Mark{Ticks: Stop - Tick(i)*step, Value: n, Text: "f/" + significant(n, 3)})
	}
	return d
}

// shutterDial takes times falling from the mark at tick first, given as what
// stands under the line, and times rising from the mark after it.
func shutterDial(under, long []float64, first, step Tick) Dial {
	d := Dial{exact: timeOf, ticks: ticksOfTime}
	for i, n := range slices.Backward(under) {
		d.marks = append(d.marks, Mark{Ticks: first - Tick(i)*step, Value: 1 / n, Text: "1/" + significant(n, 6)})
	}
	for i, t := range long {
		d.marks = append(d.marks, Mark{Ticks: first + Tick(i+1)*step, Value: t, Text: significant(t, 3) + " s"})
	}
	return d
}

func isoDial(nominal []float64) Dial {
	d := Dial{exact: isoOf, ticks: ticksOfISO}
	for i, s := range nominal {
		d.marks = append(d.marks, Mark{Ticks: -Stop + Tick(i)*Click, Value: s, Text: "ISO " + significant(s, 6)})
	}
	return d
}

// PowerThirds is a flash's power dial from the lowest fraction (1/128 say) to
// full in thirds of a stop. A lowest outside 1/65536..1 is held to those.
func PowerThirds(lowest Fraction) Dial {
	return powerDial(Stops(-math.Log2(hold(float64(lowest)))), Click, func(t Tick) string { return powerText(t) })
}

// PowerTenths is a power dial in tenths of a stop that reads a number: top is
// full, 1.0 lower is one stop lower. It goes down by span stops (9 say); a
// span outside 0..16 is held to those. Some makers' dials read so.
func PowerTenths(top float64, span Stops) Dial {
	return powerDial(span, 3, func(t Tick) string { return fmt.Sprintf("%.1f", top+float64(t.Stops())) })
}

func hold(p float64) float64 {
	if !(p > Powers.Low) {
		return Powers.Low
	}
	return min(p, 1)
}

func powerDial(span Stops, step Tick, text func(Tick) string) Dial {
	if !(span > 0) {
		span = 0
	}
	d := Dial{exact: timeOf, ticks: ticksOfTime}
	// a lowest typed as 0.0078 means 1/128: half a step's slack
	for n := int(math.Round(float64(min(span, 16)) * float64(Stop) / float64(step))); n >= 0; n-- {
		t := -Tick(n) * step
		d.marks = append(d.marks, Mark{Ticks: t, Value: timeOf(t), Text: text(t)})
	}
	return d
}

// powerText names a power by the nearest named fraction and a click beside it.
func powerText(t Tick) string {
	clicks := int(math.Round(-float64(t) / float64(Click)))
	if clicks < 0 {
		return "over full"
	}
	name := func(n int) string {
		if n == 0 {
			return "full"
		}
		return "1/" + significant(math.Exp2(float64(n)), 12)
	}
	switch clicks % 3 {
	case 1:
		return name(clicks/3) + " −1 click"
	case 2:
		return name(clicks/3+1) + " +1 click"
	}
	return name(clicks / 3)
}
