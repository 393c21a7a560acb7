package bot_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/rules"
)

// The rows of trade handbook §5, each in a crew's words, with the trade-off
// that answers it and, where the row has figures, the same figures computed. Where
// a caution says it, no trade-off repeats it.
var weighed = []struct{ row, say, id, caution, tells string }{
	{"T1", "full sun, f2.8, flash + 40in panel", "shallow-in-the-sun", "", "3 stops for nothing"},
	{"T2", "full length, want softer, flash + 1 m panel, shade", "soft-against-full-length", "", "2.5 m away and 23° wide"},
	{"T3", "6 people, want softer, flash + 1 m panel, shade", "soft-light-on-a-group", "", "two heads"},
	{"T4", "glasses, brighter eyes, flash + panel, shade", "catchlights-against-glasses", "", ""},
	{"T5", "glasses and deep-set eyes, flash + panel, shade", "glasses-and-deep-set-eyes", "", ""},
	{"T6", "open shade, flash through the 1 m panel, want the background much darker, f8", "dark-background-against-full-power", "", "stop left"},
	{"T7", "open shade, f2.8, 1/1000, flash with hss through the panel", "high-speed-against-a-filter", "", "eats 2 stops more"},
	{"T8", "no flash in the reading room, one led, portrait", "flash-against-a-ban", "", ""},
	{"T8", "no flash allowed in the hall, one led", "", "venue-ban", ""},
	{"T9", "no stands allowed, flash through the panel, one helper, overcast", "stand-against-a-ban", "", ""},
	{"T10", "gusts of 45 km/h, white panel, overcast", "", "wind-folds-panels", ""},
	{"T11", "midday sun, want softer, 1 m panel, one helper", "scrim-against-a-sunlit-background", "", "1⅔ stops off the face"},
	{"T12", "sunset sky, dark skin, keep the sky as it is, flash + panel", "sky-against-the-face", "", ""},
	{"T13", "tungsten hall, white shirt, flash + panel", "lamps-against-a-white-shirt", "", "3200 K"},
	{"T14", "135mm lens, 1/60, iso 100, open shade", "low-iso-against-shake", "", "shutter 1/125, ISO up 1"},
	{"T15", "freeze the kids, tungsten hall, flash + panel", "freeze-against-the-dim", "", "1/250 asks ISO 3200"},
	{"T16", "everyone squints at the silver reflector, sun", "silver-against-squinting", "", ""},
	{"T17", "in a hurry, group of 4, one flash, overcast", "quick-against-alike", "", ""},
	{"T18", "24mm lens, flash through the 1 m panel, shade", "wide-lens-against-a-close-key", "", ""},
	{"T19", "two people, one with dark skin and one with light skin, flash through the panel, shade", "two-skins-by-distance", "", ""},
	{"T19", "two people, one with dark skin and one with light skin, window", "two-skins", "", ""},
	{"T20", "white dress next to a black suit, couple, flash through the panel, shade", "white-and-dark-clothes-by-distance", "", ""},
	{"T20", "white dress next to a black suit, couple, window", "white-and-dark-clothes", "", ""},
	{"T21", "raining, monoblock on mains out on the quay", "", "mains-in-the-wet", ""},
	{"T22", "flash through the 40in panel, panel 2 m off, shade, two helpers", "high-key-against-arms", "", ""},
	{"T23", "crowd walking by in the open shade, white reflector, one helper", "panel-against-people-passing", "", ""},
	{"T24", "crowd on the square, open shade, no kit", "picture-against-passers-by", "", "1/10"},
	{"T25", "white dress, flash through the panel, shade", "automatic-flash-and-cloth", "", ""},
	{"T26", "open shade, want a brighter background, flash through the panel", "bright-background-against-shape", "", ""},
	{"T27", "200mm lens, white reflector, shade", "long-lens-against-the-voice", "", ""},
	{"T28", "in a hurry, darker background, flash + panel, shade", "deadline-against-the-background", "", ""},
	{"T29", "a boy of 12, his parents are not here, window", "", "minor-without-guardian", ""},
	{"T30", "dusk, in a hurry, flash + panel", "three-looks-at-dusk", "", ""},
	{"T31", "want a black background, midday sun, one flash", "black-background-in-the-sun", "", "shade behind, to −3⅔ stops"},
	{"T32", "open shade, one led of 400 lux at 1 m", "led-against-daylight", "", "EV 7.3"},
}

// TestEveryRowIsWeighed: no row of the handbook's trade-offs is lost.
func TestEveryRowIsWeighed(t *testing.T) {
	coach := houseCoach(t)
	rows := map[string]bool{}
	for _, c := range weighed {
		rows[c.row] = true
		a := coach.Answer(new(bot.Thread), bot.Message{Text: c.say})
		if c.caution != "" {
			if !slices.ContainsFunc(a.Raised, func(r rules.Raised) bool { return r.Rule.ID == c.caution }) {
				t.Errorf("%s %q: %s is not raised", c.row, c.say, c.caution)
			}
			continue
		}
		i := slices.IndexFunc(a.Tradeoffs, func(x answer.Tradeoff) bool { return x.ID == c.id })
		if i < 0 {
			t.Errorf("%s %q: %s is not told; %v are", c.row, c.say, c.id, a.Tradeoffs)
			continue
		}
		if text := a.Tradeoffs[i].Text; !strings.Contains(text, c.tells) || a.Tradeoffs[i].Wins == "" {
			t.Errorf("%s: %q does not tell %q", c.row, text, c.tells)
		}
		if !strings.Contains(a.Text, "\n"+a.Tradeoffs[0].Text+"\n") {
			t.Errorf("%s: the phone does not show %q:\n%s", c.row, a.Tradeoffs[0].Text, a.Text)
		}
	}
	for i := 1; i <= 32; i++ {
		if name := fmt.Sprint("T", i); !rows[name] {
			t.Errorf("%s is lost", name)
		}
	}
}

// TestOneTradeoffOnThePhone: a phone shows at most one line of those that hold,
// none where cautions and the set-up fill it, and a wish that stands against nothing gets none.
func TestOneTradeoffOnThePhone(t *testing.T) {
	long(t)
	coach := houseCoach(t)
	several, crowded := 0, 0
	sweep(func(message string) {
		a := coach.Answer(new(bot.Thread), bot.Message{Text: message})
		shown := 0
		for _, w := range a.Tradeoffs {
			if strings.Contains(a.Text, w.Text) {
				shown++
			}
			if strings.ContainsAny(w.Text, "{}?") {
				t.Errorf("%q: %q", message, w.Text)
			}
		}
		if len(a.Tradeoffs) > 1 {
			several++
		}
		if shown > 1 {
			t.Errorf("%q shows %d of %d trade-offs", message, shown, len(a.Tradeoffs))
		}
		if len(a.Tradeoffs) > 0 && shown == 0 {
			crowded++
		}
	})
	if several < 10 || crowded > several {
		t.Errorf("%d messages had several trade-offs, %d had no room for one", several, crowded)
	}
	t.Logf("%d messages had several trade-offs, %d had no room for one", several, crowded)
	if a := coach.Answer(new(bot.Thread), bot.Message{Text: "open shade, one flash"}); len(a.Tradeoffs) > 0 {
		t.Errorf("%v stands against nothing", a.Tradeoffs)
	}
}
