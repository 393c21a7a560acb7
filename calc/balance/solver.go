package balance

import (
	"math"

	"panelhand/calc/units"
)

// Solve finds the dials that cost least (see Cost): the face right first, then
// the look, then depth, noise, recycling, distances. It turns camera, flash and
// distances together, and evaluates the light of the marks as printed (1/200 is
// 0.005 s, f/5.6 is 5.6; a power is 2^(−k/3) exactly), so that what it found
// can be recomputed from what it prints. What is given stays as given, the
// shutter is never faster than sync with a flash that cannot follow, and no
// single click of any dial would cost less.
//
// Error: something in the scene out of range, a dial without marks, or a
// *SyncError where the shutter given is faster than the flash can follow. A
// look that cannot be had is no error: the answer comes as near as cost allows
// and says what is short.
func Solve(s Scene) (Solution, error) {
	if err := s.check(); err != nil {
		return Solution{}, err
	}
	var q search
	q.s = &s
	if err := q.d.read(&s); err != nil {
		return Solution{}, err
	}
	q.price()
	best, err := q.run()
	if err != nil {
		return Solution{}, err
	}
	return q.solution(best)
}

// state is one position of every dial, with what its geometry makes of it.
type state struct {
	dial  [kinds]int
	power int
	full  float64 // key at full power, stops at f/1 and ISO 100
	place float64 // cost of zoom and distances
	cost  float64
}

// The dials a state turns. Power stands apart: the search sets it by what the
// others leave to it.
const (
	isoDial = iota
	apertureDial
	shutterDial
	filterDial
	zoomDial
	flashPanelDial
	subjectDial
	kinds
)

type search struct {
	s    *Scene
	d    dials
	size [kinds]int

	leastKey float64
	face     float64 // wanted on the face, as light; 1 is right

	seen [128]placing // by a hash of the place: turning back and forth asks again and again
}

// placing is what one place of the key gives.
type placing struct {
	zoom, flashPanel, subject int
	known                     bool
	full, cost                float64
	err                       error
}

// price fills in what each mark costs by itself, change from Now included.
func (q *search) price() {
	s, d, now := q.s, &q.d, q.s.Now
	q.face = math.Exp2(float64(s.Want.Face))
	change := func(dial *dial, mark func(*Settings) units.Mark, stops func(float64) float64, i int) float64 {
		if now == nil || !(mark(now).Value > 0) {
			return 0
		}
		return moved(3 * (dial.stops[i] - stops(mark(now).Value)))
	}
	for i := range d.iso.n {
		d.iso.cost[i] = s.isoCost(d.iso.stops[i]) +
			change(&d.iso, func(n *Settings) units.Mark { return n.ISO }, isoStops, i)
	}
	for i := range d.aperture.n {
		d.aperture.cost[i] = s.apertureCost(d.aperture.stops[i]) +
			change(&d.aperture, func(n *Settings) units.Mark { return n.Aperture }, apertureStops, i)
	}
	for i := range d.shutter.n {
		d.shutter.cost[i] = s.blurCost(d.shutter.stops[i]) +
			change(&d.shutter, func(n *Settings) units.Mark { return n.Shutter }, math.Log2, i)
		if s.Key != nil && d.hss[i] > 0 {
			d.shutter.cost[i] += highSpeed
		}
	}
	for i := range d.nds {
		d.ndCost[i] = s.filterCost(d.nd[i])
		if now != nil {
			d.ndCost[i] += moved(3 * float64(d.nd[i]-now.ND))
		}
	}
	q.size = [kinds]int{d.iso.n, d.aperture.n, d.shutter.n, d.nds, 1, 1, 1}
	if s.Key == nil {
		return
	}
	q.leastKey = s.leastKey()
	q.size[zoomDial], q.size[flashPanelDial], q.size[subjectDial] = d.zooms, d.flashPanel.n, d.subject.n
	for i := range d.powers {
		p := d.power[i].Value
		d.powerCost[i] = s.rechargeCost(p)
		if now != nil && now.Flash && now.Power.Value > 0 {
			d.powerCost[i] += moved(3 * math.Log2(p/now.Power.Value))
		}
	}
	for i := range d.zooms {
		d.zoomCost[i] = s.zoomCost(d.zoom[i]) + s.zoomChange(d.zoom[i])
	}
}

