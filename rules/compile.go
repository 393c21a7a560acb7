package rules

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/builtin"
	"github.com/expr-lang/expr/checker"
	"github.com/expr-lang/expr/compiler"
	"github.com/expr-lang/expr/conf"
	"github.com/expr-lang/expr/file"
	"github.com/expr-lang/expr/parser"
	"github.com/expr-lang/expr/types"

	"panelhand/rules/fact"
	"panelhand/rules/formula"
	"panelhand/rules/source"
)

// exprCompiler turns one expression into a program. It rewrites the tree:
// every reading of a fact becomes an atom, a name of its own that the scene
// fills in, and every arithmetic step is wrapped so that a result that is not
// finite stops it. So no absence, no infinity and no library function is left
// for the library to treat in its own way.
type exprCompiler struct {
	programs *programs
	program  *program
	nodes    int
}

// numberFunction is the type that the library checks our functions by.
var numberFunction = []reflect.Type{reflect.TypeFor[func(...float64) float64]()}

func (c *exprCompiler) fail(column int, code, format string, args ...any) {
	c.program.wrong = append(c.program.wrong, exprProblem{column: column, code: code, message: fmt.Sprintf(format, args...)})
}

func (c *exprCompiler) near(name string, names []string) {
	c.program.wrong[len(c.program.wrong)-1].nearest = source.Nearest(name, names)
}

func (c *exprCompiler) compile() {
	text := c.program.text
	if !c.confined(text) {
		return
	}
	tree, err := parser.ParseWithConfig(text, parseConfig)
	if err != nil {
		c.library(err, "condition-syntax")
		return
	}
	node, kind := c.walk(tree.Node)
	if len(c.program.wrong) > 0 {
		return
	}
	if want := [...]exprKind{condition: truthKind, quantity: numberKind}[c.program.goal]; kind != want {
		c.fail(0, "wrong-type", "this comes to %s; %s is needed", kind, want)
		return
	}
	tree.Node = node
	config := conf.CreateNew()
	config.Builtins, config.Optimize = nil, false
	config.Functions = runFunctions
	env := types.Map{}
	for _, a := range c.program.atoms {
		env[a.key] = a.kind.libraryType()
	}
	config.WithEnv(env)
	if _, err := checker.Check(tree, config); err != nil {
		c.library(err, "wrong-type")
		return
	}
	code, err := compiler.Compile(tree, config)
	if err != nil {
		c.library(err, "condition-syntax")
		return
	}
	c.program.code = code
}

var unexpectedToken = regexp.MustCompile(`^unexpected token \w+\((.*)\)$`)

// library tells an error of the expression library, whose column counts from
// 0 in runes.
func (c *exprCompiler) library(err error, code string) {
	var at *file.Error
	if errors.As(err, &at) {
		message := at.Message
		if m := unexpectedToken.FindStringSubmatch(message); m != nil {
			message = m[1] + " does not belong here"
		} else if strings.Contains(message, "unexpected token EOF") || strings.Contains(message, "unexpected end") {
			message = "something is missing at the end"
		}
		c.fail(at.Column, code, "%s", message)
		return
	}
	c.fail(0, code, "%v", err)
}

// exprKind is what a part of an expression comes to.
type exprKind int

const (
	noKind exprKind = iota // after a mistake, which was told
	numberKind
	truthKind
	textKind
)

func (k exprKind) String() string {
	return [...]string{"nothing", "a number", "true or false", "a text"}[k]
}

func (k exprKind) libraryType() types.Type {
	switch k {
	case numberKind:
		return types.Float64
	case truthKind:
		return types.Bool
	}
	return types.String
}

