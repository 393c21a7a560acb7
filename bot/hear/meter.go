package hear

import (
	"panelhand/calc/exposure"
	"panelhand/calc/units"
)

// meterWords say that the exposure after them was measured, not set.
var meterWords = set(`meter meters metered metering reads reading reading: incident measured measures measure`)

// metered turns "meter says f4 1/125 iso 400", "320 lux" into the light's level.
func (r *reader) metered() {
	for i, t := range r.toks {
		if t.kind == wordToken && meterWords[t.text] && !r.lengthWord(i) || t.in("says", "gives") && r.before(i, 4, "meter") {
			if t.in("meter") && r.before(i, 1, "flash") || t.in("says", "gives", "reads", "reading") && r.before(i, 3, "flash") {
				r.flashMetered(i)
				continue
			}
			r.meteredAt(i)
		}
		if k := r.markStarting(i + 1); t.in("ambient", "ambi") && k >= 0 && r.wholeReading(k) {
			r.meteredFrom(k, i) // "ambient 1/30 f2.8 iso800"
		}
	}
	for i, t := range r.toks { // "f4 1/125 iso 400 metered"
		if t.in("metered", "incident", "measured", "reading") {
			if k := r.markEndingAny(i); k >= 0 && !r.marks[k].used && (r.setting(k) || r.marks[k].is(iso)) {
				for k > 0 && !r.marks[k-1].used && (r.setting(k-1) || r.marks[k-1].is(iso)) && r.gap(k-1, k) {
					k--
				}
				r.meteredFrom(k, i)
			}
		}
	}
	lit := 0
	for k := range r.marks {
		if r.marks[k].is(lux) {
			lit++
		}
	}
	for k := range r.marks {
		m := &r.marks[k]
		if !m.is(lux) || m.used || lit > 1 && !r.ledBeside(k) {
			continue
		}
		if r.ledBeside(k) {
			continue // kit.go gives it to the LED
		}
		r.luxAt(k)
	}
}

// flashMetered leaves out what a flash meter says: it is the flash's light,
// and neither the light that is there nor what the camera is set to.
func (r *reader) flashMetered(i int) {
	for j := i + 1; j < len(r.toks) && j < i+12 && !r.toks[j].breaks(); j++ {
		k := r.markStarting(j)
		if k < 0 || r.marks[k].used {
			continue
		}
		if m := &r.marks[k]; m.is(aperture) || m.is(shutter) || m.is(fraction) || m.is(iso) || m.is(exposureValue) {
			m.used = true
			r.say("A flash meter reads the flash, not the light that is there, so I left “" + r.typed(m.start, m.end) + "” out.")
		}
	}
}

// wholeReading reports whether an f-number, a time and an ISO stand in a row
// from mark k on: all that a light's level takes.
func (r *reader) wholeReading(k int) bool {
	var stop, time, speed bool
	for first := k; k < len(r.marks) && k < first+3 && (k == first || r.gap(k-1, k)); k++ {
		m := &r.marks[k]
		stop = stop || m.is(aperture)
		time = time || m.is(shutter) || m.is(fraction)
		speed = speed || m.is(iso)
	}
	return stop && time && speed
}

// lengthWord reports whether "meter" at i is a unit of length.
func (r *reader) lengthWord(i int) bool {
	return r.toks[i].in("meter", "meters") && r.at(i-1).kind == numberToken || r.owner[i] >= 0 && r.marks[r.owner[i]].is(length)
}

func (r *reader) markEndingAny(i int) int {
	i--
	for i >= 0 && (r.toks[i].in(",", "is") || r.toks[i].is("was")) {
		i--
	}
	if i < 0 || r.owner[i] < 0 || r.marks[r.owner[i]].word != nil {
		return -1
	}
	return r.owner[i]
}

func (r *reader) meteredAt(i int) {
	for j := i + 1; j < len(r.toks) && j < i+8; j++ {
		k := r.markStarting(j)
		if k < 0 {
			if r.toks[j].breaks() {
				return
			}
			continue
		}
		m := &r.marks[k]
		switch {
		case m.word != nil:
			if m.isKit() {
				return
			}
		case m.is(lux), m.is(exposureValue):
			return
		case m.is(aperture), m.is(shutter), m.is(fraction), m.is(iso):
			r.meteredFrom(k, i)
			return
		default:
			if r.marks[k].q.kind != bareNumber {
				return
			}
		}
	}
}

