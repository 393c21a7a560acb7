package source_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"panelhand/rules/source"
)

type panel struct {
	Name  source.Text `source:"panel,required"`
	Size  float64     `source:"size"`
	Count int         `source:"count"`
	Folds bool        `source:"folds"`
	Sides []string    `source:"sides"`
	Held  *hand       `source:"held"`
	Pos   source.Pos
	Note  string // without a tag: no key
}

type hand struct {
	By string `source:"by,required"`
}

func decode(text string) ([]panel, []source.Problem) {
	root, problems := source.Parse("kit.yaml", []byte(text))
	var panels []panel
	return panels, append(problems, root.Decode(&panels)...)
}

func TestDecode(t *testing.T) {
	root, problems := source.Parse("kit.yaml", []byte("- panel: \"the big one\"\n  size: 1.016\n  count: 2\n  folds: true\n  sides: [white, no]\n  held: {by: Tide}\n"))
	var got []panel
	problems = append(problems, root.Decode(&got)...)
	if len(problems) > 0 {
		t.Fatal(source.Format(problems, 0))
	}
	want := []panel{{
		Name: source.Text{Value: "the big one", Pos: source.Pos{File: "kit.yaml", Line: 1, Column: 11}, InLine: true},
		Size: 1.016, Count: 2, Folds: true, Sides: []string{"white", "no"}, Held: &hand{"Tide"}, Pos: source.Pos{File: "kit.yaml", Line: 1, Column: 3},
	}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got\n%s", diff)
	}
}

func TestProblems(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"columns count runes", "- {panel: a, sides: [é, ½], siez: 1}\n", "kit.yaml:1:29: siez is not a key here; did you mean size? [unknown-key]\n    - {panel: a, sides: [é, ½], siez: 1}\n                                ^\n"},
		{"a tab keeps the caret in place", "- panel: a\n  held: {\tbyy: x}\n", "kit.yaml:2:9: by is missing [missing-key]\n      held: { byy: x}\n            ^\nkit.yaml:2:11: byy is not a key here; did you mean by? [unknown-key]\n      held: { byy: x}\n              ^\n"},
		{"a field without a tag is no key", "- panel: a\n  note: x\n", "kit.yaml:2:3: note is not a key here; the keys are panel, size, count, folds, sides, held [unknown-key]\n      note: x\n      ^\n"},
		{"yes is a text, not a flag", "- panel: a\n  folds: yes\n", "kit.yaml:2:10: \"yes\" is not true or false [wrong-kind]\n      folds: yes\n             ^\n"},
		{"quoted numbers are texts", "- panel: a\n  size: \"1\"\n", "kit.yaml:2:9: \"1\" is not a number [wrong-kind]\n      size: \"1\"\n            ^\n"},
		{"no infinity", "- panel: a\n  size: .inf\n", "kit.yaml:2:9: \".inf\" is not a number [wrong-kind]\n      size: .inf\n            ^\n"},
		{"no hexadecimal", "- panel: a\n  count: 0x10\n", "kit.yaml:2:10: \"0x10\" is not a whole number [wrong-kind]\n      count: 0x10\n             ^\n"},
		{"a map where a list must stand", "panel: a\n", "kit.yaml:1:1: a list is needed here, not a map [wrong-kind]\n    panel: a\n    ^\n"},
		{"line endings of another system", "- panel: a\r\n  siez: 1\r\n", "kit.yaml:2:3: siez is not a key here; did you mean size? [unknown-key]\n      siez: 1\n      ^\n"},
		{"a line break that editors do not count", "- panel: a\u2028  size: 1\n", "kit.yaml:1:11: a control character (U+2028) [not-text]\n    - panel: a   size: 1\n              ^\n"},
		{"merge keys are keys like any other", "- panel: a\n  <<: {size: 1}\n", "kit.yaml:2:3: << is not a key here; the keys are panel, size, count, folds, sides, held [unknown-key]\n      <<: {size: 1}\n      ^\n"},
		{"a key that is a list", "- ? [a]\n  : b\n", "kit.yaml:1:3: panel is missing [missing-key]\n    - ? [a]\n      ^\nkit.yaml:1:5: a key is a list; it must be a word [unknown-key]\n    - ? [a]\n        ^\n"},
		{"the first line", "- panel: a: b\n", "kit.yaml:1: mapping values are not allowed in this context: a colon and a space inside unquoted text; put the text in \"quotes\" [syntax]\n    - panel: a: b\n"},
		{"a later line", "- panel: a\n- panel: b\n- [x\n- panel: c\n", "kit.yaml:3: did not find expected ',' or ']': inside [ ] a comma ends the item, also one in a call; write one item to a line, each after a hyphen, or in 'quotes' [syntax]\n    - [x\n"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, problems := decode(tt.text)
			if diff := cmp.Diff(tt.want, source.Format(problems, 0)); diff != "" {
				t.Errorf("-want +got\n%s", diff)
			}
		})
	}
}

