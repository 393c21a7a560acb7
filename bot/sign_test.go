package bot_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/bot/render"
	"panelhand/rules"
	"panelhand/rules/fact"
	"panelhand/rules/playbook"
)

// The rows of trade handbook §2 (R) and §4 (F), each in a crew's words, with
// the sign that answers it. A row of §4 that is a wish and no fault has the want
// or the fact that carries it instead.
var seen = []struct{ row, say, sign, want string }{
	{"R1", "dark eye sockets, open shade", "dark-sockets", ""},
	{"R2", "raccoon eyes under the hall's lamps", "dark-sockets-under-a-lamp", ""},
	{"R2", "raccoon eyes, midday sun", "dark-sockets-in-the-sun", ""},
	{"R3", "her eyes are dead", "dead-eyes", ""},
	{"R4", "hot forehead, window", "hot-forehead", ""},
	{"R4", "hot nose, one flash", "hot-nose", ""},
	{"R5", "her hair is blown", "blown-hair", ""},
	{"R6", "everyone squints", "squint", ""},
	{"R7", "patches of sun on his face", "dappled-face", ""},
	{"R8", "half his face is dark", "half-dark-face", ""},
	{"R9", "long nose shadow", "long-nose-shadow", ""},
	{"R10", "black under the chin", "chin-shadow", ""},
	{"R11", "looks like a passport photo", "flat-face", ""},
	{"R12", "monster light", "light-from-below", ""},
	{"R13", "green jaw, open shade", "green-skin", ""},
	{"R13", "green skin under the tubes", "green-skin-under-lamps", ""},
	{"R14", "orange cheek, shade", "tinted-skin", ""},
	{"R15", "blue skin in the open shade", "blue-skin", ""},
	{"R16", "mixed light, window and bulbs", "mixed-light", ""},
	{"R17", "skin looks grey", "grey-skin", ""},
	{"R18", "skin looks chalky", "chalky-skin", ""},
	{"R19", "glare on her glasses", "glasses-glare", ""},
	{"R20", "three catchlights", "double-catchlight", ""},
	{"R21", "his hands are brighter", "bright-hands", ""},
	{"R22", "face too dark, sun behind her", "dark-face", ""},
	{"R22", "background brighter than her face", "bright-background", ""},
	{"R23", "two nose shadows", "two-shadows", ""},
	{"R24", "banding in the shots", "flicker-bands", ""},
	{"R25", "bald man, shine on his head", "skin-shine-on-a-bald-head", ""},
	{"R26", "ghostly edges round the juggler, one flash", "ghosting", ""},

	{"F1", "too dramatic", "", "fill-shadows"},
	{"F2", "bit flat", "flat-face", ""},
	{"F3", "still flat, panel in the bag", "flat-face", ""},
	{"F4", "flash too harsh", "flashy", ""},
	{"F5", "too much flash", "flashy", ""},
	{"F6", "forehead hot, open shade", "hot-forehead", ""},
	{"F7", "nose hot", "hot-nose", ""},
	{"F8", "hair too bright", "blown-hair", ""},
	{"F9", "hair glowing, sun behind her", "blown-hair", ""},
	{"F10", "face lost against the sky", "bright-background", ""},
	{"F11", "the sky outshines her, one flash", "bright-background", ""},
	{"F12", "the window outshines him, flash and nd8", "bright-background", ""},
	{"F13", "the street outshines them, no kit", "bright-background", ""},
	{"F14", "the background drops to black", "dark-background", ""},
	{"F15", "brighter background, face as it is", "", "brighter-background"},
	{"F16", "darker background, face as it is", "", "darker-background"},
	{"F17", "the flash is too bright", "flashy", ""},
	{"F18", "the flash is too weak", "weak-flash", ""},
	{"F19", "flash at full power and still too dark", "weak-flash", ""},
	{"F20", "flash too strong", "flashy", ""},
	{"F21", "chin shadow, white reflector", "chin-shadow", ""},
	{"F22", "chin shadow, no helper", "chin-shadow", ""},
	{"F23", "dead eyes, flash + panel", "dead-eyes", ""},
	{"F24", "no sparkle in his eyes", "dead-eyes", ""},
	{"F25", "sockets dark", "dark-sockets", ""},
	{"F26", "nose shadow to the lip", "long-nose-shadow", ""},
	{"F27", "nose shadow on the cheek", "long-nose-shadow", ""},
	{"F28", "hard nose shadow", "hard-nose-shadow", ""},
	{"F29", "double nose shadows", "two-shadows", ""},
	{"F30", "shadow on the wall", "wall-shadow", ""},
	{"F31", "shadow of hoop on the wall", "wall-shadow", ""},
	{"F32", "panel in the frame", "panel-in-frame", ""},
	{"F33", "only half the panel is lit", "half-lit-panel", ""},
	{"F34", "hotspot in the panel", "hot-spot", ""},
	{"F35", "flash spills past the panel", "flash-spill", ""},
	{"F36", "one side of the couple dark", "uneven-group", ""},
	{"F37", "far end of the group darker", "uneven-group", ""},
	{"F38", "back row in the dark, 9 people", "uneven-rows", ""},
	{"F39", "chest too bright", "bright-hands", ""},
	{"F40", "skin blue", "blue-skin", ""},
	{"F41", "her face looks blue, flash with a gel", "blue-skin", ""},
	{"F42", "too orange with the gel, half cto on the flash", "tinted-skin-by-the-gel", ""},
	{"F43", "face green", "green-skin-under-lamps", ""},
	{"F44", "face is fine but the background goes orange", "orange-background", ""},
	{"F45", "background cooler at dusk", "", "cooler"},
	{"F46", "reflection in his specs", "glasses-glare", ""},
	{"F47", "skin shiny", "skin-shine", ""},
	{"F48", "face looks wide", "wide-face", ""},
	{"F49", "face looks tired", "narrow-face", ""},
	{"F50", "same but shallower", "", "shallower-depth"},
	{"F51", "same but deeper focus", "", "deeper-depth"},
	{"F52", "photos blurry, he is moving about", "motion-blur-of-the-sitter", ""},
	{"F53", "transparent hands", "ghosting", ""},
	{"F54", "camera shake", "motion-blur", ""},
	{"F55", "we want it all brighter", "", "brighter-subject"},
	{"F56", "face too bright, one flash", "bright-face-by-flash", ""},
	{"F57", "face varies from frame to frame", "uneven-frames", ""},
	{"F58", "black stripe at the bottom", "black-stripe", ""},
	{"F59", "the flash didn't fire", "no-fire", ""},
	{"F60", "she squints", "squint", ""},
	{"F61", "dracula face", "light-from-below", ""},
	{"F62", "flickering lamps", "flicker-bands", ""},
	{"F63", "ugly ring in the eyes", "low-catchlight", ""},
	{"F64", "rim on the nose", "rim-on-nose", ""},
	{"F65", "want softer, flash + panel", "", "softer"},
	{"F66", "crisper", "", "harder"},
}

