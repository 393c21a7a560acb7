package bot_test

import (
	"context"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"panelhand/bot"
	"panelhand/bot/memory"
	"panelhand/rules"
	"panelhand/rules/playbook"
	"panelhand/rules/source"

	"github.com/google/go-cmp/cmp"
)

// TestExportLoads saves set-ups of every sort, under names that are hard on
// YAML, and loads what is exported as a playbook.
func TestExportLoads(t *testing.T) {
	c := newCrew(t)
	titles := []string{
		"Roof one", "roof one", "- yes: no # not a comment", `"quoted" \ back`, "{hole} {flash_power}", "👍🏽", "café {{x}}", "true", strings.Repeat("very long name ", 7),
		"[1, 2]", "line\nbreak", "two", "three",
	}
	said := []string{
		"overhead light, want softer, have flash + 40in panel", "open shade, no kit", "sun behind her, white reflector, no flash", "flash in umbrella, overcast", "flash bare, dusk",
		"window, one led", "midday sun, panel, no flash, scrim over her", "low white ceiling, flash, wall bounce", "2 flashes + 1m panel, street at night", "group of 7, flash, open shade",
		"tungsten lamps, flash with half cto thru panel", "flash in 60cm softbox on stand, overcast", "stage lights, no flash, moody",
	}
	for i, title := range titles {
		c.thread = title
		if a := c.say(said[i]); a.Setup == nil {
			t.Fatalf("%q has no set-up", said[i])
		}
		if a := c.say("save this as " + title); a.Record == nil || a.Record.Saved == "" {
			t.Fatalf("%q was not saved:\n%s", title, a.Text)
		}
	}
	text, count, err := c.session.Export(context.Background(), "tide", "yaml")
	if err != nil || count != len(titles) {
		t.Fatalf("%d exported, %v", count, err)
	}
	book, problems := rules.Load(fstest.MapFS{"setups/ours.yaml": {Data: []byte(text)}})
	if len(problems) > 0 {
		t.Fatalf("%s\n%s", source.Format(problems, 20), text)
	}
	if len(book.Setups) != count {
		t.Errorf("%d set-ups load of %d", len(book.Setups), count)
	}
	for _, p := range book.Check(fstest.MapFS{"setups/ours.yaml": {Data: []byte(text)}}) {
		if !strings.Contains(p.Error(), "no case in") && !p.Warning { // its cases are for the crew to write
			t.Errorf("%v", p)
		}
	}
	markdown, _, err := c.session.Export(context.Background(), "tide", "markdown")
	if err != nil || strings.Count(markdown, "\n## ") != count {
		t.Errorf("markdown tells %d of %d records: %v", strings.Count(markdown, "\n## "), count, err)
	}
	if !strings.Contains(markdown, "overhead light, want softer") {
		t.Error("markdown does not tell what was asked")
	}
	if _, _, err := c.session.Export(context.Background(), "tide", "pdf"); err == nil {
		t.Error("there is no such format")
	}
}

// TestExportedAnswers lights by the house's playbook with a saved set-up laid
// over it: where the light is the same it is proposed, at the distance saved.
func TestExportedAnswers(t *testing.T) {
	c := newCrew(t)
	a := c.say("open shade, want softer, flash thru 40in panel, panel 1.4 m from face")
	c.say("save this as our long throw")
	text, _, err := c.session.Export(context.Background(), "tide", "yaml")
	if err != nil {
		t.Fatal(err)
	}
	book, problems := rules.Load(over(t, map[string]string{"setups/ours.yaml": text}))
	if source.Errors(problems) > 0 {
		t.Fatal(source.Format(problems, 10))
	}
	again := bot.New(book).Answer(new(bot.Thread), bot.Message{Text: "open shade, want softer, flash thru 40in panel", Full: true})
	for _, rule := range again.Trace {
		if rule.Rule == "ours-our-long-throw" {
			if rule.Verdict != "fires" {
				t.Errorf("it %s: %s", rule.Verdict, rule.Why)
			}
			return
		}
	}
	t.Errorf("ours-our-long-throw is not judged; saved was %s", a.Setup.ID)
}

