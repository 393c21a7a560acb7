package bot

import (
	"cmp"
	"math"
	"slices"

	"panelhand/calc/units"
)

// What a solved set-up's faults cost it, in the playbook's points (3 is the
// most that serving one want is worth). Common practice: a face that cannot
// be made right outweighs any want, a background that is off does not.
const (
	pointsPerStopShort = 4.0
	pointsPerStopOff   = 0.7 // background off what the look wants
	pointsPerStopOver  = 3.0 // background too bright still, where that was the complaint
	mostOff            = 3.0 // stops beyond which off is just off
	pointsPerWidth     = 0.03
	pointsPerSocket    = 1.0 // stop that the eye sockets gain against the cheek
	pointsIdle         = 5.0 // a flash that was to be the key and does nothing
)

// rank orders stagings by what they really do: what they serve, how far the
// face and the background stay from what was wanted, how big the source is
// where softness was asked for. Ties go by the order of the playbook.
func rank(all []*staging) {
	for _, s := range all {
		s.score = s.verdict.Score.Total() + s.worth()
	}
	slices.SortStableFunc(all, func(a, b *staging) int { return cmp.Compare(b.score, a.score) })
}

func (s *staging) worth() float64 {
	short := max(0, s.off()-1.0/6)
	off := math.Abs(float64(s.solution.Levels.Background - s.tones.background))
	worth := -pointsPerStopShort*short - pointsPerStopOff*min(off, mostOff)
	if over := s.solution.Levels.Background - s.tones.background; over > 0 && (s.facts.Has("wants", "darker-background") || s.facts.Has("faults", "bright-background")) {
		worth -= pointsPerStopOver * min(float64(over), mostOff)
	}
	if wide, ok := s.numbers.Get("source_deg"); ok {
		switch {
		case s.facts.Has("wants", "softer"):
			worth += pointsPerWidth * wide
		case s.facts.Has("wants", "harder"):
			worth -= pointsPerWidth * wide
		}
	}
	if s.facts.Has("wants", "brighter-eyes") || s.facts.Has("faults", "dark-sockets") || s.facts.Has("faults", "dead-eyes") {
		worth += pointsPerSocket * s.socketGain()
	}
	if s.idle() && s.solution.Levels.Ambient < overlit {
		worth -= pointsIdle
	}
	return worth
}

// idleFlash is the level under which a flash on the face is not seen: less
// than an eighth of the light, two thirds of a click.
const idleFlash units.Stops = -3

// overlit is from where on the dials, not the set-up, are what is wrong: without
// the flash the face would be as much too bright.
const overlit units.Stops = 1.0 / 3

// idle reports whether the flash is the set-up's key and does nothing: the
// light that is there, at the dials that stay, lights the face alone.
func (s *staging) idle() bool {
	if s.scene.Key == nil || slices.Contains(s.setup.Technique, "fill") {
		return false
	}
	return s.solution.Levels.Flash < idleFlash || s.solution.Levels.Ambient >= 0
}

// socketGain is how many stops the eye sockets come up against the lit cheek.
func (s *staging) socketGain() float64 {
	is, ok := s.numbers.Get("socket_cheek_stops")
	was, known := s.numbers.Get("socket_cheek_stops_before")
	if !ok || !known {
		return 0
	}
	return is - was
}
