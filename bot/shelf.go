package bot

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"strings"
	"sync"
	"sync/atomic"
	"testing/fstest" // a file system in memory

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
		return fmt.Sprintf("The team's playbook cannot be read (%v); what was read before still answers.", err)
	}
	s.gone = false
	if bytes.Equal(print, s.seen) {
		return ""
	}
	s.seen = print
	coach, problems := Team(s.house, files)
	if coach == nil {
		return "The team's playbook was edited and has mistakes; what was read before still answers.\n" + source.Format(problems, mostNews)
	}
	if report := try.Run(coach.Bench(rules.Over(s.house, files))); len(report.Failures) > 0 {
		return "The team's playbook was edited and its cases do not come out; what was read before still answers.\n" + strings.TrimRight(report.String(), "\n")
	}
	s.coach.Store(coach)
	return ""
}

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