// over is the house playbook with further files.
func over(t *testing.T, more map[string]string) fstest.MapFS {
	t.Helper()
	files := fstest.MapFS{}
	for name, text := range more {
		files[name] = &fstest.MapFile{Data: []byte(text)}
	}
	err := fs.WalkDir(playbook.Files, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		data, err := playbook.Files.ReadFile(name)
		files[name] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// TestKitFile reads a kit list written by hand, and its own writing back.
func TestKitFile(t *testing.T) {
	coach := houseCoach(t)
	list, problems := coach.ReadKit("kit.yaml", []byte(`kit:
  - two flashes gn 36 at 35mm, tenth-stop dial, down to 1/256
  - {kind: panel, size_m: 1.016, surfaces: [white, silver, translucent]}
  - {kind: stand, height_m: 2.6, foot_m: 0.5, weight_kg: 2.1}
  - 'gel pack: {half cto}'
  - {kind: flash, gn_m: 20, dial_clicks: 3, lowest_power: 0.0078125, recycle_s: 2, charge_flashes: 180, hss: true}
cameras:
  - {format: aps-c, sync_s: 0.00625, iso_min: 160, iso_max: 12800}
lenses:
  - {focal_mm: 56, aperture: 1.8}
  - {focal_mm: 24, long_mm: 70, aperture: 2.8}
`))
	if len(problems) > 0 {
		t.Fatal(source.Format(problems, 10))
	}
	if f := list.Items[0]; f.Kind != "flash" || f.Count != 2 || f.GuideM != 36 || f.GuideMM != 35 || f.Clicks != 10 || f.LowestPower != 1.0/256 {
		t.Errorf("two flashes in words: %+v", f)
	}
	again, problems := coach.ReadKit("again.yaml", []byte(bot.KitYAML(list)))
	if len(problems) > 0 {
		t.Fatalf("%s\n%s", source.Format(problems, 10), bot.KitYAML(list))
	}
	near := cmp.Comparer(func(a, b float64) bool { return a == b || a/b > 0.9999 && a/b < 1.0001 })
	if diff := cmp.Diff(list, again, near); diff != "" {
		t.Errorf("written and read again (-was +is):\n%s", diff)
	}
	if got := bot.KitYAML(memory.KitList{}); got != "" {
		t.Errorf("an empty list is written %q", got)
	}
}

func TestKitFileProblems(t *testing.T) {
	coach := houseCoach(t)
	for text, want := range map[string]string{
		"kit:\n  - {kind: flsh}\n":                      `did you mean flash`,
		"kit:\n  - {gn_m: 36}\n":                        "kind",
		"kit:\n  - a kettle\n":                          "no kit is heard",
		"kit:\n  - {kind: flash, gn_m: -3}\n":           "0 or more",
		"kit:\n  - {kind: flash, dial_clicks: 7}\n":     "3 or 10",
		"kit:\n  - {kind: panel, surfaces: [purple]}\n": "not a choice",
		"kit:\n  - {kind: flash, guide: 36}\n":          "guide",
		"lenses:\n  - {aperture: 2}\n":                  "focal_mm",
		"kit: [\n":                                      "kit.yaml:",
		"kit:\n  - {kind: flash, lowest_power: 128}\n":  "part of full",
		"kits:\n  - flash gn 36\n":                      "kits",
	} {
		_, problems := coach.ReadKit("kit.yaml", []byte(text))
		if got := source.Format(problems, 10); !strings.Contains(got, want) {
			t.Errorf("%q is told as %q, without %q", text, got, want)
		}
	}
}

func FuzzReadKit(f *testing.F) {
	for _, s := range []string{"kit:\n  - flash gn 36\n", "kit:\n  - {kind: panel, size_m: 1}\n", "cameras:\n  - {sync_s: 0.005}\n", "kit: &a [*a]\n", "\xff"} {
		f.Add(s)
	}
	coach := houseCoach(f)
	f.Fuzz(func(t *testing.T, text string) {
		list, problems := coach.ReadKit("kit.yaml", []byte(text))
		if len(problems) > 0 {
			return
		}
		if _, again := coach.ReadKit("again.yaml", []byte(bot.KitYAML(list))); len(again) > 0 {
			t.Errorf("%q is written as\n%s\n%s", text, bot.KitYAML(list), source.Format(again, 5))
		}
	})
}