// walk checks a part of the tree and returns it rewritten. What it does not
// name it refuses.
func (c *exprCompiler) walk(node ast.Node) (ast.Node, exprKind) {
	if c.nodes++; c.nodes == maxNodes+1 {
		c.fail(node.Location().From, "condition-too-big", "more than %d parts; split it", maxNodes)
	}
	if c.nodes > maxNodes {
		return node, noKind
	}
	at := node.Location().From
	switch n := node.(type) {
	case *ast.IntegerNode:
		return &ast.FloatNode{Value: float64(n.Value)}, numberKind
	case *ast.FloatNode:
		if !finite(n.Value) {
			c.fail(at, "not-finite", "a number too large to be one")
			return n, noKind
		}
		return n, numberKind
	case *ast.BoolNode:
		return n, truthKind
	case *ast.StringNode:
		return n, textKind
	case *ast.IdentifierNode:
		return c.bare(n)
	case *ast.MemberNode:
		return c.member(n)
	case *ast.UnaryNode:
		return c.unary(n)
	case *ast.BinaryNode:
		return c.binary(n)
	case *ast.CallNode:
		return c.call(n)
	case *ast.ConditionalNode, *ast.VariableDeclaratorNode, *ast.SequenceNode, *ast.PredicateNode, *ast.PointerNode, *ast.BuiltinNode:
		c.fail(at, "forbidden-syntax", "a condition has no let, if, braces or library functions")
	case *ast.SliceNode:
		c.fail(at, "forbidden-syntax", "a condition does not index")
	case *ast.NilNode:
		c.fail(at, "forbidden-syntax", "nil is not a value; an unsaid fact makes its line unknown, and known(\"…\") asks for that")
	case *ast.ArrayNode:
		c.fail(at, "forbidden-syntax", "a list stands only after in")
	default:
		c.fail(at, "forbidden-syntax", "this has no meaning in a condition")
	}
	return node, noKind
}

func (c *exprCompiler) unary(n *ast.UnaryNode) (ast.Node, exprKind) {
	at := n.Location().From
	inner, kind := c.walk(n.Node)
	n.Node = inner
	switch {
	case n.Operator == "!":
		c.fail(at, "forbidden-syntax", "write not for !")
	case kind == noKind:
	case n.Operator == "not" && kind != truthKind:
		c.fail(at, "wrong-type", "not turns round true or false, and this is %s; a comparison after not needs parentheses: not (a > b)", kind)
	case n.Operator != "not" && kind != numberKind:
		c.fail(at, "wrong-type", "%s stands before a number, not %s", n.Operator, kind)
	default:
		return n, kind
	}
	return n, noKind
}

func (c *exprCompiler) binary(n *ast.BinaryNode) (ast.Node, exprKind) {
	at := n.Location().From
	switch n.Operator {
	case "and", "or", "&&", "||":
		c.fail(at, "and-or", andOr)
		return n, noKind
	case "in":
		return c.in(n)
	}
	var left, right exprKind
	n.Left, left = c.walk(n.Left)
	n.Right, right = c.walk(n.Right)
	known := left != noKind && right != noKind
	numbers := left == numberKind && right == numberKind
	switch n.Operator {
	case "+", "-", "*", "/", "**":
		if known && !numbers {
			c.fail(at, "wrong-type", "%s reckons with numbers, not with %s and %s", n.Operator, left, right)
		}
		if !numbers {
			return n, noKind
		}
		checked := &ast.CallNode{Callee: &ast.IdentifierNode{Value: finiteName}, Arguments: []ast.Node{n}}
		checked.SetLocation(n.Location())
		return checked, numberKind
	case "<", "<=", ">", ">=":
		if known && !numbers {
			c.fail(at, "wrong-type", "%s compares numbers, not %s and %s", n.Operator, left, right)
		}
	case "==", "!=":
		if known && left != right {
			c.fail(at, "wrong-type", "%s compares like with like, not %s with %s", n.Operator, left, right)
		}
	default:
		c.fail(at, "forbidden-syntax", "%s has no meaning in a condition", n.Operator)
		return n, noKind
	}
	if !known {
		return n, noKind
	}
	return n, truthKind
}

// in takes a list of literals on its right.
func (c *exprCompiler) in(n *ast.BinaryNode) (ast.Node, exprKind) {
	var left exprKind
	n.Left, left = c.walk(n.Left)
	list, ok := n.Right.(*ast.ArrayNode)
	if !ok || len(list.Nodes) == 0 {
		c.fail(n.Right.Location().From, "forbidden-syntax", "after in stands a list of values: people in [2, 3]; whether a list fact holds a choice is a call: wants(\"softer\")")
		return n, noKind
	}
	for i, item := range list.Nodes {
		switch item.(type) {
		case *ast.IntegerNode, *ast.FloatNode, *ast.StringNode:
		default:
			c.fail(item.Location().From, "forbidden-syntax", "the list after in holds plain values")
			return n, noKind
		}
		var kind exprKind
		if list.Nodes[i], kind = c.walk(item); kind != left && kind != noKind && left != noKind {
			c.fail(item.Location().From, "wrong-type", "the list holds %s and %s is looked for", kind, left)
			return n, noKind
		}
	}
	if left != numberKind && left != textKind {
		return n, noKind
	}
	return n, truthKind
}

// at is the rune of the text at a column, 0 past its end.
func (c *exprCompiler) at(column int) rune {
	for _, r := range c.program.text {
		if column == 0 {
			return r
		}
		column--
	}
	return 0
}

