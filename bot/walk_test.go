package bot_test

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/calc/area"
	"panelhand/calc/exposure"
	"panelhand/calc/units"
)

// A followUp is a message of a walk, and what of the face it may move.
type followUp struct {
	say  string
	face faceMay
}

// faceMay says what a message may do to the level of the face.
type faceMay int

const (
	stay   faceMay = iota // the face stays, or the answer says that it does not
	up                    // it asks for more on the face
	down                  // it asks for less
	either                // it may ask for either
	back                  // undo
	shown                 // what if: shown, not kept
)

// walkMessages is what a lead may type after a test frame, on a phone.
var walkMessages = []followUp{
	// wants
	{"softer", stay}, {"harder", stay}, {"bg a stop darker, leave her face", stay}, {"brighter background", stay}, {"bg darker", stay}, {"more shape", stay},
	{"flatter", stay}, {"fill the shadows", stay}, {"brighter eyes", stay}, {"shallower", stay}, {"more in focus", stay}, {"warmer", stay}, {"cooler", stay},
	{"less shine", stay}, {"freeze him", stay}, {"too much noise", stay}, {"looks too flashy", stay}, {"make her brighter", up}, {"darker face", down},
	// faults
	{"forehead hot", stay}, {"face too dark", up}, {"face half a stop too bright", down}, {"dark under the chin", stay}, {"eyes dead", stay}, {"nose shadow too long", stay},
	{"glare in the glasses", stay}, {"panel in the frame", stay}, {"only half the panel is lit", stay}, {"shadow on the wall behind", stay}, {"hair blown", stay},
	{"skin looks chalky", down}, {"bg blown", stay}, {"black stripe at the bottom", stay}, {"skin too green", stay}, {"ghosting", stay}, {"one side dark", stay},
	// turns and amounts
	{"flash up one stop", up}, {"flash down 2 clicks", down}, {"flash too bright half a stop", down}, {"shutter slower", up}, {"shutter up a click", stay},
	{"open up a stop", stay}, {"stop down one", stay}, {"iso down", stay}, {"iso up a stop", stay}, {"whole frame a bit dark", up}, {"everything too bright", down},
	{"closer by 20 cm", stay}, {"panel back 30cm", stay}, {"panel in to 0.8 m", stay}, {"panel to 20cm", stay}, {"flash 40 cm from her face", stay}, {"ambient down a stop", stay}, {"panel higher", stay}, {"panel lower 10 degrees", stay}, {"key more to the side", stay},
	{"feather it more", stay}, {"zoom the flash in", stay}, {"bring the reflector closer", stay}, {"go tighter", stay}, {"swap sides", stay}, {"off the wall", stay},
	// direct dials
	{"same but f2.8", stay}, {"f8", stay}, {"iso 400", stay}, {"1/60", stay}, {"1/1000", stay}, {"flash at 1/8", stay}, {"power 1/16", stay},
	// the thread itself, the scene
	{"still", either}, {"still", either}, {"undo", back}, {"go back", back}, {"what if f8", shown}, {"what if softer", shown}, {"cloud came", stay}, {"now two people", stay}, {"she sits down", stay},
	{"bg a stop darker and softer", stay}, {"we have an nd8", stay}, {"switch on hss", stay},
}

// walkScene is a first message made of parts that crews name.
func walkScene(rng *rand.Rand) string {
	pick := func(all ...string) string { return all[rng.IntN(len(all))] }
	parts := []string{
		pick("harbour market, under the canvas roof", "harbour market, open shade", "rooftop garden, sun overhead", "rooftop garden, overcast", "station hall, led ceiling lamps", "station hall, fluorescent tubes",
			"quay at dusk", "window light in the cafe", "street at night", "rooftop, sun behind her", "dappled light under the trees", "tungsten lamps"),
		pick("no kit", "white reflector", "flash + 40in panel", "flash through 1m panel", "flash bounced off the white panel", "bare flash in hand", "flash in a 60cm softbox, stand", "flash + 43in umbrella",
			"flash into the white wall", "scrim over her", "led panel", "2 flashes + 1.2m panel", "flash gn 28 + 32in panel", "flash, panel, half cto gel, nd8", "flash with hss + panel", "flash + 40in panel, sync 1/160"),
		pick("", "softer please", "one helper", "two helpers", "no helper", "couple", "group of 5", "glasses", "headshot", "bg 4m behind", "f4", "f2.8 iso 200", "moody", "airy", "no stands"),
	}
	return strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), ", ")
}

