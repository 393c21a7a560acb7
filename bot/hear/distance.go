package hear

import "panelhand/rules/fact"

// A place is an end of a distance.
type place byte

const (
	nowhere place = iota
	atFlash
	atPanel // or whatever cloth the light comes from
	atSubject
	atCamera
	atBackground
	elsewhere // a ceiling, a tram wire: no end of ours
)

// between is the path of the distance between two places.
var between = map[[2]place]string{
	{atFlash, atPanel}: "distance.flash_panel_m", {atFlash, atSubject}: "distance.flash_subject_m", {atPanel, atSubject}: "distance.panel_subject_m",
	{atSubject, atCamera}: "distance.camera_subject_m", {atSubject, atBackground}: "distance.subject_background_m",
}

func pathBetween(a, b place) string {
	if a > b {
		a, b = b, a
	}
	return between[[2]place{a, b}]
}

// low is the height under which a ceiling lights a face from straight above.
const low = 2.75 // m

// distances says which length lies between what.
func (r *reader) distances() {
	for k := range r.marks {
		m := &r.marks[k]
		if !m.is(length) || m.used {
			continue
		}
		at := r.span(m.start, m.end)
		if r.roomAt(k) {
			continue
		}
		path := r.roleOf(k)
		if path == "" {
			continue
		}
		m.used = true
		if _, said := r.out.Facts.Get(path); said {
			continue
		}
		r.put(path, m.q.v, at)
		if !r.at(m.end - 1).in("mm") {
			r.out.Style.Length = m.q.unit
		}
	}
}

// roomAt reads lengths that measure the room or a person's height.
func (r *reader) roomAt(k int) bool {
	m := &r.marks[k]
	value := fact.Value{Origin: fact.Said, Span: r.span(m.start, m.end)}
	near := func(words ...string) bool {
		return r.behind(m.end, 3, words...) && !r.behind(m.end, 1, "from", "behind", "away") || r.clauseBefore(m.start, 5, words...)
	}
	switch {
	case near("ceiling", "ceilings", "headroom"):
		m.used = true
		if m.q.v <= low && !r.clauseBefore(m.start, 6, "from", "under") {
			r.out.Facts.Add("limits", "low-ceiling", value)
		}
		return true
	case near("tall", "height"):
		m.used = true
		return true
	case r.behind(m.end, 1, "wide", "deep", "long", "high", "up", "square", "across", "room", "corridor", "lobby"):
		m.used = true
		if m.q.v <= 2.5 && !r.behind(m.end, 1, "high", "up", "long") && r.placeBehind(m.start, 6) != atPanel && m.q.v > 0.9 {
			r.out.Facts.Add("limits", "tight-space", value)
		}
		return true
	}
	return false
}

func (r *reader) clauseBefore(i, n int, words ...string) bool {
	for j := i - 1; j >= 0 && j >= i-n; j-- {
		if r.toks[j].pauses() {
			return false
		}
		if r.toks[j].in(words...) {
			return true
		}
	}
	return false
}

// placeAt says what end of a distance token i is.
func (r *reader) placeAt(i int) place {
	t := r.toks[i]
	if s := r.stems[i]; s != "" && len(s) > 2 {
		t.text = s
	}
	if k := r.owner[i]; k >= 0 && r.marks[k].isKit() {
		switch r.marks[k].word.kit.Kind {
		case "flash", "strobe", "led":
			return atFlash
		case "panel", "reflector", "diffuser", "umbrella", "softbox", "bounce-card":
			return atPanel
		}
		return elsewhere
	}
	switch {
	case t.kind != wordToken, t.in("cam", "camera") && r.at(i+1).in("left", "right"): // a side, no end
		return nowhere
	case t.in("camera", "cam", "lens", "me", "i", "im", "myself", "photographer", "tripod"):
		return atCamera
	case t.in("wall", "background", "bg", "backdrop", "bkg", "brick", "fence", "hedge", "curtain", "backing", "mural"):
		return atBackground
	case t.in("face", "nose", "eye", "cheek", "forehead", "chin", "head", "sitter", "subject", "model"), r.person(i) && !t.in("it", "us", "everything"):
		return atSubject
	case t.in("key"):
		return atPanel
	case t.in("wire", "wires", "window", "door", "edge", "kerb", "ceiling", "roof", "canopy", "water", "railing", "parapet", "tracks", "track", "pole", "ground", "floor", "road", "line", "radio", "trigger"):
		return elsewhere
	}
	return nowhere
}

