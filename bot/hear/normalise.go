package hear

import (
	"html"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// plain is a message made plain: lower case, ASCII quotes and digits, no
// accents, no invisible runes. at maps every byte of text back to the byte of
// the message it came from, so that a fact's span points at what was typed.
// A nil at is the identity.
type plain struct {
	text string
	at   []int
	end  int // length of the message
}

// origin returns the offset in the message of a byte offset in p.text.
func (p plain) origin(i int) int {
	switch {
	case p.at == nil:
		return i
	case i >= len(p.at):
		return p.end
	}
	return p.at[i]
}

// marks that phones and word processors put in place of plain ones. Those
// that mean a length (primes) become the quotes that people type for them.
var plainer = map[rune]string{
	'’': "'", '‘': "'", '‛': "'", '′': "'", '´': "'", '`': "'", 'ʼ': "'", '‚': ",",
	'“': `"`, '”': `"`, '„': `"`, '″': `"`, '«': `"`, '»': `"`,
	'–': "-", '—': " - ", '−': "-", '‐': "-", '‑': "-", '‒': "-",
	'×': "x", 'ƒ': "f", 'º': "°", '⁄': "/", '∕': "/", '→': " to ", '·': " ", '•': "\n", '…': ". ", '\u2028': "\n", '\u2029': "\n",
	'ß': "ss", 'æ': "ae", 'ø': "o", 'œ': "oe", 'ł': "l", '。': ". ", '、': ", ",
}

// invisible runes that carry nothing: joiners, direction marks, variation
// selectors, soft hyphens, skin tones.
func invisible(r rune) bool {
	return r == '\u00ad' || r == '\ufeff' || r == '\u2060' || r >= '\u200b' && r <= '\u200f' || r >= '\u202a' && r <= '\u202e' ||
		r >= '\ufe00' && r <= '\ufe0f' || r >= 0x1f3fb && r <= 0x1f3ff || r == '\u20e3'
}

// normalise makes a message plain. It never fails: what cannot be text is dropped.
func normalise(message string) plain {
	if simple(message) {
		return plain{text: strings.ToLower(message), end: len(message)}
	}
	out := make([]byte, 0, len(message)+16)
	at := make([]int, 0, len(message)+16)
	put := func(s string, from int) {
		for i := 0; i < len(s); i++ {
			out, at = append(out, s[i]), append(at, from)
		}
	}
	for i := 0; i < len(message); {
		r, n := utf8.DecodeRuneInString(message[i:])
		if r == '&' {
			if s, length := entity(message[i:]); length > 0 {
				for _, e := range s {
					put(plainRune(e, out), i)
				}
				i += length
				continue
			}
		}
		if r != utf8.RuneError || n > 1 {
			put(plainRune(r, out), i)
		}
		i += n
	}
	return plain{text: string(out), at: at, end: len(message)}
}

// simple reports whether only the case of the letters may need a change.
func simple(s string) bool {
	for i := 0; i < len(s); i++ {
		if c := s[i]; c >= utf8.RuneSelf || c < ' ' && c != '\n' || c == 0x7f || c == '&' || c == '`' {
			return false
		}
	}
	return true
}

// entity decodes one HTML entity at the start of s, as chat systems send them.
func entity(s string) (text string, length int) {
	end := strings.IndexByte(s, ';')
	if end < 2 || end > 10 {
		return "", 0
	}
	decoded := html.UnescapeString(s[:end+1])
	if decoded == s[:end+1] || strings.HasSuffix(decoded, ";") { // unknown, or only its beginning is known
		return "", 0
	}
	return decoded, end + 1
}

// plainRune spells one rune plainly; before is what stands in front of it.
func plainRune(r rune, before []byte) string {
	if s, ok := plainer[r]; ok {
		return s
	}
	switch {
	case r == '\n':
		return "\n"
	case r == utf8.RuneError, invisible(r):
		return ""
	case unicode.IsSpace(r):
		return " "
	case unicode.IsControl(r):
		return ""
	case r < utf8.RuneSelf:
		return string(unicode.ToLower(r))
	}
	decomposed := norm.NFKD.String(string(r))
	var b strings.Builder
	if strings.ContainsRune(decomposed, '⁄') && len(before) > 0 && isDigit(before[len(before)-1]) {
		b.WriteByte(' ') // 3½ is 3 1/2, not 31/2
	}
	for _, d := range decomposed {
		switch {
		case d == '⁄':
			b.WriteByte('/')
		case unicode.Is(unicode.Mn, d):
		default:
			b.WriteRune(unicode.ToLower(d))
		}
	}
	return b.String()
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }
