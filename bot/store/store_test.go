package store_test

import (
	"bufio"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"panelhand/bot/memory"
	"panelhand/bot/memory/memorytest"
	"panelhand/bot/store"
)

var ctx = context.Background()

// TestMain lets the test binary be the process that is killed.
func TestMain(m *testing.M) {
	if path := os.Getenv("WRITE_UNTIL_KILLED"); path != "" {
		writeUntilKilled(path)
	}
	os.Exit(m.Run())
}

func TestStore(t *testing.T) {
	memorytest.Run(t, func(t *testing.T) memory.Store { return open(t, file(t)) })
}

func file(t testing.TB) string { return filepath.Join(t.TempDir(), "team's %20 #1?.db") }

func open(t testing.TB, path string) *store.Store {
	t.Helper()
	s, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func save(t testing.TB, s *store.Store, title string) {
	t.Helper()
	if _, err := s.SaveRecord(ctx, "tide", memory.Record{Title: title}); err != nil {
		t.Fatal(err)
	}
}

func titles(t testing.TB, s *store.Store) []string {
	t.Helper()
	found, err := s.Records(ctx, "tide", memory.Query{})
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, r := range found {
		all = append(all, r.Title)
	}
	slices.Sort(all)
	return all
}

// fault asserts that an error has a calm sentence holding all of the words.
func fault(t *testing.T, err error, words ...string) {
	t.Helper()
	var f *memory.Fault
	if !errors.As(err, &f) {
		t.Fatalf("%v is no fault", err)
	}
	for _, w := range words {
		if !strings.Contains(f.Calm, w) {
			t.Errorf("the crew reads %q, without %q", f.Calm, w)
		}
	}
	if f.Cause == nil {
		t.Errorf("%q has no cause", f.Calm)
	}
}

// writeUntilKilled writes one record after the other and prints each title
// once the write has returned.
func writeUntilKilled(path string) {
	s, err := store.Open(path)
	if err != nil {
		fmt.Println("error:", err)
		os.Exit(1)
	}
	for i := 0; ; i++ {
		title := fmt.Sprintf("%d-%d", os.Getpid(), i)
		if _, err := s.SaveRecord(ctx, "tide", memory.Record{Title: title, Said: []string{strings.Repeat("softer ", 200)}}); err != nil {
			fmt.Println("error:", err)
			os.Exit(1)
		}
		fmt.Println(title)
	}
}

// writer starts a process that writes until it is killed.
func writer(t *testing.T, path string) (*exec.Cmd, *bufio.Reader) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), "WRITE_UNTIL_KILLED="+path)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return cmd, bufio.NewReader(out)
}

// TestKilled kills a writing process without warning, many times at random
// moments, and finds every write that had returned.
func TestKilled(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 9))
	path := file(t)
	var acknowledged []string
	for range 12 {
		cmd, out := writer(t, path)
		for range 1 + random.IntN(20) {
			line, err := out.ReadString('\n')
			if err != nil || strings.HasPrefix(line, "error") {
				t.Fatalf("the writer said %q, %v", line, err)
			}
			acknowledged = append(acknowledged, strings.TrimSpace(line))
		}
		time.Sleep(time.Duration(random.IntN(3000)) * time.Microsecond)
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		rest, _ := io.ReadAll(out) // what it had printed before it died
		for line := range strings.Lines(string(rest)) {
			if strings.HasSuffix(line, "\n") {
				acknowledged = append(acknowledged, strings.TrimSpace(line))
			}
		}
		_ = cmd.Wait() // "signal: killed"
	}
	kept := titles(t, open(t, path))
	for _, title := range acknowledged {
		if _, ok := slices.BinarySearch(kept, title); !ok {
			t.Errorf("lost %s", title)
		}
	}
	if len(acknowledged) < 50 || len(kept) < len(acknowledged) {
		t.Errorf("only %d writes were acknowledged, %d kept", len(acknowledged), len(kept))
	}
	t.Logf("%d acknowledged, %d kept, 12 kills", len(acknowledged), len(kept))
}

