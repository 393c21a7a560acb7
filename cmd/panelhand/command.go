package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
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
		{"playbook", "check|test|cover|show|diff|new|schema …", "the house playbook, and the team's over it", process.playbook},
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
	if p.args[0] == "--playbook" { // before the command, as in the environment
		if len(p.args) < 3 {
			return usageError{"usage: panelhand --playbook DIR COMMAND …"}
		}
		getenv, dir := p.getenv, p.args[1]
		if info, err := os.Stat(dir); err != nil || !info.IsDir() {
			return usageError{fmt.Sprintf("no folder %q", dir)}
		}
		p.getenv = func(name string) string {
			if name == "PANELHAND_PLAYBOOK" {
				return dir
			}
			return getenv(name)
		}
		p.args = p.args[2:]
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

// coach is built from the house playbook, with the team's folder laid over it
// where the environment names one. A folder with mistakes answers nothing.
func (p process) coach() (*bot.Coach, error) {
	return p.coachOver(p.getenv("PANELHAND_PLAYBOOK"))
}

// coachOver lays a folder over the house playbook; none is the house's alone.
func (p process) coachOver(dir string) (*bot.Coach, error) {
	if dir == "" {
		book, problems := rules.Load(playbook.Files)
		if source.Errors(problems) > 0 {
			fmt.Fprintln(p.err, source.Format(problems, mostProblems))
			return nil, errBroken
		}
		return bot.New(book), nil
	}
	coach, problems := bot.Team(playbook.Files, os.DirFS(dir))
	if coach == nil {
		fmt.Fprintln(p.err, source.Format(problems, mostProblems))
		return nil, errBroken
	}
	return coach, nil
}

// book is the coach's.
func (p process) book() (*rules.Book, error) {
	coach, err := p.coach()
	if err != nil {
		return nil, err
	}
	return coach.Book(), nil
}