// placeBehind returns the nearest place before token i in its clause.
func (r *reader) placeBehind(i, n int) place {
	for j := i - 1; j >= 0 && j >= i-n; j-- {
		if r.toks[j].pauses() && !r.toks[j].is("(") {
			return nowhere
		}
		if p := r.placeAt(j); p != nowhere {
			return p
		}
	}
	return nowhere
}

// placeAhead returns the first place from token i on in its clause, and where it stands.
func (r *reader) placeAhead(i, n int) (place, int) {
	for j := i; j < len(r.toks) && j < i+n; j++ {
		if r.toks[j].pauses() {
			break
		}
		if p := r.placeAt(j); p != nowhere {
			return p, j
		}
	}
	return nowhere, i
}

// roleOf returns the path of the length at mark k, or "".
func (r *reader) roleOf(k int) string {
	m := &r.marks[k]
	if r.hasItem("flash", "strobe") && (r.before(m.start, 1, "bare") || r.behind(m.end, 1, "bare")) {
		return "distance.flash_subject_m" // "flash full 1m bare"
	}
	left := r.placeBehind(m.start, 8)
	if left == nowhere && r.at(m.end).in("from", "off") {
		left = r.kitBehind(m.start) // "softbox, 1 m from his face"
	}
	i := m.end
	for r.at(i).in("away", "back", "out", "straight", "directly", "right", "just", "in") && !(r.at(i).is("in") && !r.at(i+1).is("front")) {
		if r.at(i).is("away") && !r.at(i+1).in("from") {
			return r.awayFrom(left)
		}
		i++
	}
	switch rel := r.at(i); {
	case rel.in("from", "off", "behind", "front", "to", "before", "past", "between", "through", "thru"):
		right, j := r.placeAhead(i+1, 6)
		if rel.is("off") && r.at(i+1).in("with", "w", "and", "n", "+", "&") {
			right = nowhere // "18in off w/ grid"
		}
		if rel.is("between") {
			other, _ := r.placeAhead(j+1, 5)
			return pathBetween(right, other)
		}
		if rel.in("through", "thru", "past") {
			return r.alone(k, left)
		}
		switch {
		case right == elsewhere || left == elsewhere && right != atSubject:
			return ""
		case right == nowhere && rel.in("to"):
			return r.alone(k, left)
		case right == nowhere && rel.in("off") && left != nowhere:
			return r.awayFrom(left)
		case right == nowhere && rel.is("behind"):
			if left == atBackground {
				return "distance.subject_background_m"
			}
			if left == atFlash {
				return "distance.flash_panel_m"
			}
			return ""
		case right == nowhere:
			return ""
		case left == nowhere && rel.is("behind") && right == atPanel:
			return "distance.flash_panel_m"
		case left == nowhere && right == atBackground:
			return "distance.subject_background_m"
		case left == nowhere && right == atCamera:
			return "distance.camera_subject_m"
		case left == nowhere && right == atSubject && rel.is("behind"):
			return ""
		case left == nowhere && right == atSubject:
			if r.clauseBefore(m.start, 8, "edge", "standing", "window", "helper") {
				return ""
			}
			return "distance.camera_subject_m"
		case left == elsewhere:
			return ""
		case left == atCamera && right == atBackground:
			return ""
		case left == atFlash && right == atSubject && rel.is("behind"):
			return ""
		case left == atCamera && right == atPanel, left == atCamera && right == atFlash:
			return ""
		}
		return pathBetween(left, right)
	}
	return r.alone(k, left)
}

// kitBehind returns the place of the kit named last in the sentence.
func (r *reader) kitBehind(i int) place {
	for j := i - 1; j >= 0 && j >= i-14 && !r.toks[j].breaks(); j-- {
		if p := r.placeAt(j); p == atFlash || p == atPanel {
			return p
		} else if p != nowhere {
			return nowhere
		}
	}
	return nowhere
}

