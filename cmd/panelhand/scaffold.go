package main

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// scaffolds are the files that a new rule starts from, with ID where its id
// goes and PHRASE where its id goes in words.
//
//go:embed scaffold
var scaffolds embed.FS

// scaffoldFolders are the folders of a playbook that new rules go to.
var scaffoldFolders = map[string]string{"set-up": "setups", "caution": "safety", "word": "words", "adjustment": "adjust"}

var ruleID = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// playbookNew writes a rule and its cases into the team's folder. They pass
// check as they are, so that whoever edits them starts from what works.
func (p process) playbookNew(args []string) error {
	kinds := []string{"set-up", "caution", "word", "adjustment"}
	if len(args) < 2 || len(args) > 3 {
		return usageError{"usage: panelhand playbook new " + strings.Join(kinds, "|") + " ID [DIR]"}
	}
	kind, id := args[0], args[1]
	if !slices.Contains(kinds, kind) {
		return usageError{unknown("kind of rule to start", kind, kinds)}
	}
	if !ruleID.MatchString(id) {
		return usageError{fmt.Sprintf("%q: a name has small letters, digits and hyphens, such as net-shed-edge", id)}
	}
	dir := append(args[2:], p.getenv("PANELHAND_PLAYBOOK"))[0]
	if dir == "" {
		return usageError{"say the team's folder, or name it in PANELHAND_PLAYBOOK"}
	}
	book, err := p.coachOver("")
	if err != nil {
		return err
	}
	for r := range book.Book().Rules() {
		if r.ID == id {
			return usageError{fmt.Sprintf("the house playbook has a %s %s already, and yours would replace it; take another name, or write it by hand", r.Kind, id)}
		}
	}
	folder := filepath.Join(dir, scaffoldFolders[kind])
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return usageError{err.Error()}
	}
	for _, ending := range []string{".yaml", ".cases.yaml"} {
		text, err := scaffolds.ReadFile("scaffold/" + kind + ending)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		name := filepath.Join(folder, id+ending)
		file, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if errors.Is(err, fs.ErrExist) {
			return usageError{name + " is there already, and was left as it is"}
		} else if err != nil {
			return usageError{err.Error()}
		}
		_, err = strings.NewReplacer("ID", id, "PHRASE", strings.ReplaceAll(id, "-", " ")).WriteString(file, string(text))
		if err = errors.Join(err, file.Close()); err != nil {
			return err
		}
		fmt.Fprintln(p.out, name)
	}
	return nil
}
