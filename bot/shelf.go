package bot

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"maps"
	"strings"
	"sync"
	"sync/atomic"
	"testing/fstest" // a file system in memory

	"panelhand/bot/archive"
	"panelhand/bot/memory"
	"panelhand/rules"
	"panelhand/rules/source"
	"panelhand/rules/try"
)

// A Shelf keeps the coach that answers while a team edits its folder. Refresh
// reads the folder again when what is in it changed and puts a new coach in the
// place of the old one only if nothing is wrong with it, its cases included; so a
// broken edit changes nothing. An answer under way ends with the coach that it
// began with. It is safe for concurrent use.
type Shelf struct {
	// Keeper writes the folder for rules that are made in the channel; nil
	// leaves it to be read.
	Keeper archive.Keeper

	house fs.FS
	team  fs.FS
	coach atomic.Pointer[Coach]

	mu   sync.Mutex // one refresh at a time
	seen []byte     // fingerprint of what was read last
	gone bool       // the folder could not be read, which was told
}

// NewShelf reads a team's folder over the house playbook. Where the folder has
// mistakes, or is not there, the house's coach answers and news says why.
func NewShelf(house, team fs.FS) (s *Shelf, news string, err error) {
	s = &Shelf{house: house, team: team}
	book, problems := rules.Load(house)
	if source.Errors(problems) > 0 {
		return nil, "", fmt.Errorf("the house playbook cannot be read: %s", source.Format(problems, mostNews))
	}
	s.coach.Store(New(book))
	return s, s.Refresh(), nil
}

// mostNews is how many mistakes are told of one edit.
const mostNews = 10

// Coach is the coach that answers now.
func (s *Shelf) Coach() *Coach { return s.coach.Load() }

// Refresh looks at the folder and returns what its owner should be told:
// nothing where nothing changed or all is well, else what is wrong, once for
// each edit.
func (s *Shelf) Refresh() (news string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	// What is checked is what was fingerprinted: a copy, since the folder may be
	// written to meanwhile.
	files, print, err := copyOf(s.team)
	if err != nil {
		if s.gone {
			return ""
		}
		s.gone = true
		return fmt.Sprintf("%s (%v)", s.say("playbook-gone"), err)
	}
	s.gone = false
	if bytes.Equal(print, s.seen) {
		return ""
	}
	s.seen = print
	coach, wrong := s.read(files)
	if coach == nil {
		return s.say("playbook-edited") + "\n" + wrong
	}
	s.coach.Store(coach)
	return ""
}

// read builds the coach of a folder and runs its cases; nil and what is wrong
// where there is something.
func (s *Shelf) read(files fs.FS) (c *Coach, wrong string) {
	c, problems := Team(s.house, files)
	if c == nil {
		return nil, source.Format(problems, mostNews)
	}
	bench := c.Bench(rules.Over(s.house, files))
	bench.Quick = true
	if report := try.Run(bench); len(report.Failures) > 0 {
		return nil, report.Told(mostNews)
	}
	return c, ""
}

// lay is the coach as it would be after a change of the folder, its cases not
// run, and what is wrong with the shape of the change.
func (s *Shelf) lay(change archive.Change) (c *Coach, wrong string, err error) {
	files, _, err := copyOf(s.team)
	if err != nil {
		return nil, "", s.vanished(err)
	}
	book, problems := rules.LoadOver(s.house, changed(files, change))
	if source.Errors(problems) > 0 {
		return nil, source.Format(problems, mostNews), nil
	}
	return New(book), "", nil
}

// Try is the coach as it would be after a change of the folder, and what is
// wrong with the change. Nothing is written.
func (s *Shelf) Try(change archive.Change) (c *Coach, wrong string, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	files, _, err := copyOf(s.team)
	if err != nil {
		return nil, "", s.vanished(err)
	}
	c, wrong = s.read(changed(files, change))
	return c, wrong, nil
}

// Put makes a change of the folder, if nothing is wrong with what comes of it,
// and answers by it. Wrong says what is; then nothing is written. The change is
// made up of the files as they are once nobody else in this program can change
// them; an error ends it.
func (s *Shelf) Put(ctx context.Context, change func(files fs.FS) (archive.Change, error)) (wrong string, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	files, _, err := copyOf(s.team)
	if err != nil {
		return "", s.vanished(err)
	}
	made, err := change(files)
	if err != nil {
		return "", err
	}
	files = changed(files, made)
	coach, wrong := s.read(files)
	if coach == nil {
		return wrong, nil
	}
	if err := s.Keeper.Write(ctx, made); err != nil {
		return "", err
	}
	s.coach.Store(coach)
	_, s.seen, err = copyOf(files) // what somebody edited meanwhile is seen next
	return "", err
}

// changed is a folder after a change.
func changed(files fstest.MapFS, change archive.Change) fstest.MapFS {
	files = maps.Clone(files)
	for name, text := range change.Files {
		delete(files, name)
		if text != "" {
			files[name] = &fstest.MapFile{Data: []byte(text)}
		}
	}
	return files
}

func (s *Shelf) vanished(err error) error {
	return &memory.Fault{Calm: s.say("playbook-gone"), Cause: err}
}

func (s *Shelf) say(phrase string) string { return s.Coach().book.Phrase(phrase) }

// maxFolder is how many bytes of a team's folder are read.
const maxFolder = 16 << 20

// copyOf copies the rule files of a folder to memory, with a fingerprint of
// their names and contents.
func copyOf(team fs.FS) (fstest.MapFS, []byte, error) {
	files := fstest.MapFS{}
	sum := sha256.New()
	size := 0
	err := fs.WalkDir(team, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if name != "." && strings.HasPrefix(entry.Name(), ".") {
			if entry.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if entry.IsDir() || !strings.HasSuffix(name, ".yaml") && !strings.HasSuffix(name, ".yml") {
			return nil
		}
		data, err := fs.ReadFile(team, name)
		if err != nil {
			return err
		}
		if size += len(data); size > maxFolder {
			return fmt.Errorf("it holds more than %d MB", maxFolder>>20)
		}
		fmt.Fprintf(sum, "%q %d\n", name, len(data))
		sum.Write(data)
		files[name] = &fstest.MapFile{Data: data}
		return nil
	})
	return files, sum.Sum(nil), err
}
