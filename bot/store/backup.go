package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"panelhand/bot/memory"
)

// Backup writes a whole, compact copy of the store to a new file, while others
// may go on reading and writing. It never writes over a file.
func (s *Store) Backup(ctx context.Context, to string) error {
	if _, err := os.Stat(to); !errors.Is(err, os.ErrNotExist) {
		return &memory.Fault{Calm: to + " is there already; I don't write over it. Name another file.", Cause: errors.Join(os.ErrExist, err)}
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
		return &memory.Fault{Calm: "I can't make the folder for the backup.", Cause: err}
	}
	if _, err := s.db.ExecContext(ctx, `VACUUM INTO ?`, to); err != nil {
		os.Remove(to) // half a backup is none
		return s.fault(err)
	}
	if _, err := inspect(to); err != nil {
		return &memory.Fault{Calm: "The backup " + to + " can't be read back; don't rely on it.", Cause: err}
	}
	return flush(to)
}

// Restore puts a backup in the place of the store at path. What was there is
// kept aside, under the name that is returned (empty where nothing was). No
// other panelhand should have the store open.
func Restore(backup, path string) (aside string, err error) {
	if same, err := alike(backup, path); err == nil && same {
		return "", nil
	}
	version, err := inspect(backup)
	if err != nil {
		return "", &memory.Fault{Calm: backup + " is no backup I can read; nothing was changed.", Cause: err}
	}
	if version == 0 || version > schemaVersion() {
		return "", &memory.Fault{Calm: backup + " is not a backup that this panelhand knows; nothing was changed.", Cause: fmt.Errorf("schema %d", version)}
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return "", &memory.Fault{Calm: "I can't make the folder for the store.", Cause: err}
	}
	fresh := path + ".restoring"
	os.Remove(fresh) // of a restore that was cut off
	if err := copyFile(backup, fresh); err != nil {
		os.Remove(fresh)
		return "", &memory.Fault{Calm: "I could not copy the backup; nothing was changed.", Cause: err}
	}
	if _, err := os.Stat(path); err == nil {
		if aside, err = keepAside(path, ".before-restore"); err != nil {
			os.Remove(fresh)
			return "", &memory.Fault{Calm: "I could not keep the present store aside; nothing was changed.", Cause: err}
		}
	}
	// The old journals must not be applied to the new file; they are in the
	// copy kept aside.
	for _, j := range journals[1:] {
		if err := os.Remove(path + j); err != nil && !errors.Is(err, os.ErrNotExist) {
			return aside, &memory.Fault{Calm: "I could not clear the old store's journal; the backup is not in place yet.", Cause: err}
		}
	}
	if err := os.Rename(fresh, path); err != nil {
		return aside, &memory.Fault{Calm: "I could not put the backup in place.", Cause: err}
	}
	return aside, flush(filepath.Dir(path))
}

// flush has a file, or a folder's names, written to the disk.
func flush(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
