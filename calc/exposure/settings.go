package exposure

import "panelhand/calc/units"

// Settings are three dial positions. A mark stands for its exact value, so
// changes that cancel in clicks cancel to zero.
type Settings struct {
	Aperture, Shutter, ISO units.Mark
}

// Ticks returns how much of the light the settings take, in thirtieths of a
// stop, + for brighter pictures.
func (s Settings) Ticks() units.Tick { return s.Aperture.Ticks + s.Shutter.Ticks + s.ISO.Ticks }

// EV100 returns the light level that the dial positions are right for, by
// their exact values: f/8, 1/125, ISO 400 is EV 11. With the numbers as read
// it is 10.97; printed stops use those (the function EV100).
func (s Settings) EV100() units.EV { return -units.EV(s.Ticks().Stops()) }

// Equivalents returns all settings that expose like s at its ISO, from the
// smallest aperture to the widest. A dial that moves in another step than the
// other drops the marks that have no partner.
func (s Settings) Equivalents(apertures, shutters units.Dial) []Settings {
	times := map[units.Tick]units.Mark{}
	for _, m := range shutters.Marks() {
		times[m.Ticks] = m
	}
	var all []Settings
	for _, a := range apertures.Marks() {
		if t, ok := times[s.Aperture.Ticks+s.Shutter.Ticks-a.Ticks]; ok {
			all = append(all, Settings{Aperture: a, Shutter: t, ISO: s.ISO})
		}
	}
	return all
}