// meteredFrom reads the run of exposure values that starts at mark k. said is
// the token of the word that tells it was measured.
func (r *reader) meteredFrom(k, said int) {
	var n, t, s float64
	first, last := k, k
	for ; k < len(r.marks); k++ {
		m := &r.marks[k]
		if k > first && !r.gap(last, k) {
			break
		}
		switch {
		case m.is(aperture):
			n = m.q.v
		case m.is(shutter), m.is(fraction):
			t = m.q.v
		case m.is(iso):
			s = m.q.v
		case m.is(bareNumber) && isoMark(m.q.v) && n > 0 && t > 0 && s == 0:
			s = m.q.v
		default:
			k = len(r.marks)
			continue
		}
		last = k
	}
	for j := first; j <= last; j++ {
		r.marks[j].used = true
	}
	if n == 0 || t == 0 {
		return
	}
	span := r.span(r.marks[first].start, r.marks[last].end)
	if s == 0 {
		s = 100
		if v, ok := r.known.Number("camera.iso"); ok {
			s = v
		} else {
			r.say("No ISO was given with the reading, so I took it at ISO 100.")
		}
	}
	ev, err := exposure.EV100(units.FNumber(n), units.Seconds(t), units.ISO(s))
	if err != nil {
		return
	}
	if r.aboutBackground(first) || r.aboutBackgroundAt(said) {
		r.put("light.background_ev100", float64(ev), span)
		return
	}
	r.put("light.ev100", float64(ev), span)
}

func (r *reader) aboutBackground(k int) bool { return r.aboutBackgroundAt(r.marks[k].start) }

func (r *reader) aboutBackgroundAt(i int) bool {
	for j := i - 1; j >= 0 && j >= i-5; j-- {
		if r.toks[j].in("background", "bg", "bkg", "backdrop", "bkgd") {
			return true
		}
		if r.toks[j].pauses() || r.toks[j].in("face", "her", "him") {
			return false
		}
	}
	return false
}

func (r *reader) ledBeside(k int) bool {
	if r.metersBefore(r.marks[k].start) {
		return false
	}
	for _, j := range []int{k - 1, k - 2, k + 1} {
		if j >= 0 && j < len(r.marks) && r.marks[j].isKit() && r.marks[j].word.kit.Kind == "led" && !r.pauseBetween(j, k, ";.") {
			return true
		}
	}
	return false
}

func (r *reader) metersBefore(i int) bool {
	for j := i - 1; j >= 0 && j >= i-6; j-- {
		if meterWords[r.toks[j].text] {
			return true
		}
		if r.toks[j].breaks() {
			return false
		}
	}
	return false
}

// pauseBetween reports whether one of the marks of punctuation stands between
// two marks, in either order.
func (r *reader) pauseBetween(a, b int, pauses string) bool {
	if a > b {
		a, b = b, a
	}
	for i := r.marks[a].end; i < r.marks[b].start; i++ {
		if r.toks[i].symbol() {
			for _, p := range pauses {
				if r.toks[i].is(string(p)) {
					return true
				}
			}
		}
	}
	return false
}

// horizontalCut is what a lux reading on the flat tells too much of a face's
// light under overhead light: 1.5 stops (README of the trade handbook).
const horizontalCut = 1.5

func (r *reader) luxAt(k int) {
	m := &r.marks[k]
	m.used = true
	ev, err := exposure.FromLux(units.Lux(m.q.v))
	if err != nil {
		return
	}
	flat := r.before(m.start, 6, "horizontal", "horizontally", "floor", "desk", "table", "ground", "upwards", "flat") || r.behind(m.end, 5, "horizontal", "horizontally", "floor", "desk", "table", "ground", "upwards")
	if flat && r.overhead() {
		ev -= horizontalCut
		r.say("That lux was measured on the flat under light from above, so I took 1.5 stops off for the face.")
	}
	if r.aboutBackground(k) {
		r.put("light.background_ev100", float64(ev), r.span(m.start, m.end))
		return
	}
	r.put("light.ev100", float64(ev), r.span(m.start, m.end))
}

// overhead reports whether the message or the thread says the light is from above.
func (r *reader) overhead() bool {
	for k := range r.marks {
		if w := r.marks[k].word; w != nil && !r.marks[k].denied {
			for _, m := range w.Means {
				if m.Path == "light.from" && contains(m.Choices, "overhead") || m.Path == "light.kind" && (m.Text == "canopy" || m.Text == "fluorescent" || m.Text == "led-indoor") {
					return true
				}
			}
		}
	}
	return r.known.Has("light.from", "overhead")
}
