package bot

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"panelhand/bot/answer"
	"panelhand/bot/hear"
	"panelhand/bot/memory"
	"panelhand/calc/units"
	"panelhand/rules/fact"
)

// kitFrom is the kit list that a message tells: the items that were heard,
// with what only a list has of them, cameras and lenses.
func kitFrom(reading hear.Reading, text string) memory.KitList {
	var list memory.KitList
	for _, item := range reading.Facts.Kit() {
		item.Origin, item.Span = 0, fact.Span{}
		item.Power, item.ZoomMM = 0, 0 // dialled now, owned never
		switch item.Kind {
		case "flash", "strobe":
			item.Clicks = clicks(text)
			item.LowestPower, item.RecycleS, item.Charge = lowestPower(text), number(recycles, text), number(charges, text)
		case "stand":
			item.FootM = length(footRadius, text)
		}
		list.Items = append(list.Items, item)
	}
	var camera memory.Camera
	if v, ok := reading.Facts.Get("camera.format"); ok {
		camera.Format = v.Text
	}
	camera.SyncS, _ = reading.Facts.Number("camera.sync_s")
	if m := isoRange.FindStringSubmatch(text); m != nil {
		camera.ISOMin, _ = strconv.ParseFloat(m[1], 64)
		camera.ISOMax, _ = strconv.ParseFloat(m[2], 64)
	}
	if camera != (memory.Camera{}) {
		list.Cameras = append(list.Cameras, camera)
	}
	if lensWord.MatchString(text) {
		if focal, ok := reading.Facts.Number("camera.focal_mm"); ok {
			l := memory.Lens{FocalMM: focal}
			l.Aperture, _ = reading.Facts.Number("camera.aperture")
			list.Lenses = append(list.Lenses, l)
		}
	}
	return list
}

// What only a kit list tells of a thing, in the few words in which it is said.
var (
	dialSteps  = regexp.MustCompile(`(?i)\b(tenths?|third|1/10|1/3|0?\.1|0?\.3)[\s-]*(?:of a )?(?:stop|ev)?[\s-]*(?:dial|steps?|clicks?|increments?)\b`)
	dialDown   = regexp.MustCompile(`(?i)\b(?:down to|lowest(?: power)?(?: is)?|minimum(?: power)?(?: is)?|goes to)\s+1/(\d{1,4})\b`)
	recycles   = regexp.MustCompile(`(?i)\brecycl(?:es|ing|e)\b[^.,;\d]{0,20}(\d+(?:\.\d+)?)\s*(?:s|sec|seconds?)\b`)
	charges    = regexp.MustCompile(`(?i)\b(\d{2,4})\s+(?:full\s+)?(?:flashes|pops|shots)\s+(?:a|per|on a|to a)\s+(?:charge|battery|set)\b`)
	footRadius = regexp.MustCompile(`(?i)\b(?:foot|leg|base)\s+(?:radius|spread)[^.,;\d]{0,10}(\d+(?:\.\d+)?)\s*(mm|cm|m|in|inch|ft)\b`)
	isoRange   = regexp.MustCompile(`(?i)\biso\s+(\d{2,6})\s*(?:to|-|–)\s*(\d{3,6})\b`)
	lensWord   = regexp.MustCompile(`(?i)\blens(?:es)?\b`)
)

// style is how the asker writes lengths: here, else in this thread.
func (t *turn) style() units.Style { return newer(t.reading.Style, t.thread.style) }

func clicks(text string) int {
	m := dialSteps.FindStringSubmatch(text)
	switch {
	case m == nil:
		return 0
	case strings.Contains(strings.ToLower(m[1]), "tenth"), strings.HasSuffix(m[1], "10"), strings.HasSuffix(m[1], ".1"):
		return 10
	}
	return 3
}

func number(re *regexp.Regexp, text string) float64 {
	if m := re.FindStringSubmatch(text); m != nil {
		v, _ := strconv.ParseFloat(m[1], 64)
		return v
	}
	return 0
}

func lowestPower(text string) float64 {
	if n := number(dialDown, text); n >= 2 {
		return 1 / n
	}
	return 0
}

func length(re *regexp.Regexp, text string) float64 {
	if m := re.FindStringSubmatch(text); m != nil {
		v, _ := strconv.ParseFloat(m[1], 64)
		if metres, ok := units.Length(v, m[2]); ok {
			return float64(metres)
		}
	}
	return 0
}

