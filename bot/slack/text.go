package slack

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Room for texts, in characters; what Slack allows is in limits.go.
const (
	roomText  = 3600 // the fallback, which chat.update refuses over 4,000
	roomLine  = 1200 // one line of rich text: no more than the whole of a phone answer
	roomSaid  = 300  // what somebody typed, told again
	roomValue = 1800 // of a button
	roomTitle = 140  // of a header
	roomLabel = 60   // of a button; a phone shows about 30
)

// escapes are the only three that Slack knows.
var escapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

// fallback is a text for notifications and readers: Slack reads marks in it,
// so that nothing in it may be one. It never ends within an entity.
func fallback(text string) string {
	text = clean(text)
	var b strings.Builder
	room := roomText
	for _, r := range text {
		piece := escapes.Replace(string(r))
		if room -= utf8.RuneCountInString(piece); room <= 0 {
			b.WriteString("…")
			break
		}
		b.WriteString(piece)
	}
	return b.String()
}

// clean drops what is no text: control characters, broken UTF-8, and marks
// that turn the direction of what follows, with which a message could be made to
// read as another. Lines stay lines.
func clean(text string) string {
	text = strings.Map(func(r rune) rune {
		switch {
		case r == '\r':
			return -1
		case r == '\t', r == '\u2028', r == '\u2029':
			return ' '
		case r == '\n':
			return r
		case unicode.IsControl(r), r == utf8.RuneError, r >= '\u202a' && r <= '\u202e', r >= '\u2066' && r <= '\u2069':
			return -1
		}
		return r
	}, strings.ToValidUTF8(text, ""))
	return strings.TrimSpace(text)
}

// oneLine is clean without line breaks.
func oneLine(text string) string { return strings.Join(strings.Fields(clean(text)), " ") }

// cut shortens a text to so many characters, at a word's end where one is near.
// A letter and the marks that belong to it stay together.
func cut(text string, most int) string {
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	runes := []rune(text)[:most-1]
	for len(runes) > 0 && unicode.Is(unicode.Mn, []rune(text)[len(runes)]) {
		runes = runes[:len(runes)-1]
	}
	short := string(runes)
	if i := strings.LastIndexAny(short, " \n"); i > len(short)*3/4 {
		short = short[:i]
	}
	return strings.TrimRightFunc(short, func(r rune) bool { return unicode.IsSpace(r) || r == '\u200d' }) + "…"
}
