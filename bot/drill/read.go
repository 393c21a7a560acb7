package drill

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"panelhand/bot/hear"
	"panelhand/calc/units"
)

// A reply is a typed answer taken apart.
type reply struct {
	amounts   []amount
	direction int  // −1 for less light or lower, +1 for more, 0 where it is not said
	below     bool // "50 cm below" says where, not how much less
	stop      bool
	refused   bool // no, drop, fold: a refusal that is not the word "stop"
	passed    bool // "dunno"
	hedged    bool // "2 or 3"
	unknown   int  // words that no answer has
}

// An amount is one number of a reply.
type amount struct {
	value float64
	class class // of the unit typed, bare where there was none
	sign  int   // typed or said beside it, 0 where there was none
}

// A class is what units measure. An amount has its class's unit: stops, metres,
// seconds, degrees, kilograms, kelvins.
type class string

const (
	bare     class = ""
	stop     class = "stop"
	length   class = "length"
	mass     class = "mass"
	angle    class = "angle"
	kelvin   class = "kelvin"
	duration class = "time"
	under    class = "under" // 1/n, written as a fraction: a time or a power
	fNumber  class = "f-number"
	power    class = "power"
	iso      class = "iso"
	ev       class = "ev"
	lux      class = "lux"
	ratio    class = "ratio"
	mired    class = "mired"
	percent  class = "percent"
	count    class = "count"
	other    class = "other" // km/h and the like, which no answer is in
)

// words of an answer that say nothing of it.
var filler = wordSet(`a about again am an and answer approx approximately around at be by call can circa comes else exactly
	from get gets give gives go goes got guess i id if ill im in is it its light like make makes maybe me must near need nearly
	now of ok okay on or our out perhaps please probably reckon right rough roughly say should so some sort that thats the their them then
	there these they think this to um uh umm well will with would you your yes yeah hmm erm ish same as twice double way thanks final my we too bit just little turn across wide away apart give or take tbh
	mate boss pal sir coach please pls lol haha if not mistaken right deep long tall high behind front back`)

var lower = wordSet(`down darker dark under less minus below lower dimmer dim weaker weak lost lose loses drop drops fall falls negative
	decrease reduce reduced underexposed closed closes`)

var higher = wordSet(`up brighter bright over plus above higher wider lighter gain gains stronger positive increase rise add adds
	overexposed open opened opens more`)

// stopping is the word, however loud; hesitation what is typed while thinking.
var (
	stopping   = regexp.MustCompile(`^sto+p+$`)
	hesitation = regexp.MustCompile(`^(?:u+h*m*|h+m+|e+r+m*|o+h+|a+h+)$`)
)

var refusals = wordSet(`no nope never refuse dont drop fold pack cannot cant wont shouldnt wouldnt unsafe dangerous inside indoors abort`)

// reasons begin why somebody answers as they do.
var reasons = wordSet(`because cause cos cuz coz bc since`)

var questions = wordSet(`what why how when who which where whats hows whys`)

func wordSet(list string) map[string]bool {
	set := map[string]bool{}
	for _, w := range strings.Fields(list) {
		set[w] = true
	}
	return set
}

var numberWords = map[string]float64{
	"zero": 0, "nought": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
	"eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19, "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
	"half": 1. / 2, "third": 1. / 3, "quarter": 1. / 4, "eighth": 1. / 8, "sixteenth": 1. / 16, "couple": 2,
}

// parts are number words that say a part of one.
var parts = wordSet(`half third thirds quarter quarters eighth sixteenth`)