// TestTwoProcesses lets this process and another write at once.
func TestTwoProcesses(t *testing.T) {
	path := file(t)
	cmd, out := writer(t, path)
	s := open(t, path)
	var theirs []string
	var reading sync.WaitGroup
	wrote := make(chan struct{}, 1<<16)
	reading.Go(func() {
		defer close(wrote) // if it ends early the test fails below, and does not wait
		for {
			line, err := out.ReadString('\n')
			if err != nil {
				return
			}
			theirs = append(theirs, strings.TrimSpace(line))
			wrote <- struct{}{}
		}
	})
	<-wrote // both are at it: on a busy machine the other takes its time to start
	for i := range 60 {
		save(t, s, fmt.Sprintf("mine-%d", i))
	}
	for range 10 { // let it write alone for a while
		<-wrote
	}
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	reading.Wait()
	_ = cmd.Wait()
	kept := titles(t, s)
	mine := 0
	for _, title := range kept {
		if strings.HasPrefix(title, "mine-") {
			mine++
		}
	}
	if mine != 60 {
		t.Errorf("%d of my 60 records are there", mine)
	}
	if len(theirs) == 0 {
		t.Error("the other process did not write")
	}
	for _, title := range theirs {
		if strings.HasPrefix(title, "error") {
			t.Errorf("the other process: %s", title)
		} else if _, ok := slices.BinarySearch(kept, title); !ok {
			t.Errorf("lost %s of the other process", title)
		}
	}
}

// TestBornTwice opens one new file from several sides at once: whoever comes
// second finds it empty or whole, never another program's.
func TestBornTwice(t *testing.T) {
	for range 40 {
		path := file(t)
		var opening sync.WaitGroup
		for side := range 12 { // one after the other while the first still makes it
			opening.Go(func() {
				time.Sleep(time.Duration(side) * time.Millisecond / 2)
				s, err := store.Open(path)
				if err != nil {
					t.Error(err)
					return
				}
				_ = s.Close()
			})
		}
		opening.Wait()
		if t.Failed() {
			return
		}
	}
}

// TestDiskFull simulates a full disk by SQLite's own limit on the number of
// pages: the error is the same SQLITE_FULL that a file system without room
// gives. A real full disk may also fail in the journal; that path is SQLite's.
func TestDiskFull(t *testing.T) {
	path := file(t)
	s := open(t, path)
	save(t, s, "before")
	if err := s.LimitPages(60); err != nil {
		t.Fatal(err)
	}
	var err error
	kept := []string{"before"}
	for i := 0; err == nil && i < 1000; i++ {
		title := fmt.Sprintf("more %03d", i)
		_, err = s.SaveRecord(ctx, "tide", memory.Record{Title: title, Said: []string{strings.Repeat("w ", 4000)}})
		if err == nil {
			kept = append(kept, title)
		}
	}
	fault(t, err, "full", "not kept", "is safe")
	if len(kept) < 3 {
		t.Fatalf("full after %d records", len(kept))
	}
	if got := titles(t, s); !slices.Equal(got, kept) {
		t.Errorf("after the disk was full there are %d records, %d were acknowledged", len(got), len(kept))
	}
	if err := s.LimitPages(100000); err != nil {
		t.Fatal(err)
	}
	save(t, s, "room again")
	s.Close()
	if got := titles(t, open(t, path)); len(got) != len(kept)+1 {
		t.Errorf("reopened, there are %d records, want %d", len(got), len(kept)+1)
	}
}

// damage returns a store's file with a hole in its pages, closed.
func damage(t *testing.T, how func(data []byte) []byte) (path string, data []byte) {
	t.Helper()
	path = file(t)
	s := open(t, path)
	for i := range 200 {
		save(t, s, fmt.Sprintf("record %d", i))
	}
	s.Close()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	data = how(data)
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return path, data
}

var damages = map[string]func([]byte) []byte{
	"no header":  func(d []byte) []byte { copy(d, "not a store at all"); return d },
	"cut off":    func(d []byte) []byte { return d[:len(d)/2] },
	"a hole":     func(d []byte) []byte { clear(d[8192 : 8192+12288]); return d },
	"text":       func([]byte) []byte { return []byte("dear store, please remember the flash\n") },
	"page noise": func(d []byte) []byte { copy(d[4096:8192], strings.Repeat("\xde\xad", 2048)); return d },
}

// TestDamaged opens damaged files: each is refused, kept aside and left as it
// is, byte for byte, and the way back is named.
func TestDamaged(t *testing.T) {
	for name, how := range damages {
		t.Run(name, func(t *testing.T) {
			path, data := damage(t, how)
			for range 2 { // the second time, no second copy
				_, err := store.Open(path)
				if err == nil {
					t.Fatal("a damaged file was opened")
				}
				fault(t, err, "damaged", "not written", "panelhand restore", path+".damaged")
			}
			for _, f := range []string{path, path + ".damaged"} {
				if now, err := os.ReadFile(f); err != nil || string(now) != string(data) {
					t.Errorf("%s was changed (%v)", filepath.Base(f), err)
				}
			}
			// SQLite may leave empty journals beside a file that it has read.
			if more, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "*.damaged-[0-9]*")); len(more) > 0 {
				t.Errorf("kept aside twice: %v", more)
			}
		})
	}
}

