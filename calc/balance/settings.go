package balance

import (
	"math"

	"panelhand/calc/flash"
	"panelhand/calc/units"
)

// Settings is every dial, as printed. Distances that the way of lighting does
// not use are 0.
type Settings struct {
	ISO, Aperture, Shutter units.Mark
	ND                     units.Stops
	Flash                  bool // fired at all; if not, nothing below counts
	Power                  units.Mark
	Zoom                   units.Millimetres
	FlashPanel             units.Metres // for Bounce, what camera and panel make of it
	PanelSubject           units.Metres
	FlashSubject           units.Metres
	HSS                    bool
}

// Levels are stops against a right exposure, from the marks printed.
type Levels struct {
	Subject    units.Stops // lit side of the face: ambient and flash added
	Ambient    units.Stops
	Flash      units.Stops // 0 where no flash fires
	Background units.Stops
}

// Solution is the best setting found.
type Solution struct {
	Settings Settings
	Levels   Levels
	Cost     Cost
	Right    bool        // the face is within a sixth of a stop of what was wanted
	Short    units.Stops // the face's error where it is not: + over, − under; 0 if right
	Buys     []Change    // what single change would set the face right, best first; empty if right
}

// Step is the grid on which distances are told, metres: twenty to one metre.
// Dividing by the count gives 1.2 where 24 steps of 0.05 give 1.2000000000000002.
const (
	Step          = 1.0 / stepsPerMetre
	stepsPerMetre = 20
)

// Dials hold at most so many marks here (check refuses more); a power dial in
// tenths of a stop over sixteen stops is the longest there is. Fixed arrays keep
// a solve to a single allocation.
const (
	cameraMarks = 64
	powerMarks  = 192
	zoomMarks   = 16
	filterMarks = 8
)

// dials are a scene's marks as the search uses them: what each lets through in
// stops, and what it costs by itself.
type dials struct {
	iso, aperture, shutter dial
	nd                     [filterMarks]units.Stops
	ndCost                 [filterMarks]float64
	nds                    int
	hss                    [cameraMarks]float64 // flash lost at this shutter mark, stops
	power                  [powerMarks]units.Mark
	powerCost              [powerMarks]float64
	powers                 int
	zoom                   [zoomMarks]units.Millimetres
	guide                  [zoomMarks]units.GuideNumber
	zoomCost               [zoomMarks]float64
	zooms                  int
	flashPanel             span
	subject                span // panel or tube to face
}

// dial is one camera dial.
type dial struct {
	mark  [cameraMarks]units.Mark
	stops [cameraMarks]float64
	cost  [cameraMarks]float64
	n     int
}

// span is a distance: a grid of steps, or one fixed length.
type span struct {
	fixed units.Metres // > 0: this alone
	lo, n int          // steps lo, lo+1 … of Step
	start int          // index nearest best
}

func (s span) at(i int) units.Metres {
	if s.fixed > 0 {
		return s.fixed
	}
	return units.Metres(s.lo+i) / stepsPerMetre
}

func newSpan(r Reach, given units.Metres, name string) (span, error) {
	if given > 0 {
		return span{fixed: given, n: 1}, nil
	}
	lengths := units.Distances.Named(name)
	if err := lengths.Check(float64(r.Best)); err != nil {
		return span{}, err
	}
	near, far := r.Near, r.Far
	if near == 0 {
		near = r.Best
	}
	if far == 0 {
		far = r.Best
	}
	near, far = min(near, r.Best), max(far, r.Best)
	if err := units.First(lengths.Check(float64(near)), lengths.Check(float64(far))); err != nil {
		return span{}, err
	}
	lo, hi := int(math.Ceil(float64(near)/Step-1e-6)), int(math.Floor(float64(far)/Step+1e-6))
	lo = max(lo, 1)
	if hi < lo { // no room to move: the mark of the grid next to Best
		lo = max(1, int(math.Round(float64(r.Best)/Step)))
		hi = lo
	}
	s := span{lo: lo, n: hi - lo + 1}
	s.start = min(max(int(math.Round(float64(r.Best)/Step))-lo, 0), s.n-1)
	return s, nil
}

// pick fills a camera dial with the marks between low and high (nominal
// values), or with the one that was given.
func (d *dial) pick(from units.Dial, given, low, high float64, text func(float64) string, stops func(float64) float64) {
	d.n = 0
	if given > 0 {
		m := units.Mark{Value: given, Text: text(given), Ticks: units.Stops(stops(given)).Ticks()}
		if i, ok := from.Index(given); ok {
			m = from.At(i)
		}
		d.add(m, stops)
		return
	}
	for i := range from.Len() {
		if m := from.At(i); m.Value >= low && m.Value <= high {
			d.add(m, stops)
		}
	}
}

