package bot

import (
	"slices"

	"panelhand/calc/area"
	"panelhand/calc/balance"
	"panelhand/calc/exposure"
	"panelhand/calc/face"
	"panelhand/calc/units"
	"panelhand/rules/fact"
)

// compared are the planes of the face that are told against the lit cheek.
var compared = []struct {
	key   string
	plane face.Plane
}{
	{"socket_cheek_stops", face.Socket},
	{"chin_cheek_stops", face.UnderChin},
	{"forehead_cheek_stops", face.Forehead},
}

// asItIs is the light on the face before anything is done: usual for the kind
// of light and where it was said to come from.
func asItIs(facts *fact.Set) (face.Scene, error) {
	scene, err := face.Typical(kindOfLight(facts), facts.Choices("light.from")...)
	scene.Brow = brow(facts)
	return scene, err
}

func kindOfLight(facts *fact.Set) string {
	v, _ := facts.Get("light.kind")
	return v.Text
}

// brow is the height above the eye line from which the brow, or a brim, cuts
// light off the eyes.
func brow(facts *fact.Set) units.Degrees {
	switch {
	case facts.Has("subject.traits", "hat"):
		return face.BrimBrow
	case facts.Has("subject.traits", "deep-set-eyes"):
		return face.DeepSetBrow
	}
	return face.DefaultBrow
}

// before are the numbers of the face as it is, which rules may read when they
// judge set-ups.
func before(facts *fact.Set) map[string]float64 {
	numbers := map[string]float64{}
	scene, err := asItIs(facts)
	if err != nil {
		return numbers
	}
	against(scene, func(key string, v units.Stops) { numbers[key+"_before"] = float64(v) })
	return numbers
}

// against tells each compared plane against the lit cheek. A plane that no
// light reaches has no stops.
func against(scene face.Scene, tell func(key string, v units.Stops)) {
	levels, err := face.Planes(scene)
	if err != nil {
		return
	}
	for _, c := range compared {
		if v, err := levels.Against(c.plane, face.LitCheek); err == nil {
			tell(c.key, v)
		}
	}
}

// measureFace computes what the set-up does to the planes of the face.
func (s *staging) measureFace() {
	for key, v := range s.before {
		s.numbers.Set(key, v)
	}
	is, err := s.faced()
	if err != nil {
		return
	}
	against(is, func(key string, v units.Stops) { s.numbers.Set(key, float64(v)) })
}

// faced is the light on the face with the set-up in place.
func (s *staging) faced() (face.Scene, error) {
	scene, err := face.Typical(s.kindFaced(), s.fromFaced()...)
	if err != nil {
		return scene, err
	}
	scene.Brow = brow(s.facts)
	if scene, err = scene.Metered(s.solution.Levels.Ambient); err != nil {
		return scene, err
	}
	kit, err := s.kitOnFace(scene)
	if err != nil {
		return scene, err
	}
	return scene.With(kit...), nil
}

// kindFaced is the light there is where the set-up puts the sitter.
func (s *staging) kindFaced() string {
	if d := s.setup.Daylight; d != nil && d.Model == "to-shade" {
		return "open-shade"
	}
	return kindOfLight(s.facts)
}

// fromFaced is where that light comes from, once the sitter was turned.
func (s *staging) fromFaced() []string {
	if d := s.setup.Daylight; d != nil {
		switch d.Model {
		case "step-to-edge", "to-shade":
			return []string{"front"}
		case "own-shade", "sun-reflector":
			return []string{"back"}
		case "window-side":
			return []string{"side"}
		}
	} else if slices.Contains(s.setup.Technique, "edge") || slices.Contains(s.setup.Technique, "turn") {
		return []string{"front"}
	}
	return s.facts.Choices("light.from")
}

// kitOnFace is what the crew adds: the key, the panel in the light that is
// there, the fill.
func (s *staging) kitOnFace(scene face.Scene) ([]face.Source, error) {
	var kit []face.Source
	if key := s.setup.Key; key != nil {
		at := face.Place{Side: angle(key.Side), Up: angle(key.Up)}
		switch {
		case key.Light == "led":
			at.Distance = s.ledDistance()
			level, err := s.ledLevel()
			if err != nil {
				return nil, err
			}
			kit = append(kit, face.Bare(at, level))
		case s.scene.Key != nil:
			kit = append(kit, s.flashOnFace(at))
		}
	}
	if d := s.setup.Daylight; d != nil && d.Distance != nil {
		at := face.Place{Side: 20, Distance: units.Metres(s.daylightDistance())}
		if d.Angle != nil {
			at.Side = angle(d.Angle)
		}
		at.Up = angle(d.Up)
		switch d.Model {
		case "sun-reflector", "sky-reflector":
			kit = append(kit, returning(d.Side, at, longest(s.panel)))
		case "black-panel":
			at.Side = -90
			kit = append(kit, face.Black(at, longest(s.panel)))
		case "scrim":
			if i := slices.IndexFunc(scene.Sources, isSun); i >= 0 {
				cloth, err := face.Scrim(scene.Sources[i].(face.Beam), s.panel, area.TranslucentPasses, at.Distance)
				if err != nil {
					return nil, err
				}
				kit = append(kit, cloth...)
			}
		}
	}
	if fill := s.setup.Fill; fill != nil && fill.Panel != "" && fill.Distance != nil {
		at := face.Place{Side: -70, Up: angle(fill.Up), Distance: units.Metres(fill.Distance.Metres(float64(longest(s.panel))))}
		if fill.Side != nil {
			at.Side = -angle(fill.Side)
		}
		if fill.Panel == "black" {
			kit = append(kit, face.Black(at, longest(s.panel)))
		} else {
			kit = append(kit, returning(fill.Panel, at, longest(s.panel)))
		}
	}
	return kit, nil
}

func isSun(s face.Source) bool {
	beam, ok := s.(face.Beam)
	return ok && beam.At.Distance == 0
}

func returning(side string, at face.Place, size units.Metres) face.Source {
	switch side {
	case "silver":
		return face.Silver(at, size)
	case "gold":
		return face.Gold(at, size)
	}
	return face.White(at, size)
}

// flashOnFace is the solved key as the face sees it.
func (s *staging) flashOnFace(at face.Place) face.Source {
	f, set, level := s.scene.Key, s.solution.Settings, s.solution.Levels.Flash
	at.Distance = s.keyDistance()
	if f.Way == balance.Wall {
		at.Distance = f.Path.Face
	}
	if f.Way == balance.Bare {
		return face.Bare(at, level)
	}
	lit, err := f.At(set.Zoom, set.FlashPanel, s.keyDistance())
	if err != nil || lit.Source <= 0 {
		return face.Bare(at, level)
	}
	if f.Way == balance.Bounce {
		return face.Bounce(at, lit.Source, f.CameraSubject, level)
	}
	return face.Through(at, lit.Source, level)
}

// ledLevel is the LED alone against a right exposure.
func (s *staging) ledLevel() (units.Stops, error) {
	lux, err := s.ledLux()
	if err != nil {
		return 0, err
	}
	ev, err := exposure.FromLux(lux)
	return units.Stops(ev-s.scene.Ambient) + s.solution.Levels.Ambient, err
}
