package bot

import (
	"math"
	"slices"

	"panelhand/calc/area"
	"panelhand/calc/balance"
	"panelhand/calc/exposure"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// A standing is a set-up that stands, being staged again: what of it stays,
// which dials may follow, and what is wanted of them.
type standing struct {
	plan                plan
	free                []string // of rules.Followers
	anew                bool     // the scene is another: dials are found anew, geometry stays
	ambient, background units.Stops
	now                 *balance.Settings
}

// hold gives the solver everything that stands, and frees what may follow.
func (x *standing) hold(scene *balance.Scene) {
	scene.Want.Face += x.plan.Face
	if x.anew {
		return
	}
	g := x.plan.Given
	for _, dial := range x.free {
		switch dial {
		case "iso":
			g.ISO = 0
		case "aperture":
			g.Aperture = 0
		case "shutter":
			g.Shutter = 0
		case "nd":
			g.ND = 0
		case "power":
			g.Power = 0
		case "distance":
			g.PanelSubject, g.FlashSubject = 0, 0
		}
	}
	if !slices.Contains(x.free, "nd") && g.ND == 0 {
		scene.Camera.ND = nil
	}
	scene.Given, scene.Now = g, x.now
	scene.Want.Ambient, scene.Want.Background = x.ambient, x.background
	scene.Want.Aperture = x.plan.Given.Aperture
}

// A refusal is why a move cannot be made, as the phrase "cannot-…" tells it;
// "" where it can.
type refusal string

// The refusals. The phrases of the playbook tell them.
const (
	granted     refusal = ""
	atSync      refusal = "sync"    // a faster shutter than the flash can follow
	atFull      refusal = "full"    // no more power
	atLeast     refusal = "least"   // no less power
	atDialEnd   refusal = "dial"    // the camera's dial ends
	tooNear     refusal = "near"    // nearer to a face than is safe or sensible
	tooFar      refusal = "far"     // farther than a hand or a place reaches
	shakes      refusal = "shake"   // a shutter that no hand holds
	faceGoes    refusal = "face"    // the face could not be kept
	noSuchLight refusal = "no-such" // this set-up has nothing of the kind
	nothing     refusal = "nothing" // it would be the same
)

// farthest is how far follow-ups put things, metres.
const farthest units.Metres = 8

// A mover makes moves on the plan of a staged set-up.
type mover struct {
	plan *plan
	on   *staging
	size float64       // of each move's first size; 1 is all of it
	by   units.Metres  // a length that the message named; 0 none
	mult float64       // of the distance, where it named that: "twice as far"; 0 none
	turn units.Degrees // an angle that it named; 0 none
	gels *fact.Set     // what it said, a gel by name among it
}

func (m *mover) move(mv rules.Move) refusal {
	g := &m.plan.Given
	lit := m.on.scene.Key != nil
	switch mv.What {
	case "iso":
		return m.dial(units.ISOThirds(), (*float64)(&g.ISO), mv, 1, min(lowISO, float64(g.ISO)), max(highISO, float64(g.ISO)))
	case "aperture":
		return m.dial(units.ApertureThirds(), (*float64)(&g.Aperture), mv, -0.5, min(widest, float64(g.Aperture)), max(smallest, float64(g.Aperture)))
	case "shutter":
		switch mv.Word {
		case "sync":
			return m.toSync()
		case "beat":
			g.Shutter = exposure.OffBands(g.Shutter)
			return granted
		}
		return m.dial(units.ShutterThirds(), (*float64)(&g.Shutter), mv, 1, 1.0/8000, longestTime)
	case "nd":
		nd := g.ND - units.Stops(mv.Value*m.size)
		filter, _ := m.on.facts.Item("nd-filter")
		switch {
		case mv.How == rules.To:
			nd = units.Stops(mv.Value)
		case mv.Value < 0 && filter.Stops > 0: // the one in the bag
			nd = units.Stops(filter.Stops)
		}
		if nd < 0 {
			return atDialEnd
		}
		g.ND = nd
		return granted
	case "power":
		if !lit {
			return noSuchLight
		}
		return m.power(mv)
	case "background":
		return m.background(mv.Value * m.size)
	case "face":
		m.plan.Face += units.Stops(mv.Value * m.size)
		return granted
	case "zoom":
		return m.zoom(mv)
	case "warmth":
		wb, ok := m.on.numbers.Get("wb_k")
		if !ok {
			return noSuchLight
		}
		m.plan.WBK = units.Kelvin(100 * math.Round(m.amount(mv, wb, 0)/100))
		return granted
	case "hss":
		if !lit {
			return noSuchLight
		}
		m.plan.HSS = true
		return granted
	case "gel":
		if !lit {
			return noSuchLight
		}
		switch named, ok := gelOf(m.gels); {
		case mv.Word == "none" && m.on.gel == "":
			return noSuchLight
		case mv.Word != "none" && ok:
			m.plan.Gel = named.Name
		default:
			m.plan.Gel = mv.Word
		}
		if wb, ok := m.on.numbers.Get("wb_k"); ok && mv.Word != "none" && m.plan.WBK == 0 {
			m.plan.WBK = units.Kelvin(wb) // else the gel would be dialled away again
		}
		return granted
	}
	return m.place(mv)
}

// dial turns a camera dial by stops of light; each stop is a factor of 2 to
// the power per of its value.
func (m *mover) dial(marks units.Dial, value *float64, mv rules.Move, per, low, high float64) refusal {
	to := *value * math.Exp2(per*mv.Value*m.size)
	if mv.How == rules.To {
		to = mv.Value
	}
	mark := marks.Nearest(to).Value
	if math.Abs(math.Log2(mark/to)) > 0.3 || mark < low*0.99 || mark > high*1.01 {
		return atDialEnd
	}
	if mark == *value {
		return nothing
	}
	*value = mark
	return granted
}

// toSync slows the shutter to the fastest that the flash follows.
func (m *mover) toSync() refusal {
	sync := m.on.scene.Camera.Sync
	if m.plan.Given.Shutter >= sync/1.03 {
		return nothing // the flash follows it already
	}
	m.plan.Given.Shutter = sync
	return granted
}

// background moves the light that is there by stops: the shutter as far as the
// flash follows, the lens for the rest (trade handbook F10, F11).
func (m *mover) background(stops float64) refusal {
	g := &m.plan.Given
	to := float64(g.Shutter) * math.Exp2(stops)
	if m.on.scene.Key != nil && !m.on.scene.Key.HSS {
		to = max(to, min(float64(m.on.scene.Camera.Sync), float64(g.Shutter)))
	}
	shutter := units.ShutterThirds().Nearest(to).Value
	if m.on.scene.Key != nil && !m.on.scene.Key.HSS && shutter < 0.97*float64(m.on.scene.Camera.Sync) {
		shutter = float64(g.Shutter)
	}
	left := stops - math.Log2(shutter/float64(g.Shutter))
	aperture := units.ApertureThirds().Nearest(float64(g.Aperture) * math.Exp2(-left/2)).Value
	if aperture > smallest || aperture < widest && aperture < float64(g.Aperture) {
		return atDialEnd
	}
	g.Shutter, g.Aperture = units.Seconds(shutter), units.FNumber(aperture)
	return granted
}

func (m *mover) power(mv rules.Move) refusal {
	g := &m.plan.Given
	to := float64(g.Power) * math.Exp2(mv.Value*m.size)
	if mv.How == rules.To {
		to = mv.Value
	}
	const half = 1.0 / 6 // of a click: marks nearer are the same
	switch {
	case math.Log2(to) > half:
		return atFull
	case math.Log2(to/float64(houseLowestPower)) < -half:
		return atLeast
	}
	mark := m.on.scene.Key.Powers.Nearest(to)
	if mark.Value == float64(g.Power) {
		return nothing
	}
	g.Power = units.Fraction(mark.Value)
	return granted
}

func (m *mover) zoom(mv rules.Move) refusal {
	if m.on.scene.Key == nil {
		return noSuchLight
	}
	at := slices.Index(zooms, m.plan.Given.Zoom)
	if at < 0 {
		at = slices.IndexFunc(zooms, func(z units.Millimetres) bool { return z >= m.plan.Given.Zoom })
	}
	to := at + int(mv.Value)
	if at < 0 || to < 0 || to >= len(zooms) {
		return atDialEnd
	}
	m.plan.Given.Zoom = zooms[to]
	return granted
}

// amount is a quantity moved: named in the message, else the rule's own size.
func (m *mover) amount(mv rules.Move, is float64, named float64) float64 {
	panel := m.on.panel
	if mv.What == "fill" || mv.What == "black" { // a cloth of its own, not the key's
		panel, _ = panelOf(m.on.facts, []string{"panel", "reflector", "diffuser"}, housePanel)
	}
	by := mv.Metres(float64(longest(panel))) // the value itself where it is no length
	switch {
	case mv.How == rules.Times && named > 0:
		return is + math.Copysign(named, by-1)
	case mv.How == rules.Times && mv.What == "distance" && m.mult > 0:
		return is * math.Exp2(math.Copysign(math.Log2(m.mult), by-1))
	case mv.How == rules.Times:
		return is * math.Pow(by, m.size)
	case mv.How == rules.To:
		return by
	case named > 0:
		return is + math.Copysign(named, by)
	}
	return is + by*m.size
}

// place moves what has a place: lengths and angles.
func (m *mover) place(mv rules.Move) refusal {
	p, g := m.plan, &m.plan.Given
	switch mv.What {
	case "distance":
		return m.distance(mv)
	case "flash_panel":
		if m.on.scene.Key == nil || m.on.scene.Key.Way != balance.Through {
			return noSuchLight
		}
		to := units.Metres(m.amount(mv, float64(g.FlashPanel), float64(m.by)))
		if mv.Word == "filled" {
			fills, err := area.FillDistance(m.on.panel, g.Zoom)
			if err != nil || fills <= g.FlashPanel {
				return nothing
			}
			to = fills
		}
		return m.length(&g.FlashPanel, to, 0.2)
	case "camera", "gap":
		of, key, house := &p.Camera, "distance.camera_subject_m", 2.25
		if mv.What == "gap" {
			of, key, house = &p.Gap, "distance.subject_background_m", 3
		}
		*of = units.Metres(m.on.number(key, house))
		return m.length(of, units.Metres(m.amount(mv, float64(*of), float64(m.by))), 0.5)
	case "fill", "black":
		of, key := &p.Fill, "fill_panel_m"
		if mv.What == "black" {
			of, key = &p.Black, ""
		}
		is, held := m.on.numbers.Get(key)
		switch {
		case mv.Word == "none":
			*of, g.PanelSubject = -1, m.held(g.PanelSubject)
			return granted
		case m.on.light.fill > 0: // the panel that lights is the one that fills
			of = &g.PanelSubject
		case m.on.setup.Key == nil && !held:
			g.PanelSubject = 0
		}
		if mv.How != rules.To && !held {
			return noSuchLight
		}
		to := units.Metres(m.amount(mv, is, float64(m.by)))
		return m.length(of, to, balance.NearestCloth)
	}
	if m.on.setup.Key == nil {
		return noSuchLight
	}
	switch mv.What {
	case "side":
		return m.angle(&p.Side, "key_side_deg", mv, -170, 170)
	case "up":
		return m.angle(&p.Up, "key_up_deg", mv, -20, 60)
	case "feather":
		return m.angle(&p.Feather, "feather_deg", mv, 0, 60)
	}
	return noSuchLight
}

// held is where a panel stands that is not the one taken away.
func (m *mover) held(at units.Metres) units.Metres {
	if m.on.setup.Key == nil {
		return 0
	}
	return at
}

func (m *mover) length(of *units.Metres, to, least units.Metres) refusal {
	to = units.Metres(math.Round(float64(to)*20) / 20) // 5 cm: what a hand can follow
	switch {
	case to < least:
		return tooNear
	case to > farthest:
		return tooFar
	case to == *of:
		return nothing
	}
	*of = to
	return granted
}

// distance moves the key, or the panel that throws the light back.
func (m *mover) distance(mv rules.Move) refusal {
	g := &m.plan.Given
	of, least := &g.PanelSubject, balance.NearestCloth
	if key := m.on.scene.Key; m.on.setup.Key != nil && m.on.setup.Key.Light == "led" {
		of = &g.FlashSubject
	} else if key != nil && key.Way == balance.Bare {
		of, least = &g.FlashSubject, balance.NearestTube
	} else if key != nil && key.Way == balance.Wall {
		return noSuchLight
	}
	if *of == 0 {
		return noSuchLight
	}
	return m.length(of, units.Metres(m.amount(mv, float64(*of), float64(m.by))), least)
}

func (m *mover) angle(of *float64, key string, mv rules.Move, low, high float64) refusal {
	is, _ := m.on.numbers.Get(key)
	turn := m.turn
	if off, ok := m.on.numbers.Get("panel_subject_m"); ok && turn == 0 && m.by > 0 && mv.What == "up" && off > 0 { // "down a hand" is a height
		turn = units.Degrees(max(5, math.Atan2(float64(m.by), off)*180/math.Pi))
	}
	to := 5 * math.Round(m.amount(mv, is, float64(turn))/5)
	switch {
	case to < low || to > high:
		return tooFar
	case to == is:
		return nothing
	}
	*of += to - is
	return granted
}
