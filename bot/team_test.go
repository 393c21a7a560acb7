package bot_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"panelhand/bot"
	"panelhand/rules/playbook"
	"panelhand/rules/source"
)

func folder(files ...string) fstest.MapFS {
	out := fstest.MapFS{}
	for i := 0; i < len(files); i += 2 {
		out[files[i]] = &fstest.MapFile{Data: []byte(files[i+1])}
	}
	return out
}

const netShed = `- word: net-loft
  say: [the net loft]
  means: {light.kind: canopy}
  hears: {"in the net loft": {light.kind: canopy}}
`

// A word that adds is taken, one that swallows a danger is not.
func TestTeamHears(t *testing.T) {
	for _, c := range []struct{ name, word, code string }{
		{"a place of the crew's own", netShed, ""},
		{"a danger is heard beside any word", "- word: far\n  say: [thunder in the distance]\n  means: {}\n  hears: {x: {}}\n", ""},
		{"a longer phrase for nothing", "- word: far\n  say: [stands on the quay]\n  means: {}\n  hears: {x: {}}\n", "guarded"},
		{"a longer phrase for something else", "- word: far\n  say: [stands on the quay]\n  means: {light.kind: canopy}\n  hears: {x: {}}\n", "guarded"},
		{"a longer phrase that keeps the danger", "- word: far\n  say: [thunder in the distance]\n  means: {hazards: thunder, light.kind: canopy}\n  hears: {x: {}}\n", ""},
		{"a phrase that takes the first words of another", "- word: gear\n  say: [the power]\n  means: {}\n  hears: {x: {}}\n", "guarded"},
		{"a denial", "- word: lee\n  say: [lee of the ferry]\n  means: {denied: [wind]}\n  hears: {x: {}}\n", "guarded"},
	} {
		coach, problems := bot.Team(playbook.Files, folder("words/own.yaml", c.word))
		if c.code == "" {
			if coach == nil {
				t.Errorf("%s is refused:\n%s", c.name, source.Format(problems, 5))
			}
			continue
		}
		if coach != nil || !strings.Contains(source.Format(problems, 5), "["+c.code+"]") {
			t.Errorf("%s: want %s, got\n%s", c.name, c.code, source.Format(problems, 5))
		}
	}
}
