package hear

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"panelhand/rules/fact"
)

// day reads what the day ahead is planned from: hours and what they are the
// hours of, the zone, the place. Dates are found with the other quantities.
func (r *reader) day() {
	planned := r.planned() || r.scheduled()
	for k := range r.marks {
		m := &r.marks[k]
		if _, zoned := r.out.Facts.Get("when.zone"); !zoned && m.is(clock) && r.at(m.end-1).in("z", "utc", "gmt") {
			r.out.Facts.Put("when.zone", fact.Value{Text: "UTC", Origin: fact.Said, Span: r.span(m.start, m.end)})
		}
		switch {
		case m.used:
		case m.is(longTime) && r.before(m.start, 1, "in") && slices.ContainsFunc(r.toks, func(t token) bool { return t.is("sun") }): // "where is the sun in 20 min"
			m.used = true
			r.put("when.ahead_min", m.q.v/60, r.span(m.start, m.end))
		case m.is(zoneName):
			m.used = true
			path := "when.zone"
			if strings.HasPrefix(m.q.text, "+") || strings.HasPrefix(m.q.text, "-") {
				path = "when.utc_offset"
			}
			r.out.Facts.Put(path, fact.Value{Text: m.q.text, Origin: fact.Said, Span: r.span(m.start, m.end)})
		case m.is(clock) && m.q.v2 > 0: // 2-6pm
			r.window(k, k, m.q.v2, m.q.v)
		case m.is(clock):
			next := r.rangeTo(k)
			if next >= 0 && r.marks[next].is(clock) {
				r.window(k, next, m.q.v, r.marks[next].q.v)
			} else if next >= 0 && planned && r.marks[next].is(bareNumber) && r.hour(r.marks[next].q.v) { // 9:30-11
				r.window(k, next, m.q.v, hourAfter(r.marks[next].q.v, m.q.v))
			} else if next >= 0 && planned && r.marks[next].is(longTime) && r.at(r.marks[next].end-1).is("h") && r.marks[next].q.v < 24*3600 { // 17:30-20h
				r.window(k, next, m.q.v, r.marks[next].q.v/60)
			} else if r.clockIs(k, planned) {
				m.used = true
			}
		case planned && m.is(bareNumber):
			r.bareHours(k)
		case planned && m.is(longTime) && r.at(m.end-1).is("h") && m.q.v < 24*3600: // 14h-18h
			if next := r.rangeTo(k); next >= 0 && r.marks[next].is(longTime) && r.marks[next].q.v < 24*3600 {
				r.window(k, next, m.q.v/60, r.marks[next].q.v/60)
			}
		case planned && (m.is(fraction) || m.is(power)) && m.q.v > 0 && m.q.v <= 1 && r.framesBefore(k):
			m.used = true
			r.put("plan.power", m.q.v, r.span(m.start, m.end))
			r.framesBeside(k)
		}
	}
	if _, named := r.out.Facts.Get("venue"); planned && !named {
		r.site()
	}
}

// hourly makes frames an hour the frames of all hours that are said: "120 frames
// an hour for 3 hours".
func (r *reader) hourly() {
	frames, said := r.out.Facts.Get("plan.frames")
	if !said {
		return
	}
	i := slices.IndexFunc(r.toks, func(t token) bool { return t.start >= frames.Span.End })
	if i < 0 || !(r.at(i).in("an", "per", "every", "each", "/", "a") && r.at(i+1).in("hour", "hr", "h")) {
		return
	}
	hours := 0.0
	for _, m := range r.marks {
		if m.is(longTime) && m.q.v >= 30*60 && m.q.v <= 16*3600 && r.at(m.end-1).in("h", "hr", "hrs", "hour", "hours") {
			hours = m.q.v / 3600
		}
	}
	start, _ := r.out.Facts.Get("plan.start")
	end, _ := r.out.Facts.Get("plan.end")
	if from, err := time.Parse("15:04", start.Text); err == nil && hours == 0 {
		if to, err := time.Parse("15:04", end.Text); err == nil {
			hours = math.Mod(to.Sub(from).Hours()+24, 24)
		}
	}
	if hours > 0 {
		r.put("plan.frames", math.Round(frames.Number*hours), frames.Span)
	}
}

// planned reports whether the day ahead is asked about, here or in the thread.
func (r *reader) planned() bool {
	if r.out.Facts.Has("ask", "plan") {
		return true
	}
	return slices.ContainsFunc(fact.Table, func(f fact.Fact) bool {
		_, known := r.known.Get(f.Path)
		return known && strings.HasPrefix(f.Path, "plan.")
	})
}