var unitWords = map[string]struct {
	class class
	worth float64
}{
	"stop": {stop, 1}, "stops": {stop, 1}, "evs": {stop, 1}, "click": {stop, 1. / 3}, "clicks": {stop, 1. / 3},
	"third": {stop, 1. / 3}, "thirds": {stop, 1. / 3},
	"°": {angle, 1}, "deg": {angle, 1}, "degs": {angle, 1}, "degree": {angle, 1}, "degrees": {angle, 1},
	"k": {kelvin, 1}, "kelvin": {kelvin, 1}, "kelvins": {kelvin, 1},
	"lux": {lux, 1}, "lx": {lux, 1}, "mired": {mired, 1}, "mireds": {mired, 1}, "%": {percent, 1}, "percent": {percent, 1},
	"pop": {count, 1}, "pops": {count, 1}, "flash": {count, 1}, "flashes": {count, 1}, "full": {count, 1}, "fulls": {count, 1},
	"power": {power, 1}, "kgf": {mass, 1}, "kmh": {other, 1}, "mph": {other, 1}, "kph": {other, 1}, "x": {other, 1}, "times": {other, 1}, "km": {other, 1},
}

// unitOf finds the unit that a word names.
func unitOf(word string, expected class) (class, float64, bool) {
	if word == "m" && expected == duration {
		return duration, 60, true
	}
	if u, ok := unitWords[word]; ok {
		return u.class, u.worth, true
	}
	if v, ok := units.Length(1, word); ok {
		return length, float64(v), true
	}
	if v, ok := units.Mass(1, word); ok {
		return mass, float64(v), true
	}
	if v, ok := units.Duration(1, word); ok {
		return duration, float64(v), true
	}
	return bare, 0, false
}

var tokens = regexp.MustCompile(`\d+(?:,\d{3})+(?:\.\d+)?|\d+(?:[.,]\d+)?|\.\d+|[\p{L}']+|[^\s]`)

// reader takes one answer apart.
type reader struct {
	toks     []string
	expected class
	known    map[string]bool // words of the question
	reply    reply
}

// passes are the whole messages that give a question up.
var passes = wordSet("pass skip dunno idk")

// sorry are the words around giving up.
var sorry = wordSet("sorry pls please really honestly mate oh um hmm just tbh honest lol haha ok okay well sure")

var passPhrases = []string{"i dont know", "dont know", "no idea", "no clue", "give up", "i give up", "tell me", "show me", "whats the answer", "what is the answer", "not sure", "im not sure", "i pass", "show the answer", "give me the answer", "tell me the answer", "what was the answer", "no idea whatsoever", "i have no idea", "havent a clue", "you tell me", "skip it", "skip this one", "skip this", "skip that", "i skip", "beats me"}

// read takes an answer apart. Words of the question say nothing new in it.
func read(text, question string, expected class) reply {
	plain := strings.Join(slices.DeleteFunc(strings.Fields(hear.Plain(text)), func(w string) bool { return sorry[w] }), " ")
	if passes[plain] || slices.Contains(passPhrases, plain) {
		return reply{passed: true}
	}
	r := reader{toks: tokens.FindAllString(hear.Normal(text), -1), expected: expected, known: wordSet(hear.Plain(question))}
	if at := slices.Index(r.toks, "="); at >= 0 { // what stands before it is the working
		r.toks = r.toks[lastIndex(r.toks, "=")+1:]
	}
	if at := slices.IndexFunc(r.toks, func(w string) bool { return reasons[w] }); at > 0 { // what stands behind it is why
		if before := (&reader{toks: r.toks[:at], expected: expected, known: r.known}).all(); len(before.amounts) > 0 || before.direction != 0 || before.stop {
			return before
		}
	}
	return r.all()
}

// all reads every token.
func (r *reader) all() reply {
	for i := 0; i < len(r.toks); {
		if end := r.amountAt(i); end > i {
			i = end
			continue
		}
		i = r.wordAt(i)
	}
	return r.reply
}

func lastIndex(list []string, s string) int {
	for i := len(list) - 1; i >= 0; i-- {
		if list[i] == s {
			return i
		}
	}
	return -1
}

func (r *reader) at(i int) string {
	if i < 0 || i >= len(r.toks) {
		return ""
	}
	return r.toks[i]
}

func letters(s string) bool { return s != "" && s[0] >= 'a' && s[0] <= 'z' }

