package rules

import "panelhand/rules/source"

// Lines are conditions that must all hold.
type Lines []Line

// A Line is one condition, or an `any` (one must hold) or `all` (every one
// must) of further lines.
type Line struct {
	Text source.Text // the condition as written; empty for a group
	Any  Lines
	All  Lines
	Pos  source.Pos

	names   []string // of the inputs that it may read; of a question's expressions
	program *program // shared by equal texts of a book
}

// maxGroups is how deep any and all may stand inside each other.
const maxGroups = 4

// Decode reads a list of conditions. Each stands on one line of the file, so
// that a column inside it is a column of the file.
func (l *Lines) Decode(n source.Node) []source.Problem { return l.decode(n, 0) }

func (l *Lines) decode(n source.Node, depth int) []source.Problem {
	if n.Kind() != source.List {
		return []source.Problem{n.Problem("wrong-kind", "conditions are a list, one to a line, not %s", n.Kind())}
	}
	if depth > maxGroups {
		return []source.Problem{n.Problem("too-deep", "any and all stand more than %d deep", maxGroups)}
	}
	var problems []source.Problem
	*l = make(Lines, 0, n.Len())
	for item := range n.Items() {
		line := Line{Pos: item.Pos()}
		switch item.Kind() {
		case source.Scalar:
			pos, inLine := item.Inside()
			line.Text = source.Text{Value: item.Text(), Pos: pos, InLine: inLine}
			if !inLine {
				problems = append(problems, item.Problem("many-lines", "a condition stands on one line as it is: no folded or literal text, no line break, no escapes"))
			}
		case source.Map:
			for key, value := range item.Pairs() {
				group := &line.Any
				if key.Text() == "all" {
					group = &line.All
				} else if key.Text() != "any" {
					p := key.Problem("unknown-key", "a group of conditions is any or all, not %q; a condition with a colon in it needs quotes", key.Text())
					p.Nearest = source.Nearest(key.Text(), []string{"any", "all"})
					problems = append(problems, p)
					continue
				}
				problems = append(problems, group.decode(value, depth+1)...)
				if value.Kind() == source.List && len(*group) == 0 {
					problems = append(problems, value.Problem("empty-key", "%s has no conditions", key.Text()))
				}
			}
			if item.Len() > 1 {
				problems = append(problems, item.Problem("unknown-key", "one group to an item: start any and all on lines of their own"))
			}
		default:
			problems = append(problems, item.Problem("wrong-kind", "a condition is needed here, not %s", item.Kind()))
		}
		*l = append(*l, line)
	}
	return problems
}

// each calls f for every condition, groups opened.
func (l Lines) each(f func(*Line)) {
	for i := range l {
		if l[i].group() == nil {
			f(&l[i])
			continue
		}
		l[i].group().each(f)
	}
}

// group is the lines inside an any or all, nil for a condition.
func (l *Line) group() Lines {
	if l.Any != nil {
		return l.Any
	}
	return l.All
}

func (l *Line) String() string {
	if l.group() == nil {
		return l.Text.Value
	}
	out := "any: "
	if l.Any == nil {
		out = "all: "
	}
	for i := range l.group() {
		if i > 0 {
			out += " · "
		}
		out += l.group()[i].String()
	}
	return out
}
