package hear

import (
	"math"
	"slices"
	"strings"
	"time"
)

// coordinates reads a latitude that has its longitude behind it, and that
// longitude: "51.5N 0.1W", "38°42'N", "38 42 36 N, 9 8 24 W", "38.7, -9.14".
func (r *reader) coordinates(i int, n numeral) (quantity, int) {
	if n.word {
		return quantity{}, 0
	}
	last := quantity{}
	if k := len(r.marks) - 1; k >= 0 && r.marks[k].end >= i-3 {
		last = r.marks[k].q
	}
	v, letter, end := r.arc(i)
	switch {
	case end > 0 && letter.in("n", "s", "north", "south") && v <= 90:
		if _, east, behind := r.arc(r.skip(end, ",", "/")); behind == 0 || !east.in("e", "w", "east", "west") {
			return quantity{}, 0
		}
		if letter.in("s", "south") {
			v = -v
		}
		return quantity{kind: latitude, v: v}, end
	case end > 0 && letter.in("e", "w", "east", "west") && last.kind == latitude && v <= 180:
		if letter.in("w", "west") {
			v = -v
		}
		return quantity{kind: longitude, v: v}, end
	}
	return r.pairAt(i)
}

// lettered reads "N38.7 W9.14", "N 38°42', W 9°8'": the letter first.
func (r *reader) lettered(i int) (quantity, int) {
	t := r.at(i)
	v, end := r.degrees(i + 1)
	switch {
	case end == 0:
	case t.in("n", "s") && v <= 90:
		east := r.skip(end, ",", "/")
		if _, behind := r.degrees(east + 1); behind == 0 || !r.at(east).in("e", "w") {
			return quantity{}, 0
		}
		if t.is("s") {
			v = -v
		}
		return quantity{kind: latitude, v: v}, end
	case t.in("e", "w") && v <= 180 && len(r.marks) > 0 && r.marks[len(r.marks)-1].is(latitude) && r.skip(r.marks[len(r.marks)-1].end, ",", "/") == i:
		if t.is("w") {
			v = -v
		}
		return quantity{kind: longitude, v: v}, end
	}
	return quantity{}, 0
}

// arc reads degrees with their minutes and seconds and the letter behind them;
// end is 0 where no letter is.
func (r *reader) arc(i int) (v float64, letter token, end int) {
	v, j := r.degrees(i)
	if t := r.at(j); j > 0 && t.in("n", "s", "e", "w", "north", "south", "east", "west") {
		return v, t, j + 1
	}
	return 0, token{}, 0
}

// degrees reads a number of them, with minutes and seconds.
func (r *reader) degrees(i int) (v float64, end int) {
	if r.at(i).kind != numberToken {
		return 0, 0
	}
	v, j := r.at(i).num, i+1
	whole := v == math.Trunc(v)
	j = r.skip(j, "°", "deg", "degrees")
	for _, part := range []struct {
		worth float64
		signs []string
	}{{60, []string{"'", "′", "’", "min"}}, {3600, []string{`"`, "″", "”", "''"}}} {
		t := r.at(j)
		if !whole || t.kind != numberToken || t.num >= 60 {
			break
		}
		v, j = v+t.num/part.worth, j+1
		whole = t.num == math.Trunc(t.num)
		for r.at(j).in(part.signs...) {
			j++
		}
	}
	return v, j
}

// pairAt reads "38.71, -9.14" as latitude and longitude where a day is planned or the sun asked for: two
// numbers with decimals and no unit. The longitude is found by its own call.
func (r *reader) pairAt(i int) (quantity, int) {
	if k := len(r.marks) - 1; k >= 0 && r.marks[k].q.kind == latitude && r.marks[k].q.plain {
		if j := r.skip(r.marks[k].end, ",", "/"); i == j || i == j+1 && r.at(j).is("-") {
			v, _, end := r.decimal(j)
			return quantity{kind: longitude, v: v}, end
		}
	}
	start := i
	if r.at(i-1).is("-") && r.at(i).glued {
		start = i - 1
	}
	lat, fine, end := r.decimal(start)
	j := r.skip(end, ",", "/")
	lon, finer, behind := r.decimal(j)
	if end == 0 || behind == 0 || math.Abs(lat) > 90 {
		return quantity{}, 0
	}
	sunny := r.ofTheSun()
	if !sunny && !r.out.Facts.Has("ask", "plan") && !slices.ContainsFunc(r.marks, func(m mark) bool { return m.is(date) }) {
		return quantity{}, 0
	}
	sure := sunny && r.at(start-1).is("at") || fine > 1 && finer > 1 || j > end && (fine > 1 || finer > 1 || lat < 0 || lon < 0 || r.at(start-1).in("at", "lat/lon", "gps"))
	if next := r.at(behind); !sure || next.glued && next.kind == wordToken || next.in("m", "cm", "mm", "ft", "in", "s", "stop", "stops", "°") {
		return quantity{}, 0
	}
	return quantity{kind: latitude, v: lat, plain: true}, end
}

