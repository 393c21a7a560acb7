package bot_test

import (
	"testing"

	"panelhand/bot"
	"panelhand/rules/playbook"
)

// BenchmarkShelf is what a crew waits for when their folder is read anew.
func BenchmarkShelf(b *testing.B) {
	files := folder("words/own.yaml", netShed)
	for b.Loop() {
		if _, news, err := bot.NewShelf(playbook.Files, files); err != nil || news != "" {
			b.Fatal(news, err)
		}
	}
}