// scheduled reports whether a day stands right before hours from and to.
func (r *reader) scheduled() bool {
	return slices.ContainsFunc(r.marks, func(m mark) bool {
		return m.is(date) && r.hoursFrom(r.skip(m.end, ",", "from", "morning", "afternoon", "evening"))
	})
}

// window writes hours from and to, in minutes since midnight. One that ends
// before it starts goes past midnight.
// Further ones of the same message are written beside the first.
func (r *reader) window(from, to int, start, end float64) {
	r.marks[from].used, r.marks[to].used = true, true
	at := r.span(r.marks[from].start, r.marks[to].end)
	if m := r.marks[to]; end < start && start <= 13*60 && end < 13*60 && end+12*60 > start && m.is(clock) && !r.at(m.end-1).in("am", "pm") && len(r.at(m.start).text) < 5 && !strings.HasPrefix(r.at(m.start).text, "0") {
		end += 12 * 60 // 9:30-3:30
	}
	start = math.Mod(start, 24*60)
	if _, said := r.out.Facts.Get("plan.start"); said {
		more, _ := r.out.Facts.Get("plan.more")
		if len(more.Text) < mostMore {
			r.out.Facts.Put("plan.more", fact.Value{Text: strings.TrimSpace(more.Text + " " + hhmm(int(start)) + "-" + hhmm(int(end)%(24*60))), Origin: fact.Said, Span: at})
		}
		return
	}
	r.out.Facts.Put("plan.start", fact.Value{Text: hhmm(int(start)), Origin: fact.Said, Span: at})
	r.out.Facts.Put("plan.end", fact.Value{Text: hhmm(int(end) % (24 * 60)), Origin: fact.Said, Span: at})
}

// mostMore bounds the further stretches of a day, in bytes.
const mostMore = 50

// rangeTo returns the next mark where nothing but a word for a range stands
// before it, or -1.
func (r *reader) rangeTo(k int) int {
	if k+1 >= len(r.marks) {
		return -1
	}
	joined := r.marks[k+1].start == r.marks[k].end && r.at(r.marks[k].end).glued // 5am-8am: the hyphen is within words
	for i := r.marks[k].end; i < r.marks[k+1].start; i++ {
		switch {
		case r.at(i).in("-", "to", "till", "til", "until", "till", "thru", "through"), r.at(i).is("and") && r.before(r.marks[k].start, 1, "between"):
			joined = true
		default:
			return -1
		}
	}
	if !joined {
		return -1
	}
	return k + 1
}

// hourNames say what a single time of day is the time of, by the word before
// it, the nearest first.
var hourNames = []struct {
	path    string
	planned bool // only where a day is planned
	words   []string
}{
	{"plan.sunset", false, []string{"sunset", "sundown"}},
	{"plan.sunrise", false, []string{"sunrise", "sunup"}},
	{"plan.call", true, []string{"call", "meet", "meeting", "arrive", "arrival", "arriving"}},
	{"plan.end", true, []string{"until", "till", "til", "by", "wrap", "finish", "end", "ends", "ending", "done", "out"}},
	{"plan.start", true, []string{"from", "start", "starts", "starting", "begin", "begins", "after"}},
}

// clockIs writes a single time of day where a word before it says what of.
func (r *reader) clockIs(k int, planned bool) bool {
	m := &r.marks[k]
	for n := 1; n <= 3; n++ {
		if n > 1 && r.at(m.start-n+1).pauses() && !r.at(m.start-n+1).in(":", "-") {
			return false
		}
		for _, h := range hourNames {
			if (planned || !h.planned) && r.at(m.start-n).in(h.words...) {
				r.out.Facts.Put(h.path, fact.Value{Text: hhmm(int(m.q.v) % (24 * 60)), Origin: fact.Said, Span: r.span(m.start, m.end)})
				return true
			}
		}
	}
	for _, h := range hourNames { // "for a 9am start"
		if planned && h.planned && r.at(m.end).in(h.words...) && !r.at(m.end).in("until", "till", "til", "by", "from", "after", "out") {
			r.out.Facts.Put(h.path, fact.Value{Text: hhmm(int(m.q.v) % (24 * 60)), Origin: fact.Said, Span: r.span(m.start, m.end)})
			return true
		}
	}
	return false
}