// putKit puts what a message tells on the kit list: a thing that is there
// already is told more of, another is added.
func (t *turn) putKit(r request) (*answer.Answer, error) {
	t.hear(crewOwns.ReplaceAllString(t.in.Text, "our "))
	told := kitFrom(t.reading, t.in.Text)
	if told.Empty() {
		return t.say("memory-kit-unheard"), nil
	}
	err := t.Store.ChangeKit(t.ctx, t.team, func(k *memory.KitList) error {
		addKit(k, told)
		return nil
	})
	if err != nil {
		return nil, err
	}
	items := strings.Join(kitNames(told, t.style()), ", ")
	return t.tell(&answer.Record{Saved: items}, t.Coach.phrase("memory-kit-saved", "<items>", items), t.Coach.phrase("memory-kit-now")), nil
}

// addKit lays what was told over a list: the newer word wins.
func addKit(k *memory.KitList, told memory.KitList) {
	for _, item := range told.Items {
		at := slices.IndexFunc(k.Items, func(old fact.Item) bool { return sameKit(old, item) })
		if at < 0 {
			k.Items = append(k.Items, item)
			continue
		}
		count := max(k.Items[at].Count, item.Count)
		k.Items[at] = more(item, k.Items[at])
		k.Items[at].Count = count
	}
	for _, camera := range told.Cameras {
		at := slices.IndexFunc(k.Cameras, func(old memory.Camera) bool {
			return old.Format == "" || camera.Format == "" || old.Format == camera.Format
		})
		if at < 0 {
			k.Cameras = append(k.Cameras, camera)
			continue
		}
		old := &k.Cameras[at]
		if camera.Format != "" {
			old.Format = camera.Format
		}
		if camera.SyncS > 0 {
			old.SyncS = camera.SyncS
		}
		if camera.ISOMax > 0 {
			old.ISOMin, old.ISOMax = camera.ISOMin, camera.ISOMax
		}
	}
	for _, l := range told.Lenses {
		k.Lenses = append(slices.DeleteFunc(k.Lenses, func(old memory.Lens) bool { return old.FocalMM == l.FocalMM && old.LongMM == l.LongMM }), l)
	}
}

// sameKit reports whether newer words are about the thing on the list. Panels,
// stands and their like are told apart by size, gels by name; of flashes and
// LEDs there is one entry, whose numbers a newer word corrects.
func sameKit(old, item fact.Item) bool {
	switch item.Kind {
	case "flash", "strobe", "led":
		return old.Kind == item.Kind
	}
	return sameItem(old, item)
}

