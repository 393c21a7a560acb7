package exposure

import (
	"math"

	"panelhand/calc/units"
)

// beats are the times that take whole pulses of lamps on the mains, quick and
// slow: they pulse at twice its frequency (trade handbook N48, F62).
var beats = [2][2]units.Seconds{{1.0 / 100, 1.0 / 50}, {1.0 / 125, 1.0 / 60}} // 50 Hz, 60 Hz

// OffBands is the time to go to where a frame at t shows the bands of lamps. A
// time that would be right at one mains frequency and bands all the same tells the
// other; else 50 Hz is tried first.
func OffBands(t units.Seconds) units.Seconds {
	for mains, times := range beats {
		for i, beat := range times {
			if math.Abs(math.Log2(float64(t/beat))) < 0.1 {
				return beats[1-mains][i]
			}
		}
	}
	if t > beats[0][1] {
		return beats[0][1]
	}
	return beats[0][0]
}
