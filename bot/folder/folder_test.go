package folder_test

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"panelhand/bot/archive"
	"panelhand/bot/folder"
	"panelhand/bot/memory"
)

var ctx = context.Background()

const (
	rule  = "from-channel/setups/ours-quay.yaml"
	cases = "from-channel/setups/ours-quay.cases.yaml"
)

func at(hour int) time.Time { return time.Date(2026, 5, 2, hour, 0, 0, 0, time.UTC) }

func git(t *testing.T, dir string, args ...string) string {
	t.Helper()
	cmd := exec.Command("git", append([]string{"-c", "user.name=Tide", "-c", "user.email=tide@panelhand.invalid"}, args...)...)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("git %v: %v\n%s", args, err, out)
	}
	return string(out)
}

// both runs a test on a folder in a git work tree and on one that is in none.
func both(t *testing.T, test func(t *testing.T, dir string)) {
	t.Run("copies", func(t *testing.T) { test(t, t.TempDir()) })
	t.Run("git", func(t *testing.T) {
		if _, err := exec.LookPath("git"); err != nil {
			t.Skip("git is not installed")
		}
		tree := t.TempDir()
		git(t, tree, "init", "--quiet")
		dir := filepath.Join(tree, "our playbook") // below the root of the tree
		if err := os.Mkdir(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		test(t, dir)
	})
}

func read(t *testing.T, dir, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	return string(data)
}

func write(t *testing.T, dir, name, text string) {
	t.Helper()
	path := filepath.Join(dir, filepath.FromSlash(name))
	if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, []byte(text), 0o644)); err != nil {
		t.Fatal(err)
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// A rule is written, changed, edited by hand, changed over that and taken
// away; each state can be read again.
func TestVersions(t *testing.T) {
	both(t, func(t *testing.T, dir string) {
		f := folder.Open(ctx, dir)
		if how, err := f.Look(); err != nil || !strings.Contains(t.Name(), how[strings.LastIndex(how, " ")+1:]) {
			t.Errorf("versions are kept %s, %v", how, err)
		}
		none, err := f.Versions(ctx, rule, cases)
		if err != nil || len(none) > 0 {
			t.Fatal(none, err)
		}
		must(t, f.Write(ctx, archive.Change{Files: map[string]string{rule: "one\n", cases: "case\n"}, What: "rule ours-quay added", Why: "worked\ntwice", Who: "Ines <x>", When: at(1)}))
		must(t, f.Write(ctx, archive.Change{Files: map[string]string{rule: "two\n"}, What: "rule ours-quay changed", Who: "Bo", When: at(2)}))
		write(t, dir, rule, "by hand\n")
		must(t, f.Write(ctx, archive.Change{Files: map[string]string{rule: "three\n"}, What: "rule ours-quay changed", Who: "Bo", When: at(3)}))
		must(t, f.Write(ctx, archive.Change{Files: map[string]string{rule: "", cases: ""}, What: "rule ours-quay taken back", Who: "Ines", When: at(4)}))
		if read(t, dir, rule)+read(t, dir, cases) != "" {
			t.Error("what was taken away is there")
		}
		versions, err := f.Versions(ctx, rule, cases)
		must(t, err)
		want := []struct{ what, text string }{
			{"rule ours-quay taken back", ""}, {"rule ours-quay changed", "three\n"}, {"edited by hand", "by hand\n"}, {"rule ours-quay changed", "two\n"}, {"rule ours-quay added", "one\n"},
		}
		if len(versions) != len(want) {
			t.Fatalf("%d versions, want %d: %+v", len(versions), len(want), versions)
		}
		for i, v := range versions {
			text, err := f.Read(ctx, v.ID, rule)
			if err != nil || v.What != want[i].what || text != want[i].text {
				t.Errorf("version %d: %q %q (%v), want %+v", i, v.What, text, err, want[i])
			}
		}
		first := versions[len(versions)-1]
		if first.Why != "worked twice" || !first.When.Equal(at(1)) || !strings.HasPrefix(first.Who, "Ines") {
			t.Errorf("the first version is %+v", first)
		}
		if text, err := f.Read(ctx, first.ID, "from-channel/setups/other.yaml"); err != nil || text != "" {
			t.Errorf("a file that never was: %q, %v", text, err)
		}
		// What is open anew has the same history.
		again, err := folder.Open(ctx, dir).Versions(ctx, rule)
		if err != nil || len(again) != len(want) {
			t.Errorf("opened anew: %d versions, %v", len(again), err)
		}
	})
}

// Writing the same again changes nothing and is no version more.
func TestSameAgain(t *testing.T) {
	both(t, func(t *testing.T, dir string) {
		f := folder.Open(ctx, dir)
		for range 2 {
			must(t, f.Write(ctx, archive.Change{Files: map[string]string{rule: "one\n"}, What: "added", When: at(1)}))
		}
		versions, err := f.Versions(ctx, rule)
		if err != nil || len(versions) != 1 {
			t.Errorf("%d versions, want 1: %v", len(versions), err)
		}
	})
}

// A folder that vanishes, one that may not be written and a name that leads
// out of it are refused calmly, and nothing is written.
func TestRefused(t *testing.T) {
	both(t, func(t *testing.T, dir string) {
		f := folder.Open(ctx, dir)
		must(t, f.Write(ctx, archive.Change{Files: map[string]string{rule: "one\n"}, What: "added", When: at(1)}))
		for name, change := range map[string]archive.Change{
			"out":       {Files: map[string]string{"../out.yaml": "x"}},
			"absolute":  {Files: map[string]string{"/tmp/out.yaml": "x"}},
			"in a file": {Files: map[string]string{rule + "/under.yaml": "x", cases: "x"}},
		} {
			err := f.Write(ctx, change)
			var calm *memory.Fault
			if !errors.As(err, &calm) {
				t.Errorf("%s: %v", name, err)
			}
			if read(t, dir, cases) != "" || read(t, dir, rule) != "one\n" {
				t.Errorf("%s: something was written", name)
			}
		}
		must(t, os.RemoveAll(dir))
		err := f.Write(ctx, archive.Change{Files: map[string]string{rule: "two\n"}, What: "changed"})
		if !errors.Is(err, os.ErrNotExist) {
			t.Errorf("a folder that vanished: %v", err)
		}
		if _, err := os.Stat(dir); err == nil {
			t.Error("the folder was made again")
		}
		if _, err := f.Look(); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("a look at it: %v", err)
		}
	})
}