func (s *Scene) zoomChange(z units.Millimetres) float64 {
	if s.Now == nil || !s.Now.Flash || s.Now.Zoom <= 0 {
		return 0
	}
	return moved(3 * math.Log2(float64(z/s.Now.Zoom)))
}

func (s *Scene) flashPanelChange(m units.Metres) float64 {
	if s.Now == nil || !s.Now.Flash || s.Now.FlashPanel <= 0 || s.Key.Way != Through {
		return 0
	}
	return moved(float64(m-s.Now.FlashPanel) / Step)
}

func (s *Scene) subjectChange(m units.Metres) float64 {
	if s.Now == nil || !s.Now.Flash || s.Key.Way == Wall {
		return 0
	}
	was := s.Now.PanelSubject
	if s.Key.Way == Bare {
		was = s.Now.FlashSubject
	}
	if was <= 0 {
		return 0
	}
	return moved(float64(m-was) / Step)
}

// geometry puts the key where the state says.
func (q *search) geometry(x *state) error {
	if q.s.Key == nil {
		return nil
	}
	z, fp, sub := x.dial[zoomDial], x.dial[flashPanelDial], x.dial[subjectDial]
	p := &q.seen[(z*37+fp*11+sub)%len(q.seen)]
	if !p.known || p.zoom != z || p.flashPanel != fp || p.subject != sub {
		d := &q.d
		toPanel, toFace := d.flashPanel.at(fp), d.subject.at(sub)
		*p = placing{zoom: z, flashPanel: fp, subject: sub, known: true}
		p.full, p.err = q.s.Key.full(d.guide[z], d.zoom[z], toPanel, toFace)
		p.cost = d.zoomCost[z] + q.s.flashPanelCost(toPanel) + q.s.flashPanelChange(toPanel) +
			q.s.subjectCost(toFace) + q.s.subjectChange(toFace)
	}
	x.full, x.place = p.full, p.cost
	return p.err
}

// rate sets the state's power to the best that its other dials leave it (no
// click of it costs less), and the state's cost. A state that cannot come under a
// cost is left there: its face need not be looked at.
func (q *search) rate(x *state, under float64) {
	d, s := &q.d, q.s
	i, a, t, n := x.dial[isoDial], x.dial[apertureDial], x.dial[shutterDial], x.dial[filterDial]
	seen := d.iso.stops[i] + d.aperture.stops[a] - float64(d.nd[n])
	ambient := float64(s.Ambient) + seen + d.shutter.stops[t]
	background := ambient + float64(s.Background-s.Ambient)
	cost := d.iso.cost[i] + d.aperture.cost[a] + d.shutter.cost[t] + d.ndCost[n] +
		s.backgroundCost(background)
	if s.Key == nil {
		x.cost = cost + s.faceCost(ambient)
		return
	}
	cost += x.place + lookCost(ambient, float64(s.Want.Ambient), ambientOver, ambientUnder)
	if cost >= under {
		x.cost = cost
		return
	}
	room, full := math.Exp2(ambient), math.Exp2(x.full+seen-d.hss[t])
	// From the last mark under the power that completes the face, click on.
	p := x.power
	need := (q.face - room) / full
	for p > 0 && d.power[p].Value > need {
		p--
	}
	for p+1 < d.powers && d.power[p+1].Value <= need {
		p++
	}
	at := func(p int) float64 {
		share := full * d.power[p].Value
		return cost + d.powerCost[p] + keyCost(share, q.leastKey) + s.faceCost(math.Log2(room+share))
	}
	x.power, x.cost = p, at(p)
	for p := x.power + 1; p < d.powers; p++ {
		c := at(p)
		if c >= x.cost {
			break
		}
		x.power, x.cost = p, c
	}
	// Where the flash has little to add, less of it may cost less.
	for p := x.power - 1; p >= 0; p-- {
		c := at(p)
		if c >= x.cost {
			break
		}
		x.power, x.cost = p, c
	}
}