// wordAt reads one word or sign that belongs to no amount.
func (r *reader) wordAt(i int) int {
	word := strings.ReplaceAll(r.at(i), "'", "")
	switch {
	case word == "" || !letters(word) && !strings.ContainsAny(word, "0123456789"):
		if word != "" && word[0] >= 0x80 {
			r.reply.unknown++
		}
	case stopping.MatchString(word):
		if before := r.at(i - 1); before != "not" && before != "never" && before != "full" && before != "cant" {
			r.reply.stop = true
		}
	case (word == "over" || word == "under") && (r.at(i-1) == "bit" || r.at(i-1) == "just" || r.at(i-1) == "little"): // "just over half a stop"
	case (word == "not" || word == "isnt") && (lower[r.at(i+1)] || higher[r.at(i+1)]):
		return i + 2 // "not darker" gives no direction
	case refusals[word] && !lower[word]:
		r.reply.refused = true
		if r.at(i+1) == "stop" && word != "no" { // "don't stop"
			return i + 2
		}
	case lower[word], higher[word]:
		r.reply.below = r.reply.below || word == "below"
		r.direct(word)
		r.reply.refused = r.reply.refused || refusals[word]
	case questions[word]:
		r.reply.unknown += 3
	case filler[word], r.known[word], hesitation.MatchString(word):
	default:
		if _, _, unit := unitOf(word, r.expected); !unit {
			r.reply.unknown++
		}
	}
	return i + 1
}

// direct takes a word for more or less. Both at once say neither.
func (r *reader) direct(word string) {
	way := -1
	if higher[word] {
		way = 1
	}
	switch r.reply.direction {
	case 0:
		r.reply.direction = way
	case -way:
		r.reply.direction = contradicted
	}
}

// contradicted is the direction of "brighter, no, darker".
const contradicted = 2

// amountAt reads a number with its sign and unit; end is i where there is none.
func (r *reader) amountAt(i int) (end int) {
	a := amount{class: bare}
	j := i
	switch r.at(j) {
	case "-", "minus":
		a.sign, j = -1, j+1
	case "+", "plus":
		a.sign, j = 1, j+1
	case "f", "iso", "ev", "asa", "gn":
		a.class = map[string]class{"f": fNumber, "iso": iso, "asa": iso, "ev": ev, "gn": other}[r.at(j)]
		j++
		if a.class == fNumber && (r.at(j) == "/" || r.at(j) == ".") {
			j++
		}
		if a.class == ev && r.at(j) == "-" {
			a.sign, j = -1, j+1
		}
		if v, err := strconv.ParseFloat(decimal(r.at(j)), 64); err != nil || !finite(v) {
			return i
		}
	}
	v, fraction, after := r.numeral(j)
	if after == j || !finite(v) {
		return i
	}
	if a.class == fNumber { // "f/8 and a third" is a third of a stop on
		v, _ = strconv.ParseFloat(decimal(r.at(j)), 64)
		var part float64
		part, after = r.andPart(0, j+1)
		v *= math.Exp2(part / 2)
	}
	j, a.value = after, v
	if a.class != bare {
		r.reply.amounts = append(r.reply.amounts, a)
		return j
	}
	to := j
	for r.expected == ratio && (r.at(to) == "-" || r.at(to) == "to") { // three-to-one
		to++
	}
	if r.at(j) == ":" {
		to = j + 1
	}
	if to > j {
		if w, _, after := r.numeral(to); after > to && w > 0 && v > 0 {
			a.value, a.class = math.Max(v/w, w/v), ratio // 3:1 and 1:3 are one ratio
			r.reply.amounts = append(r.reply.amounts, a)
			return after
		}
	}
	for r.at(j) == "of" && r.at(j+1) == "a" || r.at(j) == "a" && parts[r.at(j-1)] {
		if r.at(j) == "of" {
			j++
		}
		j++
	}
	if next := r.at(j); !fraction && (next == "or" || next == "to" || next == "-" || next == "/") {
		_, _, after := r.numeral(j + 1)
		r.reply.hedged = r.reply.hedged || after > j+1 && r.expected != power
	}
	if next := r.at(j + 1); r.at(j) == "full" && (next == "stop" || next == "stops") {
		j++
	}
	word := r.at(j)
	switch c, worth, ok := unitOf(word, r.expected); {
	case word == "ev":
		a.class, j = stop, j+1 // 2 EV is two stops; an EV is what it is by itself
		if r.expected == ev {
			a.class = ev
		}
	case word == "th" || word == "ths" || word == "nd" && v >= 2:
		a.class, j = under, j+1
		if !fraction {
			a.value = 1 / v
		}
		if r.at(j) == "of" && r.at(j+1) == "a" {
			j += 2
		}
		if w := r.at(j); w == "s" || w == "sec" || w == "second" || w == "power" {
			j++
		}
	case c == power && ok:
		a.class, j = power, j+1
	case c == kelvin && v < 100:
		a.class, a.value, j = kelvin, v*1000, j+1
	case ok && !(c == count && r.expected != count) && !(fraction && c == duration && worth == 1):
		a.class, a.value, j = c, v*worth, j+1
		if r.at(j) == "/" && (r.at(j+1) == "h" || r.at(j+1) == "s") {
			a.class, j = other, j+2
		}
		if c == length {
			a.value, j = r.rest(a.value, word, j)
		}
	case fraction:
		a.class = under
		if word == "s" || word == "sec" {
			a.class, j = duration, j+1
		}
	}
	if (a.class == under || a.class == power || a.class == bare) && r.expected == power {
		if m, after := r.trimmed(j); after > j {
			a.value, j = a.value*math.Exp2(m), after
		}
	}
	if a.class == stop && strings.HasPrefix(word, "stop") {
		a.value, j = r.clicksBeside(a.value, j)
	}
	if !finite(a.value) {
		return i
	}
	r.reply.amounts = append(r.reply.amounts, a)
	return j
}

