package rules

import (
	"errors"
	"io/fs"
	"iter"
	"path"
	"strings"
	"sync"

	"panelhand/rules/source"
)

// A Book is a playbook read: everything in it in the order of its files. It
// may be shared; judging does not change it.
type Book struct {
	Words       []Word
	Setups      []Setup
	Adjustments []Adjustment
	Signs       []Sign
	Tradeoffs   []Tradeoff
	PlanLines   []PlanLine
	Sites       []Site
	Cautions    []Caution
	Looks       []Look
	Shifts      []Shift
	Defaults    []Default
	Terms       []Term
	Phrases     []Phrase
	Drills      []Drill
	Days        []Day
	Cards       []Card
	Questions   []Question
	Crew        Crew // of a team's folder

	programs programs
	idle     scenes
	phrases  map[string]string

	off       []source.Text // what off.yaml names
	shadows   []Shadow
	guards    *guard
	guardOnce sync.Once
}

// folders says what each folder and file of a playbook holds.
var folders = map[string]func(*Book, source.Node) []source.Problem{
	"words":         func(b *Book, n source.Node) []source.Problem { return list(n, &b.Words) },
	"setups":        func(b *Book, n source.Node) []source.Problem { return list(n, &b.Setups) },
	"adjust":        func(b *Book, n source.Node) []source.Problem { return list(n, &b.Adjustments) },
	"signs":         func(b *Book, n source.Node) []source.Problem { return list(n, &b.Signs) },
	"plan":          func(b *Book, n source.Node) []source.Problem { return list(n, &b.PlanLines) },
	"places.yaml":   func(b *Book, n source.Node) []source.Problem { return list(n, &b.Sites) },
	"tradeoffs":     func(b *Book, n source.Node) []source.Problem { return list(n, &b.Tradeoffs) },
	"safety":        func(b *Book, n source.Node) []source.Problem { return list(n, &b.Cautions) },
	"terms":         func(b *Book, n source.Node) []source.Problem { return list(n, &b.Terms) },
	"phrases":       func(b *Book, n source.Node) []source.Problem { return list(n, &b.Phrases) },
	"drills":        func(b *Book, n source.Node) []source.Problem { return list(n, &b.Drills) },
	"week":          func(b *Book, n source.Node) []source.Problem { return list(n, &b.Days) },
	"cards":         func(b *Book, n source.Node) []source.Problem { return list(n, &b.Cards) },
	"questions":     func(b *Book, n source.Node) []source.Problem { return list(n, &b.Questions) },
	"looks.yaml":    func(b *Book, n source.Node) []source.Problem { return list(n, &b.Looks) },
	"shifts.yaml":   func(b *Book, n source.Node) []source.Problem { return list(n, &b.Shifts) },
	"defaults.yaml": func(b *Book, n source.Node) []source.Problem { return list(n, &b.Defaults) },
	crewFile:        func(b *Book, n source.Node) []source.Problem { return n.Decode(&b.Crew) },
	offFile: func(b *Book, n source.Node) []source.Problem {
		var s switches
		problems := n.Decode(&s)
		b.off = s.Off
		return problems
	},
}

// ChannelFolder holds the rules of a team's that were made in its channel, in
// folders as a playbook has them.
const ChannelFolder = "from-channel/"

// ToMend is the file of messages whose answers were reported as wrong. It
// stands beside no rules.
const ToMend = ChannelFolder + "to-mend" + CasesSuffix

// CasesSuffix ends the name of a file of cases, which stands beside the rules
// that it tests and is read only to test them.
const CasesSuffix = ".cases.yaml"

