package hear

import (
	"math"

	"panelhand/calc/units"
	"panelhand/rules/fact"
)

// camera says what the exposure values, focal lengths and kelvins of the
// message are: the camera's, the light's, or a meter's.
func (r *reader) camera() {
	r.metered()
	r.bareISO()
	flash := r.flashTalk()
	shutterSaid := false
	for k := range r.marks {
		m := &r.marks[k]
		shutterSaid = shutterSaid || m.is(shutter) && !m.used
	}
	for k := range r.marks {
		m := &r.marks[k]
		if m.word != nil || m.used {
			continue
		}
		at := r.span(m.start, m.end)
		switch m.q.kind {
		case fraction:
			m.q.kind = r.fractionOf(k, flash)
			if m.q.kind == shutter {
				m.used = true
				r.put("camera.shutter_s", m.q.v, at)
			}
		case aperture:
			m.used = true
			r.put("camera.aperture", m.q.v, at)
		case shutter:
			m.used = true
			if r.syncNear(m) {
				r.put("camera.sync_s", m.q.v, at)
			} else {
				r.put("camera.shutter_s", m.q.v, at)
			}
		case iso:
			m.used = true
			if r.atMost(m) {
				r.put("camera.iso_max", m.q.v, at)
			} else {
				r.put("camera.iso", m.q.v, at)
			}
		case syncTime:
			m.used = true
			r.put("camera.sync_s", m.q.v, at)
		case whiteBalance:
			m.used = true
			r.put("camera.wb_k", m.q.v, at)
		case kelvin:
			m.used = true
			if path := r.kelvinOf(k); path != "" {
				r.put(path, m.q.v, at)
			}
		case exposureValue:
			m.used = true
			if r.aboutBackground(k) {
				r.put("light.background_ev100", m.q.v, at)
			} else {
				r.put("light.ev100", m.q.v, at)
			}
		case length, bareNumber:
			r.focal(k)
		case clock:
			m.used = true
			if !r.before(m.start, 2, "sunset", "sunrise", "sundown", "until", "till", "til") {
				if _, said := r.out.Facts.Get("when.time"); !said {
					minutes := int(m.q.v) % (24 * 60)
					r.out.Facts.Put("when.time", fact.Value{Text: hhmm(minutes), Origin: fact.Said, Span: at})
				}
			}
		case date:
			m.used = true
			r.out.Facts.Put("when.date", fact.Value{Text: m.q.text, Origin: fact.Said, Span: at})
		case latitude:
			m.used = true
			r.put("where.lat", m.q.v, at)
		case longitude:
			m.used = true
			r.put("where.lon", m.q.v, at)
		}
	}
}

func hhmm(minutes int) string {
	h, m := minutes/60, minutes%60
	return string([]byte{byte('0' + h/10), byte('0' + h%10), ':', byte('0' + m/10), byte('0' + m%10)})
}

// before reports whether one of the words stands within n tokens before i.
func (r *reader) before(i, n int, words ...string) bool {
	for j := i - 1; j >= 0 && j >= i-n; j-- {
		if r.toks[j].in(words...) {
			return true
		}
		if r.toks[j].breaks() {
			return false
		}
	}
	return false
}

func (r *reader) behind(i, n int, words ...string) bool {
	for j := i; j < len(r.toks) && j < i+n; j++ {
		if r.toks[j].in(words...) {
			return true
		}
		if r.toks[j].breaks() {
			return false
		}
	}
	return false
}

// flashTalk reports whether a flash is in the message or in the thread, and
// was not denied.
func (r *reader) flashTalk() bool {
	said := false
	for k := range r.marks {
		m := &r.marks[k]
		if m.isKit() && (m.word.kit.Kind == "flash" || m.word.kit.Kind == "strobe") {
			if m.denied {
				return false
			}
			said = true
		}
		said = said || m.is(guide) || m.is(zoom) || m.is(energy)
	}
	for _, t := range r.toks {
		said = said || t.in("flash", "flashes", "battery", "batteries", "pops", "recycle", "nuked")
	}
	if said {
		return true
	}
	_, flash := r.known.Item("flash", "strobe")
	return flash && !r.known.Has("limits", "no-flash")
}

