package source

import (
	"fmt"
	"iter"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// MaxFile is the size in bytes above which a rule file is refused.
const MaxFile = 8 << 20

// Kind is the shape of a Node.
type Kind int

// The kinds of node. Nothing is a key without a value.
const (
	Nothing Kind = iota
	Scalar
	List
	Map
)

func (k Kind) String() string { return [...]string{"nothing", "a text", "a list", "a map"}[k] }

// A document is one file: what its nodes need to tell where they stand.
type document struct {
	name string
	data string
	ends []int // offset of the end of each line; made when first asked for
}

func (d *document) line(n int) string {
	if d.ends == nil {
		for i := range len(d.data) {
			if d.data[i] == '\n' {
				d.ends = append(d.ends, i)
			}
		}
		d.ends = append(d.ends, len(d.data))
	}
	if n < 1 || n > len(d.ends) {
		return ""
	}
	start := 0
	if n > 1 {
		start = d.ends[n-2] + 1
	}
	return strings.TrimSuffix(d.data[start:d.ends[n-1]], "\r")
}

// A Node is a text, a list or a map in a rule file. The zero Node is Nothing.
type Node struct {
	y   *yaml.Node
	doc *document
}

// Parse reads one file. Where it breaks YAML's syntax that is the one problem
// told, by line: what follows a broken line cannot be trusted. Otherwise the
// tree is whole, and the problems are what this subset refuses.
func Parse(name string, data []byte) (Node, []Problem) {
	if len(data) > MaxFile {
		return Node{}, []Problem{Errorf(Pos{File: name}, "too-large", "the file has %d bytes; at most %d are read", len(data), MaxFile)}
	}
	doc := &document{name: name, data: string(data)}
	if bad, ok := unreadable(doc); ok {
		return Node{}, []Problem{bad}
	}
	var root yaml.Node
	if err := unmarshal(data, &root); err != nil {
		return Node{}, []Problem{syntaxProblem(doc, err)}
	}
	if root.Kind == 0 || len(root.Content) == 0 {
		return Node{doc: doc}, nil
	}
	top := Node{y: root.Content[0], doc: doc}
	return top, top.refuse(nil)
}

// unmarshal turns the parser's own panics on odd comments into errors, so that
// a rule file cannot take the program down.
func unmarshal(data []byte, into *yaml.Node) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("yaml: %v", r)
		}
	}()
	return yaml.Unmarshal(data, into)
}

// forbidden reports a control character, or one of the line breaks that
// YAML counts and editors do not: with them a line would not be where it is said
// to be.
func forbidden(r rune, rest string) bool {
	switch r {
	case '\t', '\n':
		return false
	case '\r':
		return !strings.HasPrefix(rest, "\n")
	case '\u2028', '\u2029':
		return true
	}
	return unicode.IsControl(r)
}

// unreadable finds what is not text, which YAML's parser reports without
// saying where.
func unreadable(doc *document) (Problem, bool) {
	line, column := 1, 1
	for i := 0; i < len(doc.data); {
		r, size := utf8.DecodeRuneInString(doc.data[i:])
		at := Pos{doc.name, line, column}
		if r == utf8.RuneError && size == 1 {
			p := Errorf(at, "not-text", "a byte that is not UTF-8 text")
			p.Text = doc.line(line)
			return p, true
		}
		if forbidden(r, doc.data[i+size:]) {
			p := Errorf(at, "not-text", "a control character (%U)", r)
			p.Text = doc.line(line)
			return p, true
		}
		i += size
		column++
		if r == '\n' {
			line, column = line+1, 1
		}
	}
	return Problem{}, false
}

var parserError = regexp.MustCompile(`^did not find expected (?:<document start>|node content|'-' indicator|key|',' or '[\]}]')`)

var yamlLine = regexp.MustCompile(`^yaml: (?:line (\d+): )?(.*)$`)

func syntaxProblem(doc *document, err error) Problem {
	m := yamlLine.FindStringSubmatch(strings.ReplaceAll(err.Error(), "\n", " "))
	if m == nil {
		return Errorf(Pos{File: doc.name}, "syntax", "%v", err)
	}
	line, _ := strconv.Atoi(m[1])
	message := m[2]
	// The parser's own errors count lines from 0, those of its scanner from 1, and
	// both leave out the first line.
	if m[1] == "" || parserError.MatchString(message) {
		line++
	}
	switch {
	case strings.Contains(message, "mapping values are not allowed"):
		message += `: a colon and a space inside unquoted text; put the text in "quotes"`
	case strings.Contains(message, "expected ',' or ']'"):
		message += `: inside [ ] a comma ends the item, also one in a call; write one item to a line, each after a hyphen, or in 'quotes'`
	case strings.Contains(message, "expected whitespace or line break"):
		message += `: text that starts with ! is a tag; write not, or put the text in "quotes"`
	case strings.Contains(message, "cannot start any token"):
		message += `: put the text in "quotes"`
	}
	p := Errorf(Pos{File: doc.name, Line: line}, "syntax", "%s", message)
	p.Text = doc.line(line)
	return p
}

