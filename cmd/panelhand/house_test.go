package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// root is the module's folder, seen from this package.
const root = "../.."

// order is the house's import order: a package may import its own floor and
// the floors before it. Within calc, units lies lowest.
var order = []string{"calc/units", "calc", "rules", "bot", "cmd"}

// sole names the one package, or the packages under one folder, that may
// import a library.
var sole = map[string]string{
	"gopkg.in/yaml.v3":                           "rules/source",
	"github.com/expr-lang/expr":                  "rules",
	"github.com/slack-go/slack":                  "bot/slack",
	"modernc.org/sqlite":                         "bot/store",
	"github.com/peterh/liner":                    "cmd",
	"panelhand/rules/playbook":                   "cmd",
	"github.com/yuin/goldmark":                   "cmd",
	"github.com/rogpeppe/go-internal/testscript": "cmd",
}

// topLevel is everything that may stand at the top besides dotfiles.
var topLevel = []string{"DEVELOPERS.md", "README.md", "bot", "calc", "cmd", "go.mod", "go.sum", "rules", "testdata"}

type goPackage struct {
	dir     string
	docs    int
	imports []string // of files that are not tests
}

func packages(t *testing.T) []goPackage {
	t.Helper()
	byDir := map[string]*goPackage{}
	err := filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && strings.HasPrefix(d.Name(), ".") && name != root {
			return filepath.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly|parser.ParseComments)
		if err != nil {
			return err
		}
		dir, err := filepath.Rel(root, filepath.Dir(name))
		if err != nil {
			return err
		}
		p := byDir[dir]
		if p == nil {
			p = &goPackage{dir: filepath.ToSlash(dir)}
			byDir[dir] = p
		}
		if file.Doc != nil {
			p.docs++
		}
		for _, spec := range file.Imports {
			imported, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				return err
			}
			p.imports = append(p.imports, imported)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	var all []goPackage
	for _, p := range byDir {
		all = append(all, *p)
	}
	slices.SortFunc(all, func(a, b goPackage) int { return strings.Compare(a.dir, b.dir) })
	if len(all) < 10 {
		t.Fatalf("only %d packages found under %s: this test looks in the wrong place", len(all), root)
	}
	return all
}

// floor is a package's place in the import order.
func floor(dir string) int {
	for i, prefix := range order {
		if dir == prefix || strings.HasPrefix(dir, prefix+"/") {
			return i
		}
	}
	return -1
}

func TestImportOrder(t *testing.T) {
	for _, p := range packages(t) {
		own := floor(p.dir)
		if own < 0 {
			t.Errorf("%s stands outside calc, rules, bot and cmd", p.dir)
		}
		for _, imported := range p.imports {
			if ours, ok := strings.CutPrefix(imported, "panelhand/"); ok {
				if above := floor(ours); above > own {
					t.Errorf("%s imports %s: %s may not know %s", p.dir, ours, order[own], order[above])
				}
				if strings.HasPrefix(ours, "cmd") {
					t.Errorf("%s imports %s: nobody imports cmd", p.dir, ours)
				}
			}
			for library, home := range sole {
				if imported != library && !strings.HasPrefix(imported, library+"/") {
					continue
				}
				if p.dir != home && !(home == "cmd" && strings.HasPrefix(p.dir, "cmd/")) {
					t.Errorf("%s imports %s: only %s may", p.dir, imported, home)
				}
			}
		}
	}
}

func TestOnePackageDocEach(t *testing.T) {
	for _, p := range packages(t) {
		if p.docs != 1 {
			t.Errorf("%s has %d package comments, want 1", p.dir, p.docs)
		}
	}
}

func TestTopLevel(t *testing.T) {
	entries, err := os.ReadDir(root)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") && !slices.Contains(topLevel, e.Name()) {
			t.Errorf("%s does not belong at the top level", e.Name())
		}
	}
	for _, name := range []string{"util", "common", "helpers", "models", "pkg"} {
		for _, p := range packages(t) {
			if path.Base(p.dir) == name {
				t.Errorf("%s: a package is a noun with one job", p.dir)
			}
		}
	}
}