// fractionOf decides what a fraction alone is (README of the trade handbook):
// 1/64 and 1/128 are powers; 1/2 to 1/32 by doubling are powers where a flash
// is in the talk; every other one is a time.
func (r *reader) fractionOf(k int, flash bool) quantityKind {
	m := &r.marks[k]
	flashes := k > 0 && r.marks[k-1].isKit() && (r.marks[k-1].word.kit.Kind == "flash" || r.marks[k-1].word.kit.Kind == "strobe") && m.start-r.marks[k-1].end <= 1
	switch den := m.q.v2; {
	case den == 1, flashes && (den == 2 || den == 4 || den == 8 || den == 16 || den == 32):
		return power
	case den == 64, den == 128, den == 256:
		return power
	case r.syncNear(m):
		return syncTime
	case den == 2, den == 4, den == 8, den == 16, den == 32:
		if flash {
			return power
		}
		return shutter
	case den == 3:
		return frames
	}
	return shutter
}

func (r *reader) syncNear(m *mark) bool {
	return r.at(m.end).in("sync", "synch") || r.before(m.start, 2, "sync", "synch") && !r.before(m.start, 2, ",")
}

// bareISO reads "1/200 f4 100": a lone number of the ISO dial right beside an
// f-number or a time, where no ISO was said.
func (r *reader) bareISO() {
	for k := range r.marks {
		if r.marks[k].is(iso) {
			return
		}
	}
	for k := range r.marks {
		m := &r.marks[k]
		if !m.is(bareNumber) || m.used || m.q.v2 != 0 || r.at(m.start).kind != numberToken || !isoMark(m.q.v) {
			continue
		}
		next := r.at(m.end)
		if next.kind == wordToken && !fillers[next.text] && r.markStarting(m.end) < 0 {
			continue
		}
		if next := r.markStarting(m.end); next >= 0 && r.marks[next].word != nil && r.marks[next].word.person {
			continue
		}
		if k > 0 && r.setting(k-1) && r.gap(k-1, k) || k+1 < len(r.marks) && r.setting(k+1) && r.gap(k, k+1) {
			m.q.kind = iso
			return
		}
	}
}

// setting reports whether mark k is an f-number or a time.
func (r *reader) setting(k int) bool {
	m := &r.marks[k]
	return m.is(aperture) || m.is(shutter) || m.is(fraction)
}

// gap reports whether nothing but small punctuation stands between two marks.
func (r *reader) gap(a, b int) bool {
	for i := r.marks[a].end; i < r.marks[b].start; i++ {
		if !r.toks[i].in(",", "@", "at", "and", "/", ";", "-") {
			return false
		}
	}
	return true
}

func isoMark(v float64) bool {
	mark := units.ISOThirds().Nearest(v)
	return mark.Value == v && v >= 50 && v <= 12800
}

// kelvinOf decides whose colour temperature mark k is: the camera's dial, the
// light's, or a flash's that nothing needs.
func (r *reader) kelvinOf(k int) string {
	m := &r.marks[k]
	if r.clauseBefore(m.start, 5, "wb", "balance", "dial", "dialed", "dialled", "camera", "wbal", "cam", "set") || r.behind(m.end, 2, "wb", "balance") {
		return "camera.wb_k"
	}
	light := false
	for i := m.start - 1; i >= 0 && i >= m.start-6 && !r.toks[i].breaks() && !(r.toks[i].is(",") && light); i-- {
		if lightNouns[r.toks[i].text] || lightNouns[r.stems[i]] || r.kindMark(r.owner[i]) {
			light = true
		}
		if r.toks[i].in("flash", "strobe", "gel") {
			return ""
		}
		if r.toks[i].is(",") {
			break
		}
	}
	for i := m.end; i < len(r.toks) && i < m.end+3 && !r.toks[i].pauses(); i++ {
		if r.toks[i].in("flash", "strobe", "gel", "flashes") {
			return ""
		}
		if lightNouns[r.toks[i].text] || lightNouns[r.stems[i]] || r.kindMark(r.owner[i]) {
			light = true
		}
	}
	if light {
		return "light.cct_k"
	}
	return "camera.wb_k"
}

// kindMark reports whether mark k names a kind of light.
func (r *reader) kindMark(k int) bool {
	if k < 0 || r.marks[k].word == nil {
		return false
	}
	for _, m := range r.marks[k].word.Means {
		if m.Path == "light.kind" {
			return true
		}
	}
	return false
}