// clicksBeside adds what is said in clicks behind stops: "1 stop and 2 clicks".
func (r *reader) clicksBeside(stops float64, i int) (float64, int) {
	j := i
	for r.at(j) == "and" || r.at(j) == "," || r.at(j) == "+" || r.at(j) == "plus" {
		j++
	}
	v, _, end := r.numeral(j)
	if end == j && r.at(j) == "a" {
		v, end = 1, j+1
	}
	if end > j && (r.at(end) == "click" || r.at(end) == "clicks") {
		return stops + v/3, end + 1
	}
	return stops, i
}

// rest reads what follows a length's first unit: "5 ft 9", `5'9"`, "1m75", "a metre twenty".
func (r *reader) rest(metres float64, unit string, i int) (float64, int) {
	v, fraction, end := r.numeral(i)
	next, _, named := unitOf(r.at(end), r.expected)
	switch {
	case end == i || fraction || named && next != length:
	case (unit == "ft" || unit == "foot" || unit == "feet" || unit == "'") && v < 12 && (!named || strings.HasPrefix(r.at(end), "in") || r.at(end) == `"`):
		if named {
			end++
		}
		inches, _ := units.Length(v, "in")
		return metres + float64(inches), end
	case (unit == "m" || unit == "metre" || unit == "meter") && v >= 10 && v < 100 && v == math.Trunc(v) && !named:
		return metres + v/100, end
	}
	return metres, i
}

// trimmed reads how far a power stands off its mark: "1/4 -1", "1/2 +1 click",
// "1/8 minus a third". Whole numbers are clicks, thirds of a stop.
func (r *reader) trimmed(i int) (stops float64, end int) {
	sign := 1.0
	switch r.at(i) {
	case "-", "minus", "less":
		sign = -1
	case "+", "plus":
	default:
		return 0, i
	}
	j := i + 1
	if r.at(j) == "a" {
		j++
	}
	v, fraction, after := r.numeral(j)
	if after == j || v > 16 {
		return 0, i
	}
	for r.at(after) == "a" || r.at(after) == "of" {
		after++
	}
	word := r.at(after)
	switch {
	case word == "click" || word == "clicks":
		return sign * v / 3, after + 1
	case word == "stop" || word == "stops" || word == "ev":
		return sign * v, after + 1
	case v == math.Trunc(v) && !fraction:
		return sign * v / 3, after
	}
	return sign * math.Round(v*6) / 6, after
}

