package rules

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// What confines an expression. Teams write them, and the expression
// library's own budgets do not bound the work of parsing or running: so length
// and nesting are checked before it sees the text, and of its language only what
// exprCompiler allows is left.
const (
	maxBytes = 500 // of one expression
	maxDepth = 8   // of parentheses and brackets
	maxNodes = 64  // of the syntax tree
)

// confined refuses, before anything parses it, text that could cost more than
// its worth.
func (c *exprCompiler) confined(text string) bool {
	if len(text) > maxBytes {
		c.fail(0, "condition-too-long", "%d bytes; a condition has at most %d", len(text), maxBytes)
		return false
	}
	if strings.TrimSpace(text) == "" {
		c.fail(0, "condition-syntax", "an empty condition")
		return false
	}
	depth, column := 0, 0
	quote := rune(0)
	escaped := false
	for i, r := range text {
		at := column
		column++
		switch {
		case r < ' ' || r == utf8.RuneError:
			c.fail(at, "condition-syntax", "a condition is plain text on one line")
			return false
		case quote != 0:
			switch {
			case escaped:
				escaped = false
			case r == '\\':
				escaped = true
			case r == quote:
				quote = 0
			}
			continue
		}
		switch r {
		case '"', '\'':
			quote = r
		case '(', '[', '{':
			if depth++; depth > maxDepth {
				c.fail(at, "condition-too-deep", "nested more than %d deep", maxDepth)
				return false
			}
		case ')', ']', '}':
			depth--
		case '`', '#', ';', '$', '?', '|', '&', '\\', '@', '~':
			code, message := forbidden(r)
			c.fail(at, code, "%s", message)
			return false
		case '/':
			if next := text[i+1:]; strings.HasPrefix(next, "/") || strings.HasPrefix(next, "*") {
				c.fail(at, "forbidden-syntax", "a comment does not belong inside a condition")
				return false
			}
		}
	}
	return true
}

func forbidden(r rune) (code, message string) {
	switch r {
	case '&', '|':
		return "and-or", andOr
	case '?':
		return "forbidden-syntax", "a condition does not choose between values; write two rules"
	}
	return "forbidden-syntax", fmt.Sprintf("%q has no meaning in a condition", r)
}

const andOr = "and, or and chains such as 2 < x < 5 do not join conditions: give each a line of its own, alternatives under any:"
