package main

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"io/fs"
	"maps"
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
	commands := map[string]func([]string) error{
		"check": p.playbookCheck, "test": p.playbookTest, "cover": p.playbookCover, "show": p.playbookShow,
		"diff": p.playbookDiff, "new": p.playbookNew, "schema": p.playbookSchema,
	}
	if run, ok := commands[args[0]]; ok {
		return run(args[1:])
	}
	return usageError{unknown("playbook command", args[0], slices.Sorted(maps.Keys(commands)))}
}

// A volume is a playbook that a command works on.
type volume struct {
	coach    *bot.Coach
	files    fs.FS
	problems []source.Problem // warnings, where there is a coach
}

// openBook reads and checks a playbook: a folder laid over the house playbook, a
// folder alone, or the house playbook where none is named.
func (p process) openBook(dir string, alone bool) (volume, error) {
	v := volume{files: playbook.Files}
	if dir != "" {
		if info, err := os.Stat(dir); err != nil || !info.IsDir() {
			return volume{}, usageError{fmt.Sprintf("no folder %q", dir)}
		}
		v.files = os.DirFS(dir)
	}
	if dir != "" && !alone {
		v.coach, v.problems = bot.Team(playbook.Files, v.files)
		v.files = rules.Over(playbook.Files, v.files)
	} else {
		book, problems := rules.Load(v.files)
		if source.Errors(problems) == 0 {
			problems = append(problems, book.Check(v.files)...)
		}
		if v.problems = problems; source.Errors(problems) == 0 {
			v.coach = bot.New(book)
		}
	}
	if v.coach == nil {
		fmt.Fprintln(p.err, source.Format(v.problems, mostProblems))
		return v, errBroken
	}
	return v, nil
}

// named reads the flags and the one folder of a command on a playbook; where
// none is named it is the team's, as everywhere.
func (p process) named(command string, args []string, define func(*flag.FlagSet)) (volume, error) {
	var alone bool
	rest, err := p.flags("playbook", args, func(f *flag.FlagSet) {
		f.BoolVar(&alone, "alone", false, "the folder is a whole playbook, not laid over the house's")
		define(f)
	})
	if err != nil {
		return volume{}, err
	}
	if len(rest) > 1 {
		return volume{}, usageError{"usage: panelhand playbook " + command + " [--alone] [DIR]"}
	}
	return p.openBook(append(rest, p.getenv("PANELHAND_PLAYBOOK"))[0], alone)
}

// playbookCheck tells what is wrong with a playbook, then runs its cases.
func (p process) playbookCheck(args []string) error {
	var unseen bool
	v, err := p.named("check", args, func(f *flag.FlagSet) {
		f.BoolVar(&unseen, "unseen", false, "list the conditions that no case saw both true and false")
	})
	if err != nil {
		return err
	}
	if len(v.problems) > 0 {
		fmt.Fprintln(p.err, source.Format(v.problems, mostProblems))
	}
	report := try.Run(v.coach.Bench(v.files))
	fmt.Fprint(p.out, report)
	if unseen {
		fmt.Fprint(p.out, report.NeverSeen())
	}
	if len(report.Failures) > 0 {
		return errBroken
	}
	for _, s := range v.coach.Book().Shadows() {
		did := "replaced"
		if s.Off {
			did = "switched off"
		}
		fmt.Fprintf(p.out, "%s: the house's %s is %s\n", s.By, s.Rule, did)
	}
	fmt.Fprintln(p.out, counted(v.coach.Book())+": all good")
	return nil
}

// playbookTest runs a playbook's cases and nothing else.
func (p process) playbookTest(args []string) error {
	v, err := p.named("test", args, func(*flag.FlagSet) {})
	if err != nil {
		return err
	}
	report := try.Run(v.coach.Bench(v.files))
	fmt.Fprint(p.out, report)
	if len(report.Failures) > 0 {
		return errBroken
	}
	return nil
}

// playbookCover lists the conditions that no case saw both true and false.
func (p process) playbookCover(args []string) error {
	v, err := p.named("cover", args, func(*flag.FlagSet) {})
	if err != nil {
		return err
	}
	report := try.Run(v.coach.Bench(v.files))
	fmt.Fprint(p.out, report.NeverSeen())
	fmt.Fprintf(p.out, "%d of %d conditions seen true and false\n", report.Total-len(report.Unseen), report.Total)
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
	var alone bool
	rest, err := p.flags("playbook", args, func(f *flag.FlagSet) {
		f.BoolVar(&alone, "alone", false, "the folders are whole playbooks, not laid over the house's")
		f.StringVar(&corpus, "messages", "", "a file of further messages, a line each, or of JSON cases")
	})
	if err != nil {
		return err
	}
	if len(rest) == 0 || len(rest) > 2 {
		return usageError{"usage: panelhand playbook diff [--alone] [--messages FILE] OLD [NEW]"}
	}
	var coaches [2]*bot.Coach
	var messages []string
	for i := range coaches {
		v, err := p.openBook(append(rest, "")[i], alone)
		if err != nil {
			return err
		}
		coaches[i] = v.coach
		cases, _ := rules.Cases(v.files)
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

// playbookSchema prints the JSON schema of one part of a playbook, for
// editors.
func (p process) playbookSchema(args []string) error {
	schemas := rules.Schemas()
	parts := slices.Sorted(maps.Keys(schemas))
	if len(args) != 1 {
		return usageError{"usage: panelhand playbook schema " + strings.Join(parts, "|")}
	}
	schema, ok := schemas[args[0]]
	if !ok {
		return usageError{unknown("part of a playbook", args[0], parts)}
	}
	out := json.NewEncoder(p.out)
	out.SetIndent("", "  ")
	return out.Encode(schema)
}
