package folder

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"panelhand/bot/archive"
)

// versionsFolder holds a numbered folder a version: the files as it left
// them, and what it was. Playbooks are not read from it.
const versionsFolder = ".versions"

const aboutFile = "about.json"

// copies is a history of numbered copies.
type copies struct{ dir string }

// about is what is told of a version, and what it touched.
type about struct {
	archive.Version
	Names []string // touched; the ones that have no copy were taken away
}

func (c copies) at(version string, name ...string) string {
	return filepath.Join(append([]string{c.dir, versionsFolder, version}, name...)...)
}

func (c copies) keep(_ context.Context, change archive.Change) error {
	all, err := c.all()
	if err != nil {
		return err
	}
	last := 0
	if len(all) > 0 {
		last, _ = strconv.Atoi(all[0].ID)
	}
	id := fmt.Sprintf("%04d", last+1)
	texts := map[string]string{}
	for name, text := range change.Files {
		if text != "" {
			texts["."+id+"/"+name] = text
		}
	}
	data, err := json.MarshalIndent(about{archive.Version{ID: id, What: oneLine(change.What), Why: oneLine(change.Why), Who: oneLine(change.Who), When: change.When}, sorted(change.Files)}, "", "  ")
	if err != nil {
		return err
	}
	texts["."+id+"/"+aboutFile] = string(data) + "\n"
	aside := &Folder{dir: filepath.Join(c.dir, versionsFolder)}
	if err := aside.put(texts); err != nil {
		return errors.Join(err, os.RemoveAll(c.at("."+id)))
	}
	return os.Rename(c.at("."+id), c.at(id))
}

func (c copies) kept(ctx context.Context, names []string) (bool, error) {
	all, err := c.all()
	if err != nil {
		return false, err
	}
	now, err := (&Folder{dir: c.dir}).texts(names)
	if err != nil {
		return false, err
	}
	for _, name := range names {
		i := slices.IndexFunc(all, func(a about) bool { return slices.Contains(a.Names, name) })
		if i < 0 {
			return false, nil
		}
		was, err := c.read(ctx, all[i].ID, name)
		if err != nil || was != now[name] {
			return false, err
		}
	}
	return true, nil
}

// all are the versions, the newest first.
func (c copies) all() ([]about, error) {
	entries, err := os.ReadDir(filepath.Join(c.dir, versionsFolder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	} else if err != nil {
		return nil, err
	}
	var all []about
	for _, e := range slices.Backward(entries) {
		if _, err := strconv.Atoi(e.Name()); err != nil {
			continue // half of one, or nothing of ours
		}
		data, err := os.ReadFile(c.at(e.Name(), aboutFile))
		if err != nil {
			return nil, err
		}
		var a about
		if err := json.Unmarshal(data, &a); err != nil {
			return nil, fmt.Errorf("%s: %w", c.at(e.Name(), aboutFile), err)
		}
		a.ID = e.Name()
		all = append(all, a)
	}
	slices.SortStableFunc(all, func(x, y about) int { return number(y.ID) - number(x.ID) })
	return all, nil
}

func number(id string) int {
	n, _ := strconv.Atoi(id)
	return n
}

func (c copies) versions(_ context.Context, names []string) ([]archive.Version, error) {
	all, err := c.all()
	var found []archive.Version
	for _, a := range all {
		if slices.ContainsFunc(names, func(name string) bool { return slices.Contains(a.Names, name) }) {
			found = append(found, a.Version)
		}
	}
	return found, err
}

func (c copies) read(_ context.Context, version, name string) (string, error) {
	data, err := os.ReadFile(c.at(version, filepath.FromSlash(name)))
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	return string(data), err
}