// ofTheSun reports whether a message asks where the sun stands, or when it goes.
func (r *reader) ofTheSun() bool {
	return slices.ContainsFunc(r.toks, func(t token) bool {
		return t.in("sunset", "sunrise", "sundown", "golden", "twilight", "dusk", "dawn") || t.is("sun") && r.at(0).in("when", "where", "how", "sun")
	})
}

// decimal reads a number with a point in it, its sign and its decimals; end is 0
// where there is none.
func (r *reader) decimal(i int) (v float64, decimals, end int) {
	sign := 1.0
	if r.at(i).is("-") {
		sign, i = -1, i+1
	}
	_, part, pointed := strings.Cut(r.at(i).text, ".")
	if r.at(i).kind != numberToken || !pointed {
		return 0, 0, 0
	}
	return sign * r.at(i).num, len(part), i + 1
}

// zoneOfTown reads "madrid time", "new york clock" as the zone that is named
// after the town.
func (r *reader) zoneOfTown(i int) (quantity, int) {
	for n := 2; n > 0; n-- {
		if !r.at(i+n).in("time", "clock", "zone") || r.at(i).kind != wordToken || r.at(i+n-1).kind != wordToken {
			continue
		}
		var town []string
		for k := range n {
			town = append(town, r.at(i+k).text)
		}
		if len(town[0]) < 4 && n == 1 || fillers[town[0]] {
			continue
		}
		for _, area := range townAreas {
			name := zoneCase(area + "/" + strings.Join(town, "_"))
			if _, err := time.LoadLocation(name); err == nil {
				return quantity{kind: zoneName, text: name}, i + n + 1
			}
		}
	}
	return quantity{}, 0
}

var townAreas = []string{"europe", "america", "asia", "africa", "australia", "pacific", "atlantic", "indian"}

// spokenClock reads times of day in words: "noon", "midnight", "half past three",
// "quarter to six", where they begin or end a stretch of time.
func (r *reader) spokenClock(i int) (quantity, int) {
	t := r.at(i)
	ranges := []string{"-", "to", "till", "til", "until", "thru", "through"}
	switch {
	case t.in("noon", "midday", "midnight", "lunchtime"):
		next := r.at(i + 1)
		beside := r.at(i-1).in(ranges...) && !next.in("blue", "black", "sun", "light") && i > 1 || next.in(ranges...) && (r.at(i+2).kind == numberToken || r.at(i+2).in("half", "quarter", "midnight", "noon")) || next.kind == numberToken && next.glued || t.glued && r.at(i-1).in("am", "pm") // noon-4pm, 9am-noon
		if !beside {
			return quantity{}, 0
		}
		v := 12.0 * 60
		if t.is("midnight") {
			v = 24 * 60
		}
		return quantity{kind: clock, v: v}, i + 1
	case t.in("half", "quarter") && r.at(i+1).in("past", "to"):
		n, ok := r.numeral(i + 2)
		if !ok || n.den > 0 || n.v < 1 || n.v > 12 || n.v != math.Trunc(n.v) {
			return quantity{}, 0
		}
		v := n.v * 60
		switch {
		case t.is("half"):
			v += 30
		case r.at(i + 1).is("past"):
			v += 15
		default:
			v -= 15
		}
		end := n.end
		if r.at(end).in("am", "pm") {
			end++
		}
		if morning := r.at(end-1).is("am") || r.before(i, 4, "morning", "dawn", "sunrise", "breakfast"); !morning && v < 8*60 || r.at(end-1).is("pm") && v < 12*60 {
			v += 12 * 60 // a crew that means dawn says so
		}
		return quantity{kind: clock, v: v}, end
	}
	return quantity{}, 0
}
