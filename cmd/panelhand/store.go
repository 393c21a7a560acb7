package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"panelhand/bot"
	"panelhand/bot/folder"
	"panelhand/bot/memory"
	"panelhand/bot/store"
	"panelhand/rules"
	"panelhand/rules/playbook"
	"panelhand/rules/source"
)

// storePath is where the crew's things are kept: as the environment says, else
// in the user's data folder.
func (p process) storePath() (string, error) {
	if path := p.getenv("PANELHAND_STORE"); path != "" {
		return path, nil
	}
	dir, err := p.dataFolder()
	if err != nil {
		return "", err
	}
	return filepath.Join(dir, "panelhand.db"), nil
}

// dataFolder is the program's folder among the user's data, by the custom of
// the system.
func (p process) dataFolder() (string, error) {
	dir := p.getenv("XDG_DATA_HOME")
	if dir == "" && (runtime.GOOS == "windows" || runtime.GOOS == "darwin") {
		var err error
		if dir, err = os.UserConfigDir(); err != nil {
			return "", err
		}
	}
	if dir == "" {
		home := p.getenv("HOME")
		if home == "" {
			return "", &memory.Fault{Calm: "I don't know where to keep things: there is no home folder. Set PANELHAND_STORE to a file.", Cause: errors.New("HOME is empty")}
		}
		dir = filepath.Join(home, ".local", "share")
	}
	return filepath.Join(dir, "panelhand"), nil
}

// inMemory is the store that is forgotten with the program.
const inMemory = ":memory:"

// open opens the store; the caller closes it.
func (p process) open() (memory.Store, error) {
	path, err := p.storePath()
	if err != nil {
		return nil, err
	}
	if path == inMemory {
		return memory.New(), nil
	}
	return store.Open(path)
}

// exists reports whether there is a store to read. One is made only when there
// is something to keep.
func (p process) exists() bool {
	path, err := p.storePath()
	if err != nil || path == inMemory {
		return false
	}
	_, err = os.Stat(path)
	return !errors.Is(err, os.ErrNotExist)
}

// session is the coach with a store.
func (p process) session(s memory.Store) (*bot.Session, error) {
	book, err := p.book()
	if err != nil {
		return nil, err
	}
	return session(book, s), nil
}

// team is the coach with a store and with the team's folder, where there is
// one: it is read again when it changes, and rules that are made in the channel
// are written to it. News is what is wrong with the folder; then the house
// playbook answers.
func (p process) team(s memory.Store) (talk *bot.Session, news string, err error) {
	dir := p.getenv("PANELHAND_PLAYBOOK")
	if dir == "" {
		talk, err = p.session(s)
		return talk, "", err
	}
	shelf, news, err := bot.NewShelf(playbook.Files, os.DirFS(dir))
	if err != nil {
		return nil, "", err
	}
	shelf.Keeper = folder.Open(context.Background(), dir)
	talk = session(shelf.Coach().Book(), s)
	talk.Shelf = shelf
	return talk, news, nil
}

func session(book *rules.Book, s memory.Store) *bot.Session {
	return &bot.Session{Coach: bot.New(book), Store: s, Clock: time.Now}
}

// onFile opens the store's own file for the commands that work on it.
func (p process) onFile() (*store.Store, string, error) {
	path, err := p.storePath()
	if err != nil {
		return nil, "", err
	}
	if path == inMemory {
		return nil, path, usageError{"the store is in memory (PANELHAND_STORE); there is no file"}
	}
	if !p.exists() {
		return nil, path, usageError{"nothing is kept yet: no " + path}
	}
	s, err := store.Open(path)
	return s, path, err
}

// backup copies the store to a new file.
func (p process) backup(args []string) error {
	rest, err := p.flags("backup", args, func(*flag.FlagSet) {})
	if err != nil {
		return err
	}
	if len(rest) != 1 {
		return usageError{p.usage("backup")}
	}
	s, path, err := p.onFile()
	if err != nil {
		return err
	}
	defer s.Close()
	if err := s.Backup(context.Background(), rest[0]); err != nil {
		return err
	}
	fmt.Fprintf(p.out, "%s is backed up as %s\n", path, rest[0])
	return nil
}

