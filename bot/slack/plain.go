package slack

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// mostText is how much of a message is read, in bytes: more than a coach
// reads, so that it is the coach who says it is too long.
const mostText = 16 << 10

// A reader makes of Slack's mark-up what a person typed.
type reader struct {
	self  string            // our own user id
	emoji map[string]string // the words behind the emoji that mean kit or light
}

// newReader takes the emoji as the playbook has them: "zap flash, sunny sun".
func newReader(self, emoji string) reader {
	r := reader{self, map[string]string{}}
	for pair := range strings.SplitSeq(emoji, ",") {
		if name, word, ok := strings.Cut(strings.TrimSpace(pair), " "); ok {
			r.emoji[name] = word
		}
	}
	return r
}

// entities are the only three that Slack writes; any other "&…;" was typed.
var entities = strings.NewReplacer("&amp;", "&", "&lt;", "<", "&gt;", ">")

var (
	angled    = regexp.MustCompile(`<[^<>]*>`)
	emojiCode = regexp.MustCompile(`:[a-z0-9_+'-]*[a-z][a-z0-9_+'-]*:(?::skin-tone-\d:)?`)
	fences    = strings.NewReplacer("```", " ", "`", "")
	// marks are bold, italic and struck words; not the stars of a product nor
	// the underscores within a name.
	marks = regexp.MustCompile(`(^|[\s(])([*_~])(\S(?:[^*_~\n]*\S)?)([*_~])($|[\s).,;:!?])`)
)

// plain is the text of a message as it was typed: no mark-up, no mentions, no
// entities.
func (r reader) plain(text string) string {
	if len(text) > mostText {
		cut := mostText
		for cut > 0 && !utf8.RuneStart(text[cut]) {
			cut--
		}
		text = text[:cut]
	}
	text = strings.Map(printable, strings.ToValidUTF8(text, ""))
	text = angled.ReplaceAllStringFunc(text, token)
	text = emojiCode.ReplaceAllStringFunc(text, r.named)
	text = fences.Replace(text)
	for range 2 { // neighbours share the space between them
		text = marks.ReplaceAllStringFunc(text, unmarked)
	}
	// After the mark-up, or "&lt;2m" would open a token.
	text = entities.Replace(text)
	var lines []string
	for line := range strings.Lines(text) {
		if line = strings.Join(strings.Fields(line), " "); line != "" {
			lines = append(lines, line)
		}
	}
	return strings.Join(lines, "\n")
}

// printable drops what no person types.
func printable(r rune) rune {
	switch {
	case r == '\r' || r == '\v' || r == '\f':
		return '\n'
	case unicode.IsControl(r) && r != '\n' && r != '\t':
		return -1
	case r == '\u200b' || r == '\ufeff' || r == '\u2060':
		return -1
	}
	return r
}

// token is the words of one "<…>": what a link is called, a channel's name,
// and nothing for people and calls to everybody.
func token(t string) string {
	target, label, labelled := strings.Cut(t[1:len(t)-1], "|")
	switch {
	case strings.HasPrefix(target, "@"):
		return " "
	case strings.HasPrefix(target, "#"):
		return label
	case strings.HasPrefix(target, "!date"):
		return label
	case strings.HasPrefix(target, "!"):
		return " "
	case labelled:
		return label
	}
	for _, scheme := range []string{"mailto:", "tel:"} {
		target = strings.TrimPrefix(target, scheme)
	}
	return target
}

func (r reader) named(code string) string {
	name, _, _ := strings.Cut(strings.Trim(code, ":"), ":")
	return " " + r.emoji[name] + " "
}

func unmarked(s string) string {
	m := marks.FindStringSubmatch(s)
	if m[2] != m[4] {
		return s
	}
	return m[1] + m[3] + m[5]
}

// mentions tells whether a text names us outside code and quotes, and whether
// the first it names is somebody else.
func (r reader) mentions(text string) (us, othersFirst bool) {
	var open strings.Builder
	for i, part := range strings.Split(text, "```") {
		if i%2 == 1 {
			continue // within a fence
		}
		for line := range strings.Lines(part) {
			if strings.HasPrefix(strings.TrimSpace(line), "&gt;") {
				continue // quoted
			}
			for j, piece := range strings.Split(line, "`") {
				if j%2 == 0 {
					open.WriteString(piece)
				}
			}
		}
	}
	first := true
	for _, t := range angled.FindAllString(open.String(), -1) {
		id, _, _ := strings.Cut(t[1:len(t)-1], "|")
		id, isUser := strings.CutPrefix(id, "@")
		if !isUser {
			continue
		}
		if id == r.self {
			us = true
		} else if first {
			othersFirst = true
		}
		first = false
	}
	return us, othersFirst
}

// A richBlock is as much of a rich text as tells who is mentioned where, and
// what was said when a message has no text of its own.
type richBlock struct {
	Type     string      `json:"type"`
	UserID   string      `json:"user_id"`
	Text     richText    `json:"text"`
	Style    richStyle   `json:"style"`
	Elements []richBlock `json:"elements"`
}

// deepest is how far a rich text is followed down.
const deepest = 16

// mentionsIn is mentions for a message that has rich text, which knows code
// and quotes for certain; rich is false where the blocks hold none.
func (r reader) mentionsIn(blocks []richBlock) (us, othersFirst, rich bool) {
	first := true
	var walk func([]richBlock, int)
	walk = func(list []richBlock, depth int) {
		for _, b := range list {
			switch {
			case depth > deepest || b.Type == "rich_text_preformatted" || b.Type == "rich_text_quote" || b.Style.code:
			case b.Type == "user":
				if b.UserID == r.self {
					us = true
				} else if first {
					othersFirst = true
				}
				first = false
			default:
				rich = rich || b.Type == "rich_text"
				walk(b.Elements, depth+1)
			}
		}
	}
	walk(blocks, 0)
	return us, othersFirst, rich
}

// words are the texts of blocks, for a message without a text of its own.
func words(blocks []richBlock) string {
	var out []string
	var walk func([]richBlock, int)
	walk = func(list []richBlock, depth int) {
		for _, b := range list {
			if depth > deepest {
				return
			}
			if b.Text.words != "" {
				out = append(out, b.Text.words)
			}
			walk(b.Elements, depth+1)
		}
	}
	walk(blocks, 0)
	return strings.Join(out, " ")
}
