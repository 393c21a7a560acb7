package bot

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"panelhand/bot/memory"
	"panelhand/rules/fact"
	"panelhand/rules/source"
)

// A kitFile is a kit list as a crew writes it down: things said in plain words,
// or told by the contract's fields.
type kitFile struct {
	Kit     []kitEntry   `source:"kit"`
	Cameras []cameraLine `source:"cameras"`
	Lenses  []lensLine   `source:"lenses"`
}

type kitEntry struct {
	words source.Node // where it was said in words
	item  fact.Item
}

type cameraLine struct {
	Format string  `source:"format"`
	SyncS  float64 `source:"sync_s"`
	ISOMin float64 `source:"iso_min"`
	ISOMax float64 `source:"iso_max"`
}

type lensLine struct {
	FocalMM  float64 `source:"focal_mm,required"`
	LongMM   float64 `source:"long_mm"`
	Aperture float64 `source:"aperture"`
}

// itemLine is a thing by the contract's fields.
type itemLine struct {
	Kind     string   `source:"kind,required"`
	Count    int      `source:"count"`
	SizeM    float64  `source:"size_m"`
	Size2M   float64  `source:"size2_m"`
	Surfaces []string `source:"surfaces"`
	GuideM   float64  `source:"gn_m"`
	GuideMM  float64  `source:"gn_zoom_mm"`
	EnergyWs float64  `source:"energy_ws"`
	Lux1m    float64  `source:"lux_1m"`
	HSS      bool     `source:"hss"`
	Gel      string   `source:"gel"`
	Stops    float64  `source:"stops"`
	WeightKg float64  `source:"weight_kg"`
	HeightM  float64  `source:"height_m"`
	Clicks   int      `source:"dial_clicks"`
	Lowest   float64  `source:"lowest_power"`
	RecycleS float64  `source:"recycle_s"`
	Charge   float64  `source:"charge_flashes"`
	FootM    float64  `source:"foot_m"`
}

// Decode reads "flash gn 36 at 35mm" or {kind: flash, gn_m: 36}.
func (e *kitEntry) Decode(n source.Node) []source.Problem {
	if n.Kind() == source.Scalar {
		e.words = n
		return nil
	}
	var l itemLine
	problems := n.Decode(&l)
	choice := func(key, value string, of []string) {
		if value == "" || slices.Contains(of, value) {
			return
		}
		at, _ := n.Get(key)
		p := at.Problem("unknown-choice", "%q is not a choice of %s", value, key)
		p.Nearest = source.Nearest(value, of)
		problems = append(problems, p)
	}
	choice("kind", l.Kind, fact.KitKinds)
	choice("gel", l.Gel, fact.Gels)
	for _, s := range l.Surfaces {
		choice("surfaces", s, fact.Surfaces)
	}
	for key, value := range n.Pairs() {
		if v, ok := value.Number(); ok && v < 0 {
			problems = append(problems, key.Problem("out-of-range", "%s is 0 or more", key.Text()))
		}
	}
	if l.Lowest > 1 {
		at, _ := n.Get("lowest_power")
		problems = append(problems, at.Problem("out-of-range", "lowest_power is a part of full, 0 to 1"))
	}
	if l.Clicks != 0 && l.Clicks != 3 && l.Clicks != 10 {
		at, _ := n.Get("dial_clicks")
		problems = append(problems, at.Problem("out-of-range", "dial_clicks is 3 or 10 marks a stop"))
	}
	e.item = fact.Item{
		Kind: l.Kind, Count: l.Count, SizeM: l.SizeM, Size2M: l.Size2M, Surfaces: l.Surfaces, GuideM: l.GuideM, GuideMM: l.GuideMM, EnergyWs: l.EnergyWs, Lux1m: l.Lux1m,
		HSS: l.HSS, Gel: l.Gel, Stops: l.Stops, WeightKg: l.WeightKg, HeightM: l.HeightM, Clicks: l.Clicks, LowestPower: l.Lowest, RecycleS: l.RecycleS, Charge: l.Charge, FootM: l.FootM,
	}
	return problems
}