// bareHours reads "6 to 9", "17-21", "2 to 6pm" as hours where nothing that is
// counted follows.
func (r *reader) bareHours(k int) {
	m := &r.marks[k]
	from, to, last := m.q.v2, m.q.v, k
	if m.q.v2 == 0 {
		next := r.rangeTo(k)
		if next < 0 || !r.hour(m.q.v) {
			return
		}
		if r.marks[next].is(clock) {
			r.window(k, next, hourBefore(m.q.v, r.marks[next].q.v), r.marks[next].q.v)
			return
		}
		if !r.marks[next].is(bareNumber) || r.marks[next].q.v2 != 0 {
			return
		}
		from, to, last = m.q.v, r.marks[next].q.v, next
	}
	end := r.marks[last].end
	if !r.hour(from) || !r.hour(to) || from == to || !(end >= len(r.toks) || r.at(end).pauses() || r.at(end).in("on", "at", "in", "with", "and", "for", "+", "h", "lat", "latitude", "near", "by", "outside", "outdoors", "inside", "indoors", "then", "under", "over", "down", "up", "along", "again") || r.isDateBefore(m.start) && r.counts(end) || placeNouns[r.at(end).text] || placeNouns[r.at(end+1).text] || r.markStarting(end) >= 0 && r.marks[r.owner[end]].is(date)) {
		return
	}
	typed := r.typed(m.start, end)
	switch {
	case from < 8 && to <= 12 && from < to && !r.before(m.start, 3, "morning", "dawn", "sunrise", "breakfast"): // a crew that means dawn says so
		from, to = from+12, to+12
		r.say(fmt.Sprintf("I took “%s” as %s to %s; say am if you meant the morning.", typed, hhmm(int(from*60)), hhmm(int(to*60)%(24*60))))
	case to < from && from < 12:
		to += 12
	}
	r.window(k, last, from*60, to*60)
}

func (r *reader) hour(v float64) bool { return v >= 0 && v <= 24 && v == math.Trunc(v) }

// hourBefore is a bare hour before an end in minutes: 2-6pm starts at 14:00,
// 10-2pm at 10:00.
func hourBefore(hour, end float64) float64 {
	start := hour * 60
	if hour < 12 && end >= 12*60 && start+12*60 < end {
		start += 12 * 60
	}
	return start
}

// hourAfter is a bare hour behind a start in minutes: 9:30-11, 2pm-6.
func hourAfter(hour, start float64) float64 {
	if end := hour * 60; end > start || hour > 12 {
		return end
	}
	return hour*60 + 12*60
}

// framesBefore reports whether a number of frames stands right before the
// mark: "300 frames at 1/4".
func (r *reader) framesBefore(k int) bool {
	return r.before(r.marks[k].start, 5, "frames", "frame", "shots", "pictures", "photos", "pops", "flashes", "images")
}

// framesBeside adds up what is shot at several powers, "200 frames at 1/4 and 80
// at 1/2", in flashes at full power.
func (r *reader) framesBeside(k int) {
	at := r.marks[k].start
	for at > 0 && r.at(at).kind != numberToken || at == r.marks[k].start {
		at--
	}
	full, more := r.at(at).num*r.marks[k].q.v, false
	for i := r.marks[k].end; i < len(r.toks); i++ {
		share, m := 0.0, (*mark)(nil)
		if r.at(i).is("full") && !r.at(i+1).in("sets", "stops", "stop") { // 20 full, 20 at full power
			share = 1
		} else if r.owner[i] >= 0 && r.marks[r.owner[i]].start == i {
			if m = &r.marks[r.owner[i]]; (m.is(fraction) || m.is(power)) && m.q.v <= 1 {
				share = m.q.v
			}
		}
		if share <= 0 {
			continue
		}
		n := i - 1
		if r.at(n).in("at", "on", "with", "@") {
			n--
		}
		if r.at(n).in("frames", "frame", "shots", "pictures", "photos", "pops", "flashes", "images", "more") {
			n--
		}
		if r.at(n).kind != numberToken || r.at(n).num != math.Trunc(r.at(n).num) || r.owner[n] >= 0 && r.marks[r.owner[n]].word == nil && !r.marks[r.owner[n]].is(bareNumber) { // f/4 at 1/200
			continue
		}
		if more = true; m != nil {
			m.used = true
		}
		full += r.at(n).num * share
	}
	if more {
		r.put("plan.full", full, r.span(at, r.marks[k].end))
	}
}

