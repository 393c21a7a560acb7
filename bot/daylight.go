package bot

import (
	"math"

	"panelhand/calc/area"
	"panelhand/calc/units"
	"panelhand/rules"
	"panelhand/rules/fact"
)

// ownShade is how far a face turned from the sun lies under it, in stops: the
// sky and the ground alone. Source: trade handbook D12, D13 (common practice).
const ownShade units.Stops = -3

// assumedSunHeight is the sun's height where no time was said: the middle of
// the three for which reflector figures are agreed (doubts 9).
const assumedSunHeight units.Degrees = 45

// daylight is what a set-up makes of the light that is there.
type daylight struct {
	lit    units.Stops   // lit side of the face against the light before
	behind units.Stops   // the background against the one before
	shadow units.Stops   // shadow side against the light before
	shapes bool          // whether shadow says anything
	source units.Degrees // angular width of what now lights the face; 0 if unknown
	fill   float64       // distance of the panel that fills, m; 0 if none
}

// daylightModels say, model by model, what is done to the light that is
// there. The formulas are calc's; which set-up uses which is the playbook's.
var daylightModels = map[string]func(daylightCase) (daylight, error){
	"none":         unchanged,
	"step-to-edge": unchanged,
	"window-side":  unchanged,
	"own-shade": func(c daylightCase) (daylight, error) {
		return daylight{lit: c.toOwnShade()}, nil
	},
	"to-shade": func(c daylightCase) (daylight, error) {
		return daylight{lit: c.toOwnShade(), behind: ownShade}, nil
	},
	// The picture is turned until what is behind lies in the face's own light.
	"darker-behind": func(c daylightCase) (daylight, error) {
		face, _ := c.facts.Number("light.ev100")
		behind, ok := c.facts.Number("light.background_ev100")
		if !ok || behind < face {
			return daylight{}, nil
		}
		return daylight{behind: units.Stops(face - behind)}, nil
	},
	"scrim": func(c daylightCase) (daylight, error) {
		lit, err := area.Scrim(c.panel, fabric["translucent"], c.distance)
		if err != nil {
			return daylight{}, err
		}
		wide, err := area.SourceAngle(longest(c.panel), c.distance)
		return daylight{lit: lit, source: wide}, err
	},
	"sun-reflector": func(c daylightCase) (daylight, error) {
		share, err := area.SunReflector(c.panel, c.returns(), c.distance, assumedSunHeight)
		if err != nil {
			return daylight{}, err
		}
		lift, err := area.Lift(ownShade, share)
		return daylight{lit: c.toOwnShade() + lift, shadow: c.toOwnShade(), shapes: true, fill: float64(c.distance)}, err
	},
	"sky-reflector": func(c daylightCase) (daylight, error) {
		share, err := area.Reflector(c.panel, c.returns(), c.distance, area.OpenSkyFeeds)
		if err != nil {
			return daylight{}, err
		}
		lift, err := area.Lift(0, share)
		return daylight{lit: lift, fill: float64(c.distance)}, err
	},
	"black-panel": func(c daylightCase) (daylight, error) {
		taken, err := area.BlackPanel(c.panel, fabric["black"], c.distance)
		return daylight{shadow: taken, shapes: true}, err
	},
}

func unchanged(daylightCase) (daylight, error) { return daylight{}, nil }

// A daylightCase is one panel held somewhere in one light.
type daylightCase struct {
	facts    *fact.Set
	behind   bool // the light comes from behind them
	panel    area.Panel
	side     string // of the panel: white, silver, gold
	distance units.Metres
}

// returns is what the side of the panel gives back along its mirror line.
func (c daylightCase) returns() float64 {
	if c.side == "silver" {
		return math.Min(1, fabric["white"]*math.Exp2(float64(area.SilverMirror)))
	}
	if r, ok := fabric[c.side]; ok {
		return r
	}
	return fabric["white"]
}

// toOwnShade is the step from the light at the face to its own shade: none
// where the light comes from behind already.
func (c daylightCase) toOwnShade() units.Stops {
	if c.behind {
		return 0
	}
	return ownShade
}

// fromBehind reports whether the light was said to come from behind, or taken to
// for a face that was dark before anything was built. A face that is dark in a
// frame of the set-up says nothing of the light.
func (s *staging) fromBehind() bool {
	switch {
	case s.facts.Has("light.from", "back"):
		return true
	case s.stands != nil:
		return s.stands.plan.Behind
	}
	return s.facts.Has("faults", "dark-face")
}

// changed is what the set-up makes of the light that is there.
func (s *staging) changed() (daylight, error) {
	d := s.setup.Daylight
	if d == nil {
		d = &rules.Daylight{Model: "none"}
	}
	side := d.Side
	panel, _ := panelOf(s.facts, []string{"panel", "reflector", "diffuser"}, housePanel)
	c := daylightCase{facts: s.facts, behind: s.fromBehind(), panel: panel, side: side, distance: longest(panel)}
	if d.Distance != nil {
		c.distance = units.Metres(d.Distance.Metres(float64(longest(panel))))
	}
	if said, ok := s.facts.Number("distance.panel_subject_m"); ok {
		c.distance = units.Metres(said)
	}
	return daylightModels[d.Model](c)
}
