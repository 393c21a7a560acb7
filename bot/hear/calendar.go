package hear

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// clockAt reads times of day and dates; end is 0 where there is none.
func (r *reader) clockAt(i int, n numeral) (quantity, int) {
	if n.word {
		return quantity{}, 0
	}
	j := n.end
	t := r.at(i)
	if r.at(j).is(":") && r.at(j).glued && r.at(j+1).kind == numberToken && r.at(j+1).glued {
		minutes := r.at(j + 1)
		if len(minutes.text) == 2 && t.num < 25 && minutes.num < 60 {
			end := j + 2
			hours := t.num
			if r.at(end).is(":") && r.at(end+1).kind == numberToken {
				end += 2
			}
			if r.at(end).in("am", "pm") {
				if r.at(end).is("pm") && hours < 12 {
					hours += 12
				}
				end++
			}
			if r.at(end).in("h", "hrs", "z", "utc", "gmt") {
				end++
			}
			if hours < 24 {
				return quantity{kind: clock, v: hours*60 + minutes.num}, end
			}
		}
		return quantity{kind: ratio, v: t.num, v2: minutes.num}, j + 2
	}
	if r.at(j).is("to") && r.at(j+1).kind == numberToken && r.at(j+1).num == 1 && r.at(j+2).in("ratio") {
		return quantity{kind: ratio, v: t.num, v2: 1}, j + 3
	}
	// 2024-06-20
	if len(t.text) == 4 && t.num > 1900 && t.num < 2200 && r.at(j).is("-") && r.at(j+1).kind == numberToken && r.at(j+2).is("-") && r.at(j+3).kind == numberToken {
		return quantity{kind: date, text: t.text + "-" + r.at(j+1).text + "-" + r.at(j+3).text}, j + 4
	}
	if q, end := r.figuresAt(i); end > 0 {
		return q, end
	}
	if q, end := r.pointedClock(i); end > 0 {
		return q, end
	}
	// 21 dec 2024, 15th august
	k := j
	if r.at(k).in("st", "nd", "rd", "th") && r.at(k).glued {
		k++
	}
	if r.at(k).in("of") {
		k++
	}
	if month(r.at(k).text) > 0 && r.at(k).kind == wordToken && t.num >= 1 && t.num <= 31 {
		text := t.text + " " + r.at(k).text
		k++
		if y := r.at(k); y.kind == numberToken && len(y.text) == 4 && y.num == math.Trunc(y.num) {
			text, k = text+" "+y.text, k+1
		}
		return quantity{kind: date, text: text}, k
	}
	return quantity{}, 0
}

// pointedClock reads 17.30 as a time of day beside another: "17.30 to 20h",
// "9.15-11.00".
func (r *reader) pointedClock(i int) (quantity, int) {
	t := r.at(i)
	hours, minutes, pointed := strings.Cut(t.text, ".")
	h, err1 := strconv.Atoi(hours)
	m, err2 := strconv.Atoi(minutes)
	if !pointed || len(minutes) != 2 || err1 != nil || err2 != nil || h > 23 || m > 59 {
		return quantity{}, 0
	}
	end := i + 1
	if r.at(end).in("h", "hrs", "uhr") {
		end++
	}
	joins := []string{"-", "to", "till", "until"}
	other := r.at(end + 1)
	first := r.at(end).in(joins...) && other.kind == numberToken && other.num < 24 && (r.at(end+2).in("h", "hrs") || len(other.text) >= 4 && strings.Contains(other.text, ".") || r.at(i-1).in(weekdays...) || r.at(i-1).in("tomorrow", "today"))
	second := i > 1 && r.at(i-1).in(joins...) && len(r.marks) > 0 && r.marks[len(r.marks)-1].is(clock) && r.marks[len(r.marks)-1].end == i-1
	if !first && !second {
		return quantity{}, 0
	}
	return quantity{kind: clock, v: float64(60*h + m)}, end
}

// figuresAt reads dates with points: 31.10.2026, and 31.10. where a day is planned.
func (r *reader) figuresAt(i int) (quantity, int) {
	first, second, pointed := strings.Cut(r.at(i).text, ".")
	day, err1 := strconv.Atoi(first)
	month, err2 := strconv.Atoi(second)
	if !pointed || !r.at(i+1).is(".") || !r.at(i+1).glued || err1 != nil || err2 != nil || day < 1 || day > 31 || month < 1 || month > 12 || len(second) > 2 {
		return quantity{}, 0
	}
	text, end := strconv.Itoa(day)+"/"+strconv.Itoa(month), i+2
	switch y := r.at(end); {
	case y.kind == numberToken && y.glued && len(y.text) == 4 && y.num > 1900 && y.num < 2200:
		return quantity{kind: date, text: text + "/" + y.text}, end + 1
	case !(y.kind == numberToken && y.glued) && (r.out.Facts.Has("ask", "plan") || r.at(i-1).in("on") || slices.Contains(weekdays, r.at(i-1).text)):
		return quantity{kind: date, text: text}, end
	}
	return quantity{}, 0
}

// slashed reads 31/12 as a date where a day is planned and it is no power: more
// than a whole, or behind a weekday.
func (r *reader) slashed(i int) (quantity, int) {
	d, m := r.at(i), r.at(i+2)
	if !r.at(i+1).is("/") || m.kind != numberToken || r.at(i+3).is("/") && r.at(i+3).glued {
		return quantity{}, 0
	}
	if d.num != math.Trunc(d.num) || m.num != math.Trunc(m.num) || d.num > 31 || m.num < 1 || m.num > 12 || d.num <= m.num && !slices.Contains(weekdays, r.at(i-1).text) || !r.out.Facts.Has("ask", "plan") {
		return quantity{}, 0
	}
	return quantity{kind: date, text: d.text + "/" + m.text}, i + 3
}

var monthNames = []string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}

// month returns 1 to 12, or 0. "may" and "mar" alone are too short a word to
// trust without a day before them, which the caller has seen.
func month(word string) int {
	if len(word) < 3 || len(word) > 9 {
		return 0
	}
	for k, name := range monthNames {
		if word == name || len(word) > 3 && word[:3] == name && fullMonths[k] == word || word == name+"t" {
			return k + 1
		}
	}
	return 0
}

var fullMonths = []string{"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"}