// turns are the moves tried: single dials, and pairs that keep the exposure.
// The higher index is more light on camera dials and less on distances, so
// camera dials pair against each other and with distances.
var turns = func() (all [][kinds]int8) {
	add := func(by ...int8) {
		var m [kinds]int8
		for i := 0; i < len(by); i += 2 {
			m[by[i]] = by[i+1]
		}
		all = append(all, m)
	}
	for _, by := range []int8{1, -1, 3, -3} {
		add(shutterDial, by)
		add(apertureDial, by)
		add(isoDial, by)
		add(apertureDial, by, shutterDial, -by)
		add(isoDial, by, shutterDial, -by)
		add(isoDial, by, apertureDial, -by)
	}
	for _, by := range []int8{1, -1} {
		add(filterDial, by)
		add(subjectDial, by)
		add(subjectDial, 4*by)
		add(flashPanelDial, by)
		add(flashPanelDial, 4*by)
		add(zoomDial, by)
		add(zoomDial, by, flashPanelDial, 4*by)
		// A hand's breadth or two of distance is about a click.
		add(subjectDial, 4*by, isoDial, by)
		add(subjectDial, 4*by, apertureDial, by)
		add(subjectDial, 4*by, shutterDial, by)
	}
	return all
}()

// descend turns dials while that costs less, until no turn does.
func (q *search) descend(x *state) {
	for last, k := 0, 0; last < len(turns); k = (k + 1) % len(turns) {
		last++
		for {
			y := *x
			ok, moves := true, false
			for i, by := range turns[k] {
				if by == 0 {
					continue
				}
				y.dial[i] += int(by)
				if y.dial[i] < 0 || y.dial[i] >= q.size[i] {
					ok = false
					break
				}
				moves = moves || i >= zoomDial
			}
			if !ok {
				break
			}
			if moves {
				if err := q.geometry(&y); err != nil {
					break // out of reach: a wall on this side, not a failure
				}
			}
			q.rate(&y, x.cost)
			if y.cost >= x.cost-1e-9 {
				break
			}
			*x, last = y, 0
		}
	}
}

// run descends from a few places worked out beforehand and keeps the best.
func (q *search) run() (state, error) {
	var best state
	found := false
	try := func(x state, hopeless float64) error {
		if err := q.geometry(&x); err != nil {
			return err
		}
		q.rate(&x, math.Inf(1))
		if x.cost > hopeless {
			return nil
		}
		q.descend(&x)
		if !found || x.cost < best.cost-1e-9 {
			best, found = x, true
		}
		return nil
	}
	for n := range q.d.nds {
		for _, p := range [...]plan{shutterFollows, apertureFollows, highSpeedFollows} {
			if p == highSpeedFollows && (q.s.Key == nil || !q.s.Key.HSS) {
				continue
			}
			if err := try(q.start(n, p), math.Inf(1)); err != nil {
				return state{}, err
			}
		}
	}
	if q.s.Now != nil {
		if err := try(q.stay(), math.Inf(1)); err != nil {
			return state{}, err
		}
	}
	// Some costs are for leaving a mark at all (base ISO, the suited place, what
	// is set now): from where the descent ended, put each dial back on its own
	// cheapest mark and let the others make up for it.
	for kind := range kinds {
		x := best
		x.dial[kind] = q.home(kind)
		if x.dial[kind] != best.dial[kind] {
			_ = try(x, math.Inf(1)) // out of reach there: nothing is gained, nothing lost
		}
	}
	if q.s.Key == nil {
		return best, nil
	}
	for round := 0; round < 3 && best.cost > contented; round++ {
		before := best.cost
		q.elsewhere(best, func(x state) { _ = try(x, before+hopeless) })
		if best.cost >= before {
			break
		}
	}
	return best, nil
}