// site finds a place by what places are called, in small letters too: "at the
// harbour market", "for the station hall".
func (r *reader) site() {
	for i := range r.toks {
		if r.toks[i].kind != wordToken || !placeNouns[r.toks[i].text] {
			continue
		}
		end := i + 1
		for end < len(r.toks) && r.toks[end].kind == wordToken && placeNouns[r.toks[end].text] {
			end++
		}
		start := i
		for start > 0 && i-start < 2 && r.toks[start-1].kind == wordToken && !fillers[r.toks[start-1].text] && !idle[r.toks[start-1].text] && !r.isDate(start-1) && !r.toks[start-1].in("plan", "list", "pack", "packing", "day", "forecast", "brief", "hour", "h", "hrs", "am", "pm") {
			start--
		}
		r.out.Facts.Put("venue", fact.Value{Text: r.typed(start, end), Origin: fact.Said, Span: r.span(start, end)})
		return
	}
}

func (r *reader) isDate(i int) bool { return r.owner[i] >= 0 && r.marks[r.owner[i]].is(date) }

// counts reports whether a count of its own begins at a token: "2-6 two people".
func (r *reader) counts(i int) bool {
	_, number := r.numeral(i)
	return number && r.at(i+1).kind == wordToken
}

// isDateBefore reports whether a day stands right before a token.
func (r *reader) isDateBefore(i int) bool {
	for i--; r.at(i).in(",", "from", "morning", "afternoon", "evening"); i-- {
	}
	return i >= 0 && r.isDate(i)
}

var weekdays = []string{"sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday"}

// shortDays are too short to trust without a word or a number beside them.
var shortDays = map[string]string{"mon": "monday", "tue": "tuesday", "tues": "tuesday", "wed": "wednesday", "thu": "thursday", "thur": "thursday", "thurs": "thursday", "fri": "friday", "sat": "saturday", "sun": "sunday"}

// dayAt reads a day by name, a month before its day, and a time zone by name.
func (r *reader) dayAt(i int) (quantity, int) {
	t := r.at(i)
	switch {
	case t.is("day") && r.at(i+1).is("after") && r.at(i+2).is("tomorrow"):
		return quantity{kind: date, text: "day after tomorrow"}, i + 3
	case t.is("day") && r.at(i+1).in("before", "after") && (i+2 >= len(r.toks) || r.at(i+2).pauses() || r.at(i+2).is("?")), t.is("next") && r.at(i+1).is("day") && r.at(i-1).is("the"):
		if known, ok := r.known.Get("when.date"); ok { // of the day that is talked of
			way := "after"
			if r.at(i + 1).is("before") {
				way = "before"
			}
			return quantity{kind: date, text: "day " + way + " " + known.Text}, i + 2
		}
	case t.in("tomorrow", "tmrw", "tmr", "tomoz", "tmrrw"):
		return quantity{kind: date, text: "tomorrow"}, i + 1
	case t.in("today", "tonight") && r.out.Facts.Has("ask", "plan"):
		return quantity{kind: date, text: strings.Replace(t.text, "tonight", "today", 1)}, i + 1
	case t.in("next", "this", "coming"):
		if day, ok := r.weekday(i + 1); ok {
			if t.is("next") {
				day = "next " + day
			}
			return quantity{kind: date, text: day}, i + 2
		}
	}
	if day, ok := r.weekday(i); ok {
		if q, end := r.dateBehind(i + 1); end > 0 { // saturday 21 june
			return q, end
		}
		return quantity{kind: date, text: day}, i + 1
	}
	if q, end := r.monthFirst(i); end > 0 {
		return q, end
	}
	if q, end := r.spokenClock(i); end > 0 {
		return q, end
	}
	if q, end := r.lettered(i); end > 0 {
		return q, end
	}
	if q, end := r.zoneOfTown(i); end > 0 {
		return q, end
	}
	return r.zoneAt(i)
}

func (r *reader) weekday(i int) (string, bool) {
	t := r.at(i)
	if t.kind != wordToken {
		return "", false
	}
	if slices.Contains(weekdays, t.text) {
		return t.text, true
	}
	day, short := shortDays[t.text]
	if short && !t.is("sun") && r.hoursFrom(i+1) { // sat 14-17
		return day, true
	}
	if !short || !r.out.Facts.Has("ask", "plan") || !r.at(i-1).in("plan", "on", "this", "next", "for", "coming") {
		return "", false
	}
	return day, i+1 >= len(r.toks) || r.at(i+1).kind == numberToken || r.at(i+1).pauses() || r.at(i+1).in("at", "in", "from", "morning", "afternoon", "evening", "on") || month(r.at(i+1).text) > 0
}