// awayFrom is the path of "8 m away".
func (r *reader) awayFrom(left place) string {
	switch left {
	case atFlash:
		return "distance.flash_subject_m"
	case atPanel:
		return "distance.panel_subject_m"
	case atCamera, atSubject:
		return "distance.camera_subject_m"
	case atBackground:
		return "distance.subject_background_m"
	case nowhere:
		if r.flashTalk() && r.hasItem("flash", "strobe") {
			return "distance.flash_subject_m"
		}
		return "distance.camera_subject_m"
	}
	return ""
}

func (r *reader) hasItem(kinds ...string) bool {
	for _, it := range r.items {
		if contains(kinds, it.item.Kind) {
			return true
		}
	}
	return false
}

// alone is the path of a length with no "from" behind it: "panel at 1.2 m",
// "dist 5 ft".
func (r *reader) alone(k int, left place) string {
	m := &r.marks[k]
	if path := r.endsBefore(m.start); path != "" {
		return path
	}
	at := r.before(m.start, 2, "at", "@", "from", "to", "dist", "distance", "in", "out", "about", "around", "focused", "focussed", "approx", "roughly", "within", "is", "only", "standing")
	if r.before(m.start, 3, "dist", "distance", "focused", "focussed") {
		if r.before(m.start, 3, "focused", "focussed") {
			return "distance.camera_subject_m"
		}
		if left != nowhere && left != elsewhere {
			return r.awayFrom(left)
		}
		if right, _ := r.placeAhead(m.end, 4); right == atPanel || right == atFlash {
			return r.awayFrom(right)
		}
		if r.hasItem("panel", "reflector", "diffuser", "umbrella", "softbox") {
			return "distance.panel_subject_m"
		}
		return "distance.camera_subject_m"
	}
	switch {
	case left == elsewhere:
		return ""
	case left == atFlash && (at || r.markBefore(m.start) >= 0), left == atPanel && at:
		return r.awayFrom(left)
	case left == atCamera:
		return "distance.camera_subject_m"
	case left == atBackground && at:
		return "distance.subject_background_m"
	case left == atSubject && at && r.before(m.start, 1, "at", "@"):
		return "distance.camera_subject_m"
	case left == nowhere && len(r.items) == 0 && m.q.v >= 1 && m.end == len(r.toks) && r.settingBeside(k): // "100 iso 5m"
		return "distance.camera_subject_m"
	case left == nowhere && at && r.before(m.start, 1, "at", "@", "from") && (r.lensInClause(m.start) || r.clauseBefore(m.start, 4, "shooting", "shoot", "shot", "stood", "standing", "working")):
		return "distance.camera_subject_m"
	}
	return ""
}

// endsBefore reads both ends of a distance in front of its length: "panel to
// face 1.2 m".
func (r *reader) endsBefore(i int) string {
	i--
	for i > 0 && r.toks[i].in("is", "=", ":", "about", "at", "distance", "dist", "of") {
		i--
	}
	for i > 0 && r.placeAt(i) == nowhere && fillers[r.toks[i].text] {
		i--
	}
	if i < 1 || r.placeAt(i) == nowhere {
		return ""
	}
	far := r.placeAt(i)
	j := i - 1
	for j > 0 && fillers[r.toks[j].text] && r.placeAt(j) == nowhere {
		j--
	}
	if r.toks[j].is("to") && j > 0 {
		return pathBetween(r.placeAt(j-1), far)
	}
	if r.toks[i].glued && j == i-1 {
		return pathBetween(r.placeAt(j), far)
	}
	return ""
}

// lensInClause reports whether a focal length or an f-number stands before token i.
func (r *reader) lensInClause(i int) bool {
	for j := i - 1; j >= 0 && j > i-10; j-- {
		if r.toks[j].breaks() {
			return false
		}
		if k := r.owner[j]; k >= 0 && (r.marks[k].is(aperture) || r.marks[k].is(length) && r.at(r.marks[k].end-1).in("mm", "mil")) {
			return true
		}
	}
	return false
}