// TestEveryRowIsSeen: no row of the handbook's signs and first changes is
// lost, and the answer to each is a set-up that tells the sign on one line after
// the lock screen's.
func TestEveryRowIsSeen(t *testing.T) {
	long(t)
	book, coach := houseBook(t), houseCoach(t)
	rows := map[string]bool{}
	for _, c := range seen {
		rows[c.row] = true
		a := coach.Answer(new(bot.Thread), bot.Message{Text: c.say})
		if c.sign == "" {
			if !a.Facts.Has("wants", c.want) {
				t.Errorf("%s %q: %s is not heard; wants are %v", c.row, c.say, c.want, a.Facts.Choices("wants"))
			}
			continue
		}
		if a.Kind != answer.KindSetup || a.Sign == nil {
			t.Errorf("%s %q: kind %s, sign %v", c.row, c.say, a.Kind, a.Sign)
			continue
		}
		all := book.Seen(a.Env)
		if all[0].Sign.ID != c.sign {
			t.Errorf("%s %q: %s is seen, want %s", c.row, c.say, all[0].Sign.ID, c.sign)
		}
		if lines := strings.Split(a.Text, "\n"); len(lines) < 2 || !strings.HasPrefix(lines[1], a.Sign.See+": "+a.Sign.Cause) {
			t.Errorf("%s %q: the second line is no sign:\n%s", c.row, c.say, a.Text)
		}
	}
	for row, last := range map[string]int{"R": 26, "F": 66} {
		for i := 1; i <= last; i++ {
			if name := fmt.Sprint(row, i); !rows[name] {
				t.Errorf("%s is lost", name)
			}
		}
	}
}

// TestEveryFaultHasASign: whatever can be heard as a fault has a sign, and a
// word that makes it heard.
func TestEveryFaultHasASign(t *testing.T) {
	book := houseBook(t)
	for _, fault := range fact.Faults {
		if !slices.ContainsFunc(book.Signs, func(s rules.Sign) bool { return s.Fault == fault }) {
			t.Errorf("%s has no sign", fault)
		}
		if !slices.ContainsFunc(book.Words, func(w rules.Word) bool {
			return slices.ContainsFunc(w.Means, func(m rules.Meaning) bool { return m.Path == "faults" && slices.Contains(m.Choices, fault) })
		}) {
			t.Errorf("no word makes %s heard", fault)
		}
	}
}