// contented is a cost at which nothing much is amiss: half a stop of look, or a
// lens a stop off the wish. Above it the search also tries other places for the
// key.
const contented = 3.0

// hopeless is how much more than the best so far such a place may cost before
// any click and still be worth a descent.
const hopeless = 25.0

// elsewhere proposes the key at every zoom, and near and far, each time with
// the power as the only thing that follows, then with the aperture following,
// then the ISO: steps too wide for a descent to take by clicks.
func (q *search) elsewhere(from state, try func(state)) {
	d := &q.d
	propose := func(x state) {
		if x.dial == from.dial || q.geometry(&x) != nil {
			return
		}
		try(x)
		follow := func(kind int, dial *dial) {
			y := x
			want := dial.stops[x.dial[kind]] - (x.full - from.full)
			y.dial[kind] = nearest(dial.n, func(i int) float64 { return math.Abs(dial.stops[i] - want) })
			if y.dial != x.dial {
				try(y)
			}
		}
		follow(apertureDial, &d.aperture)
		follow(isoDial, &d.iso)
	}
	for z := range q.size[zoomDial] {
		x := from
		x.dial[zoomDial] = z
		propose(x)
	}
	for _, kind := range [...]int{subjectDial, flashPanelDial} {
		for _, i := range [...]int{0, q.size[kind] / 2, q.size[kind] - 1} {
			x := from
			x.dial[kind] = i
			propose(x)
		}
	}
}

// home is the mark of a dial that costs least by itself.
func (q *search) home(kind int) int {
	d := &q.d
	switch kind {
	case isoDial:
		return nearest(d.iso.n, func(i int) float64 { return d.iso.cost[i] })
	case apertureDial:
		return nearest(d.aperture.n, func(i int) float64 { return d.aperture.cost[i] })
	case shutterDial: // by itself none is dear: the fastest that needs no high-speed sync
		return nearest(d.shutter.n, func(i int) float64 { return d.hss[i] + d.shutter.stops[i]/1000 })
	case zoomDial:
		return nearest(q.size[kind], func(i int) float64 { return d.zoomCost[i] })
	case flashPanelDial:
		return d.flashPanel.start
	case subjectDial:
		return d.subject.start
	}
	return 0
}

// plan says which dial brings ambient and background to the look at a start.
type plan int

const (
	shutterFollows   plan = iota // the wished aperture, base ISO, a shutter that syncs
	apertureFollows              // base ISO, the fastest shutter that syncs
	highSpeedFollows             // as the first, the shutter beyond sync
)

// start is a sensible beginning by a plan; where its dial ends, the ISO makes
// up for the rest.
func (q *search) start(nd int, p plan) state {
	d, s := &q.d, q.s
	var x state
	x.dial[filterDial] = nd
	x.dial[flashPanelDial], x.dial[subjectDial] = d.flashPanel.start, d.subject.start
	if s.Key != nil {
		x.power = d.powers - 1
		x.dial[zoomDial] = nearest(q.size[zoomDial], func(i int) float64 { return math.Abs(float64(d.zoom[i] - s.suitedZoom())) })
	}
	want := float64(s.Want.Face) - float64(s.Ambient) // what the dials must let through, stops
	if s.Key != nil {
		toAmbient := float64(s.Want.Ambient) - float64(s.Ambient)
		toBackground := float64(s.Want.Background) - float64(s.Background)
		// The darker of the two has the say: what is too bright costs most.
		want = (ambientUnder*max(toAmbient, toBackground) + ambientOver*min(toAmbient, toBackground)) / (ambientUnder + ambientOver)
	}
	want += float64(d.nd[nd])
	base := q.home(isoDial)
	var let float64 // through aperture and shutter
	if p == apertureFollows {
		x.dial[shutterDial] = q.home(shutterDial)
		t := d.shutter.stops[x.dial[shutterDial]]
		x.dial[apertureDial] = nearest(d.aperture.n, func(i int) float64 {
			return math.Abs(d.aperture.stops[i] + t + d.iso.stops[base] - want)
		})
		let = d.aperture.stops[x.dial[apertureDial]] + t
	} else {
		x.dial[apertureDial] = q.home(apertureDial)
		a := d.aperture.stops[x.dial[apertureDial]]
		x.dial[shutterDial] = nearest(d.shutter.n, func(i int) float64 {
			off := math.Abs(a + d.shutter.stops[i] + d.iso.stops[base] - want)
			if s.Key != nil && (d.hss[i] > 0) != (p == highSpeedFollows) {
				off += 100
			}
			return off
		})
		let = a + d.shutter.stops[x.dial[shutterDial]]
	}
	x.dial[isoDial] = nearest(d.iso.n, func(i int) float64 { return math.Abs(d.iso.stops[i]+let-want) + 0.01*d.iso.cost[i] })
	return x
}