func (d *dial) add(m units.Mark, stops func(float64) float64) {
	d.mark[d.n], d.stops[d.n] = m, stops(m.Value)
	d.n++
}

func isoStops(v float64) float64      { return math.Log2(v / 100) }
func apertureStops(v float64) float64 { return -2 * math.Log2(v) }
func isoText(v float64) string        { return units.ISO(v).String() }
func apertureText(v float64) string   { return units.FNumber(v).String() }
func shutterText(v float64) string    { return units.Seconds(v).String() }

// slack lets a bound that was typed as 0.0078 keep the mark 1/128.
const slack = 1 + 1e-3

func (d *dials) read(s *Scene) error {
	w, g, c := s.Want, s.Given, s.Camera
	d.iso.pick(c.ISO, float64(g.ISO), 0, math.Inf(1), isoText, isoStops)
	d.aperture.pick(c.Aperture, float64(g.Aperture), float64(w.Widest)/slack, math.Inf(1), apertureText, apertureStops)
	slowest, fastest := math.Inf(1), 0.0
	if w.Slowest > 0 {
		slowest = float64(w.Slowest) * slack
	}
	if s.Key != nil && !s.Key.HSS {
		fastest = float64(c.Sync) / syncSlack
	}
	d.shutter.pick(c.Shutter, float64(g.Shutter), fastest, slowest, shutterText, math.Log2)
	if d.shutter.n == 0 && slowest < fastest {
		// The slowest that stops the motion is faster than sync: the flash decides.
		d.shutter.pick(c.Shutter, 0, fastest, fastest*syncSlack*slack, shutterText, math.Log2)
	}
	if d.iso.n == 0 || d.aperture.n == 0 || d.shutter.n == 0 {
		return errNoDial
	}
	d.nds = 0
	if g.ND > 0 {
		d.nd[0], d.nds = g.ND, 1
	} else {
		d.nd[0], d.nds = 0, 1
		for _, nd := range c.ND {
			if nd > 0 {
				d.nd[d.nds] = nd
				d.nds++
			}
		}
	}
	if s.Key == nil {
		return nil
	}
	return d.readFlash(s)
}

// syncSlack is a twentieth of a stop: marks nearer than that are the same time
// (package flash has the same rule).
const syncSlack = 1.0352649238413776

func (d *dials) readFlash(s *Scene) error {
	f, g := s.Key, s.Given
	if t := units.Seconds(d.shutter.mark[0].Value); g.Shutter > 0 && !f.HSS && float64(t)*syncSlack < float64(s.Camera.Sync) {
		return &SyncError{t, s.Camera.Sync}
	}
	for i := range d.shutter.n {
		loss, err := flash.HighSpeedLoss(units.Seconds(d.shutter.mark[i].Value), s.Camera.Sync)
		if err != nil {
			return err
		}
		d.hss[i] = float64(loss)
	}
	d.powers = 0
	addPower := func(m units.Mark) {
		d.power[d.powers] = m
		d.powers++
	}
	if g.Power > 0 {
		m := units.Mark{Value: float64(g.Power), Text: g.Power.String(), Ticks: units.Stops(math.Log2(float64(g.Power))).Ticks()}
		if i, ok := f.Powers.Index(float64(g.Power)); ok {
			m = f.Powers.At(i)
		}
		addPower(m)
	} else {
		for i := range f.Powers.Len() {
			addPower(f.Powers.At(i))
		}
	}
	d.zooms = 0
	addZoom := func(z units.Millimetres) error {
		gn, err := f.Guide(z)
		if err := units.First(err, units.GuideNumbers.Check(float64(gn))); err != nil {
			return err
		}
		d.zoom[d.zooms], d.guide[d.zooms] = z, gn
		d.zooms++
		return nil
	}
	if g.Zoom > 0 {
		if err := addZoom(g.Zoom); err != nil {
			return err
		}
	} else {
		for _, z := range f.Zooms {
			if err := addZoom(z); err != nil {
				return err
			}
		}
	}
	var err error
	d.flashPanel, d.subject = span{fixed: 1, n: 1}, span{fixed: 1, n: 1}
	switch f.Way {
	case Bare:
		d.subject, err = newSpan(f.FlashSubject, g.FlashSubject, "flash to face")
	case Through:
		if d.flashPanel, err = newSpan(f.FlashPanel, g.FlashPanel, "flash to panel"); err == nil {
			d.subject, err = newSpan(f.PanelSubject, g.PanelSubject, "panel to face")
		}
	case Bounce, Umbrella, Softbox:
		d.subject, err = newSpan(f.PanelSubject, g.PanelSubject, "panel to face")
	}
	return err
}