// hoursFrom reports whether hours from and to stand at a token: 14-17, 2 to 6pm.
func (r *reader) hoursFrom(i int) bool {
	if r.at(i).kind != numberToken || r.at(i).num > 24 {
		return false
	}
	hours := false // said to be hours, with or without an end
	for i++; r.at(i).in("h", "am", "pm", ":") || r.at(i-1).is(":") && r.at(i).kind == numberToken; {
		hours = hours || r.at(i).in("am", "pm")
		i++
	}
	end := r.at(i + 1)
	return hours || r.at(i).in("-", "to", "till", "until") && (end.kind == numberToken && end.num <= 24 || end.in("noon", "midday", "midnight"))
}

// dateBehind reads the date that a weekday stands before.
func (r *reader) dateBehind(i int) (quantity, int) {
	i = r.skip(i, ",", "the")
	if n, ok := r.numeral(i); ok {
		if q, end := r.clockAt(i, n); end > 0 && q.kind == date {
			return q, end
		}
	}
	return r.monthFirst(i)
}

// monthFirst reads "june 21st 2025".
func (r *reader) monthFirst(i int) (quantity, int) {
	d := r.at(i + 1)
	if r.at(i).kind != wordToken || month(r.at(i).text) == 0 || d.kind != numberToken || d.num < 1 || d.num > 31 || d.num != math.Trunc(d.num) {
		return quantity{}, 0
	}
	end, ordinal := i+2, false
	if r.at(end).in("st", "nd", "rd", "th") && r.at(end).glued {
		end, ordinal = end+1, true
	}
	text := d.text + " " + r.at(i).text
	y := r.skip(end, ",")
	if r.at(y).kind == numberToken && len(r.at(y).text) == 4 && r.at(y).num > 1900 && r.at(y).num < 2200 && !r.at(y+1).is(":") {
		return quantity{kind: date, text: text + " " + r.at(y).text}, y + 1
	}
	if !ordinal && r.at(i).in("may", "march", "mar") && end < len(r.toks) && !r.at(end).pauses() {
		return quantity{}, 0 // "may 2 people wait there"
	}
	return quantity{kind: date, text: text}, end
}

// zoneAreas begin the names of time zones.
var zoneAreas = set(`africa america antarctica arctic asia atlantic australia europe indian pacific`)

// zoneAt reads "Europe/Lisbon" and "utc+2".
func (r *reader) zoneAt(i int) (quantity, int) {
	t := r.at(i)
	switch {
	case t.kind == wordToken && zoneAreas[t.text] && r.at(i+1).is("/") && r.at(i+1).glued && r.at(i+2).kind == wordToken:
		end := i + 3
		for r.at(end).in("/", "_") && r.at(end).glued && r.at(end+1).kind == wordToken {
			end += 2
		}
		return quantity{kind: zoneName, text: zoneCase(r.typed(i, end))}, end
	case t.in("utc", "gmt") && r.at(i+1).kind == numberToken && r.at(i+1).glued && r.at(i+1).start == t.end+1 && r.at(i+1).num <= 12 && !r.at(i+2).is(":"): // "utc-5" is one word with a hyphen
		return quantity{kind: zoneName, text: "-" + hhmm(int(60*r.at(i+1).num))}, i + 2
	case t.in("utc", "gmt") && r.at(i+1).in("+", "-") && r.at(i+2).kind == numberToken && r.at(i+2).num <= 14:
		end, minutes := i+3, 0.0
		if r.at(end).is(":") && r.at(end+1).kind == numberToken && r.at(end+1).num < 60 {
			minutes, end = r.at(end+1).num, end+2
		}
		return quantity{kind: zoneName, text: r.at(i+1).text + hhmm(int(60*math.Trunc(r.at(i+2).num)+minutes))}, end
	}
	return quantity{}, 0
}

// zoneCase writes a zone's name as it is filed, however it was typed.
func zoneCase(name string) string {
	b := []byte(strings.ToLower(name))
	up := true
	for i, c := range b {
		if up && c >= 'a' && c <= 'z' {
			b[i] = c - 'a' + 'A'
		}
		up = c == '/' || c == '_' || c == '-'
	}
	return strings.NewReplacer("_Of_", "_of_", "_Es_", "_es_", "Port-Au-", "Port-au-").Replace(string(b))
}
