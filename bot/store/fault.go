package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"os"

	sqlite3 "modernc.org/sqlite/lib"

	"panelhand/bot/memory"
)

// fault gives an error of SQLite the sentence that a crew needs. Errors that
// already have one, and those that callers ask for by name, pass.
func (s *Store) fault(err error) error {
	var known *memory.Fault
	if err == nil || errors.As(err, &known) || errors.Is(err, memory.ErrNone) || errors.Is(err, memory.ErrStale) || errors.Is(err, context.Canceled) {
		return err
	}
	calm := ""
	switch code(err) {
	case sqlite3.SQLITE_FULL:
		calm = "The disk is full, so this was not kept. All that was kept before is safe; make room and say it again."
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		calm = "Another panelhand was writing all the time, so this was not kept. Say it again in a moment."
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN:
		calm = "I may not write to " + s.path + ", so this was not kept. Point PANELHAND_STORE at a file I may write to."
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		return damaged(s.path, err)
	default:
		return err
	}
	return &memory.Fault{Calm: calm, Cause: err}
}

func busy(err error) bool { return code(err) == sqlite3.SQLITE_BUSY }

// sound checks a file before anything may be written to it. One that is not
// there, or empty, is sound.
func sound(path string) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil
	case err != nil:
		return &memory.Fault{Calm: "I can't look at " + path + ".", Cause: err}
	case info.IsDir():
		return &memory.Fault{Calm: path + " is a folder; PANELHAND_STORE names a file.", Cause: errors.New("is a directory")}
	case info.Size() == 0:
		return nil
	}
	version, err := inspect(path)
	switch {
	case err == nil && version > schemaVersion():
		return newer(path, version)
	case err == nil:
		return nil
	case errors.Is(err, errForeign):
		return &memory.Fault{Calm: path + " is another program's database. I leave it alone; point PANELHAND_STORE at a file of its own.", Cause: err}
	case code(err) == sqlite3.SQLITE_CORRUPT || code(err) == sqlite3.SQLITE_NOTADB || errors.Is(err, errDamaged):
		return damaged(path, err)
	}
	s := &Store{path: path}
	return s.fault(err)
}

var (
	errDamaged = errors.New("the check found damage")
	errForeign = errors.New("tables, but no schema version")
)

// inspect reads the whole of a file without the right to write to it.
func inspect(path string) (version int, err error) {
	db, err := sql.Open("sqlite", dsn(path, "ro", patience))
	if err != nil {
		return 0, err
	}
	defer db.Close()
	tx, err := db.Begin() // one view of it: another process may be making it
	if err != nil {
		return 0, err
	}
	defer func() { _ = tx.Rollback() }()
	if err := tx.QueryRow(`PRAGMA user_version`).Scan(&version); err != nil {
		return 0, err
	}
	var finding string
	if err := tx.QueryRow(`PRAGMA quick_check(1)`).Scan(&finding); err != nil {
		return 0, err
	}
	if finding != "ok" {
		return 0, fmt.Errorf("%w: %s", errDamaged, finding)
	}
	var tables int
	if err := tx.QueryRow(`SELECT count(*) FROM sqlite_master`).Scan(&tables); err != nil {
		return 0, err
	}
	if version == 0 && tables > 0 {
		return 0, errForeign
	}
	return version, nil
}

// damaged keeps a copy of a damaged file aside and tells the way back. The
// file itself stays untouched.
func damaged(path string, cause error) error {
	aside, err := keepAside(path, ".damaged")
	kept := "a copy is kept as " + aside
	if err != nil {
		kept, cause = "I could not copy it aside", errors.Join(cause, err)
	}
	return &memory.Fault{
		Calm:  fmt.Sprintf("%s is damaged. I have not written to it, and %s. Go back to your last backup with: panelhand restore BACKUP", path, kept),
		Cause: cause,
	}
}

// journals are the files that belong to one of SQLite's while it is open, or
// after a crash.
var journals = []string{"", "-wal", "-shm"}

// keepAside copies a file with its journals under the first free name; a copy
// that is there already is not made twice.
func keepAside(path, suffix string) (string, error) {
	for n := 1; ; n++ {
		aside := path + suffix
		if n > 1 {
			aside = fmt.Sprintf("%s%s-%d", path, suffix, n)
		}
		same, err := alike(path, aside)
		if err != nil || same {
			return aside, err
		}
		if _, err := os.Stat(aside); err == nil {
			continue
		}
		for _, j := range journals {
			if err := copyFile(path+j, aside+j); err != nil && !(j != "" && errors.Is(err, os.ErrNotExist)) {
				return aside, err
			}
		}
		return aside, nil
	}
}

// alike reports whether b is a copy of a, by length and content.
func alike(a, b string) (bool, error) {
	fb, err := os.Open(b)
	if errors.Is(err, os.ErrNotExist) {
		return false, nil
	} else if err != nil {
		return false, err
	}
	defer fb.Close()
	fa, err := os.Open(a)
	if err != nil {
		return false, err
	}
	defer fa.Close()
	pa, pb := make([]byte, 64<<10), make([]byte, 64<<10)
	for {
		na, errA := io.ReadFull(fa, pa)
		nb, errB := io.ReadFull(fb, pb)
		if na != nb || string(pa[:na]) != string(pb[:nb]) {
			return false, nil
		}
		if errA != nil || errB != nil {
			return true, nil
		}
	}
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	if err == nil {
		err = out.Sync()
	}
	return errors.Join(err, out.Close())
}
