// Package source reads rule files: it turns YAML into Go values that know
// where they stand, and tells mistakes the way a good compiler does, with
// file, line, column, the line itself, a caret and the nearest name.
//
// The YAML it takes is a plain subset: lists, maps, texts and numbers. Anchors,
// aliases and tags are refused, a key stands once, and every key must be
// known. Nothing in the house but this package knows that the files are YAML.
package source

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Pos is a place in a file. Line and Column count from 1, columns in runes;
// Line 0 means the file as a whole.
type Pos struct {
	File         string
	Line, Column int
}

func (p Pos) String() string {
	switch {
	case p.Line == 0:
		return p.File
	case p.Column == 0:
		return fmt.Sprintf("%s:%d", p.File, p.Line)
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// Right moves the position by n runes along its line.
func (p Pos) Right(n int) Pos { p.Column += n; return p }

// A Problem is one mistake in a rule file.
type Problem struct {
	File    string
	Line    int    // 1 is the first; 0 means the file as a whole
	Column  int    // 1 is the first rune; 0 means the line as a whole
	Code    string // the kind of mistake in words: "unknown-key"
	Message string // one sentence without a full stop
	Nearest string // the name that was probably meant, or empty
	Text    string // the source line, or empty
	Warning bool   // the book still works
}

// Errorf makes the problem that stands at p. It carries no source line yet:
// Quote adds it.
func Errorf(p Pos, code, format string, args ...any) Problem {
	return Problem{File: p.File, Line: p.Line, Column: p.Column, Code: code, Message: fmt.Sprintf(format, args...)}
}

// Pos is where the problem stands.
func (p Problem) Pos() Pos { return Pos{p.File, p.Line, p.Column} }

// Error is the problem on one line, so that a Problem can be returned as an
// error.
func (p Problem) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: ", p.Pos())
	if p.Warning {
		b.WriteString("warning: ")
	}
	b.WriteString(p.Message)
	if p.Nearest != "" {
		fmt.Fprintf(&b, "; did you mean %s?", p.Nearest)
	}
	fmt.Fprintf(&b, " [%s]", p.Code)
	return b.String()
}

// String is the problem with its source line and a caret under the place.
func (p Problem) String() string {
	s := p.Error()
	if p.Text == "" {
		return s
	}
	text, column := window(p.Text, p.Column)
	s += "\n    " + text
	if column > 0 {
		s += "\n    " + strings.Repeat(" ", column-1) + "^"
	}
	return s
}

// window cuts a long line to what fits a terminal, keeping the column in it.
// Tabs and what does not print become one space each, so that the caret lands.
func window(line string, column int) (string, int) {
	const width = 100
	runes := []rune(strings.ToValidUTF8(line, "�"))
	for i, r := range runes {
		if !unicode.IsPrint(r) {
			runes[i] = ' '
		}
	}
	start := 0
	if column > width-20 {
		start = min(column-width/2, len(runes))
	}
	end := min(start+width, len(runes))
	text := strings.TrimRight(string(runes[start:end]), " ")
	return text, column - start
}

// Quote fills in the source lines of problems, reading each file once.
// Files that cannot be read leave their problems without a line.
func Quote(problems []Problem, read func(file string) ([]byte, error)) []Problem {
	files := map[string][]string{}
	out := slices.Clone(problems)
	for i := range out {
		p := &out[i]
		if p.Text != "" || p.Line == 0 {
			continue
		}
		lines, seen := files[p.File]
		if !seen {
			if data, err := read(p.File); err == nil {
				lines = strings.Split(string(data), "\n")
			}
			files[p.File] = lines
		}
		if p.Line <= len(lines) {
			p.Text = strings.TrimSuffix(lines[p.Line-1], "\r")
		}
	}
	return out
}

// Sort puts problems in the order of the files and drops repeats.
func Sort(problems []Problem) []Problem {
	out := slices.Clone(problems)
	slices.SortStableFunc(out, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column), cmp.Compare(a.Code, b.Code), cmp.Compare(a.Message, b.Message))
	})
	return slices.CompactFunc(out, func(a, b Problem) bool {
		return a.Pos() == b.Pos() && a.Code == b.Code && a.Message == b.Message
	})
}

// Format prints at most limit problems, sorted, errors before warnings where
// not all fit, and says how many it left out. A limit of 0 prints all.
func Format(problems []Problem, limit int) string {
	sorted := Sort(problems)
	shown := sorted
	if limit > 0 && len(sorted) > limit {
		byWeight := slices.Clone(sorted)
		slices.SortStableFunc(byWeight, func(a, b Problem) int {
			switch {
			case a.Warning == b.Warning:
				return 0
			case b.Warning:
				return -1
			}
			return 1
		})
		shown = Sort(byWeight[:limit])
	}
	var b strings.Builder
	for _, p := range shown {
		b.WriteString(p.String())
		b.WriteByte('\n')
	}
	if left := len(sorted) - len(shown); left > 0 {
		fmt.Fprintf(&b, "and %d more\n", left)
	}
	return b.String()
}

// Errors counts the problems that are not warnings.
func Errors(problems []Problem) int {
	n := 0
	for _, p := range problems {
		if !p.Warning {
			n++
		}
	}
	return n
}

// Nearest returns the name closest to the one written, or "" where none is
// close: at most one slip (a letter missing, added, changed or two swapped)
// for each three letters.
func Nearest(written string, names []string) string {
	best, distance := "", max(1, utf8.RuneCountInString(written)/3)+1
	for _, name := range names {
		if d := slips(written, name, distance); d < distance {
			best, distance = name, d
		}
	}
	return best
}

// slips is the optimal string alignment distance between two names, or limit
// where it is not less.
func slips(a, b string, limit int) int {
	x, y := []rune(a), []rune(b)
	if len(x)-len(y) >= limit || len(y)-len(x) >= limit || len(x) > 200 || len(y) > 200 {
		return limit
	}
	var before []int // the row before the last, for swaps
	last := make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row := make([]int, len(y)+1)
		row[0] = i
		for j := 1; j <= len(y); j++ {
			change := 1
			if x[i-1] == y[j-1] {
				change = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+change)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last = last, row
	}
	return min(last[len(y)], limit)
}