func TestNothingToRead(t *testing.T) {
	for _, text := range []string{"", "\n", "# only a comment\n", "---\n"} {
		root, problems := source.Parse("kit.yaml", []byte(text))
		if root.Kind() != source.Nothing || len(problems) > 0 || root.Len() != 0 {
			t.Errorf("%q: %s, %v", text, root.Kind(), problems)
		}
	}
}

func TestTooLarge(t *testing.T) {
	_, problems := source.Parse("kit.yaml", make([]byte, source.MaxFile+1))
	if len(problems) != 1 || problems[0].Code != "too-large" {
		t.Error(problems)
	}
}

// Aliases that unfold to 10^9 items are refused where they stand, unread.
func TestAliasBomb(t *testing.T) {
	var b strings.Builder
	b.WriteString("a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n")
	for i := 1; i < 10; i++ {
		ref := fmt.Sprintf("*a%d", i-1)
		fmt.Fprintf(&b, "a%d: &a%d [%s]\n", i, i, strings.Join([]string{ref, ref, ref, ref, ref, ref, ref, ref, ref, ref}, ", "))
	}
	root, problems := source.Parse("kit.yaml", []byte(b.String()))
	if got := source.Errors(problems); got != 100 || root.Len() != 10 {
		t.Errorf("%d problems in %d keys, want 10 anchors and 90 aliases", got, root.Len())
	}
}

func TestFormat(t *testing.T) {
	at := func(line int) source.Pos { return source.Pos{File: "a.yaml", Line: line, Column: 1} }
	warning := source.Errorf(at(1), "beaten", "never wins")
	warning.Warning = true
	problems := []source.Problem{source.Errorf(at(3), "x", "third"), warning, source.Errorf(at(2), "x", "second"), source.Errorf(at(2), "x", "second"), source.Errorf(source.Pos{File: "a.yaml"}, "x", "as a whole")}
	got := source.Format(problems, 3)
	want := "a.yaml: as a whole [x]\na.yaml:2:1: second [x]\na.yaml:3:1: third [x]\nand 1 more\n"
	if got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	if n := source.Errors(source.Sort(problems)); n != 3 {
		t.Errorf("%d errors, want 3", n)
	}
	quoted := source.Quote(problems[:1], func(string) ([]byte, error) { return []byte("one\ntwo\nthree\n"), nil })
	if quoted[0].Text != "three" {
		t.Errorf("quoted %q", quoted[0].Text)
	}
	if same := source.Quote(problems[:1], func(string) ([]byte, error) { return nil, errors.New("gone") }); same[0].Text != "" {
		t.Errorf("quoted %q from a file that is gone", same[0].Text)
	}
}

// A caret far out on a long line is still under its place.
func TestLongLine(t *testing.T) {
	line := "- " + strings.Repeat("a", 300) + "!" + strings.Repeat("b", 300)
	p := source.Errorf(source.Pos{File: "a.yaml", Line: 1, Column: 303}, "x", "here")
	p.Text = line
	lines := strings.Split(p.String(), "\n")
	if caret := strings.Index(lines[2], "^"); lines[1][caret] != '!' {
		t.Errorf("the caret stands under %q in\n%s", lines[1][caret], p)
	}
	if len(lines[1]) > 110 {
		t.Errorf("the line was not cut: %d", len(lines[1]))
	}
}

func TestNearest(t *testing.T) {
	names := []string{"softer", "harder", "brighter-eyes", "wind", "ev100"}
	for written, want := range map[string]string{
		"sofetr": "softer", "softr": "softer", "brihgter-eyes": "brighter-eyes", "wnid": "wind", "ev10": "ev100", "w": "", "sparkle": "", "": "", strings.Repeat("x", 300): "",
	} {
		if got := source.Nearest(written, names); got != want {
			t.Errorf("nearest to %q is %q, want %q", written, got, want)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{"- a: [b, {c: d}]\n", "? x\n: y\n", "a: |\n  b\n# c\n", "- &a *a\n", "a: !t b\n", "\t- a", "{a: 'b", "%YAML 1.2\n---\na: b\n", "- # c\n  - # d\n", "é: \"\\u00e9\"\n", "a: >-\n\n  b\n", "? - a\n  # b\n: c\n#d\n"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		root, problems := source.Parse("a.yaml", data)
		var panels []panel
		problems = append(problems, root.Decode(&panels)...)
		lines := strings.Split(string(data), "\n")
		for _, p := range problems {
			if p.File == "" || p.Code == "" || p.Message == "" {
				t.Errorf("a problem that says nothing: %+v", p)
			}
			if p.Line < 0 || p.Line > len(lines)+1 || p.Column < 0 {
				t.Errorf("a problem that stands outside the file: %+v", p)
			}
			if at := p.Line - 1; at >= 0 && at < len(lines) && p.Column > utf8.RuneCountInString(lines[at])+1 {
				t.Errorf("a problem that stands past its line %q: %+v", lines[at], p)
			}
		}
		walk(root)
	})
}

func walk(n source.Node) {
	_, _ = n.Inside()
	for item := range n.Items() {
		walk(item)
	}
	for key, value := range n.Pairs() {
		walk(key)
		walk(value)
	}
}
