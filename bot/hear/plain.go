package hear

import "strings"

// Plain is a message as its words alone, lower case, one space between: what
// a phrase is looked for in.
func Plain(message string) string {
	var b strings.Builder
	for _, t := range tokenise(normalise(message).text) {
		if t.symbol() {
			continue
		}
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(t.text)
	}
	return b.String()
}

// Normal is a message in lower case with ASCII quotes, signs and fractions, for
// readers of its own numbers: "½ stop − darker" is "1/2 stop - darker".
func Normal(message string) string { return normalise(message).text }