// focal reads focal lengths: "85mm", "on a 50", "the 35 lens".
func (r *reader) focal(k int) {
	m := &r.marks[k]
	last := r.at(m.end - 1)
	next := r.at(m.end)
	if m.is(length) {
		mm := math.Round(m.q.v * 1000)
		if !last.in("mm", "mil", "mill", "mms", "millimetre", "millimetres", "millimeter") || mm < 4 || mm > 1200 {
			return
		}
		if next.in("from", "away", "behind", "off", "wide", "thick", "high", "edge", "across", "to") && !next.in("to") || r.before(m.start, 1, "edge", "by") {
			return
		}
		if k > 0 && r.marks[k-1].end == m.start && r.marks[k-1].isKit() {
			switch r.marks[k-1].word.kit.Kind {
			case "flash", "strobe":
				m.q.kind, m.q.v = zoom, mm
				return
			case "panel", "reflector", "umbrella", "softbox", "diffuser", "led":
				if mm >= 300 {
					return
				}
			}
		}
		if k > 0 && r.marks[k-1].is(guide) && m.start-r.marks[k-1].end <= 2 {
			m.q.kind, m.q.v = zoom, mm
			return
		}
		if r.headZoom(m.end) && r.flashTalk() || r.before(m.start, 3, "flash", "head") && !r.before(m.start, 3, ",") {
			m.q.kind, m.q.v = zoom, mm
			return
		}
		m.used = true
		r.put("camera.focal_mm", mm, r.span(m.start, m.end))
		return
	}
	if m.q.v2 != 0 || r.at(m.start).kind != numberToken {
		return
	}
	if m.q.v >= 14 && m.q.v <= 200 && r.headZoom(m.end) && !r.at(m.start-1).is("-") && r.flashTalk() {
		m.q.kind = zoom // "at 35 zoom"; "24-70 zoom" is a lens
		return
	}
	switch m.q.v {
	case 14, 20, 24, 28, 35, 50, 55, 56, 85, 90, 100, 105, 135, 200:
	default:
		return
	}
	if next.in("lens", "prime", "end", "macro") || r.at(m.start-1).in("nifty") || m.end < len(r.toks) && k+1 < len(r.marks) && r.marks[k+1].is(aperture) && r.gap(k, k+1) && m.q.v >= 20 ||
		r.at(m.start-1).in("a", "the", "my", "an") && (next.pauses() || m.end == len(r.toks)) && r.before(m.start, 3, "on", "with", "using", "lens", "got", "have", "use") {
		m.used = true
		r.put("camera.focal_mm", m.q.v, r.span(m.start, m.end))
	}
}

// headZoom reports whether the number that ends at token i is the zoom of a
// head: "35 zoom", "70 on the zoom", and not "50 zoom lens".
func (r *reader) headZoom(i int) bool {
	if r.at(i).in("on") && r.at(i+1).in("the", "its") {
		i += 2
	}
	return r.at(i).is("zoom") && !r.at(i+1).in("lens", "end")
}

// atMost reports whether a value is said as the most there may be: "iso max
// 3200", "up to iso 1600".
func (r *reader) atMost(m *mark) bool {
	if len(r.known.Kit()) > 0 && r.at(m.start).is("iso") && r.at(m.start+1).is("up") && !r.behind(m.end, 3, "ok", "okay", "fine", "max", "allowed", "tops") {
		return false // "iso up to 800" in a talk is a dial to turn
	}
	for i := m.start; i < m.end; i++ {
		if r.toks[i].in("max", "maximum", "upto", "limit", "capped", "more", "higher", "over", "above", "under", "below") || r.toks[i].is("up") && r.at(i+1).is("to") {
			return true
		}
	}
	return r.before(m.start, 2, "max", "maximum", "upto", "limit", "above", "over", "beyond", "past") || r.at(m.start-1).is("to") && r.at(m.start-2).is("up") || r.at(m.start-1).is("than") && r.at(m.start-2).in("more", "higher") && !r.at(m.start-3).in("needs", "need", "want", "wants") || r.at(m.end).in("max", "maximum", "tops", "limit")
}
