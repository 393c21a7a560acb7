package bot_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/rules"
	"panelhand/rules/playbook"
)

// mostSituations is how many the trade handbook's decision table has (§3).
const mostSituations = 91

// reserved are the numbers that the table leaves to a crew's own situations.
var reserved = []int{9, 29, 42, 43, 44, 54, 68, 69}

// A situation is one row of the handbook's decision table.
type situation struct {
	Situation string          `json:"situation"` // "D01" to "D99"
	About     string          `json:"about"`
	Cases     []situationCase `json:"cases"`
}

// A situationCase is a message a crew would type there, and what the
// handbook's worked dial says of the answer.
type situationCase struct {
	Says      string          `json:"says"`
	Setups    []string        `json:"setups"`    // that may answer it
	Technique string          `json:"technique"` // its key
	First     string          `json:"first"`     // in the first line
	Against   string          `json:"against"`   // a message before: numbers are then what changed
	Numbers   []expectedValue `json:"numbers"`
	Differs   string          `json:"differs"`  // why the coach's answer is another, where it is
	Handbook  []expectedValue `json:"handbook"` // the handbook's bounds that then do not hold
}

// An expectedValue is a number of the handbook and how far the answer's may lie from it.
type expectedValue struct {
	Of     string          `json:"of"`   // a number of the answer, or one of derived
	Want   json.RawMessage `json:"want"` // a number, or a power ("1/4 -1", clicks)
	Within float64         `json:"within"`
	Dial   *workedDial     `json:"dial"`
}

// A workedDial is what the handbook's power belongs to.
type workedDial struct {
	Aperture float64 `json:"aperture"`
	ISO      float64 `json:"iso"`
	Share    float64 `json:"flash_stops"` // stops
	Distance float64 `json:"distance_m"`  // cloth or tube to face; 0: as the answer has it
	ND       float64 `json:"nd_stops"`
}

