package bot

import (
	"math"

	"panelhand/calc/balance"
	"panelhand/calc/units"
	"panelhand/rules/fact"
)

// leastOfFrame is the smallest share of a frame's light that is taken for the
// flash's: under it the frame says nothing of the flash.
const leastOfFrame = 0.1

// readFrame takes a frame that was told with its flash ("2 under, 1/16 in the
// softbox") for a meter of that flash, as far as the daylight leaves it a part:
// the loss on the head becomes what the frame shows at the set-up's own distances,
// which stay, and the power is set anew. Where the frame says nothing of the
// flash, the set-up stands as it was solved.
func (s *staging) readFrame() error {
	off, ok := s.frameOff()
	told := s.scene.Given
	if !ok || s.stands != nil || s.tooFast != nil || s.scene.Key == nil || !s.litSo() || told.Power == 0 || told.ISO == 0 || told.Aperture == 0 || told.Shutter == 0 {
		return nil
	}
	free := s.scene
	free.Given.Power = 0
	at, err := balance.Solve(free)
	if err != nil {
		return err
	}
	set, ambient := at.Settings, float64(at.Levels.Ambient)
	shown := math.Exp2(off) - math.Exp2(ambient)
	if !set.Flash || shown < leastOfFrame*math.Exp2(off) {
		return nil
	}
	model := float64(at.Levels.Flash) + math.Log2(float64(told.Power)/set.Power.Value)
	loss := units.Stops(model - math.Log2(shown))
	if units.Losses.Check(float64(s.scene.Key.Loss+loss)) != nil {
		return nil
	}
	s.shown = loss
	s.head.loss += loss
	s.head.item.Power = 0
	if err := s.compose(); err != nil {
		return err
	}
	given := &s.scene.Given
	given.Zoom, given.FlashPanel, given.PanelSubject, given.FlashSubject = set.Zoom, set.FlashPanel, set.PanelSubject, set.FlashSubject
	return s.solve()
}

// frameOff is how far off right the face of a told frame came out, in stops.
func (s *staging) frameOff() (float64, bool) {
	by, ok := s.facts.Get("amount.stops")
	switch {
	case !ok || by.Origin == fact.Assumed:
		return 0, false
	case s.facts.Has("faults", "dark-face"):
		return -by.Number, true
	case s.facts.Has("faults", "bright-face"):
		return by.Number, true
	}
	return 0, false
}

// litSo reports whether the set-up lights as the told frame was lit.
func (s *staging) litSo() bool {
	way := s.setup.Key.Light
	if s.facts.Has("says", way) {
		return true
	}
	for _, kind := range []string{"umbrella", "softbox"} {
		if _, there := s.facts.Item(kind); there {
			return way == kind
		}
	}
	return way == "bare" && len(s.facts.Choices("says")) == 0
}
