package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"

	"panelhand/bot"
	"panelhand/rules"
	"panelhand/rules/playbook"
	"panelhand/rules/source"
)

// A process is one run of the program: everything it can touch.
type process struct {
	args     []string
	in       io.Reader
	out, err io.Writer
	getenv   func(string) string
}

// A command is one word after the program's name.
type command struct {
	name, args, does string
	run              func(process, []string) error
}

// commands in the order in which a newcomer needs them. A function, since
// the table and the commands that print it refer to each other.
func commands() []command {
	return []command{
		{"ask", "[--json] [--full] TEXT…", "one message, one answer", process.ask},
		{"chat", "[--json] [--full] [--thread NAME]", "a conversation, one message a line", process.chat},
		{"plan", "[--markdown FILE] [--html FILE] TEXT…", "the day ahead: sun, light, batteries, packing list", process.plan},
		{"drill", "[--seed N] [MATTER…]", "training questions, marked, until you leave", process.drill},
		{"kit", "[--team NAME] [FILE.yaml]", "print the crew's kit list, or take it from a file", process.kit},
		{"export", "[--markdown|--yaml|--wrong] [--team NAME]", "print what was saved, or reported as wrong", process.export},
		{"backup", "FILE", "copy all that is kept to a new file", process.backup},
		{"restore", "FILE", "put a backup back in place", process.restore},
		{"explain", "TEXT…", "what was heard, and what every rule said of it", process.explain},
		{"playbook", "check|show|diff …", "check the playbook, show a rule, compare two", process.playbook},
		{"facts", "", "what can be heard, and how rules ask for it", process.facts},
		{"formulas", "", "what rules may compute, with sources", process.formulas},
		{"serve", "[--dry-run] [--health ADDRESS]", "answer in the team's Slack", process.serve},
		{"slack", "manifest [--threads] [--reactions]", "what Slack is told of the app", process.slack},
		{"doctor", "", "what is not ready to serve, and what to do", process.doctor},
		{"version", "", "which panelhand this is", process.version},
		{"help", "", "this page", process.help},
	}
}

// usageError is told in one line on standard error, with exit status 2.
type usageError struct{ message string }

func (e usageError) Error() string { return e.message }

// errBroken ends a command whose findings were already written for people,
// with exit status 1.
var errBroken = errors.New("the playbook is broken")

func (p process) run() int {
	err := p.dispatch()
	var usage usageError
	switch {
	case err == nil:
		return 0
	case errors.As(err, &usage):
		fmt.Fprintln(p.err, "panelhand: "+usage.message)
		return 2
	case errors.Is(err, errBroken), errors.Is(err, errUnwell):
		return 1
	default:
		fmt.Fprintln(p.err, err)
		return 1
	}
}

func (p process) dispatch() error {
	if len(p.args) == 0 {
		return p.help(nil)
	}
	name := p.args[0]
	if name == "-h" || name == "--help" || name == "-help" {
		name = "help"
	}
	var names []string
	for _, c := range commands() {
		if c.name == name {
			return c.run(p, p.args[1:])
		}
		names = append(names, c.name)
	}
	return usageError{unknown("command", name, names)}
}

// unknown is the sentence for a word that is none of the known ones.
func unknown(what, got string, known []string) string {
	if near := source.Nearest(got, known); near != "" {
		return fmt.Sprintf("no %s %q; did you mean %q?", what, got, near)
	}
	return fmt.Sprintf("no %s %q; there are %s", what, got, strings.Join(known, ", "))
}

func (p process) help([]string) error {
	fmt.Fprintln(p.out, "panelhand, a lighting coach for location portrait crews")
	fmt.Fprintln(p.out)
	for _, c := range commands() {
		fmt.Fprintf(p.out, "  %-52s %s\n", strings.TrimSpace("panelhand "+c.name+" "+c.args), c.does)
	}
	fmt.Fprintln(p.out)
	fmt.Fprintln(p.out, `Try: panelhand ask "overhead light, want softer, have flash + 40in panel"`)
	return nil
}

// flags parses a command's flags; they stand before the text. Mistakes come
// back as one line that names the nearest flag.
func (p process) flags(name string, args []string, define func(*flag.FlagSet)) ([]string, error) {
	set := flag.NewFlagSet(name, flag.ContinueOnError)
	set.SetOutput(io.Discard)
	define(set)
	err := set.Parse(args)
	if err == nil {
		return set.Args(), nil
	}
	if errors.Is(err, flag.ErrHelp) {
		return nil, usageError{p.usage(name)}
	}
	message := err.Error()
	if undefined, ok := strings.CutPrefix(message, "flag provided but not defined: "); ok {
		var known []string
		set.VisitAll(func(f *flag.Flag) { known = append(known, "--"+f.Name) })
		return nil, usageError{unknown("flag", "--"+strings.TrimLeft(undefined, "-"), known)}
	}
	return nil, usageError{message + "; " + p.usage(name)}
}

func (p process) usage(name string) string {
	i := slices.IndexFunc(commands(), func(c command) bool { return c.name == name })
	c := commands()[i]
	return strings.TrimSpace("usage: panelhand " + c.name + " " + c.args)
}

// book loads the house playbook, or the team's folder where the environment
// names one.
func (p process) book() (*rules.Book, error) {
	var fsys fs.FS = playbook.Files
	if dir := p.getenv("PANELHAND_PLAYBOOK"); dir != "" {
		fsys = os.DirFS(dir)
	}
	book, problems := rules.Load(fsys)
	if source.Errors(problems) > 0 {
		fmt.Fprintln(p.err, source.Format(problems, mostProblems))
		return nil, errBroken
	}
	return book, nil
}

func (p process) coach() (*bot.Coach, error) {
	book, err := p.book()
	if err != nil {
		return nil, err
	}
	return bot.New(book), nil
}
