package bot

import (
	"cmp"
	"math"
	"regexp"
	"slices"
	"strconv"

	"panelhand/bot/answer"
	"panelhand/bot/memory"
	"panelhand/calc/area"
	"panelhand/calc/balance"
	"panelhand/calc/units"
	"panelhand/rules/fact"
)

// calibratedWays are the ways of lighting that a test frame can be of, in the
// order in which they are told.
var calibratedWays = []string{"through", "bounce", "umbrella", "softbox", "bare"}

// oneFrame is how far one test frame can be trusted, in stops: a click of the
// power dial and a click of the aperture, each known to half. Common practice.
const oneFrame = 1.0 / 3

// recentFrames is how many of the newest frames of one way count: a flash ages,
// a cloth is changed.
const recentFrames = 5

// losses are what a crew's test frames come to, by way: their mean, and the
// half of their range or what one frame can be trusted to, whichever is more.
func losses(all []memory.Calibration) map[string]fact.Loss {
	byWay := map[string][]float64{}
	for _, c := range all {
		byWay[c.Way] = append(byWay[c.Way], c.Stops)
	}
	out := make(map[string]fact.Loss, len(byWay))
	for way, stops := range byWay {
		stops = last(stops, recentFrames)
		sum := 0.0
		for _, s := range stops {
			sum += s
		}
		spread := (slices.Max(stops) - slices.Min(stops)) / 2
		out[way] = fact.Loss{Stops: sum / float64(len(stops)), Spread: max(spread, oneFrame)}
	}
	return out
}

// calibrated is the crew's own loss for this staging's way of lighting.
func (s *staging) calibrated() (fact.Loss, bool) {
	if s.scene.Key == nil {
		return fact.Loss{}, false
	}
	own, ok := s.head.item.Calibrated[s.setup.Key.Light]
	return own, ok
}

// A testShot is a test frame as told: flash alone, and the settings at which
// the face was right.
type testShot struct {
	way                  string
	panel                area.Panel
	distance, flashPanel units.Metres // lit cloth or tube to face; flash to cloth
	zoom                 units.Millimetres
	power                units.Fraction
	aperture             units.FNumber
	iso                  units.ISO
	head                 head
}

// loss is how many stops less light came than the model computes, and the
// model's exposure at the face, lx·s. The frame was right at f/N and ISO S
// where the exposure was 2.5·N²·100/S. Source: photometry handbook §3.2 and
// §6.2.
func (s testShot) loss() (stops units.Stops, model units.LuxSeconds, err error) {
	key := balance.Flash{
		Way: ways[s.way], Guide: s.head.guide, Panel: s.panel, Pass: passOf[ways[s.way]],
		Side: 35, Up: 22, CameraSubject: 2.25, // as the house's bounce set-ups stand
	}
	lit, err := key.At(s.zoom, s.flashPanel, s.distance)
	if err != nil {
		return 0, 0, err
	}
	model = units.LuxSeconds(float64(lit.Face) * float64(s.power) * float64(s.head.count) * math.Exp2(-float64(s.head.loss)))
	right := 2.5 * float64(s.aperture) * float64(s.aperture) * 100 / float64(s.iso)
	return units.Stops(math.Log2(float64(model) / right)), model, nil
}

// distanceAfter tells "panel 1 m", how far the cloth is, from "1 m panel", how
// big it is.
var distanceAfter = regexp.MustCompile(`(?i)\b(?:panel|reflector|diffuser|frame|umbrella|brolly|softbox|cloth)\s*(?:is|at|@|=|:)?\s*\d+(?:\.\d+)?\s*(?:m|cm|metres?|meters?|ft|feet|in|inch|"|')`)

// testShot reads a test frame from what was heard and what the kit list and
// the thread know. False where power, distance or f-number is missing.
func (t *turn) testShot() (s testShot, ok bool) {
	said := t.reading.Facts
	facts := said.Clone()
	if t.thread.facts != nil {
		facts = t.thread.facts.Clone()
		facts.SetKit(slices.Clone(said.Kit()))
	}
	ground := &Ground{Kit: memory.KitList{Items: t.ground.Kit.Items}} // not what was calibrated before
	s.way = "bare"
	for _, kind := range []string{"umbrella", "softbox"} {
		if _, has := said.Item(kind); has {
			s.way = kind
		}
	}
	panel, hasPanel := said.Item("panel", "diffuser", "reflector")
	if hasPanel && s.way == "bare" {
		s.way = "through"
		if panel.Kind == "reflector" {
			s.way = "bounce"
		}
		if was := t.talk.Setup; was != nil && was.Setup != nil && len(was.Setup.Technique) > 0 && slices.Contains([]string{"through", "bounce"}, was.Setup.Technique[0]) {
			s.way = was.Setup.Technique[0]
		}
	}
	for _, way := range said.Choices("says") {
		if slices.Contains(calibratedWays, way) {
			s.way = way
		}
	}
	metres, far := said.Number("distance.panel_subject_m")
	if s.way == "bare" {
		metres, far = said.Number("distance.flash_subject_m")
	}
	if kit := facts.Kit(); !far && distanceAfter.MatchString(t.in.Text) {
		for i := range kit {
			if slices.Contains([]string{"panel", "reflector", "diffuser", "umbrella", "softbox"}, kit[i].Kind) && kit[i].SizeM > 0 && kit[i].Size2M == 0 {
				metres, far = kit[i].SizeM, true
				kit[i].SizeM = 0 // it was no size
			}
		}
		facts.SetKit(kit)
		said.SetKit(slices.Clone(kit))
		said.Put("distance.panel_subject_m", fact.Value{Number: metres, Origin: fact.Said})
	}
	facts = ground.under(facts)
	s.distance = units.Metres(metres)
	kinds, house := []string{"panel", "reflector", "diffuser"}, housePanel
	switch s.way {
	case "umbrella":
		kinds, house = []string{"umbrella"}, houseUmbrella
	case "softbox":
		kinds, house = []string{"softbox"}, houseSoftbox
	}
	s.panel, _ = panelOf(facts, kinds, house)
	s.head = headOf(facts, "")
	if flash, has := said.Item("flash", "strobe"); has {
		s.power, s.zoom = units.Fraction(shotPower(t.in.Text, said)), units.Millimetres(flash.ZoomMM)
		s.head = headOf(facts, flash.Gel)
		s.head.count = max(1, flash.Count)
	}
	if s.zoom == 0 {
		s.zoom = houseGuideZoom
		if was := t.talk.Setup; was != nil && was.Numbers["flash_zoom_mm"] > 0 {
			s.zoom = units.Millimetres(was.Numbers["flash_zoom_mm"])
		}
	}
	s.flashPanel = longest(s.panel)
	if v, has := said.Number("distance.flash_panel_m"); has {
		s.flashPanel = units.Metres(v)
	} else if was := t.talk.Setup; was != nil && was.Numbers["flash_panel_m"] > 0 {
		s.flashPanel = units.Metres(was.Numbers["flash_panel_m"])
	}
	aperture, iso := shotAt(t.in.Text, said)
	if iso == 0 {
		iso, _ = facts.Number("camera.iso")
	}
	s.aperture, s.iso = units.FNumber(aperture), units.ISO(cmp.Or(iso, 100))
	return s, far && aperture > 0 && s.power > 0
}

