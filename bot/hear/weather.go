package hear

import (
	"panelhand/calc/units"
	"panelhand/rules/fact"
)

// A mean wind of force 3 (12 km/h) is the least that limits a set-up, a gust
// of 1.5 times it likewise (trade handbook §6).
const (
	windyMean = 12.0 / 3.6
	windyGust = 1.5 * windyMean
	hotFrom   = 30.0 // °C: shade and water are called for
	coldTo    = 3.0  // °C: cells lose a third and hands stiffen
)

// weather reads wind, gusts, temperatures and short times.
func (r *reader) weather() {
	unit := units.Unit("")
	for k := range r.marks {
		if m := &r.marks[k]; m.is(speed) && m.q.unit != "" && m.q.unit != units.Force {
			unit = m.q.unit
			break
		}
	}
	for k := range r.marks {
		m := &r.marks[k]
		at := r.span(m.start, m.end)
		said := fact.Value{Origin: fact.Said, Span: at}
		switch {
		case m.word != nil || m.used:
		case m.is(speed), m.is(wind), m.is(gust):
			m.used = true
			v := m.q.v
			if m.q.plain {
				v = r.plainWind(v, unit)
			}
			gusty := m.is(gust) || r.before(m.start, 4, "gust", "gusts", "gusting", "gusty", "peaks", "bursts") && !r.before(m.start, 1, ",")
			if r.at(m.end).in("gust", "gusts", "gusting") && !r.numberFollows(m.end+1) {
				gusty = true
			}
			path, limit := "weather.wind_ms", windyMean
			if gusty {
				path, limit = "weather.gust_ms", windyGust
			} else if r.walking(m) {
				continue
			}
			r.put(path, v, at)
			if v >= limit && v <= 90 {
				r.out.Facts.Add("limits", "wind", said)
			}
			if r.out.Style.Wind == "" && !m.q.plain {
				r.out.Style.Wind = m.q.unit
			}
		case m.is(temperature):
			m.used = true
			r.put("weather.temp_c", m.q.v, at)
			if m.q.v >= hotFrom {
				r.out.Facts.Add("limits", "heat", said)
			}
			if m.q.v <= coldTo {
				r.out.Facts.Add("limits", "cold", said)
			}
			r.out.Style.Temperature = m.q.unit
		case m.is(longTime):
			m.used = true
			if m.q.v <= 20*60 && !r.before(m.start, 2, "every", "each", "per", "after", "for") && !r.behind(m.end, 2, "ago", "later", "walk", "away", "exposure", "drive") {
				r.out.Facts.Add("limits", "hurry", said)
			}
		}
	}
}

// numberFollows reports whether a number comes within the next words.
func (r *reader) numberFollows(i int) bool {
	for j := i; j < i+3; j++ {
		if r.at(j).kind == numberToken {
			return true
		}
		if r.at(j).pauses() {
			return false
		}
	}
	return false
}

// walking reports whether a speed is a person's, not the wind's.
func (r *reader) walking(m *mark) bool {
	return r.before(m.start, 4, "walking", "running", "walks", "runs", "moving", "dancing", "at", "cycling", "walk") && !r.before(m.start, 5, "wind", "gusts", "gust", "blowing", "winds") || r.behind(m.end, 2, "across")
}

// plainWind gives a wind without a unit the unit of the message's other wind,
// or km/h: the smallest of those in use, so that a caution it raises holds in
// every unit.
func (r *reader) plainWind(v float64, unit units.Unit) float64 {
	if unit == "" {
		unit = units.KilometrePerHour
		r.say("The wind came without a unit; I took it as km/h.")
	}
	word := string(unit)
	if ms, ok := units.Speed(v, word); ok {
		return float64(ms)
	}
	return v / 3.6
}