// member allows numbers.NAME and nothing else.
func (c *exprCompiler) member(n *ast.MemberNode) (ast.Node, exprKind) {
	at := n.Location().From
	base, _ := n.Node.(*ast.IdentifierNode)
	name, _ := n.Property.(*ast.StringNode)
	if base == nil || base.Value != "numbers" || name == nil || n.Optional || c.at(name.Location().From) == '"' || c.at(name.Location().From) == '\'' {
		if base != nil && name != nil {
			if f, ok := fact.Lookup(base.Value + "." + name.Value); ok {
				c.fail(base.Location().From, "unknown-fact", "a condition names a fact by its short name")
				c.program.wrong[len(c.program.wrong)-1].nearest = f.Name
				return n, noKind
			}
		}
		c.fail(at, "forbidden-syntax", "only numbers.NAME has a part; a condition does not index")
		return n, noKind
	}
	if !slices.Contains(NumberKeys, name.Value) {
		c.fail(name.Location().From, "unknown-number", "%s is not a number of an answer", name.Value)
		c.near(name.Value, NumberKeys)
		return n, noKind
	}
	return c.atom(n, "numbers."+name.Value, numberKind, nil, readNumber(name.Value))
}

// bare reads a number, a flag or a text by its name alone.
func (c *exprCompiler) bare(n *ast.IdentifierNode) (ast.Node, exprKind) {
	at := n.Location().From
	if slices.Contains(c.program.names, n.Value) {
		return c.atom(n, "input "+n.Value, numberKind, nil, readInput(n.Value))
	}
	f, ok := fact.Named(n.Value)
	if !ok {
		names := factNames(fact.Number, fact.Flag, fact.Text)
		if call, isCall := calls[n.Value]; isCall {
			c.fail(at, "wrong-arguments", "%s is called: %s", n.Value, call.example)
			return n, noKind
		}
		c.fail(at, "unknown-fact", "%s is not a fact", n.Value)
		c.near(n.Value, slices.Concat(names, c.program.names, []string{"numbers"}))
		return n, noKind
	}
	switch f.Kind {
	case fact.Number:
		return c.atom(n, f.Name, numberKind, []string{f.Path}, readOpenNumber(f))
	case fact.Flag:
		return c.atom(n, f.Name, truthKind, []string{f.Path}, readFlag(f))
	case fact.Text:
		return c.atom(n, f.Name, textKind, []string{f.Path}, readText(f))
	}
	c.fail(at, "wrong-arguments", "%s is asked with its choices: %s(%q)", f.Name, f.Name, f.Choices[0])
	return n, noKind
}

// call reads a list, a choice or the kit, or computes a formula.
func (c *exprCompiler) call(n *ast.CallNode) (ast.Node, exprKind) {
	callee, ok := n.Callee.(*ast.IdentifierNode)
	if !ok {
		c.fail(n.Location().From, "forbidden-syntax", "only named functions are called")
		return n, noKind
	}
	at, name := callee.Location().From, callee.Value
	if f, ok := fact.Named(name); ok {
		return c.factCall(n, f)
	}
	if call, ok := calls[name]; ok {
		words, ok := c.words(n, call)
		if !ok {
			return n, noKind
		}
		return c.atom(n, atomKey(name, words), call.kind, call.facts(words), call.read(words))
	}
	if f, ok := formula.Lookup(name); ok {
		if len(n.Arguments) != len(f.Args) {
			c.fail(at, "wrong-arguments", "%s is written so: %s", name, f.Signature())
			return n, noKind
		}
		whole := true
		for i, arg := range n.Arguments {
			var kind exprKind
			n.Arguments[i], kind = c.walk(arg)
			if kind != numberKind && kind != noKind {
				c.fail(arg.Location().From, "wrong-type", "%s reckons with numbers, not with %s", name, kind)
			}
			whole = whole && kind == numberKind
		}
		if !whole {
			return n, noKind
		}
		return n, numberKind
	}
	c.fail(at, "unknown-formula", "%s is not a fact, nor a formula", name)
	c.near(name, slices.Concat(factNames(fact.Choice, fact.List, fact.Kit), callNames(), formulaNames()))
	return n, noKind
}

