package slack

import (
	"io"
	"regexp"
	"strings"
)

// A blot takes tokens, and what is as good as one, out of texts for people.
type blot struct{ tokens []string }

const blotted = "[secret]"

// secrets look like a token, whoever's, or are single-use: a socket's ticket,
// the address of an answer for one person.
var secrets = regexp.MustCompile(`\bx(?:ox[a-z]|app)(?:\.[a-z]+)?-[A-Za-z0-9-]+|(ticket=)[^\s"&]+|(https?://[^\s"/]+/(?:commands|actions|response)/)[^\s"]+`)

func newBlot(tokens ...string) blot {
	var b blot
	for _, t := range tokens {
		if len(t) > 5 { // not a mere "xoxb-"
			b.tokens = append(b.tokens, t)
		}
	}
	return b
}

func (b blot) text(s string) string {
	for _, t := range b.tokens {
		s = strings.ReplaceAll(s, t, blotted)
	}
	return secrets.ReplaceAllString(s, "$1$2"+blotted)
}

// writer passes on what is written, a line a write.
func (b blot) writer(w io.Writer) io.Writer { return blotWriter{b, w} }

type blotWriter struct {
	blot
	w io.Writer
}

func (w blotWriter) Write(line []byte) (int, error) {
	if _, err := io.WriteString(w.w, w.text(string(line))); err != nil {
		return 0, err
	}
	return len(line), nil
}

// error is err with its words blotted.
func (b blot) error(err error) error {
	if err == nil {
		return nil
	}
	return blottedError{b.text(err.Error()), err}
}

type blottedError struct {
	words string
	cause error
}

func (e blottedError) Error() string { return e.words }
func (e blottedError) Unwrap() error { return e.cause }