// ReadKit reads a kit list written as YAML:
//
//	kit:
//	  - two flashes gn 36 at 35mm, tenth-stop dial
//	  - {kind: panel, size_m: 1.016, surfaces: [white, silver, translucent]}
//	cameras:
//	  - {format: aps-c, sync_s: 0.00625}
//	lenses:
//	  - {focal_mm: 56, aperture: 1.8}
//
// Where it has problems the list must not be used.
func (c *Coach) ReadKit(name string, data []byte) (memory.KitList, []source.Problem) {
	root, problems := source.Parse(name, data)
	var file kitFile
	problems = append(problems, root.Decode(&file)...)
	var list memory.KitList
	for _, e := range file.Kit {
		if e.words.Kind() != source.Scalar {
			list.Items = append(list.Items, e.item)
			continue
		}
		text := e.words.Text()
		told := kitFrom(c.ear.Read(text, nil), text)
		if told.Empty() {
			problems = append(problems, e.words.Problem("no-kit", "no kit is heard in %q", text))
		}
		list.Items = append(list.Items, told.Items...)
		list.Cameras, list.Lenses = append(list.Cameras, told.Cameras...), append(list.Lenses, told.Lenses...)
	}
	for _, l := range file.Cameras {
		list.Cameras = append(list.Cameras, memory.Camera(l))
	}
	for _, l := range file.Lenses {
		list.Lenses = append(list.Lenses, memory.Lens(l))
	}
	problems = source.Quote(source.Sort(problems), func(string) ([]byte, error) { return data, nil })
	return list, problems
}

// KitYAML writes a kit list as ReadKit reads it. Calibrations are measured,
// not owned, and stay out.
func KitYAML(k memory.KitList) string {
	var b strings.Builder
	line := func(fields ...any) {
		var parts []string
		for i := 0; i < len(fields); i += 2 {
			key, text := fields[i].(string), ""
			switch v := fields[i+1].(type) {
			case string:
				text = v
			case int:
				if v != 0 {
					text = strconv.Itoa(v)
				}
			case bool:
				if v {
					text = "true"
				}
			case float64:
				if v != 0 {
					text = strconv.FormatFloat(v, 'g', 5, 64)
				}
			case []string:
				if len(v) > 0 {
					text = "[" + strings.Join(v, ", ") + "]"
				}
			}
			if text != "" {
				parts = append(parts, key+": "+text)
			}
		}
		fmt.Fprintf(&b, "  - {%s}\n", strings.Join(parts, ", "))
	}
	if len(k.Items) > 0 {
		b.WriteString("kit:\n")
	}
	for _, i := range k.Items {
		line("kind", i.Kind, "count", i.Count, "size_m", i.SizeM, "size2_m", i.Size2M, "surfaces", i.Surfaces, "gn_m", i.GuideM, "gn_zoom_mm", i.GuideMM, "energy_ws", i.EnergyWs, "lux_1m", i.Lux1m,
			"hss", i.HSS, "gel", i.Gel, "stops", i.Stops, "weight_kg", i.WeightKg, "height_m", i.HeightM,
			"dial_clicks", i.Clicks, "lowest_power", i.LowestPower, "recycle_s", i.RecycleS, "charge_flashes", i.Charge, "foot_m", i.FootM)
	}
	if len(k.Cameras) > 0 {
		b.WriteString("cameras:\n")
	}
	for _, c := range k.Cameras {
		line("format", c.Format, "sync_s", c.SyncS, "iso_min", c.ISOMin, "iso_max", c.ISOMax)
	}
	if len(k.Lenses) > 0 {
		b.WriteString("lenses:\n")
	}
	for _, l := range k.Lenses {
		line("focal_mm", l.FocalMM, "long_mm", l.LongMM, "aperture", l.Aperture)
	}
	return b.String()
}