// numeral reads "2.8", "2,8", "1/200", "1 1/2", "two and a half", "a third", "half a".
func (r *reader) numeral(i int) (v float64, fraction bool, end int) {
	word := r.at(i)
	if word == "full" && r.expected == power {
		return 1, false, i + 1
	}
	if w, err := strconv.ParseFloat(decimal(r.at(i+2)), 64); (word == "one" || word == "1") && r.at(i+1) == "over" && err == nil && w >= 2 && (r.expected == duration || r.expected == power) {
		return 1 / w, true, i + 3 // "one over 60"
	}
	if w, ok := numberWords[word]; ok {
		end = i + 1
		if parts[r.at(end)] && r.at(end) != "half" && w >= 1 { // two thirds
			return w * numberWords[strings.TrimSuffix(r.at(end), "s")], true, end + 1
		}
		if unit := numberWords[r.at(end)]; w >= 20 && w <= 90 && unit >= 1 && unit <= 9 && r.at(end) != "couple" { // twenty two
			w, end = w+unit, end+1
		}
		if word == "couple" && r.at(end) == "of" {
			end++
		}
		if tenth, digit := numberWords[r.at(end+1)]; r.at(end) == "point" && digit && tenth < 10 && !parts[r.at(end+1)] {
			return w + tenth/10, false, end + 2
		}
		v, end = r.andPart(w, end)
		return v, parts[word], end
	}
	if (word == "a" || word == "an" || word == "one") && i+1 < len(r.toks) {
		next := r.at(i + 1)
		if parts[next] || next == "couple" {
			return r.numeral(i + 1)
		}
		if _, _, ok := unitOf(next, r.expected); ok && len(next) > 1 {
			v, end = 1, i+1
			if r.at(i+2) == "and" { // a stop and a half
				if w, after := r.andPart(1, i+2); after > i+2 {
					r.toks = slices.Concat(r.toks[:i+2], r.toks[after:])
					return w, false, end
				}
			}
			return v, false, end
		}
		return 0, false, i
	}
	v, err := strconv.ParseFloat(decimal(word), 64)
	if err != nil {
		return 0, false, i
	}
	end = i + 1
	over := func(j int) (float64, bool) {
		if r.at(j+1) != "/" {
			return 0, false
		}
		a, err1 := strconv.ParseFloat(decimal(r.at(j)), 64)
		b, err2 := strconv.ParseFloat(decimal(r.at(j+2)), 64)
		return a / b, err1 == nil && err2 == nil && b != 0
	}
	if w, ok := over(i); ok {
		return w, true, i + 3
	}
	if w, ok := over(i + 1); ok && w < 1 && v == math.Trunc(v) {
		return v + w, false, i + 4
	}
	v, end = r.andPart(v, end)
	return v, false, end
}

// andPart adds "and a half", "and two thirds".
func (r *reader) andPart(v float64, i int) (float64, int) {
	if r.at(i) != "and" {
		return v, i
	}
	j := i + 1
	times := 1.0
	switch r.at(j) {
	case "a", "one":
		j++
	case "two":
		times, j = 2, j+1
	}
	if part := strings.TrimSuffix(r.at(j), "s"); parts[part] {
		return v + times*numberWords[part], j + 1
	}
	if r.at(j+1) == "/" {
		if w, _, after := r.numeral(j); after == j+3 && w < 1 {
			return v + w, after
		}
	}
	return v, i
}

// decimal makes a decimal comma a point, and takes thousands marks away.
func decimal(s string) string {
	if s == "" || !strings.ContainsAny(s[:1], ".0123456789") || len(s) > 20 {
		return "x"
	}
	whole, fraction, comma := strings.Cut(s, ",")
	if comma && len(fraction) >= 3 && whole != "0" {
		return strings.ReplaceAll(s, ",", "")
	}
	return strings.Replace(s, ",", ".", 1)
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