// dropKit takes things off the list: all of the kinds named, or, where a size
// or a name was told, that one.
func (t *turn) dropKit(r request) (*answer.Answer, error) {
	named := t.Coach.ear.Read(r.text, nil)
	told := kitFrom(named, r.text)
	var gone memory.KitList
	err := t.Store.ChangeKit(t.ctx, t.team, func(k *memory.KitList) error {
		gone = memory.KitList{}
		k.Items = slices.DeleteFunc(k.Items, func(old fact.Item) bool {
			if slices.ContainsFunc(told.Items, func(i fact.Item) bool { return sameItem(i, old) }) {
				gone.Items = append(gone.Items, old)
				return true
			}
			return false
		})
		if regexp.MustCompile(`(?i)\bcamera\b`).MatchString(r.text) {
			gone.Cameras, k.Cameras = k.Cameras, nil
		}
		if lensWord.MatchString(r.text) {
			gone.Lenses, k.Lenses = k.Lenses, nil
		}
		if regexp.MustCompile(`(?i)\bcalibrations?\b`).MatchString(r.text) {
			gone.Calibrations, k.Calibrations = k.Calibrations, nil
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	t.hear(strings.Replace(t.in.Text, r.text, "", 1)) // what is gone is not had
	if gone.Empty() {
		return t.say("memory-kit-not-there"), nil
	}
	items := strings.Join(kitNames(gone, t.style()), ", ")
	return t.tell(&answer.Record{Saved: items}, t.Coach.phrase("memory-kit-removed", "<items>", items)), nil
}

func (t *turn) clearKit() (*answer.Answer, error) {
	if err := t.Store.ChangeKit(t.ctx, t.team, func(k *memory.KitList) error { *k = memory.KitList{Feet: k.Feet, Venue: k.Venue}; return nil }); err != nil {
		return nil, err
	}
	return t.tell(&answer.Record{Saved: "kit list"}, t.Coach.phrase("memory-kit-cleared")), nil
}

// showKit tells the list.
func (t *turn) showKit() *answer.Answer {
	t.reading.Facts = &fact.Set{} // a question about kit names none
	names := kitNames(t.ground.Kit, t.style())
	if len(names) == 0 {
		return t.say("memory-kit-empty")
	}
	found := &answer.Record{}
	for _, n := range names {
		found.Found = append(found.Found, answer.Found{Title: "kit", Text: n})
	}
	const most = 12
	lines := append([]string{t.Coach.phrase("memory-kit")}, names[:min(len(names), most)]...)
	if rest := len(names) - most; rest > 0 {
		lines[len(lines)-1] = t.Coach.phrase("memory-found-more", "<count>", strconv.Itoa(rest+1))
	}
	return t.tell(found, lines...)
}

// kitNames are a list's entries as people read them.
func kitNames(k memory.KitList, style units.Style) []string {
	var names []string
	for _, item := range k.Items {
		names = append(names, itemName(item, style))
	}
	for _, c := range k.Cameras {
		var parts []string
		if c.SyncS > 0 {
			parts = append(parts, "sync "+units.Seconds(c.SyncS).String())
		}
		if c.ISOMax > 0 {
			parts = append(parts, fmt.Sprintf("ISO %g to %g", c.ISOMin, c.ISOMax))
		}
		names = append(names, "camera "+present(", ", append([]string{c.Format}, parts...)...))
	}
	for _, l := range k.Lenses {
		name := units.Millimetres(l.FocalMM).String() + " lens"
		if l.LongMM > 0 {
			name = fmt.Sprintf("%g to %s lens", l.FocalMM, units.Millimetres(l.LongMM))
		}
		if l.Aperture > 0 {
			name += ", " + units.FNumber(l.Aperture).String()
		}
		names = append(names, name)
	}
	own := losses(k.Calibrations)
	for _, way := range calibratedWays {
		if loss, ok := own[way]; ok {
			names = append(names, fmt.Sprintf("calibration %s: %s ±%s", way, units.Stops(-loss.Stops), answer.HowMany.Print(loss.Spread, units.Style{})))
		}
	}
	return names
}

// itemName is one thing as people read it: "2 × flash, guide number 36 m at
// 35 mm, tenth-stop dial".
func itemName(i fact.Item, style units.Style) string {
	head := strings.ReplaceAll(i.Kind, "-", " ")
	if i.Gel != "" && i.Kind == "gel" {
		head = strings.ReplaceAll(i.Gel, "-", " ") + " gel"
	}
	if i.Size2M > 0 {
		head = style.Metres(units.Metres(i.SizeM)) + " × " + style.Metres(units.Metres(i.Size2M)) + " " + head
	} else if long := cmp.Or(i.SizeM, i.HeightM); long > 0 {
		head = style.Metres(units.Metres(long)) + " " + head
	}
	if i.Count > 1 {
		head = strconv.Itoa(i.Count) + " × " + head
	}
	parts := []string{head}
	add := func(there bool, part string) {
		if there {
			parts = append(parts, part)
		}
	}
	add(len(i.Surfaces) > 0, strings.Join(i.Surfaces, "/"))
	guide := "guide number " + units.GuideNumber(i.GuideM).String()
	if i.GuideMM > 0 {
		guide += " at " + units.Millimetres(i.GuideMM).String()
	}
	add(i.GuideM > 0, guide)
	add(i.EnergyWs > 0, fmt.Sprintf("%g Ws", i.EnergyWs))
	add(i.Lux1m > 0, units.Lux(i.Lux1m).String()+" at 1 m")
	add(i.HSS, "high-speed sync")
	add(i.Clicks == 10, "tenth-stop dial")
	add(i.Clicks == 3, "third-stop dial")
	add(i.LowestPower > 0, "down to "+units.Fraction(i.LowestPower).String())
	add(i.RecycleS > 0, fmt.Sprintf("recycles in %g s", i.RecycleS))
	add(i.Charge > 0, fmt.Sprintf("%g flashes a charge", i.Charge))
	add(i.Stops > 0, units.Stops(i.Stops).String())
	add(i.WeightKg > 0, units.Kilograms(i.WeightKg).String())
	add(i.HeightM > 0 && i.SizeM > 0, style.Metres(units.Metres(i.HeightM))+" high")
	add(i.FootM > 0, "foot radius "+style.Metres(units.Metres(i.FootM)))
	return strings.Join(parts, ", ")
}