// turnedNumbers are the numbers that a change tells of: dials, distances,
// angles.
var turnedNumbers = []string{
	"shutter_s", "aperture", "iso", "nd_stops", "flash_power", "flash_zoom_mm", "flash_panel_m", "panel_subject_m", "flash_subject_m", "led_subject_m",
	"key_side_deg", "key_up_deg", "feather_deg", "fill_panel_m", "wb_k", "camera_subject_m",
}

// A walk is one thread as this test sees it.
type walk struct {
	t      *testing.T
	coach  *bot.Coach
	thread *bot.Thread
	said   []string
	stood  []stood // newest last; as many as a thread goes back
	lost   bool    // whether it failed: what follows would only fail again
}

// stood is a set-up as an answer showed it.
type stood struct {
	numbers   map[string]float64
	low, high float64 // between which the face may be: right, and what was asked for
}

// off is how far the face is from right or what was asked for, in stops.
func (s stood) off() float64 {
	level := s.numbers["subject_stops"]
	return math.Max(0, math.Max(s.low-level, level-s.high))
}

func (w *walk) fail(format string, args ...any) {
	w.t.Helper()
	w.lost = true
	w.t.Errorf("%s\n    after: %s", fmt.Sprintf(format, args...), strings.Join(w.said, " | "))
}

// TestWalks goes on from random set-ups by random follow-ups, and works out
// every answer's exposure from what it prints.
func TestWalks(t *testing.T) {
	long(t)
	const scenes, steps = 72, 30
	coach := houseCoach(t)
	rng := rand.New(rand.NewPCG(4, 30))
	lit, refused, right, all := 0, 0, 0, 0
	for range scenes {
		w := &walk{t: t, coach: coach, thread: new(bot.Thread)}
		if !w.say(followUp{walkScene(rng), stay}) {
			t.Errorf("%q: no set-up to go on from", w.said[0])
			continue
		}
		for range steps {
			f := walkMessages[rng.IntN(len(walkMessages))]
			if w.lost {
				continue
			}
			if !w.say(f) {
				refused++
				continue
			}
			all++
			now := w.stood[len(w.stood)-1]
			if _, flash := now.numbers["flash_power"]; flash {
				lit++
			}
			if now.off() <= 1.0/3 {
				right++
			}
		}
	}
	t.Logf("%d answers with numbers, %d by flash, %d with the face as asked; %d without numbers", all, lit, right, refused)
	if all < scenes*steps*3/4 || lit < all/4 {
		t.Errorf("%d answers with numbers, %d by flash: the walks hardly test anything", all, lit)
	}
}

// say gives the next message and checks its answer; it reports whether the
// answer shows a set-up.
func (w *walk) say(f followUp) bool {
	w.said = append(w.said, f.say)
	a := w.coach.Answer(w.thread, bot.Message{Text: f.say})
	w.phone(a)
	if a.Numbers == nil {
		return false
	}
	now := stood{numbers: a.Numbers.Map()}
	w.exposure(a, now.numbers)
	var was *stood
	if n := len(w.stood); n > 0 {
		was = &w.stood[n-1]
		if now.low, now.high = was.low, was.high; a.Rebuilt || a.Kind == answer.KindSetup {
			now.low, now.high = 0, 0 // another picture
		}
	}
	level := now.numbers["subject_stops"]
	switch f.face {
	case back:
		w.undone(a, now.numbers)
		return true
	case up, down, either:
		if by := level - was.numbers["subject_stops"]; !a.Rebuilt && (f.face == up && by < -1.0/3 && level < was.low-1.0/3 || f.face == down && by > 1.0/3 && level > was.high+1.0/3 || math.Abs(by) > 2) {
			w.fail("the face goes from %+.2f to %+.2f:\n%s", was.numbers["subject_stops"], level, a.Text)
		}
		now.low, now.high = math.Min(now.low, level), math.Max(now.high, level)
		// Each asks for a click at least, though a dial at its end may give it
		// only later.
		switch f.face {
		case up:
			now.high = math.Max(now.high, was.high+click)
		case down:
			now.low = math.Min(now.low, was.low-click)
		}
	default:
		if now.off() > 1.0/3+0.02 && !owned(a) {
			w.fail("the face is at %+.2f, asked for %+.2f to %+.2f, and the answer does not say so:\n%s", level, now.low, now.high, a.Text)
		}
	}
	if was != nil && a.Kind == answer.KindChange {
		w.changes(a, was.numbers, now.numbers)
	}
	if f.face == shown {
		return true
	}
	if w.stood = append(w.stood, now); len(w.stood) > 20 {
		w.stood = w.stood[1:]
	}
	return true
}