func TestNewerSchema(t *testing.T) {
	path := file(t)
	open(t, path).Close()
	raw(t, path, `PRAGMA user_version = 99`)
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	_, err = store.Open(path)
	fault(t, err, "newer panelhand", "Nothing in it was changed")
	if after, _ := os.ReadFile(path); string(after) != string(before) {
		t.Error("a newer store was written to")
	}
}

// raw runs one statement on a file behind the store's back.
func raw(t *testing.T, path, statement string) {
	t.Helper()
	escaped := strings.NewReplacer("%", "%25", "?", "%3f", "#", "%23").Replace(path)
	db, err := sql.Open("sqlite", "file:"+escaped)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec(statement); err != nil {
		t.Fatal(err)
	}
}

func TestForeignDatabase(t *testing.T) {
	path := file(t)
	raw(t, path, `CREATE TABLE ledger(line TEXT)`)
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	_, err = store.Open(path)
	fault(t, err, "another program's", "leave it alone")
	if after, _ := os.ReadFile(path); string(after) != string(before) {
		t.Error("another program's database was written to")
	}
}

// TestOpenedAtOnce makes one new store from many sides.
func TestOpenedAtOnce(t *testing.T) {
	path := file(t)
	var all sync.WaitGroup
	for i := range 6 {
		all.Go(func() {
			s, err := store.Open(path)
			if err != nil {
				t.Error(err)
				return
			}
			defer s.Close()
			if _, err := s.SaveRecord(ctx, "tide", memory.Record{Title: fmt.Sprint(i)}); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if got := titles(t, open(t, path)); len(got) != 6 {
		t.Errorf("kept %v", got)
	}
}

func TestNowhereToWrite(t *testing.T) {
	dir := t.TempDir()
	_, err := store.Open(dir)
	fault(t, err, "folder")
	blocked := filepath.Join(dir, "a-file")
	if err := os.WriteFile(blocked, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = store.Open(filepath.Join(blocked, "store.db"))
	fault(t, err, "PANELHAND_STORE")
}

func TestBackupAndRestore(t *testing.T) {
	dir := t.TempDir()
	path, copy := filepath.Join(dir, "store.db"), filepath.Join(dir, "backups", "may.db")
	s := open(t, path)
	save(t, s, "first")
	if err := s.Backup(ctx, copy); err != nil {
		t.Fatal(err)
	}
	fault(t, s.Backup(ctx, copy), "there already")
	save(t, s, "second")
	s.Close()

	aside, err := store.Restore(copy, path)
	if err != nil {
		t.Fatal(err)
	}
	if got := titles(t, open(t, path)); !slices.Equal(got, []string{"first"}) {
		t.Errorf("restored: %v", got)
	}
	if got := titles(t, open(t, aside)); !slices.Equal(got, []string{"first", "second"}) {
		t.Errorf("kept aside: %v", got)
	}
	fresh := filepath.Join(dir, "new", "store.db")
	if aside, err := store.Restore(copy, fresh); err != nil || aside != "" {
		t.Errorf("restoring where nothing was: %q, %v", aside, err)
	}
	if got := titles(t, open(t, fresh)); !slices.Equal(got, []string{"first"}) {
		t.Errorf("restored: %v", got)
	}
}

// TestRestoreRefuses leaves the store alone where the backup is none.
func TestRestoreRefuses(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "store.db")
	s := open(t, path)
	save(t, s, "ours")
	s.Close()
	text := filepath.Join(dir, "letter.txt")
	if err := os.WriteFile(text, []byte("dear store\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	empty := filepath.Join(dir, "empty.db")
	if err := os.WriteFile(empty, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{text, empty, filepath.Join(dir, "nowhere.db"), dir} {
		_, err := store.Restore(bad, path)
		fault(t, err, "nothing was changed")
	}
	if got := titles(t, open(t, path)); !slices.Equal(got, []string{"ours"}) {
		t.Errorf("the store now holds %v", got)
	}
}

// TestRestoreAfterDamage walks the way that the error names.
func TestRestoreAfterDamage(t *testing.T) {
	path := file(t)
	s := open(t, path)
	save(t, s, "ours")
	backup := filepath.Join(t.TempDir(), "backup.db")
	if err := s.Backup(ctx, backup); err != nil {
		t.Fatal(err)
	}
	s.Close()
	if err := os.WriteFile(path, []byte("coffee was spilled on this"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := store.Open(path); err == nil {
		t.Fatal("a damaged file was opened")
	}
	if _, err := store.Restore(backup, path); err != nil {
		t.Fatal(err)
	}
	if got := titles(t, open(t, path)); !slices.Equal(got, []string{"ours"}) {
		t.Errorf("restored: %v", got)
	}
}
