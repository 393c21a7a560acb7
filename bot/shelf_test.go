package bot_test

import (
	"errors"
	"io/fs"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"panelhand/bot"
	"panelhand/rules/playbook"
)

// edited is a folder that is written to while it is read.
type edited struct {
	mu    sync.Mutex
	files fstest.MapFS // nil: the folder is gone
}

func (e *edited) put(files fstest.MapFS) { e.mu.Lock(); e.files = files; e.mu.Unlock() }

func (e *edited) Open(name string) (fs.File, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.files == nil {
		return nil, &fs.PathError{Op: "open", Path: name, Err: errors.New("no such folder")}
	}
	return e.files.Open(name)
}

func inTheShed(c *bot.Coach) string {
	a := c.Answer(new(bot.Thread), bot.Message{Text: "in the net loft, want softer, flash and panel"})
	if a.Setup == nil {
		return string(a.Kind)
	}
	return a.Setup.ID
}

// A good edit answers from then on; a broken one and a folder that vanishes
// change nothing, are told once, and a mended folder is read again. Answers go
// on all the while.
func TestShelf(t *testing.T) {
	folderOnDisk := &edited{files: fstest.MapFS{}}
	shelf, news, err := bot.NewShelf(playbook.Files, folderOnDisk)
	if err != nil || news != "" {
		t.Fatal(news, err)
	}
	house := inTheShed(shelf.Coach())
	folderOnDisk.put(folder("words/own.yaml", netShed))
	if news := shelf.Refresh(); news != "" {
		t.Fatal(news)
	}
	team := inTheShed(shelf.Coach())
	if team == house {
		t.Fatalf("the team's word moves nothing: %s", team)
	}

	stop := make(chan struct{})
	var answering sync.WaitGroup
	for range 4 {
		answering.Go(func() {
			for {
				select {
				case <-stop:
					return
				default:
				}
				if got := inTheShed(shelf.Coach()); got != team && got != house {
					t.Errorf("half a playbook answered: %s", got)
					return
				}
			}
		})
	}
	for _, edit := range []struct {
		name  string
		files fstest.MapFS
		says  string // of the news; the second look says nothing
		want  string
	}{
		{"a slip of a key", folder("words/own.yaml", strings.Replace(netShed, "means", "meens", 1)), "words/own.yaml:3:3: meens is not a key here; did you mean means?", team},
		{"a case that does not come out", folder("words/own.yaml", strings.Replace(netShed, `"in the net loft"`, `"in the boat house"`, 1)), "must be heard, and is not", team},
		{"gone", nil, "cannot be read", team},
		{"back, and empty", fstest.MapFS{}, "", house},
		{"mended", folder("words/own.yaml", netShed), "", team},
	} {
		folderOnDisk.put(edit.files)
		news := shelf.Refresh()
		if edit.says == "" && news != "" || !strings.Contains(news, edit.says) {
			t.Errorf("%s: news %q, want %q", edit.name, news, edit.says)
		}
		if again := shelf.Refresh(); again != "" {
			t.Errorf("%s: told twice: %s", edit.name, again)
		}
		if got := inTheShed(shelf.Coach()); got != edit.want {
			t.Errorf("%s: %s answers, want %s", edit.name, got, edit.want)
		}
	}
	close(stop)
	answering.Wait()
}