// owned reports whether an answer says that the face is off, or that it moves
// with what was asked.
func owned(a *answer.Answer) bool {
	return slices.ContainsFunc(strings.Split(a.Text, "\n"), func(line string) bool {
		return strings.Contains(line, "leave the face") || strings.Contains(line, "face and background")
	})
}

func (w *walk) phone(a *answer.Answer) {
	w.t.Helper()
	lines := strings.Count(a.Text, "\n") + 1
	if strings.TrimSpace(a.Text) == "" || lines > 14 || utf8.RuneCountInString(a.Text) > 1200 {
		w.fail("%d lines, %d characters:\n%s", lines, utf8.RuneCountInString(a.Text), a.Text)
	}
	if strings.ContainsAny(a.Text, "{}") || strings.Contains(a.Text, "NaN") {
		w.fail("a hole shows:\n%s", a.Text)
	}
}

// undone checks that going back shows what stood before, to the last digit.
func (w *walk) undone(a *answer.Answer, now map[string]float64) {
	w.t.Helper()
	if len(w.stood) < 2 {
		w.fail("there was nothing to go back to, and it went:\n%s", a.Text)
		return
	}
	w.stood = w.stood[:len(w.stood)-1]
	if was := w.stood[len(w.stood)-1].numbers; !maps.Equal(was, now) {
		for _, key := range slices.Sorted(maps.Keys(now)) {
			if was[key] != now[key] {
				w.fail("gone back, %s is %v and was %v", key, now[key], was[key])
			}
		}
		for key := range was {
			if _, ok := now[key]; !ok {
				w.fail("gone back, %s is lost", key)
			}
		}
	}
}

// changes checks `changed` against the two states.
func (w *walk) changes(a *answer.Answer, was, now map[string]float64) {
	w.t.Helper()
	told := map[string]answer.Change{}
	for _, c := range a.Changed {
		told[c.Name] = c
	}
	for _, name := range turnedNumbers {
		from, had := was[name]
		to, has := now[name]
		c, ok := told[name]
		delete(told, name)
		moved := had != has || math.Abs(to-from) > 0.05*math.Max(math.Abs(from), math.Abs(to))
		if strings.HasSuffix(name, "_deg") && had && has {
			moved = math.Abs(to-from) >= 5 // angles are told in fives
		}
		switch {
		case moved && !ok:
			w.fail("%s went from %v to %v, and changed does not say so", name, from, to)
		case ok && (c.From != from || c.To != to):
			w.fail("%s went from %v to %v, and changed says %v to %v", name, from, to, c.From, c.To)
		case ok && from == to && had == has:
			w.fail("%s stayed, and changed says it moved", name)
		}
	}
	for name := range told {
		w.fail("changed tells of %s, which nobody turns", name)
	}
}

// exposure works out the levels from the printed numbers alone, by lux·seconds
// and the formulas of package area.
func (w *walk) exposure(a *answer.Answer, n map[string]float64) {
	w.t.Helper()
	iso, aperture, shutter := units.ISO(n["iso"]), units.FNumber(n["aperture"]), units.Seconds(n["shutter_s"])
	needed := must(exposure.Needed(aperture, iso))(w.t)
	passed := math.Exp2(-n["nd_stops"])
	steady := func(ev float64) float64 {
		return float64(must(exposure.Steady(must(exposure.Lux(units.EV(ev)))(w.t), shutter))(w.t)) * passed
	}
	level := func(h float64) float64 { return math.Log2(h / float64(needed)) }
	near := func(what string, want float64) {
		if got := n[what]; !(math.Abs(got-want) <= 0.02) {
			w.fail("%s is printed as %+.3f, its own numbers make %+.3f (%v)", what, got, want, a.Setup.ID)
		}
	}
	near("ambient_stops", level(steady(n["ambient_ev100"])))
	near("background_stops", level(steady(n["background_ev100"])))
	total := steady(n["ambient_ev100"])
	if power, fires := n["flash_power"]; fires {
		sync := 1.0 / 200
		if said, ok := a.Facts.Number("camera.sync_s"); ok {
			sync = said
		}
		if n["shutter_s"] < 0.965*sync && !w.highSpeed(a) {
			w.fail("1/%.0f is faster than sync 1/%.0f, and there is no high-speed sync", 1/n["shutter_s"], 1/sync)
		}
		total += w.flash(a, n, units.Fraction(power)) * passed * math.Exp2(-n["flash_loss_stops"])
	}
	near("subject_stops", level(total))
}

