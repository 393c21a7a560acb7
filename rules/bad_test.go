package rules_test

import (
	"bytes"
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/tools/txtar"

	"panelhand/rules"
	"panelhand/rules/playbook"
	"panelhand/rules/source"
)

var update = flag.Bool("update", false, "rewrite the wanted diagnostics of testdata/bad")

const want = "want"

// Each archive in testdata/bad is a small broken playbook and the diagnostics
// that it must get, word for word.
func TestBadPlaybooks(t *testing.T) {
	names, err := filepath.Glob("../testdata/bad/*.txtar")
	if err != nil || len(names) < 50 {
		t.Fatalf("%d broken playbooks, want at least 50 (%v)", len(names), err)
	}
	for _, name := range names {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".txtar"), func(t *testing.T) {
			archive, err := txtar.ParseFile(name)
			if err != nil {
				t.Fatal(err)
			}
			got := diagnose(playbookOf(archive), strings.HasPrefix(filepath.Base(name), "over-"))
			if got == "" {
				t.Fatal("nothing was found wrong with a broken playbook")
			}
			for i, f := range archive.Files {
				if f.Name != want {
					continue
				}
				if *update {
					archive.Files[i].Data = []byte(got)
					if err := os.WriteFile(name, txtar.Format(archive), 0o644); err != nil {
						t.Fatal(err)
					}
				} else if diff := cmp.Diff(string(f.Data), got); diff != "" {
					t.Errorf("diagnostics (-want +got)\n%s", diff)
				}
				return
			}
			t.Fatalf("%s has no file %q", name, want)
		})
	}
}

func playbookOf(archive *txtar.Archive) fstest.MapFS {
	files := fstest.MapFS{}
	for _, f := range archive.Files {
		if f.Name != want {
			// txtar ends every file with a line break; a file that must not be text
			// writes its bytes as \x00.
			data := bytes.ReplaceAll(f.Data, []byte(`\x00`), []byte{0})
			files[f.Name] = &fstest.MapFile{Data: bytes.ReplaceAll(data, []byte(`\xff`), []byte{0xff})}
		}
	}
	return files
}

// diagnose loads and checks as `playbook check` does: what cannot be read is
// told before what does not fit. One that is a team's is laid over the house
// playbook.
func diagnose(files fstest.MapFS, over bool) string {
	book, problems := rules.Load(files)
	var all fs.FS = files
	if over {
		book, problems = rules.LoadOver(playbook.Files, files)
		all = rules.Over(playbook.Files, files)
	}
	if source.Errors(problems) == 0 {
		problems = append(problems, book.Check(all)...)
	}
	return source.Format(problems, 20)
}
