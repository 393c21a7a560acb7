package rules

import (
	"strings"
	"sync"

	"github.com/expr-lang/expr/vm"
)

// goal is what an expression must come to.
type goal int

const (
	condition goal = iota // true or false
	quantity              // a number
)

// A program is one expression, compiled at first use. Equal expressions of a
// book are one program, so each is judged once a scene.
type program struct {
	text  string
	goal  goal
	names []string // of the inputs it may read
	id    int      // index in programs.all

	once  sync.Once
	code  *vm.Program
	atoms []*atom
	wrong []exprProblem
}

// An exprProblem is a mistake in an expression, at a rune of it from 0.
type exprProblem struct {
	column                 int
	code, message, nearest string
}

// programs are the expressions of a book by text, and the atoms that they read.
type programs struct {
	all    []*program
	byText map[string]*program

	mu    sync.Mutex // guards atoms, and the expression library's own caches
	atoms map[string]*atom
}

func (ps *programs) get(text string, g goal, names ...string) *program {
	key := strings.Join(names, " ") + "? " + text
	if g == quantity {
		key = strings.Join(names, " ") + "= " + text
	}
	if p, ok := ps.byText[key]; ok {
		return p
	}
	if ps.byText == nil {
		ps.byText = map[string]*program{}
	}
	p := &program{text: text, goal: g, names: names, id: len(ps.all)}
	ps.byText[key] = p
	ps.all = append(ps.all, p)
	return p
}

// ready compiles the program if that was not done yet.
func (ps *programs) ready(p *program) *program {
	p.once.Do(func() {
		ps.mu.Lock()
		defer ps.mu.Unlock()
		c := exprCompiler{programs: ps, program: p}
		c.compile()
	})
	return p
}
