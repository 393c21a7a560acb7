package main

import (
	"bytes"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestMain lets the test binary stand in for panelhand in scripts.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"panelhand": main})
}

// TestScripts runs the command-line stories of testdata/scripts.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: filepath.Join(root, "testdata", "scripts"),
		Setup: func(env *testscript.Env) error { // each story keeps its own memory
			env.Setenv("HOME", env.WorkDir)
			return nil
		},
	})
}

var update = flag.Bool("update", false, "write what the pages' commands print into the pages")

// TestDocumentsRun executes every "$ panelhand …" line in README and
// DEVELOPERS and compares what follows it with what it prints. A line "…"
// stands for any lines. With -update the pages are rewritten, but for
// commands whose lines hold "…".
func TestDocumentsRun(t *testing.T) {
	bin := filepath.Dir(build(t))
	for _, name := range []string{"README.md", "DEVELOPERS.md"} {
		t.Run(name, func(t *testing.T) {
			text, err := os.ReadFile(filepath.Join(root, name))
			if err != nil {
				t.Fatal(err)
			}
			blocks := shellBlocks(string(text))
			if len(blocks) == 0 {
				t.Fatalf("%s shows no command", name)
			}
			page := string(text)
			for _, b := range blocks {
				cmd := exec.Command("sh", "-c", b.command)
				cmd.Dir = root
				cmd.Env = append(os.Environ(), "PATH="+bin+string(os.PathListSeparator)+os.Getenv("PATH"), "PANELHAND_STORE=:memory:", "NO_COLOR=1")
				var out bytes.Buffer
				cmd.Stdout, cmd.Stderr = &out, &out
				_ = cmd.Run() // the page may show a command that fails, with what it says
				got := strings.TrimRight(out.String(), "\n")
				if *update && !slices.Contains(b.want, "…") {
					page = strings.Replace(page, b.String(), shellBlock{b.command, slices.DeleteFunc(strings.Split(got, "\n"), func(string) bool { return got == "" })}.String(), 1)
					continue
				}
				if !matches(got, b.want) {
					t.Errorf("$ %s\nprints:\n%s\n\nthe page says:\n%s", b.command, got, strings.Join(b.want, "\n"))
				}
			}
			if page != string(text) {
				if err := os.WriteFile(filepath.Join(root, name), []byte(page), 0o644); err != nil {
					t.Fatal(err)
				}
			}
		})
	}
}

// The rules that README shows are those of the Tide crew's folder, which its
// commands are run with.
func TestShownRulesAreRun(t *testing.T) {
	page, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	shown := 0
	lines := strings.Split(string(page), "\n")
	for i, line := range lines {
		if line != "```yaml" || i < 2 || !strings.HasPrefix(lines[i-2], "`") {
			continue
		}
		name := strings.Trim(lines[i-2], "`")
		end := i + 1 + slices.Index(lines[i+1:], "```")
		file, err := os.ReadFile(filepath.Join(root, "testdata", "tide", name))
		if err != nil {
			t.Error(err)
		} else if got, want := strings.Join(lines[i+1:end], "\n"), strings.TrimSpace(string(file)); got != want {
			t.Errorf("%s is shown as\n%s\nand is\n%s", name, got, want)
		}
		shown++
	}
	if shown < 10 {
		t.Errorf("%d rules are shown", shown)
	}
}

type shellBlock struct {
	command string
	want    []string
}

func (b shellBlock) String() string {
	return "$ " + b.command + "\n" + strings.Join(append(slices.Clone(b.want), ""), "\n")
}

// shellBlocks finds the "$ " lines inside fences, each with the lines that
// follow it up to the next one or the fence's end.
func shellBlocks(page string) []shellBlock {
	var blocks []shellBlock
	var current *shellBlock // within a fence, once it has had a command
	inside := false
	for line := range strings.SplitSeq(page, "\n") {
		switch command, isCommand := strings.CutPrefix(line, "$ "); {
		case strings.HasPrefix(line, "```"):
			inside, current = !inside, nil
		case inside && isCommand:
			blocks = append(blocks, shellBlock{command: command})
			current = &blocks[len(blocks)-1]
		case current != nil:
			current.want = append(current.want, line)
		}
	}
	for i := range blocks {
		for n := len(blocks[i].want); n > 0 && blocks[i].want[n-1] == ""; n-- {
			blocks[i].want = blocks[i].want[:n-1]
		}
	}
	return blocks
}

// matches compares output with lines of which "…" stands for any.
func matches(got string, want []string) bool {
	return matchLines(strings.Split(got, "\n"), want)
}

func matchLines(got, want []string) bool {
	if len(want) == 0 {
		return len(got) == 0 || len(got) == 1 && got[0] == ""
	}
	if want[0] == "…" {
		for i := 0; i <= len(got); i++ {
			if matchLines(got[i:], want[1:]) {
				return true
			}
		}
		return false
	}
	return len(got) > 0 && got[0] == want[0] && matchLines(got[1:], want[1:])
}

func TestMatchesCanFail(t *testing.T) {
	for _, c := range []struct {
		got  string
		want []string
		ok   bool
	}{
		{"a\nb\nc", []string{"a", "…", "c"}, true},
		{"a\nb\nc", []string{"a", "…", "d"}, false},
		{"a", []string{"a", "…"}, true},
		{"a\nb", []string{"a"}, false},
		{"", nil, true},
		{"x", nil, false},
	} {
		if matches(c.got, c.want) != c.ok {
			t.Errorf("matches(%q, %q) = %v", c.got, c.want, !c.ok)
		}
	}
}