// highSpeed reports whether the thread has high-speed sync: of its kit, or
// switched on.
func (w *walk) highSpeed(a *answer.Answer) bool {
	item, _ := a.Facts.Item("flash", "strobe")
	return item.HSS || slices.Contains(w.said, "switch on hss")
}

// flash is what the key puts on the face, lx·s, its losses left out.
func (w *walk) flash(a *answer.Answer, n map[string]float64, power units.Fraction) float64 {
	w.t.Helper()
	lamp := area.Flash{Guide: units.GuideNumber(n["flash_gn_m"]), Zoom: units.Millimetres(n["flash_zoom_mm"]), Power: power}
	kind, m := a.Numbers.Lights[0].Kind, func(key string) units.Metres { return units.Metres(n[key]) }
	panel := area.RoundPanel(m("panel_size_m"))
	side, up := units.Degrees(n["key_side_deg"]), units.Degrees(n["key_up_deg"])
	switch kind {
	case "bare":
		return float64(must(area.Bare(lamp, m("flash_subject_m")))(w.t))
	case "through":
		return float64(must(area.Through(lamp, panel, n["panel_pass"], m("flash_panel_m"), m("panel_subject_m")))(w.t).Face)
	case "bounce":
		return float64(must(area.Bounce(lamp, panel, n["panel_pass"], side, up, m("panel_subject_m"), m("camera_subject_m")))(w.t).Face)
	case "umbrella", "softbox":
		return float64(must(area.Boxed(lamp, panel, n["panel_pass"], m("panel_subject_m")))(w.t).Face)
	case "wall":
		from := a.Numbers.Lights[0].DistanceM
		to, apart := n["flash_subject_m"]-from, n["camera_subject_m"]
		// The bright patch is seen at the same slant from both: half the angle
		// between the two ways, by the law of cosines.
		cos := (to*to + from*from - apart*apart) / (2 * to * from)
		slant := units.Degrees(math.Min(60, math.Acos(math.Max(-1, math.Min(1, cos)))/2*180/math.Pi))
		wall := area.Wall{Flash: units.Metres(to), Face: units.Metres(from), In: slant, Out: slant}
		return float64(must(wall.Off(lamp, area.PaintReturns))(w.t).Face)
	}
	w.fail("a flash used as %q is not worked out here", kind)
	return 0
}

func must[T any](v T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		if err != nil {
			t.Error(err)
		}
		return v
	}
}

// TestWhatIfLeavesNoTrace: what is only shown changes nothing of what comes
// after.
func TestWhatIfLeavesNoTrace(t *testing.T) {
	long(t)
	coach := houseCoach(t)
	for _, first := range []string{"rooftop garden, overcast, no kit", "harbour market, shade, flash through 1m panel, helper"} {
		for _, then := range []string{"still", "softer", "f4", "warmer", "keep it", "cloud came"} {
			plain, asked := new(bot.Thread), new(bot.Thread)
			coach.Answer(plain, bot.Message{Text: first})
			coach.Answer(asked, bot.Message{Text: first})
			for _, what := range []string{"what if f8", "what if softer", "what if sun comes out"} {
				coach.Answer(asked, bot.Message{Text: what})
			}
			want, got := coach.Answer(plain, bot.Message{Text: then}).Text, coach.Answer(asked, bot.Message{Text: then}).Text
			if got != want {
				t.Errorf("%q, then %q shows after three what-ifs:\n%s\nwithout:\n%s", first, then, got, want)
			}
		}
	}
}
