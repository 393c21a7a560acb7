// Package folder writes a team's playbook on disk and keeps what stood before:
// in the team's own git history where the folder is part of a work tree, in
// numbered copies beside the files where it is not.
//
// The git program is used rather than a library, since a commit must hold these
// files alone, whatever else the crew has staged, and run the crew's own hooks.
package folder

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"panelhand/bot/archive"
	"panelhand/bot/memory"
)

// A Folder is one team's. It is safe for concurrent use by one process;
// of two processes that write the same file at once one is refused by git, or the
// later one wins and the earlier is among the versions.
type Folder struct {
	dir     string
	mu      sync.Mutex
	history history
}

var _ archive.Keeper = (*Folder)(nil)

// A history keeps versions of files that are in place.
type history interface {
	// keep makes a version of the files as they are now.
	keep(context.Context, archive.Change) error
	// kept reports whether the files are as the newest version left them.
	kept(ctx context.Context, names []string) (bool, error)
	versions(ctx context.Context, names []string) ([]archive.Version, error)
	read(ctx context.Context, version, name string) (string, error)
}

// Open opens a team's folder.
func Open(ctx context.Context, dir string) *Folder {
	f := &Folder{dir: dir, history: copies{dir}}
	if g := (git{dir}); g.tracks(ctx) {
		f.history = g
	}
	return f
}

// Look says how versions are kept; the error is why nothing could be written.
func (f *Folder) Look() (how string, err error) {
	how = "in numbered copies"
	if _, ok := f.history.(git); ok {
		how = "by git"
	}
	if _, err := os.Stat(f.dir); err != nil {
		return how, fault(err)
	}
	file, err := os.CreateTemp(f.dir, ".look-*")
	if err != nil {
		return how, fault(err)
	}
	return how, fault(errors.Join(file.Close(), os.Remove(file.Name())))
}

// Versions implements archive.Keeper.
func (f *Folder) Versions(ctx context.Context, names ...string) ([]archive.Version, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	v, err := f.history.versions(ctx, names)
	return v, fault(err)
}

// Read implements archive.Keeper.
func (f *Folder) Read(ctx context.Context, version, name string) (string, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	text, err := f.history.read(ctx, version, name)
	return text, fault(err)
}

// Write implements archive.Keeper. What somebody edited by hand since is kept
// as a version of its own first, so that nothing is lost under the change. Where
// the history takes no version the files are put back.
func (f *Folder) Write(ctx context.Context, c archive.Change) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	names := sorted(c.Files)
	for _, name := range names {
		if !filepath.IsLocal(filepath.FromSlash(name)) {
			return fault(fmt.Errorf("%q leads out of the folder", name))
		}
	}
	if info, err := os.Stat(f.dir); err != nil {
		return fault(err)
	} else if !info.IsDir() {
		return fault(&fs.PathError{Op: "write", Path: f.dir, Err: errors.New("is no folder")})
	}
	before, err := f.texts(names)
	if err != nil {
		return fault(err)
	}
	if there := present(before); len(there) > 0 {
		kept, err := f.history.kept(ctx, there)
		if err != nil {
			return fault(err)
		}
		if kept && maps.Equal(before, c.Files) {
			return nil
		}
		if !kept {
			byHand := archive.Change{Files: pick(before, there), What: "edited by hand", When: c.When}
			if err := f.history.keep(ctx, byHand); err != nil {
				return fault(err)
			}
		}
	}
	if err = f.put(c.Files); err == nil {
		err = f.history.keep(ctx, c)
	}
	if err != nil {
		return fault(errors.Join(err, f.put(before)))
	}
	return nil
}

// texts reads files, "" for those that are not there.
func (f *Folder) texts(names []string) (map[string]string, error) {
	texts := map[string]string{}
	for _, name := range names {
		data, err := os.ReadFile(f.path(name))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
		texts[name] = string(data)
	}
	return texts, nil
}

// put writes files, each beside its place first, so that no reader finds half
// of one.
func (f *Folder) put(texts map[string]string) error {
	var ready []string // names whose new text lies beside them
	defer func() {
		for _, name := range ready {
			_ = os.Remove(beside(f.path(name))) // those that did not get to their place
		}
	}()
	for _, name := range sorted(texts) {
		if texts[name] == "" {
			continue
		}
		if err := os.MkdirAll(filepath.Dir(f.path(name)), 0o755); err != nil {
			return err
		}
		ready = append(ready, name)
		if err := write(beside(f.path(name)), texts[name]); err != nil {
			return err
		}
	}
	for _, name := range sorted(texts) {
		var err error
		if texts[name] == "" {
			err = os.Remove(f.path(name))
		} else {
			err = os.Rename(beside(f.path(name)), f.path(name))
		}
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

func (f *Folder) path(name string) string { return filepath.Join(f.dir, filepath.FromSlash(name)) }

// beside is where a file waits before it takes its place; playbooks are not
// read from names that begin with a dot.
func beside(path string) string {
	return filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".new")
}

// write writes a file to the disk, not only to the system's memory.
func write(path, text string) error {
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o644)
	if err != nil {
		return err
	}
	_, err = file.WriteString(text)
	return errors.Join(err, file.Sync(), file.Close())
}

func sorted(texts map[string]string) []string {
	var names []string
	for name := range texts {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// present are the names of files that are there.
func present(texts map[string]string) []string {
	return slices.DeleteFunc(sorted(texts), func(name string) bool { return texts[name] == "" })
}

func pick(texts map[string]string, names []string) map[string]string {
	picked := map[string]string{}
	for _, name := range names {
		picked[name] = texts[name]
	}
	return picked
}

// fault says calmly what went wrong with the folder.
func fault(err error) error {
	if err == nil {
		return nil
	}
	calm := "I could not write to the team's folder, and nothing in it changed. Whoever looks after it finds why in my log; say it again then."
	switch {
	case errors.Is(err, fs.ErrPermission):
		calm = "I may not write to the team's folder, and nothing in it changed. Whoever looks after it can let me; say it again then."
	case errors.Is(err, fs.ErrNotExist):
		calm = "The team's folder is not there any more, and nothing was written. Whoever looks after it can put it back; what waits still waits."
	}
	return &memory.Fault{Calm: calm, Cause: err}
}

// oneLine keeps what was typed within a line of a history.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