// stay is where the crew is.
func (q *search) stay() state {
	d, now := &q.d, q.s.Now
	x := q.start(0, shutterFollows)
	at := func(kind int, dial *dial, value float64, stops func(float64) float64) {
		if value > 0 {
			was := stops(value)
			x.dial[kind] = nearest(dial.n, func(i int) float64 { return math.Abs(dial.stops[i] - was) })
		}
	}
	at(isoDial, &d.iso, now.ISO.Value, isoStops)
	at(apertureDial, &d.aperture, now.Aperture.Value, apertureStops)
	at(shutterDial, &d.shutter, now.Shutter.Value, math.Log2)
	x.dial[filterDial] = nearest(d.nds, func(i int) float64 { return math.Abs(float64(d.nd[i] - now.ND)) })
	if q.s.Key == nil || !now.Flash {
		return x
	}
	if now.Zoom > 0 {
		x.dial[zoomDial] = nearest(d.zooms, func(i int) float64 { return math.Abs(float64(d.zoom[i] - now.Zoom)) })
	}
	to := func(kind int, sp span, was units.Metres) {
		if was > 0 {
			x.dial[kind] = nearest(sp.n, func(i int) float64 { return math.Abs(float64(sp.at(i) - was)) })
		}
	}
	to(flashPanelDial, d.flashPanel, now.FlashPanel)
	if q.s.Key.Way == Bare {
		to(subjectDial, d.subject, now.FlashSubject)
	} else {
		to(subjectDial, d.subject, now.PanelSubject)
	}
	return x
}

// nearest is the index below n for which far is least; the first of equals.
func nearest(n int, far func(int) float64) int {
	best, least := 0, math.Inf(1)
	for i := range n {
		if f := far(i); f < least {
			best, least = i, f
		}
	}
	return best
}

// solution prints the state: marks, levels, parts of the cost.
func (q *search) solution(x state) (Solution, error) {
	d, s := &q.d, q.s
	set := Settings{
		ISO: d.iso.mark[x.dial[isoDial]], Aperture: d.aperture.mark[x.dial[apertureDial]],
		Shutter: d.shutter.mark[x.dial[shutterDial]], ND: d.nd[x.dial[filterDial]],
	}
	if f := s.Key; f != nil {
		set.Flash, set.Power, set.Zoom = true, d.power[x.power], d.zoom[x.dial[zoomDial]]
		set.HSS = d.hss[x.dial[shutterDial]] > 0
		s.place(&set, d.flashPanel.at(x.dial[flashPanelDial]), d.subject.at(x.dial[subjectDial]))
	}
	levels, cost, err := s.rate(&set)
	if err != nil {
		return Solution{}, err
	}
	out := Solution{Settings: set, Levels: levels, Cost: cost, Right: math.Abs(float64(levels.Subject-s.Want.Face)) <= Tolerance}
	if !out.Right {
		out.Short = levels.Subject - s.Want.Face
		out.Buys = s.buys(&out)
	}
	return out, nil
}