// A commit holds the rule's files alone: what the crew has staged and what it
// has not stays as it is. A hook that refuses leaves no trace.
func TestGitLeavesTheRest(t *testing.T) {
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("git is not installed")
	}
	dir := t.TempDir()
	git(t, dir, "init", "--quiet")
	write(t, dir, "words/own.yaml", "old\n")
	git(t, dir, "add", ".")
	git(t, dir, "commit", "--quiet", "-m", "words")
	write(t, dir, "words/own.yaml", "half done\n")
	write(t, dir, "terms/staged.yaml", "staged\n")
	git(t, dir, "add", "terms/staged.yaml")
	before := git(t, dir, "status", "--porcelain")

	f := folder.Open(ctx, dir)
	must(t, f.Write(ctx, archive.Change{Files: map[string]string{rule: "one\n", cases: "case\n"}, What: "rule ours-quay added", Who: "Ines", When: at(1)}))
	if after := git(t, dir, "status", "--porcelain"); after != before {
		t.Errorf("status was\n%sand is\n%s", before, after)
	}
	if files := strings.Fields(git(t, dir, "show", "--name-only", "--format=", "HEAD")); len(files) != 2 {
		t.Errorf("the commit holds %v", files)
	}
	if log := strings.TrimSpace(git(t, dir, "log", "-1", "--format=%an|%cn|%s")); log != "Ines|panelhand|playbook: rule ours-quay added" {
		t.Errorf("the commit says %s", log)
	}

	write(t, dir, ".git/hooks/pre-commit", "#!/bin/sh\necho no rules today >&2\nexit 1\n")
	must(t, os.Chmod(filepath.Join(dir, ".git/hooks/pre-commit"), 0o755))
	err := f.Write(ctx, archive.Change{Files: map[string]string{rule: "two\n", "from-channel/setups/ours-roof.yaml": "new\n"}, What: "more", When: at(2)})
	if err == nil || !strings.Contains(err.Error(), "no rules today") {
		t.Errorf("the crew's hook refused, and the error is %v", err)
	}
	if read(t, dir, rule) != "one\n" || read(t, dir, "from-channel/setups/ours-roof.yaml") != "" {
		t.Error("what the hook refused is in place")
	}
	if after := git(t, dir, "status", "--porcelain"); after != before {
		t.Errorf("status was\n%sand is\n%s", before, after)
	}
}

// A folder that the crew's git ignores has numbered copies.
func TestIgnoredByGit(t *testing.T) {
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("git is not installed")
	}
	tree := t.TempDir()
	git(t, tree, "init", "--quiet")
	write(t, tree, ".gitignore", "/playbook/\n")
	dir := filepath.Join(tree, "playbook")
	must(t, os.Mkdir(dir, 0o755))
	f := folder.Open(ctx, dir)
	must(t, f.Write(ctx, archive.Change{Files: map[string]string{rule: "one\n"}, What: "added", When: at(1)}))
	if versions, err := f.Versions(ctx, rule); err != nil || len(versions) != 1 {
		t.Errorf("%d versions, %v", len(versions), err)
	}
	if read(t, dir, ".versions/0001/"+rule) != "one\n" {
		t.Error("there is no copy")
	}
}

// Many write at once: every change is a version, and the files are the last
// one's.
func TestAtOnce(t *testing.T) {
	both(t, func(t *testing.T, dir string) {
		f := folder.Open(ctx, dir)
		const n = 8
		var writing sync.WaitGroup
		for i := range n {
			writing.Go(func() {
				if err := f.Write(ctx, archive.Change{Files: map[string]string{rule: strings.Repeat("x", i+1) + "\n"}, What: "changed", When: at(i)}); err != nil {
					t.Error(err)
				}
			})
		}
		writing.Wait()
		versions, err := f.Versions(ctx, rule)
		if err != nil || len(versions) != n {
			t.Fatalf("%d versions, want %d: %v", len(versions), n, err)
		}
		if newest, err := f.Read(ctx, versions[0].ID, rule); err != nil || newest != read(t, dir, rule) {
			t.Errorf("the newest version is %q, the file %q (%v)", newest, read(t, dir, rule), err)
		}
	})
}
