package hear

import "math"

// A numeral is a number as written.
type numeral struct {
	v    float64
	den  float64 // of a fraction 1/den, else 0
	word bool    // written as a word
	end  int
}

var numberWords = map[string]float64{
	"zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14,
	"fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19, "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
	"dozen": 12,
}

// numeral reads a number at i: digits, words, "a pair of", "3 1/2", "1/8",
// "one and a half", "half a".
func (r *reader) numeral(i int) (n numeral, ok bool) {
	t := r.at(i)
	switch {
	case t.kind == numberToken:
		n = numeral{v: t.num, end: i + 1}
		if r.at(i+1).is("/") && r.at(i+2).kind == numberToken && (r.at(i+1).glued || !r.at(i+2).glued) {
			den := r.at(i + 2).num
			n.end = i + 3
			n.den = den
			if den == 0 {
				n.v = math.Inf(1)
			} else {
				n.v = t.num / den
			}
			return n, true
		}
		// a mixed number: 3 1/2
		if next := r.at(i + 1); next.kind == numberToken && next.num == 1 && t.num == math.Trunc(t.num) && t.num < 100 && r.at(i+2).is("/") && r.at(i+3).kind == numberToken {
			if den := r.at(i + 3).num; den == 2 || den == 3 || den == 4 || den == 8 {
				if _, end := r.lengthUnit(i + 4); end > i+4 || r.at(i+4).in("stop", "stops") {
					return numeral{v: t.num + 1/den, end: i + 4}, true
				}
			}
		}
		if r.at(i+1).is("and") && r.at(i+2).is("a") && r.at(i+3).is("half") {
			return numeral{v: t.num + 0.5, end: i + 4}, true
		}
		return n, true
	case t.kind != wordToken:
		return n, false
	case t.is("half") && r.at(i+1).in("a", "an"):
		return numeral{v: 0.5, word: true, end: i + 2}, true
	case t.in("a", "one") && r.at(i+1).is("pair") && r.at(i+2).is("of"):
		return numeral{v: 2, word: true, end: i + 3}, true
	case t.is("pair") && r.at(i+1).is("of"):
		return numeral{v: 2, word: true, end: i + 2}, true
	case t.is("a") && r.at(i+1).is("couple") && r.at(i+2).is("of"):
		return numeral{v: 2, word: true, end: i + 3}, true
	case t.is("couple") && r.at(i+1).is("of"):
		return numeral{v: 2, word: true, end: i + 2}, true
	case t.is("a") && r.at(i+1).is("dozen"):
		return numeral{v: 12, word: true, end: i + 2}, true
	}
	v, known := numberWords[t.text]
	if !known {
		return n, false
	}
	n = numeral{v: v, word: true, end: i + 1}
	if v >= 20 && v <= 90 {
		if unit, ok := numberWords[r.at(i+1).text]; ok && unit >= 1 && unit <= 9 && r.at(i+1).kind == wordToken {
			n.v, n.end = v+unit, i+2
		}
	}
	for r.at(n.end).in("hundred", "thousand") {
		if r.at(n.end).is("hundred") {
			n.v *= 100
		} else {
			n.v *= 1000
		}
		n.end++
	}
	switch {
	case r.at(n.end).is("and") && r.at(n.end+1).is("a") && r.at(n.end+2).is("half"):
		n.v, n.end = n.v+0.5, n.end+3
	case r.at(n.end).is("point") && r.at(n.end+1).kind == wordToken:
		if d, ok := numberWords[r.at(n.end+1).text]; ok && d >= 0 && d <= 9 {
			n.v, n.end = n.v+d/10, n.end+2
		}
	}
	return n, true
}
