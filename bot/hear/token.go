package hear

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

type tokenKind uint8

const (
	wordToken tokenKind = iota
	numberToken
	symbolToken // one of punctuation
	emojiToken
)

// A token is a word, a number, a mark of punctuation or an emoji of the plain
// text. Hyphens inside words are spaces and apostrophes inside words nothing:
// "back-lit" is two tokens, "don't" is "dont".
type token struct {
	kind       tokenKind
	text       string
	num        float64
	start, end int  // bytes of the plain text
	glued      bool // no space before it
}

func (t token) is(s string) bool { return t.text == s }
func (t token) symbol() bool     { return t.kind == symbolToken }
func (t token) breaks() bool     { return t.kind == symbolToken && strings.Contains(".;!?\n", t.text) }
func (t token) pauses() bool {
	return t.breaks() || t.kind == symbolToken && strings.Contains(",:()-", t.text)
}
func (t token) in(s ...string) bool { return t.kind != numberToken && contains(s, t.text) }

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// tokenise cuts plain text into tokens.
func tokenise(s string) []token {
	toks := make([]token, 0, len(s)/4+4)
	last := 0 // end of the token before
	add := func(kind tokenKind, text string, num float64, start, end int) {
		toks = append(toks, token{kind, text, num, start, end, start == last && start > 0})
		last = end
	}
	for i := 0; i < len(s); {
		c := s[i]
		switch {
		case c == ' ':
			i++
		case isDigit(c), c == '.' && i+1 < len(s) && isDigit(s[i+1]) && (i == 0 || !isDigit(s[i-1]) && s[i-1] != '.'): // "1/128..1" is a range
			text, end := scanNumber(s, i)
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				v = 0 // out of range: no number of ours
			}
			add(numberToken, text, v, i, end)
			i = end
		case isLetter(s, i):
			text, end := scanWord(s, i)
			add(wordToken, text, 0, i, end)
			i = end
		case c == '\'' && i+1 < len(s) && s[i+1] == '\'':
			add(symbolToken, `"`, 0, i, i+2)
			i += 2
		case c == '-' && i > 0 && i+1 < len(s) && s[i+1] != ' ' && s[i-1] != ' ' && (!startsNumber(s, i) || isLetter(s, i-1)):
			i++ // a hyphen inside a word
			last = i
		case c < utf8.RuneSelf:
			add(symbolToken, s[i:i+1], 0, i, i+1)
			i++
		default:
			r, n := utf8.DecodeRuneInString(s[i:])
			kind := symbolToken
			if unicode.IsSymbol(r) && r != '°' {
				kind = emojiToken
			}
			add(kind, s[i:i+n], 0, i, i+n)
			i += n
		}
	}
	return toks
}

// startsNumber reports whether the hyphen at i has a number right behind it.
func startsNumber(s string, i int) bool { return i+1 < len(s) && isDigit(s[i+1]) }

func isLetter(s string, i int) bool {
	if c := s[i]; c < utf8.RuneSelf {
		return c >= 'a' && c <= 'z'
	}
	r, _ := utf8.DecodeRuneInString(s[i:])
	return unicode.IsLetter(r)
}

// scanWord reads letters, with apostrophes between letters left out. "w/o",
// "w/out" and "w/" are words too.
func scanWord(s string, i int) (text string, end int) {
	start := i
	apostrophes := false
	for i < len(s) {
		if isLetter(s, i) {
			_, n := utf8.DecodeRuneInString(s[i:])
			i += n
			continue
		}
		if s[i] == '\'' && i+1 < len(s) && isLetter(s, i+1) {
			apostrophes = true
			i++
			continue
		}
		break
	}
	text = s[start:i]
	if apostrophes {
		text = strings.ReplaceAll(text, "'", "")
	}
	if text == "w" && i < len(s) && s[i] == '/' {
		for _, out := range []string{"/out", "/o"} {
			if end := i + len(out); strings.HasPrefix(s[i:], out) && (end == len(s) || !isLetter(s, end)) {
				return "without", end
			}
		}
		return "with", i + 1
	}
	return text, i
}

// scanNumber reads digits with one decimal point or comma. A comma is decimal
// where one or two digits follow it and nothing says they are another number
// ("1,2 m" but not "f4,1/200"); three digits make it a thousands mark.
func scanNumber(s string, start int) (text string, end int) {
	i := start
	digits := func() {
		for i < len(s) && isDigit(s[i]) {
			i++
		}
	}
	digits()
	if i+1 < len(s) && s[i] == '.' && isDigit(s[i+1]) {
		i++
		digits()
		return s[start:i], i
	}
	if i+1 >= len(s) || s[i] != ',' || !isDigit(s[i+1]) || i == start {
		return s[start:i], i
	}
	whole := s[start:i]
	j := i + 1
	for j < len(s) && isDigit(s[j]) {
		j++
	}
	fraction := s[i+1 : j]
	rest := s[j:]
	switch {
	case strings.HasPrefix(rest, "/"), strings.HasPrefix(rest, ":"), len(rest) > 1 && rest[0] == ',' && isDigit(rest[1]), strings.HasPrefix(rest, "mm"):
		return whole, i
	case len(fraction) == 3 && whole != "0" && len(whole) <= 3:
		return whole + fraction, j
	case len(fraction) <= 2 && len(whole) <= 3:
		return whole + "." + fraction, j
	}
	return whole, i
}