func (c *exprCompiler) factCall(n *ast.CallNode, f *fact.Fact) (ast.Node, exprKind) {
	at := n.Location().From
	if f.Kind != fact.Choice && f.Kind != fact.List && f.Kind != fact.Kit {
		c.fail(at, "wrong-arguments", "%s is %s and stands alone, without parentheses", f.Name, [...]string{fact.Number: "a number", fact.Flag: "true or false", fact.Text: "a text"}[f.Kind])
		return n, noKind
	}
	words, ok := c.words(n, call{example: fmt.Sprintf("%s(%q)", f.Name, f.Choices[0]), what: f.Path, choices: f.Choices, least: 1})
	if !ok {
		return n, noKind
	}
	read := readList(f, words)
	switch f.Kind {
	case fact.Choice:
		read = readChoice(f, words)
	case fact.Kit:
		read = readHas(words)
	}
	return c.atom(n, atomKey(f.Name, words), truthKind, []string{f.Path}, read)
}

// words reads a call's arguments, which must be literal texts out of the
// call's choices.
func (c *exprCompiler) words(n *ast.CallNode, of call) ([]string, bool) {
	at := n.Location().From
	name := n.Callee.(*ast.IdentifierNode).Value
	if len(n.Arguments) < of.least || of.most > 0 && len(n.Arguments) > of.most || of.least == 0 && of.choices == nil && len(n.Arguments) > 0 {
		c.fail(at, "wrong-arguments", "%s is written so: %s", name, of.example)
		return nil, false
	}
	var words []string
	good := true
	for _, arg := range n.Arguments {
		c.nodes++
		literal, ok := arg.(*ast.StringNode)
		if !ok {
			c.fail(arg.Location().From, "wrong-arguments", `%s takes words in "quotes": %s`, name, of.example)
			return nil, false
		}
		if !slices.Contains(of.choices, literal.Value) {
			c.fail(arg.Location().From+1, "unknown-choice", "%q is not a choice of %s", literal.Value, of.what)
			c.near(literal.Value, of.choices)
			good = false
		}
		words = append(words, literal.Value)
	}
	return words, good
}

// atom puts a reading in the place of a node. Equal readings of a book are
// one atom.
func (c *exprCompiler) atom(n ast.Node, key string, kind exprKind, facts []string, read func(*Env) reading) (ast.Node, exprKind) {
	a, ok := c.programs.atoms[key]
	if !ok {
		a = &atom{key: key, kind: kind, facts: facts, read: read}
		if c.programs.atoms == nil {
			c.programs.atoms = map[string]*atom{}
		}
		c.programs.atoms[key] = a
	}
	if !slices.Contains(c.program.atoms, a) {
		c.program.atoms = append(c.program.atoms, a)
	}
	id := &ast.IdentifierNode{Value: key}
	id.SetLocation(n.Location())
	return id, kind
}

func atomKey(name string, words []string) string {
	return name + `("` + strings.Join(words, `","`) + `")`
}

func formulaNames() []string {
	names := make([]string, len(formula.Table))
	for i, f := range formula.Table {
		names[i] = f.Name
	}
	return names
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// finiteName is the function that every arithmetic step goes through. A
// condition cannot call it: # does not pass confined.
const finiteName = "finite#"

var errNotFinite = errors.New("the reckoning has no finite result")

// runFunctions is what compiled programs may call: the finite check and the
// formula table. parseConfig shadows every function of the library, so that each
// parses as a plain call, which the walk then refuses by name.
var runFunctions, parseConfig = libraryConfig()

func libraryConfig() (conf.FunctionsTable, *conf.Config) {
	run := conf.FunctionsTable{finiteName: {
		Name: finiteName,
		Func: func(args ...any) (any, error) {
			if x, ok := args[0].(float64); ok && finite(x) {
				return x, nil
			}
			return nil, errNotFinite
		},
		Types: numberFunction,
	}}
	for _, f := range formula.Table {
		run[f.Name] = &builtin.Function{Name: f.Name, Types: numberFunction, Func: func(args ...any) (any, error) {
			numbers := make([]float64, len(args))
			for i, arg := range args {
				x, ok := arg.(float64)
				if !ok || !finite(x) {
					return nil, errNotFinite
				}
				numbers[i] = x
			}
			y, err := f.Call(numbers)
			if err != nil {
				return nil, err
			}
			if !finite(y) {
				return nil, errNotFinite
			}
			return y, nil
		}}
	}
	parse := conf.CreateNew()
	parse.DisableIfOperator = true
	for name := range parse.Builtins {
		parse.Functions[name] = &builtin.Function{Name: name}
	}
	for name := range calls {
		parse.Functions[name] = &builtin.Function{Name: name}
	}
	parse.Builtins = nil
	return run, parse
}
