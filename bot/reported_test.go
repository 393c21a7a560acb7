package bot_test

import (
	"math"
	"testing"

	"panelhand/bot"
)

// A frame told with its flash is what the new power is reckoned from, whatever
// the model says of that flash: never the wrong way, and the face is put right.
// Flash and daylight add as light (trade handbook §0, model F).
func TestToldFrame(t *testing.T) {
	coach := houseCoach(t)
	for _, c := range []struct {
		say        string
		told, off  float64
		power, tol float64 // what flash and daylight together ask, and a click of it
	}{
		// Three quarters of a frame 2 under from the flash: 0.75·2^−2 has to become 1 − 0.25·2^−2.
		{"her face is 2 under, f4 1/200 iso 200, flash at 1/16 in a 60cm softbox 1m off", 1.0 / 16, -2, (1 - 0.0625) / 0.1875 / 16, 0.34},
		{"face half stop under, f4, 1/160, iso200, flash 1/16 bounced off white 40in", 1.0 / 16, -0.5, (1 - 0.25*math.Exp2(-0.5)) / (0.75 * math.Exp2(-0.5)) / 16, 0.34},
		// Shade of EV 12 at f/5.6 1/160 is EV 12.3: 2^−0.3 of the frame's 2^1.33 was there without the flash.
		{"face 1 1/3 over, f5.6 1/160 iso100 flash 1/4 umbrella, open shade", 1.0 / 4, 4.0 / 3, (1 - math.Exp2(-0.3)) / (math.Exp2(4.0/3) - math.Exp2(-0.3)) / 4, 0.67},
	} {
		a := coach.Answer(new(bot.Thread), bot.Message{Text: c.say})
		power, ok := a.Numbers.Get("flash_power")
		if !ok || math.Abs(math.Log2(power/c.power)) > c.tol {
			t.Errorf("%s: flash at %v, want %v within %v stop", c.say, power, c.power, c.tol)
		}
		if is, _ := a.Numbers.Get("subject_stops"); math.Abs(is) > 0.35 {
			t.Errorf("%s: the face is left at %v", c.say, is)
		}
		if (power > c.told) != (c.off < 0) {
			t.Errorf("%s: flash turned the wrong way, to %v", c.say, power)
		}
	}
}