// Load reads a playbook: words/, setups/, adjust/, signs/, tradeoffs/, plan/, safety/,
// terms/, phrases/, questions/, drills/, week/ and cards/ with any number of YAML files, looks.yaml,
// shifts.yaml, defaults.yaml and places.yaml, all of them in from-channel/ too; off.yaml and crew.yaml
// count only where the folder is laid over another (LoadOver). It tells what is
// wrong with their shape, sorted, and leaves conditions unread: they are compiled
// when first judged, and Check reads them all. A book with errors is returned as
// far as it could be read; it must not be used to answer.
func Load(files fs.FS) (*Book, []source.Problem) {
	b, problems := load(files, "")
	b.bind()
	return b, quoted(problems, files)
}

// load reads a playbook whose files are told with a prefix, and binds nothing.
func load(files fs.FS, prefix string) (*Book, []source.Problem) {
	b := &Book{}
	var problems []source.Problem
	var parsed []*parsing
	err := fs.WalkDir(files, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if hidden(name, entry) {
			return fs.SkipDir
		}
		if entry.IsDir() || path.Ext(name) != ".yaml" && path.Ext(name) != ".yml" || strings.HasSuffix(name, CasesSuffix) {
			return nil
		}
		top, _, _ := strings.Cut(strings.TrimPrefix(name, ChannelFolder), "/")
		read, known := folders[top]
		if !known || path.Ext(name) != ".yaml" {
			p := source.Errorf(source.Pos{File: prefix + name}, "stray-file", "no part of a playbook is read from here")
			p.Nearest = source.Nearest(top, []string{"words", "setups", "adjust", "signs", "tradeoffs", "plan", "safety", "terms", "phrases", "questions", "drills", "week", "cards", "looks.yaml", "shifts.yaml", "defaults.yaml", "places.yaml", crewFile, offFile})
			problems = append(problems, p)
			return nil
		}
		data, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		parsed = append(parsed, parse(prefix+name, data, read))
		return nil
	})
	for _, p := range parsed { // in the order of the files, whichever was parsed first
		<-p.done
		problems = append(problems, p.problems...)
		problems = append(problems, p.read(b, p.root)...)
	}
	if err != nil {
		var broken *fs.PathError
		at := source.Pos{File: "."}
		if errors.As(err, &broken) {
			at.File, err = prefix+broken.Path, broken.Err
		}
		problems = append(problems, source.Errorf(at, "unreadable", "cannot be read: %v", err))
	}
	return b, problems
}

// hidden reports whether an entry is a folder that is none of a playbook's:
// .git and the like.
func hidden(name string, entry fs.DirEntry) bool {
	return entry.IsDir() && name != "." && strings.HasPrefix(entry.Name(), ".")
}

// A parsing is one file on its way from text to tree: most of the time that
// loading takes, and no file waits for another.
type parsing struct {
	read     func(*Book, source.Node) []source.Problem
	root     source.Node
	problems []source.Problem
	done     chan struct{}
}

func parse(name string, data []byte, read func(*Book, source.Node) []source.Problem) *parsing {
	p := &parsing{read: read, done: make(chan struct{})}
	go func() {
		defer close(p.done)
		p.root, p.problems = source.Parse(name, data)
	}()
	return p
}

// quoted sorts problems and adds the source lines that they stand on.
func quoted(problems []source.Problem, files fs.FS) []source.Problem {
	return source.Quote(source.Sort(problems), func(name string) ([]byte, error) { return fs.ReadFile(files, name) })
}

// list appends a file's items to those of the files before it.
func list[T any](n source.Node, into *[]T) []source.Problem {
	if n.Kind() == source.Nothing {
		return nil
	}
	var items []T
	problems := n.Decode(&items)
	*into = append(*into, items...)
	return problems
}

// bind gives equal conditions one program. One that does not stand on a line
// of its own was refused and gets none: it is never more than Unknown.
func (b *Book) bind() {
	for _, l := range b.Lines() {
		if l.Text.InLine {
			l.program = b.programs.get(l.Text.Value, condition)
		}
	}
	for f := range b.formulas() {
		if f.Text.InLine {
			f.program = b.programs.get(f.Text.Value, quantity, f.names...)
		}
	}
	for i := range b.Drills {
		b.bindDrill(&b.Drills[i])
	}
	b.phrases = make(map[string]string, len(b.Phrases))
	for _, p := range b.Phrases {
		b.phrases[p.ID] = p.Text.Value
	}
}