// TestSituations holds the coach against the handbook's table: every situation
// is answered, by a set-up that the table names, with numbers that agree with
// its worked dial once both stand at one dial; where they differ, the file says why
// and the handbook's own bound must indeed not hold.
func TestSituations(t *testing.T) {
	long(t)
	var file struct{ Situations []situation }
	data, err := os.ReadFile(filepath.Join("..", "testdata", "situations.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &file); err != nil {
		t.Fatal(err)
	}
	coach := houseCoach(t)
	answered := map[string]bool{}
	agree, differ, compared := 0, 0, 0
	for _, s := range file.Situations {
		answered[s.Situation] = true
		for _, c := range s.Cases {
			t.Run(s.Situation, func(t *testing.T) { checkSituation(t, coach, c) })
			compared += len(c.Numbers)
			if c.Differs == "" {
				agree++
			} else {
				differ++
			}
		}
	}
	for i := 1; i <= 99; i++ {
		if id := fmt.Sprintf("D%02d", i); !answered[id] && !slices.Contains(reserved, i) {
			t.Errorf("situation %s is lost", id)
		}
	}
	if len(answered) != mostSituations {
		t.Errorf("%d situations, the table has %d", len(answered), mostSituations)
	}
	t.Logf("%d situations: %d cases agree with the handbook, %d differ and say why; %d numbers compared", len(answered), agree, differ, compared)
}

func checkSituation(t *testing.T, coach *bot.Coach, c situationCase) {
	got := coach.Answer(new(bot.Thread), bot.Message{Text: c.Says})
	if got.Setup == nil || got.Numbers == nil {
		t.Fatalf("%q gets no set-up but %s: %s", c.Says, got.Kind, got.Text)
	}
	if !slices.Contains(c.Setups, got.Setup.ID) {
		t.Errorf("%q is answered by %s, the handbook says %s", c.Says, got.Setup.ID, strings.Join(c.Setups, " or "))
	}
	if !slices.Contains(got.Setup.Technique, c.Technique) {
		t.Errorf("%q is lit by %v, the handbook says %s", c.Says, got.Setup.Technique, c.Technique)
	}
	if !strings.Contains(strings.ToLower(got.Setup.First), strings.ToLower(c.First)) {
		t.Errorf("%q starts with %q, the handbook with %q", c.Says, got.Setup.First, c.First)
	}
	if power, shutter := got.Numbers.Map()["flash_power"], got.Numbers.Map()["shutter_s"]; power > 0 && shutter < 1.0/200-1e-9 {
		t.Errorf("%q: flash at %v s, faster than sync", c.Says, shutter)
	}
	var before *answer.Answer
	if c.Against != "" {
		before = coach.Answer(new(bot.Thread), bot.Message{Text: c.Against})
		if before.Numbers == nil {
			t.Fatalf("%q gets no numbers", c.Against)
		}
	}
	for _, e := range c.Numbers {
		if value, want, ok := e.compare(t, got, before); !ok {
			t.Errorf("%q by %s: %s is %.3g, the handbook says %.3g ±%.2g", c.Says, got.Setup.ID, e.Of, value, want, e.Within)
		}
	}
	if (c.Differs == "") != (len(c.Handbook) == 0) {
		t.Errorf("%q: a difference has both a reason and the handbook's bound that fails", c.Says)
	}
	for _, e := range c.Handbook {
		if value, want, ok := e.compare(t, got, before); ok {
			t.Errorf("%q is told to differ in %s, but %.3g agrees with the handbook's %.3g", c.Says, e.Of, value, want)
		}
	}
	if c.First == "" && len(c.Numbers) == 0 {
		t.Errorf("%q checks neither first line nor number", c.Says)
	}
}

// compare is the answer's value, the handbook's, and whether they agree. The
// value is not a number where the answer has none.
func (e expectedValue) compare(t *testing.T, got, before *answer.Answer) (value, want float64, ok bool) {
	t.Helper()
	var text string
	if json.Unmarshal(e.Want, &want) != nil {
		if err := json.Unmarshal(e.Want, &text); err != nil {
			t.Fatalf("%s: %s is neither a number nor a power", e.Of, e.Want)
		}
		want = powerStops(t, text)
	}
	if e.Within <= 0 {
		t.Fatalf("%s has no tolerance", e.Of)
	}
	value = e.value(got)
	if before != nil {
		value -= e.value(before)
	}
	return value, want, math.Abs(value-want) <= e.Within
}

func (e expectedValue) value(a *answer.Answer) float64 {
	n := a.Numbers.Map()
	if e.Of == "power" {
		return e.Dial.power(a)
	}
	if f, ok := derived[e.Of]; ok {
		return f(a)
	}
	if v, ok := n[e.Of]; ok {
		return v
	}
	return math.NaN()
}

// derived are figures that the handbook gives and the answer's marks imply.
// Sources: trade handbook §0, models A and C.
var derived = map[string]func(*answer.Answer) float64{
	"exposure_ev100": func(a *answer.Answer) float64 {
		n := a.Numbers.Map()
		return math.Log2(n["aperture"]*n["aperture"]/n["shutter_s"]) - math.Log2(n["iso"]/100) + n["nd_stops"]
	},
	// A second flash against the face: guide number 50 at 70 mm, 28 at 24 mm.
	"rim_over_key":    func(a *answer.Answer) float64 { return secondFlash(a, "rim", 50) },
	"behind_over_key": func(a *answer.Answer) float64 { return secondFlash(a, "background-light", 28) },
	// What the wall costs against the same flash bare from the camera: guide
	// number 36 at 35 mm.
	"wall_loss": func(a *answer.Answer) float64 {
		n := a.Numbers.Map()
		full := n["aperture"] * math.Sqrt(100/n["iso"]) * math.Exp2((n["flash_stops"]-math.Log2(n["flash_power"]))/2)
		return 2 * math.Log2(36/n["camera_subject_m"]/full)
	},
	"socket_gain": func(a *answer.Answer) float64 {
		n := a.Numbers.Map()
		return n["socket_cheek_stops"] - n["socket_cheek_stops_before"]
	},
}

func secondFlash(a *answer.Answer, role string, guide float64) float64 {
	n := a.Numbers.Map()
	for _, l := range a.Numbers.Lights {
		if l.Role == role {
			return 2*math.Log2(guide/l.DistanceM/n["aperture"]) + math.Log2(n["iso"]/100) + math.Log2(l.Power) - n["subject_stops"]
		}
	}
	return math.NaN()
}

// power brings the answer's power to the worked dial, in stops under full: by
// aperture, ISO, filter and the flash's share as light, by distance as a disc of a
// metre or, bare, by the inverse square. Source: trade handbook §0, models A, C and E.
func (d *workedDial) power(a *answer.Answer) float64 {
	n := a.Numbers.Map()
	stops := math.Log2(n["flash_power"]) + 2*math.Log2(d.Aperture/n["aperture"]) + math.Log2(n["iso"]/d.ISO) + d.ND - n["nd_stops"] + d.Share - n["flash_stops"]
	if d.Distance == 0 {
		return stops
	}
	if is, ok := n["flash_subject_m"]; ok {
		return stops + 2*math.Log2(d.Distance/is)
	}
	const r2 = 0.25 // of the radius, m²
	is := n["panel_subject_m"]
	return stops + math.Log2((r2+d.Distance*d.Distance)/(r2+is*is))
}

// powerStops reads a power as the handbook writes it: "full", "1/4 -1" with
// clicks of a third of a stop. The result is in stops under full.
func powerStops(t *testing.T, text string) float64 {
	t.Helper()
	fraction, clicks, _ := strings.Cut(text, " ")
	part, turned := 1.0, 0.0
	var err error
	if below, ok := strings.CutPrefix(fraction, "1/"); ok {
		part, err = strconv.ParseFloat(below, 64)
	} else if fraction != "full" {
		err = strconv.ErrSyntax
	}
	if err == nil && clicks != "" {
		turned, err = strconv.ParseFloat(clicks, 64)
	}
	if err != nil {
		t.Fatalf("%q is no power", text)
	}
	return turned/3 - math.Log2(part)
}

// In rain, snow and mist a bare flash near the lens lights the drops before it:
// it stands at least 0.7 m off the lens axis and well to the side, whatever the
// kit, the light and the people. Source: trade handbook D41, D55.
func TestNoFlashByTheLensInTheWet(t *testing.T) {
	long(t)
	const leastSide, leastOff = 35.0, 0.7 // degrees, m
	coach := houseCoach(t)
	lit := 0
	for _, wet := range []string{"light rain", "drizzle", "fog"} {
		for _, place := range []string{"", "open shade", "overcast", "under the market roof", "low sun, sun behind them", "dusk", "street at night"} {
			for _, kit := range []string{"one flash", "one flash, fill flash", "two flashes, rim light", "flash and panel", "flash and umbrella", "strobe"} {
				for _, who := range []string{"one person", "couple", "group of 5", "group of 9"} {
					for _, crew := range []string{"one helper", "two helpers", "no helper"} {
						say := strings.Join([]string{wet, place, kit, who, crew}, ", ")
						got := coach.Answer(new(bot.Thread), bot.Message{Text: say})
						if got.Numbers == nil {
							continue
						}
						for _, l := range got.Numbers.Lights {
							if l.Role != "key" || l.Kind != "bare" {
								continue
							}
							lit++
							off := l.DistanceM * math.Sin(l.SideDeg*math.Pi/180)
							if l.SideDeg < leastSide || off < leastOff-0.01 {
								t.Errorf("%q by %s: bare flash %.0f° to the side, %.2f m off the lens axis", say, got.Setup.ID, l.SideDeg, off)
							}
						}
					}
				}
			}
		}
	}
	if lit < 50 {
		t.Errorf("only %d answers had a bare flash: this checks next to nothing", lit)
	}
}

// What is held is held by people: the middle of a panel that raised arms hold
// stands 2.05 m up (2.12 with the hoop at the forehead, 25° at 1.2 m), a flash in
// a raised hand 2.3 m at most. Seated eyes are 1.2 m up, standing ones 1.6 m.
// Source: trade handbook Model K.
func TestHeldLightsAreWithinReach(t *testing.T) {
	const standing, seated, raisedPanel, raisedFlash = 1.6, 1.2, 2.125, 2.3 // m
	book, problems := rules.Load(playbook.Files)
	for _, p := range problems {
		if !p.Warning {
			t.Fatal(p)
		}
	}
	held := 0
	for _, s := range book.Setups {
		key := s.Key
		if key == nil || key.Up == nil || key.Distance == nil || key.Light == "wall" || strings.Contains(s.ID, "on-stand") {
			continue
		}
		held++
		eyes, reach := standing, raisedPanel
		if strings.Contains(strings.ToLower(s.Title.Value+s.First.Value), "seat them") || strings.Contains(s.ID, "seated") {
			eyes = seated
		}
		if key.Light == "bare" || key.Light == "led" {
			reach = raisedFlash
		}
		if up := eyes + key.Distance.Metres(1)*math.Sin(float64(*key.Up)*math.Pi/180); up > reach {
			t.Errorf("%s: %s light %.2f m up, and hands reach %.2f m", s.ID, key.Light, up, reach)
		}
	}
	if held < 60 {
		t.Errorf("only %d set-ups have a light in the hand", held)
	}
}

// Whoever moves needs the shorter time, whatever a still sitter or the mains
// would allow: a child or a slow move 1/250, a walk by day 1/500. Source: trade
// handbook N19, F52.
func TestMovementOutranksStillness(t *testing.T) {
	coach := houseCoach(t)
	for _, c := range []struct {
		say     string
		longest float64 // s
	}{
		{"under the market roof, she is walking toward the camera, no flash", 1.0 / 500},
		{"under the market roof, pics blurry, no flash", 1.0 / 250},
		{"hall with fluorescent tubes, she is walking toward the camera, no flash", 1.0 / 250},
		{"kids running, hall with led lamps, no flash", 1.0 / 250},
		{"pics blurry, tungsten hall, no flash", 1.0 / 250},
	} {
		got := coach.Answer(new(bot.Thread), bot.Message{Text: c.say})
		if got.Numbers == nil {
			t.Errorf("%q gets no numbers", c.say)
			continue
		}
		if shutter := got.Numbers.Map()["shutter_s"]; !(shutter <= c.longest*1.01) {
			t.Errorf("%q by %s: %.4g s, and what moves wants %.4g s or less", c.say, got.Setup.ID, shutter, c.longest)
		}
	}
}