// What a meter gave for the flash: "metered f2.8 iso 200" is else heard as the
// light that is there.
var (
	shotAperture = regexp.MustCompile(`(?i)\bf\s*/?\s*(\d{1,2}(?:\.\d+)?)\b`)
	shotISO      = regexp.MustCompile(`(?i)\biso\s*(\d{2,6})\b`)
)

var flashAt = regexp.MustCompile(`(?i)\b(?:flash|strobe|power)\b[^.;,\d]{0,12}(?:1/(\d{1,4})|full)\b`)

// shotPower is the flash's power in a test frame; 0 where not said.
func shotPower(text string, said *fact.Set) float64 {
	if flash, ok := said.Item("flash", "strobe"); ok && flash.Power > 0 {
		return flash.Power
	}
	m := flashAt.FindStringSubmatch(text)
	switch {
	case m == nil:
		return 0
	case m[1] == "":
		return 1
	}
	n, _ := strconv.ParseFloat(m[1], 64)
	return 1 / max(n, 1)
}

// shotAt is the f-number and the ISO of a test frame; 0 where not said.
func shotAt(text string, said *fact.Set) (aperture, iso float64) {
	aperture, _ = said.Number("camera.aperture")
	iso, _ = said.Number("camera.iso")
	return cmp.Or(aperture, number(shotAperture, text)), cmp.Or(iso, number(shotISO, text))
}

// unbelievable is a loss that no cloth or flash comes to, in stops.
const unbelievable = 4

// calibrate solves a test frame for the real loss and keeps it.
func (t *turn) calibrate(r request) (*answer.Answer, error) {
	s, ok := t.testShot()
	if !ok {
		return t.say("memory-calibrate-needs"), nil
	}
	loss, model, err := s.loss()
	if err != nil {
		return t.tell(&answer.Record{}, t.Coach.phrase("memory-calibrate-needs"), err.Error()), nil
	}
	if math.Abs(float64(loss)) > unbelievable {
		return t.say("memory-calibrate-wild", "<loss>", answer.HowMany.Print(float64(loss), t.reading.Style)), nil
	}
	frame := memory.Calibration{Way: s.way, Stops: float64(loss), When: t.now, Said: t.in.Text}
	var all []memory.Calibration
	err = t.Store.ChangeKit(t.ctx, t.team, func(k *memory.KitList) error {
		k.Calibrations = append(k.Calibrations, frame)
		all = k.Calibrations
		return nil
	})
	if err != nil {
		return nil, err
	}
	own := losses(all)[s.way]
	count := 0
	for _, c := range all {
		if c.Way == s.way {
			count++
		}
	}
	modelled := units.FNumber(math.Sqrt(float64(model) / 2.5 * float64(s.iso) / 100))
	lines := []string{
		t.Coach.phrase("memory-calibrated", "<way>", s.way, "<loss>", units.Stops(-own.Stops).String(), "<spread>", answer.HowMany.Print(own.Spread, t.reading.Style)),
		t.Coach.phrase("memory-calibrated-from", "<count>", strconv.Itoa(min(count, recentFrames)), "<model>", "f/"+strconv.FormatFloat(math.Round(float64(modelled)*10)/10, 'g', 3, 64), "<measured>", s.aperture.String()),
		t.Coach.phrase("memory-calibrated-dark"), t.Coach.phrase("memory-calibrated-next"),
	}
	a := t.tell(&answer.Record{Saved: lines[0]}, lines...)
	a.Working = []answer.Working{{
		Name: "flash_loss_stops", Value: sig(float64(loss)), Unit: "stop", Source: "photometry handbook §3.2, §6.2",
		Formula: "log2(H model / (2.5·N²·100/S)): log2(" + strconv.FormatFloat(float64(model), 'g', 4, 64) + " / (2.5·" + strconv.FormatFloat(float64(s.aperture), 'g', 3, 64) + "²·100/" + strconv.FormatFloat(float64(s.iso), 'g', 6, 64) + "))",
	}}
	return a, nil
}
