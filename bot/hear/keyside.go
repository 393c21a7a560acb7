package hear

// keySide finds how far to the side of the lens a crew has its light: "cam right
// 35 deg", "softbox 40° to the left". Degrees by which somebody or something
// turns, and those of a height, are none of it.
func (r *reader) keySide() {
	if !r.lampTalk() {
		return
	}
	for k := range r.marks {
		m := &r.marks[k]
		if !m.is(angle) || m.denied || m.q.v > 90 {
			continue
		}
		before := r.before(m.start, 2, "left", "right") && r.before(m.start, 3, "cam", "camera", "c", "lens")
		behind := r.behind(m.end, 4, "left", "right", "side") && r.behind(m.end, 1, "to", "off", "from", "camera", "cam", "left", "right", "side")
		if !before && !behind || r.before(m.start, 5, "turn", "turned", "rotate", "move", "swing", "tilt", "chin", "head", "face", "nose", "body", "by", "another", "more", "feather", "rim", "kicker", "fill", "hair", "sun", "window") {
			continue
		}
		r.put("key.side_deg", m.q.v, r.span(m.start, m.end))
		return
	}
}

// lampTalk reports whether a light of the crew's own is spoken of.
func (r *reader) lampTalk() bool {
	for k := range r.marks {
		if m := &r.marks[k]; m.isKit() && !m.denied {
			switch m.word.kit.Kind {
			case "flash", "strobe", "led", "softbox", "umbrella":
				return true
			}
		}
	}
	return false
}