// TestSignIsServed: where a set-up that this kit can build serves a fault well,
// one that serves it answers.
func TestSignIsServed(t *testing.T) {
	long(t)
	book, coach := houseBook(t), houseCoach(t)
	served := 0
	for _, c := range seen {
		for _, kit := range []string{"", ", white reflector", ", one flash", ", flash + 40in panel"} {
			if strings.Contains(c.say, ",") && kit != "" {
				continue // the row names kit or light of its own
			}
			a := coach.Answer(new(bot.Thread), bot.Message{Text: c.say + kit})
			if a.Sign == nil || a.Setup == nil {
				continue
			}
			points := func(s *rules.Setup) float64 {
				i := slices.IndexFunc(s.Serves, func(x rules.Serve) bool { return x.Fault == a.Sign.ID })
				if i < 0 {
					return 0
				}
				return s.Serves[i].Points
			}
			var best *rules.Setup
			for _, v := range book.Judge(a.Env) {
				if v.Outcome == rules.Fires && points(v.Setup) >= 2 && (best == nil || points(v.Setup) > points(best)) {
					best = v.Setup
				}
			}
			won, _ := book.Setup(a.Setup.ID)
			if best == nil {
				continue
			}
			served++
			if points(won) == 0 {
				t.Errorf("%q: %s answers, which does not serve %s; %s does", c.say+kit, won.ID, a.Sign.ID, best.ID)
			}
		}
	}
	if served < 40 {
		t.Errorf("only %d messages had a set-up that serves their fault", served)
	}
}

// TestRemediesKeepToTheBag: a remedy never asks for kit that was not named or
// that was forbidden, and there is always one left.
func TestRemediesKeepToTheBag(t *testing.T) {
	book := houseBook(t)
	for _, c := range []struct {
		kit    []fact.Item
		limit  string
		fault  string
		effort []string
	}{
		{nil, "", "dead-eyes", []string{"words", "move"}},
		{[]fact.Item{{Kind: "led"}}, "", "dead-eyes", []string{"words", "move", "flash"}},
		{[]fact.Item{{Kind: "led"}}, "no-flash", "dead-eyes", []string{"words", "move"}},
		{[]fact.Item{{Kind: "led"}}, "photosensitive", "dead-eyes", []string{"words", "move", "flash"}},
		{[]fact.Item{{Kind: "flash"}, {Kind: "panel"}}, "", "dead-eyes", []string{"words", "move", "panel", "flash"}},
		{[]fact.Item{{Kind: "flash"}, {Kind: "panel"}}, "no-flash", "dead-eyes", []string{"words", "move", "panel"}},
		{[]fact.Item{{Kind: "flash"}, {Kind: "panel"}}, "photosensitive", "dead-eyes", []string{"words", "move", "panel"}},
		{[]fact.Item{{Kind: "panel"}}, "", "flat-face", []string{"words", "move", "panel"}},
		{[]fact.Item{{Kind: "panel", Surfaces: []string{"white"}}}, "", "flat-face", []string{"words", "move"}},
		{[]fact.Item{{Kind: "flash"}}, "", "dappled-face", []string{"move"}},
		{[]fact.Item{{Kind: "flash"}, {Kind: "diffuser"}}, "", "dappled-face", []string{"move", "flash"}},
		{[]fact.Item{{Kind: "flash"}}, "", "blown-hair", []string{"words", "move", "dial"}},
	} {
		s := &fact.Set{}
		s.SetKit(c.kit)
		s.Add("faults", c.fault, fact.Value{})
		if c.limit != "" {
			s.Add("limits", c.limit, fact.Value{})
		}
		all := book.Seen(rules.Env{Facts: s})
		if len(all) != 1 {
			t.Fatalf("%s: %d signs", c.fault, len(all))
		}
		var got []string
		for _, r := range all[0].Remedies {
			got = append(got, r.Effort)
		}
		if !slices.Equal(got, c.effort) {
			t.Errorf("%s with %v, %s: %v, want %v", c.fault, c.kit, c.limit, got, c.effort)
		}
	}
}

// TestSignsFitThePhone holds answers that start from a sign, with every bag,
// to the phone's size, and their remedies to what was forbidden.
func TestSignsFitThePhone(t *testing.T) {
	long(t)
	coach := houseCoach(t)
	for i, c := range seen {
		for j, kit := range sweepKits {
			for k, limit := range sweepLimits {
				if (i+j+k)%7 != 0 { // a seventh of them, evenly spread
					continue
				}
				message := strings.Join([]string{c.say, kit, limit}, ", ")
				a := coach.Answer(new(bot.Thread), bot.Message{Text: message})
				lines, chars := strings.Count(a.Text, "\n")+1, utf8.RuneCountInString(a.Text)
				if lines > render.MaxLines || chars > render.MaxChars {
					t.Errorf("%q: %d lines, %d characters", message, lines, chars)
				}
				if a.Sign == nil {
					continue
				}
				if len(a.Sign.Remedies) == 0 {
					t.Errorf("%q: no remedy for %s", message, a.Sign.ID)
				}
				for _, r := range a.Sign.Remedies {
					if strings.ContainsAny(r.Text, "{}") {
						t.Errorf("%q: a hole is left in %q", message, r.Text)
					}
					if r.Effort == "flash" && limit == "no flash" {
						t.Errorf("%q: %q", message, r.Text)
					}
				}
			}
		}
	}
}

func houseBook(t testing.TB) *rules.Book {
	t.Helper()
	book, problems := rules.Load(playbook.Files)
	for _, p := range problems {
		t.Errorf("%v", p)
	}
	return book
}
