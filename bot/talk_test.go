package bot_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/tools/txtar"

	"panelhand/bot"
)

var update = flag.Bool("update", false, "write the answers of testdata/talk anew, to be read before they are kept")

// TestTalk answers the golden conversations: in each file the messages of
// one thread, "1.say" and so on, and what the phone shows, "1.shows".
func TestTalk(t *testing.T) {
	coach := houseCoach(t)
	files, err := filepath.Glob(filepath.Join("..", "testdata", "talk", "*.txtar"))
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < 5 {
		t.Fatalf("only %d conversations", len(files))
	}
	for _, name := range files {
		t.Run(filepath.Base(name), func(t *testing.T) {
			archive, err := txtar.ParseFile(name)
			if err != nil {
				t.Fatal(err)
			}
			says, shows := map[string]string{}, map[string]string{}
			for _, f := range archive.Files {
				turn, ext := f.Name[:len(f.Name)-len(filepath.Ext(f.Name))], filepath.Ext(f.Name)
				switch ext {
				case ".say":
					says[turn] = string(f.Data)
				case ".shows":
					shows[turn] = string(f.Data)
				}
			}
			thread := new(bot.Thread)
			fresh := &txtar.Archive{Comment: archive.Comment}
			for i := 1; i <= len(says); i++ {
				turn := fmt.Sprint(i)
				say, ok := says[turn]
				if !ok {
					t.Fatalf("no message %s", turn)
				}
				got := coach.Answer(thread, bot.Message{Text: say}).Text + "\n"
				fresh.Files = append(fresh.Files, txtar.File{Name: turn + ".say", Data: []byte(say)}, txtar.File{Name: turn + ".shows", Data: []byte(got)})
				if got != shows[turn] && !*update {
					t.Errorf("%s> %s\nshows:\n%s\nwant:\n%s", turn, say, got, shows[turn])
				}
			}
			if *update {
				if err := os.WriteFile(name, txtar.Format(fresh), 0o644); err != nil {
					t.Fatal(err)
				}
			}
		})
	}
}