// restore puts a backup in the store's place.
func (p process) restore(args []string) error {
	rest, err := p.flags("restore", args, func(*flag.FlagSet) {})
	if err != nil {
		return err
	}
	if len(rest) != 1 {
		return usageError{p.usage("restore")}
	}
	path, err := p.storePath()
	if err != nil {
		return err
	}
	if path == inMemory {
		return usageError{"the store is in memory (PANELHAND_STORE); there is no file to restore to"}
	}
	aside, err := store.Restore(rest[0], path)
	if err != nil {
		return err
	}
	fmt.Fprintf(p.out, "%s is in place as %s\n", rest[0], path)
	if aside != "" {
		fmt.Fprintf(p.out, "what was there is kept as %s\n", aside)
	}
	return nil
}

// kit prints the team's kit list, or takes it from a file.
func (p process) kit(args []string) error {
	team := "local"
	rest, err := p.flags("kit", args, func(f *flag.FlagSet) { f.StringVar(&team, "team", team, "whose kit") })
	if err != nil {
		return err
	}
	if len(rest) > 1 {
		return usageError{p.usage("kit")}
	}
	if len(rest) == 0 && !p.exists() {
		return nil // an empty list is no text
	}
	s, err := p.open()
	if err != nil {
		return err
	}
	defer s.Close()
	if len(rest) == 0 {
		k, err := s.Kit(context.Background(), team)
		if err != nil {
			return err
		}
		_, err = fmt.Fprint(p.out, bot.KitYAML(k))
		return err
	}
	data, err := os.ReadFile(rest[0])
	if err != nil {
		return usageError{fmt.Sprintf("can't read %q", rest[0])}
	}
	coach, err := p.coach()
	if err != nil {
		return err
	}
	list, problems := coach.ReadKit(rest[0], data)
	if source.Errors(problems) > 0 {
		fmt.Fprintln(p.err, source.Format(problems, mostProblems))
		return errBroken
	}
	err = s.ChangeKit(context.Background(), team, func(k *memory.KitList) error {
		list.Calibrations, list.Feet, list.Venue = k.Calibrations, k.Feet, k.Venue
		*k = list
		return nil
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(p.out, "the kit of %s: %d things, %d cameras, %d lenses\n", team, len(list.Items), len(list.Cameras), len(list.Lenses))
	return nil
}

// export writes what a team saved to standard output.
func (p process) export(args []string) error {
	var yaml, markdown, wrong bool
	team := "local"
	rest, err := p.flags("export", args, func(f *flag.FlagSet) {
		f.BoolVar(&yaml, "yaml", false, "as set-ups of a playbook")
		f.BoolVar(&markdown, "markdown", false, "to be read (the default)")
		f.BoolVar(&wrong, "wrong", false, "the answers that were reported as wrong")
		f.StringVar(&team, "team", team, "whose records")
	})
	if err != nil {
		return err
	}
	if len(rest) > 0 || yaml && markdown {
		return usageError{p.usage("export")}
	}
	s, _, err := p.onFile()
	if err != nil {
		return err
	}
	defer s.Close()
	if wrong {
		return p.reports(s, team)
	}
	session, err := p.session(s)
	if err != nil {
		return err
	}
	format := "markdown"
	if yaml {
		format = "yaml"
	}
	text, _, err := session.Export(context.Background(), team, format)
	if err != nil {
		return err
	}
	_, err = fmt.Fprint(p.out, strings.TrimRight(text, "\n")+"\n")
	return err
}

// reports prints the answers that somebody found wrong and nobody has taken
// on yet.
func (p process) reports(s *store.Store, team string) error {
	all, err := s.Drafts(context.Background(), team)
	for _, d := range all {
		if d.Kind == memory.DraftMend {
			fmt.Fprintf(p.out, "%s\n  asked: %s\n  wrong: %s\n", d.When.Format(time.RFC3339), strings.Join(strings.Fields(strings.Join(d.Said, " ")), " "), strings.Join(strings.Fields(d.Why), " "))
		}
	}
	return err
}