// Lines are the book's conditions with the id of the rule that each stands in
// (the path of a default's fact), in the order of the book.
func (b *Book) Lines() iter.Seq2[string, *Line] {
	return func(yield func(string, *Line) bool) {
		more := true
		each := func(rule string, lines Lines) {
			lines.each(func(l *Line) { more = more && yield(rule, l) })
		}
		for i := range b.Setups {
			each(b.Setups[i].ID, b.Setups[i].When)
			for j := range b.Setups[i].Prefer {
				each(b.Setups[i].ID, b.Setups[i].Prefer[j].When)
			}
		}
		for i := range b.Adjustments {
			each(b.Adjustments[i].ID, b.Adjustments[i].When)
			for j := range b.Adjustments[i].Offer {
				each(b.Adjustments[i].ID, b.Adjustments[i].Offer[j].When)
			}
		}
		for i := range b.Signs {
			each(b.Signs[i].ID, b.Signs[i].When)
		}
		for i := range b.Tradeoffs {
			each(b.Tradeoffs[i].ID, b.Tradeoffs[i].When)
		}
		for i := range b.PlanLines {
			each(b.PlanLines[i].ID, b.PlanLines[i].When)
		}
		for i := range b.Cautions {
			each(b.Cautions[i].ID, b.Cautions[i].When)
		}
		for i := range b.Shifts {
			each(b.Shifts[i].ID, b.Shifts[i].When)
		}
		for i := range b.Defaults {
			each(b.Defaults[i].Path, b.Defaults[i].When)
		}
	}
}

// formulas are the book's expressions that come to a number.
func (b *Book) formulas() iter.Seq[*Line] {
	return func(yield func(*Line) bool) {
		for i := range b.Defaults {
			if f := b.Defaults[i].formula; f != nil && !yield(f) {
				return
			}
		}
		for i := range b.Tradeoffs {
			for _, f := range b.Tradeoffs[i].formulas() {
				if !yield(f) {
					return
				}
			}
		}
		b.questionLines(yield)
	}
}

// Phrase returns the text of a phrase, "" where there is none.
func (b *Book) Phrase(id string) string { return b.phrases[id] }

// Look returns a look by its word.
func (b *Book) Look(id string) (*Look, bool) {
	for i := range b.Looks {
		if b.Looks[i].ID == id {
			return &b.Looks[i], true
		}
	}
	return nil, false
}

// Caution returns the caution rule with an id.
func (b *Book) Caution(id string) (*Caution, bool) {
	for i := range b.Cautions {
		if b.Cautions[i].ID == id {
			return &b.Cautions[i], true
		}
	}
	return nil, false
}

// Sign returns a sign by its id.
func (b *Book) Sign(id string) (*Sign, bool) {
	for i := range b.Signs {
		if b.Signs[i].ID == id {
			return &b.Signs[i], true
		}
	}
	return nil, false
}

// Term returns a term by its id.
func (b *Book) Term(id string) (*Term, bool) {
	for i := range b.Terms {
		if b.Terms[i].ID == id {
			return &b.Terms[i], true
		}
	}
	return nil, false
}

// Adjustment returns an adjustment by its id.
func (b *Book) Adjustment(id string) (*Adjustment, bool) {
	for i := range b.Adjustments {
		if b.Adjustments[i].ID == id {
			return &b.Adjustments[i], true
		}
	}
	return nil, false
}

// Setup returns a set-up by its id.
func (b *Book) Setup(id string) (*Setup, bool) {
	for i := range b.Setups {
		if b.Setups[i].ID == id {
			return &b.Setups[i], true
		}
	}
	return nil, false
}
