package bot_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"panelhand/bot"
	"panelhand/bot/answer"
	"panelhand/bot/render"
	"panelhand/rules"
	"panelhand/rules/playbook"
)

// now is a Thursday morning in Lisbon, and the messages' today.
var now = time.Date(2026, 4, 30, 10, 0, 0, 0, time.UTC)

func planned(coach *bot.Coach, text string) *answer.Answer {
	return coach.Answer(new(bot.Thread), bot.Message{Text: text, Now: now, Zone: "Europe/Lisbon"})
}

// TestPlans answers messages of our own, each written down with what a
// competent reader would expect before it was tried.
func TestPlans(t *testing.T) {
	long(t)
	coach := houseCoachLoose(t)
	file, err := os.Open(filepath.Join("..", "testdata", "plans.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	cases, all, right := 0, 0, 0
	for lines := bufio.NewScanner(file); lines.Scan(); {
		var c struct {
			Say    string
			Expect map[string]string
		}
		if err := json.Unmarshal(lines.Bytes(), &c); err != nil {
			t.Fatal(err)
		}
		cases++
		a := planned(coach, c.Say)
		for key, want := range c.Expect {
			all++
			if got, ok := holds(a, key, want); ok {
				right++
			} else {
				t.Logf("%q: %s is %q, want %q", c.Say, key, got, want)
			}
		}
		if n := strings.Count(a.Text, "\n") + 1; n > render.MaxLines || utf8.RuneCountInString(a.Text) > render.MaxChars {
			t.Errorf("%q takes %d lines, %d characters", c.Say, n, utf8.RuneCountInString(a.Text))
		}
		if strings.Contains(a.Text, "{") || strings.Contains(a.Text, "NaN") {
			t.Errorf("%q: %s", c.Say, a.Text)
		}
	}
	t.Logf("%d messages, %d of %d expectations hold", cases, right, all)
	if cases < 100 || float64(right) < floor*float64(all) {
		t.Errorf("%d messages, %d of %d expectations hold, want %.0f %%", cases, right, all, 100*floor)
	}
}

// houseCoachLoose is the house's coach where its book could be read.
func houseCoachLoose(t testing.TB) *bot.Coach {
	t.Helper()
	book, problems := rules.Load(playbook.Files)
	for _, p := range problems {
		t.Errorf("%v", p)
	}
	return bot.New(book)
}

// holds reports whether an answer is as one expectation has it.
func holds(a *answer.Answer, key, want string) (got string, ok bool) {
	if key == "kindnot" {
		return string(a.Kind), string(a.Kind) != want
	}
	p := a.Plan
	if p == nil {
		return "no plan but " + string(a.Kind), false
	}
	fact := func(path string) string { v, _ := a.Facts.Get(path); return v.Text }
	number := func(path string) string {
		v, ok := a.Facts.Number(path)
		if !ok {
			return ""
		}
		return fmt.Sprint(v)
	}
	within := func(list []string) (string, bool) {
		joined := strings.Join(list, "; ")
		return joined, strings.Contains(joined, want)
	}
	moment := func(name string) (string, bool) {
		for _, m := range p.Sun {
			if m.Name != name {
				continue
			}
			_, clock, _ := strings.Cut(m.Time, "T")
			at, err1 := time.Parse("15:04", clock[:5])
			wanted, err2 := time.Parse("15:04", want)
			return clock[:5], err1 == nil && err2 == nil && at.Sub(wanted).Abs() <= 2*time.Minute
		}
		return "", false
	}
	hours := func(from bool) string {
		if len(p.Slots) == 0 {
			_, hours, _ := strings.Cut(p.Title, ", ")
			for part := range strings.SplitSeq(hours, ", ") {
				if a, b, ok := strings.Cut(part, "–"); ok && from {
					return a
				} else if ok {
					return b
				}
			}
			return ""
		}
		stamp := p.Slots[0].From
		if !from {
			stamp = p.Slots[len(p.Slots)-1].To
		}
		if _, clock, ok := strings.Cut(stamp, "T"); ok {
			return clock[:5]
		}
		return stamp
	}
	switch key {
	case "date":
		got = p.Date
	case "from":
		got = hours(true)
	case "to":
		got = hours(false)
	case "venue":
		got = p.Place
	case "zone":
		got = p.Zone
	case "spots":
		got = number("plan.spots")
	case "people":
		got = number("subject.people")
	case "slots":
		got = fmt.Sprint(len(p.Slots))
	case "call":
		got = p.Call
	case "contact":
		got = p.Contact
	case "sky":
		got = fact("plan.sky")
	case "kind":
		got = "no slot"
		if len(p.Slots) > 0 {
			got = p.Slots[len(p.Slots)-1].Kind
		}
	case "full", "sets":
		if p.Batteries == nil {
			return "no batteries", false
		}
		if got = fmt.Sprint(p.Batteries.Full); key == "sets" {
			got = fmt.Sprint(p.Batteries.Sets)
		}
	case "rise":
		return moment("sunrise")
	case "set":
		return moment("sunset")
	case "ask":
		questions := map[string]string{"date": "date", "place": "Where", "hours": "From when", "kit": "bag"}
		return a.AskBack, strings.Contains(a.AskBack, questions[want])
	case "note":
		return a.Text, strings.Contains(a.Text, want)
	case "light":
		return p.Light, strings.Contains(strings.ToLower(p.Light), want)
	case "wind":
		return within(p.Wind)
	case "rain":
		return within(p.Rain)
	case "pack":
		return within(p.Pack)
	case "miss":
		return within(p.Missing)
	case "brief":
		return p.Brief, strings.Contains(p.Brief, want)
	case "kit":
		return fmt.Sprint(a.Facts.Kit()), a.Facts.Count(want) > 0
	case "kitlacks":
		return fmt.Sprint(a.Facts.Kit()), a.Facts.Count(want) == 0
	default:
		return "an unknown expectation", false
	}
	return got, got == want
}

// A brief takes about ninety seconds: 200 words at 140 a minute are 86 s
// (common practice).
func TestBriefFitsNinetySeconds(t *testing.T) {
	coach := houseCoachLoose(t)
	for _, text := range []string{
		"plan saturday 14:00-18:00 lat 38.7 lon -9.14, flash + 40in panel, 2 kids, windy", "plan saturday 14:00-18:00 lat 38.7 lon -9.14, no helper", "packing list for the hall",
	} {
		brief := planned(coach, text).Plan.Brief
		if n := len(strings.Fields(brief)); n == 0 || n > 200 {
			t.Errorf("%q: %d words: %s", text, n, brief)
		}
		if !strings.Contains(brief, "Stop is for safety") {
			t.Errorf("%q has no stop word: %s", text, brief)
		}
	}
}

// Nobody said what today is: the day is asked for, not guessed.
func TestPlanWithoutNow(t *testing.T) {
	coach := houseCoachLoose(t)
	for text, dated := range map[string]bool{
		"plan saturday 14:00-18:00, lat 38.7 lon -9.14": false, "plan 14:00-18:00, lat 38.7 lon -9.14": false, "plan 21 june 14:00-18:00, lat 38.7 lon -9.14": false,
		"plan 2026-06-21 14:00-18:00, lat 38.7 lon -9.14": true,
	} {
		a := coach.Answer(new(bot.Thread), bot.Message{Text: text})
		if (a.Plan.Date != "") != dated || (a.AskBack == "Which date?") == dated {
			t.Errorf("%q: %q, asks %q", text, a.Plan.Date, a.AskBack)
		}
	}
}

// What was asked back may be answered alone, and the plan is made anew.
func TestPlanGoesOn(t *testing.T) {
	coach, thread := houseCoachLoose(t), new(bot.Thread)
	say := func(text string) *answer.Answer {
		return coach.Answer(thread, bot.Message{Text: text, Now: now, Zone: "Europe/Lisbon"})
	}
	say("plan 14:00-18:00 at the harbour market, 3 spots, flash + 40in panel")
	if a := say("lat 38.7 lon -9.14"); a.Kind != answer.KindPlan || len(a.Plan.Slots) != 3 {
		t.Errorf("%s: %s", a.Kind, a.Text)
	}
	if a := say("sunday"); a.Plan == nil || a.Plan.Date != "2026-05-03" || len(a.Plan.Slots) != 3 {
		t.Errorf("%s: %s", a.Kind, a.Text)
	}
	if a := say("gusts 35 km/h"); a.Plan == nil || !strings.Contains(strings.Join(a.Plan.Wind, " "), "braced") {
		t.Errorf("%s: %s", a.Kind, a.Text)
	}
	if a := say("open shade, softer, 2 people"); a.Kind != answer.KindSetup {
		t.Errorf("a picture after a plan is a %s", a.Kind)
	}
}

// A clock at home is no clock abroad: the answer says whose time it tells.
func TestFarClock(t *testing.T) {
	coach := houseCoachLoose(t)
	const note = "hours off the sun"
	for text, far := range map[string]bool{
		"plan golden hour tomorrow lat -33.87 lon 151.21": true, "plan golden hour tomorrow lat -33.87 lon 151.21 Australia/Sydney": false,
		"plan golden hour tomorrow lat 38.7 lon -9.14": false, "plan golden hour tomorrow lat 52 lon 21": false,
	} {
		if a := planned(coach, text); strings.Contains(a.Text, note) != far {
			t.Errorf("%q: %s", text, a.Text)
		}
	}
}

// What is to be packed and not in the kit is missing; what a ban forbids is
// neither.
func TestPacking(t *testing.T) {
	coach := houseCoachLoose(t)
	with := planned(coach, "packing list for the rooftop, flash, umbrella, stand").Plan
	for _, want := range []string{"trigger", "sandbags"} {
		if !strings.Contains(strings.Join(with.Missing, "; "), want) {
			t.Errorf("%s is not missing: %v", want, with.Missing)
		}
	}
	banned := planned(coach, "packing list for the station hall, panel, no flash").Plan
	for _, item := range slices.Concat(banned.Pack, banned.Missing) {
		if strings.Contains(item, "trigger") || strings.Contains(item, "flash") && !strings.Contains(item, "no flash") {
			t.Errorf("%q is packed where flash is banned", item)
		}
	}
}

// What people type cannot make markup of its own.
func TestMarkdownIsEscaped(t *testing.T) {
	coach := houseCoachLoose(t)
	page := render.Markdown(planned(coach, "plan saturday 14:00-18:00 lat 38.7 lon -9.14, contact <script>alert(1)</script> | [x](y)"))
	for _, bad := range []string{"<script>", "[x](y)", " | \\[x"} {
		if strings.Contains(page, bad) {
			t.Errorf("%q stands in the page:\n%s", bad, page)
		}
	}
	if !strings.Contains(page, "## Slots") || !strings.Contains(page, "## Pack") {
		t.Errorf("parts are missing:\n%s", page)
	}
}
