package main

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/rules"
	"panelhand/rules/playbook"
	"panelhand/rules/source"
	"panelhand/rules/try"
)

// mostProblems is how many problems of a playbook are told at once.
const mostProblems = 40

// playbook runs the commands on a playbook as a whole.
func (p process) playbook(args []string) error {
	if len(args) == 0 {
		return usageError{p.usage("playbook")}
	}
	switch args[0] {
	case "check":
		return p.playbookCheck(args[1:])
	case "show":
		return p.playbookShow(args[1:])
	case "diff":
		return p.playbookDiff(args[1:])
	}
	return usageError{unknown("playbook command", args[0], []string{"check", "show", "diff"})}
}

// folder is a playbook's files: a folder, or the house playbook where none is
// named.
func folder(names ...string) (fs.FS, error) {
	if len(names) == 0 {
		return playbook.Files, nil
	}
	if info, err := os.Stat(names[0]); err != nil || !info.IsDir() {
		return nil, usageError{fmt.Sprintf("no folder %q", names[0])}
	}
	return os.DirFS(names[0]), nil
}

// playbookCheck tells what is wrong with a playbook, then runs its cases.
func (p process) playbookCheck(args []string) error {
	var unseen bool
	rest, err := p.flags("playbook", args, func(f *flag.FlagSet) {
		f.BoolVar(&unseen, "unseen", false, "list the conditions that no case saw both true and false")
	})
	if err != nil {
		return err
	}
	if len(rest) > 1 {
		return usageError{"usage: panelhand playbook check [--unseen] [DIR]"}
	}
	files, err := folder(rest...)
	if err != nil {
		return err
	}
	book, problems := rules.Load(files)
	if source.Errors(problems) == 0 {
		problems = append(problems, book.Check(files)...)
	}
	if len(problems) > 0 {
		fmt.Fprintln(p.err, source.Format(problems, mostProblems))
	}
	if source.Errors(problems) > 0 {
		return errBroken
	}
	report := try.Run(bot.New(book).Bench(files))
	fmt.Fprint(p.out, report)
	if unseen {
		fmt.Fprint(p.out, report.NeverSeen())
	}
	if len(report.Failures) > 0 {
		return errBroken
	}
	fmt.Fprintln(p.out, counted(book)+": all good")
	return nil
}

// counted says how many rules of each kind a book has.
func counted(book *rules.Book) string {
	n := map[string]int{}
	for r := range book.Rules() {
		n[r.Kind]++
	}
	var parts []string
	for _, kind := range rules.RuleKinds {
		if n[kind] > 0 {
			parts = append(parts, fmt.Sprintf("%d %ss", n[kind], kind))
		}
	}
	return strings.Join(append(parts, fmt.Sprintf("%d words", len(book.Words))), ", ")
}

// playbookShow lists the playbook's rules, one kind of them, or prints what
// the rules of one name are.
func (p process) playbookShow(args []string) error {
	book, err := p.book()
	if err != nil {
		return err
	}
	if len(args) > 1 {
		return usageError{p.usage("playbook")}
	}
	if len(args) == 0 || slices.Contains(rules.RuleKinds, args[0]) {
		for r := range book.Rules() {
			if len(args) == 0 || r.Kind == args[0] {
				fmt.Fprintf(p.out, "%-10s  %-32s %s\n", r.Kind, r.ID, r.Title)
			}
		}
		return nil
	}
	var ids []string
	found := false
	for r := range book.Rules() {
		if ids = append(ids, r.ID); r.ID == args[0] {
			p.showRule(r)
			found = true
		}
	}
	if !found {
		return usageError{unknown("rule", args[0], append(ids, rules.RuleKinds...))}
	}
	return nil
}

func (p process) showRule(r rules.Rule) {
	fmt.Fprintf(p.out, "%s %s (%s:%d)\n%s\n", r.Kind, r.ID, r.Pos.File, r.Pos.Line, r.Title)
	if len(r.Notes) > 0 {
		fmt.Fprintln(p.out, strings.Join(r.Notes, ", "))
	}
	for i := range r.When {
		fmt.Fprintln(p.out, "when "+r.When[i].String())
	}
	for _, t := range r.Texts {
		fmt.Fprintln(p.out, t.Value)
	}
	if r.Source != "" {
		fmt.Fprintln(p.out, "source: "+r.Source)
	}
}

// playbookDiff prints the messages whose set-up or dials differ between two
// playbooks: a rule's weight moved by a hair can change answers far away.
func (p process) playbookDiff(args []string) error {
	var corpus string
	rest, err := p.flags("playbook", args, func(f *flag.FlagSet) {
		f.StringVar(&corpus, "messages", "", "a file of further messages, a line each, or of JSON cases")
	})
	if err != nil {
		return err
	}
	if len(rest) == 0 || len(rest) > 2 {
		return usageError{"usage: panelhand playbook diff [--messages FILE] OLD [NEW]"}
	}
	var coaches [2]*bot.Coach
	var messages []string
	for i := range coaches {
		files, err := folder(rest[min(i, len(rest)):min(i+1, len(rest))]...)
		if err != nil {
			return err
		}
		book, problems := rules.Load(files)
		if source.Errors(problems) > 0 {
			fmt.Fprintln(p.err, source.Format(problems, mostProblems))
			return errBroken
		}
		coaches[i] = bot.New(book)
		cases, _ := rules.Cases(files)
		for _, c := range cases {
			messages = append(messages, c.Say.Value)
		}
	}
	further, err := readMessages(corpus)
	if err != nil {
		return err
	}
	messages = append(messages, further...)
	slices.Sort(messages)
	changed := 0
	messages = slices.Compact(messages)
	for _, m := range messages {
		before, after := gist(coaches[0], m), gist(coaches[1], m)
		if before != after {
			changed++
			fmt.Fprintf(p.out, "%s\n  - %s\n  + %s\n", m, before, after)
		}
	}
	fmt.Fprintf(p.out, "%d of %d messages changed set-up or dial\n", changed, len(messages))
	return nil
}

// gist is what of an answer a crew would act on: the set-up and the dials.
func gist(c *bot.Coach, message string) string {
	a := c.Answer(new(bot.Thread), bot.Message{Text: message})
	if a.Setup == nil {
		return string(a.Kind)
	}
	out := a.Setup.ID
	for _, s := range a.Sections {
		if s.Part == answer.Lead && len(s.Lines) > 0 {
			out += ": " + s.Lines[0]
		}
	}
	return out
}

// readMessages reads messages a line each, or the "say" of JSON cases.
func readMessages(name string) ([]string, error) {
	if name == "" {
		return nil, nil
	}
	file, err := os.Open(name)
	if err != nil {
		return nil, usageError{err.Error()}
	}
	defer file.Close()
	var out []string
	lines := bufio.NewScanner(file)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var c struct {
			Turns []struct{ Say string }
		}
		if json.Unmarshal(lines.Bytes(), &c) != nil {
			out = append(out, lines.Text())
			continue
		}
		for _, turn := range c.Turns {
			out = append(out, turn.Say)
		}
	}
	return out, lines.Err()
}