// refuse lists what the subset does not take: anchors, aliases, tags, keys
// that are not texts and keys said twice.
func (n Node) refuse(problems []Problem) []Problem {
	if n.y.Kind == yaml.AliasNode {
		return append(problems, n.Problem("alias", "*%s repeats a part by alias; write it out", n.y.Value))
	}
	if n.y.Anchor != "" {
		problems = append(problems, n.Problem("anchor", "&%s names a part for repeating; write it out where it is needed", n.y.Anchor))
	}
	if n.y.Style&yaml.TaggedStyle != 0 {
		problems = append(problems, n.Problem("tag", "%s is a tag; put text that starts with ! in \"quotes\", and write not for !", n.y.Tag))
	}
	if n.y.Kind == yaml.MappingNode {
		seen := make(map[string]int, len(n.y.Content)/2)
		for key, value := range n.Pairs() {
			if key.Kind() != Scalar {
				problems = append(problems, key.Problem("unknown-key", "a key is %s; it must be a word", key.Kind()))
			} else if line, twice := seen[key.Text()]; twice {
				problems = append(problems, key.Problem("duplicate-key", "%s was said already on line %d", key.Text(), line))
			} else {
				seen[key.Text()] = key.y.Line
			}
			problems = value.refuse(key.refuse(problems))
		}
		return problems
	}
	for _, item := range n.y.Content {
		problems = Node{item, n.doc}.refuse(problems)
	}
	return problems
}

// Kind is the node's shape.
func (n Node) Kind() Kind {
	switch {
	case n.y == nil || n.y.Kind == yaml.ScalarNode && n.y.Tag == "!!null" && n.y.Value == "":
		return Nothing
	case n.y.Kind == yaml.ScalarNode:
		return Scalar
	case n.y.Kind == yaml.SequenceNode:
		return List
	case n.y.Kind == yaml.MappingNode:
		return Map
	}
	return Nothing
}

// Pos is where the node starts.
func (n Node) Pos() Pos {
	switch {
	case n.y != nil:
		return Pos{n.doc.name, n.y.Line, n.y.Column}
	case n.doc != nil:
		return Pos{File: n.doc.name}
	}
	return Pos{}
}

// Text is a scalar's text as it reads, without its quotes.
func (n Node) Text() string {
	if n.Kind() != Scalar {
		return ""
	}
	return n.y.Value
}

// Quoted reports whether a scalar stood in quotes.
func (n Node) Quoted() bool {
	return n.y != nil && n.y.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0
}

// Inside maps a scalar to the place of its first rune (after the quote), and
// reports whether it stands on one line character for character, so that a
// column inside the text is a column of the file.
func (n Node) Inside() (Pos, bool) {
	pos := n.Pos()
	if n.Kind() != Scalar || n.y.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0 {
		return pos, false
	}
	line := []rune(n.doc.line(pos.Line))
	start := min(max(pos.Column-1, 0), len(line))
	if n.Quoted() {
		pos = pos.Right(1)
		start = min(start+1, len(line))
	}
	return pos, strings.HasPrefix(string(line[start:]), n.y.Value)
}

// Items are a list's items in order.
func (n Node) Items() iter.Seq[Node] {
	return func(yield func(Node) bool) {
		if n.Kind() != List {
			return
		}
		for _, item := range n.y.Content {
			if !yield(Node{item, n.doc}) {
				return
			}
		}
	}
}

// Pairs are a map's keys and values in order.
func (n Node) Pairs() iter.Seq2[Node, Node] {
	return func(yield func(Node, Node) bool) {
		if n.Kind() != Map {
			return
		}
		for i := 0; i+1 < len(n.y.Content); i += 2 {
			if !yield(Node{n.y.Content[i], n.doc}, Node{n.y.Content[i+1], n.doc}) {
				return
			}
		}
	}
}

// Len is the number of items or pairs.
func (n Node) Len() int {
	switch n.Kind() {
	case List:
		return len(n.y.Content)
	case Map:
		return len(n.y.Content) / 2
	}
	return 0
}

// Problem makes a problem that stands at the node, with its source line.
func (n Node) Problem(code, format string, args ...any) Problem {
	p := Errorf(n.Pos(), code, format, args...)
	if n.doc != nil {
		p.Text = n.doc.line(p.Line)
	}
	return p
}
