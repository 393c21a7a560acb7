package bot_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"panelhand/bot/answer"
	"panelhand/rules/fact"
)

// panelLight is the light of a flash behind a round panel at the face, summed
// over the cloth bit by bit: a second method for what the answer computes in
// closed form. guide is in metres at ISO 100, full power; the beam is a
// rectangle of 36 × 24 over zoom, lit evenly, and the cloth (half let on)
// scatters by the cosine at both ends. Source of the model: photometry handbook
// §3.2 (H = 2.5·GN²·p/a²) and §6.2.
func panelLight(guide, power, zoom, size, flashPanel, panelFace float64) float64 {
	onCloth := 2.5 * guide * guide * power / (flashPanel * flashPanel)
	halfW, halfH := 18/zoom*flashPanel, 12/zoom*flashPanel
	const n = 600
	step := size / n
	sum := 0.0
	for i := range n {
		for j := range n {
			x, y := (float64(i)+0.5)*step-size/2, (float64(j)+0.5)*step-size/2
			if math.Abs(x) > halfW || math.Abs(y) > halfH || math.Hypot(x, y) > size/2 {
				continue
			}
			r2 := x*x + y*y + panelFace*panelFace
			cos2 := panelFace * panelFace / r2
			sum += cos2 / (math.Pi * r2) * step * step
		}
	}
	return onCloth * 0.5 * sum
}

// lossOf is the loss that the memory keeps after messages of a fresh crew.
func lossOf(t *testing.T, c *crew, way string) (fact.Loss, *answer.Answer) {
	t.Helper()
	c.thread = "after"
	a := c.say("open shade, flash " + map[string]string{"through": "thru", "bounce": "bounced off", "bare": "bare, no"}[way] + " panel")
	flash, ok := a.Facts.Item("flash")
	if !ok {
		t.Fatalf("no flash in %v", a.Facts.Kit())
	}
	return flash.Calibrated[way], a
}

// TestCalibrationThrough compares the loss solved from test frames with one
// that is summed over the cloth.
func TestCalibrationThrough(t *testing.T) {
	for _, f := range []struct {
		say                             string
		guide, power, zoom, panel, dist float64
		aperture, iso                   float64
	}{
		{"test frame: panel 1 m, flash 1/8, gives f5.6 iso 100", 36, 1.0 / 8, 35, 1.016, 1, 5.6, 100},
		{"test frame 40in panel 1.2m from face, flash at 1/4, gives f4 iso 100", 36, 0.25, 35, 1.016, 1.2, 4, 100},
		{"test shot: 32in panel, panel at 1 m from face, flash 1/16 metered f2.8 iso 200", 36, 1.0 / 16, 35, 0.8128, 1, 2.8, 200},
	} {
		c := newCrew(t)
		c.say("our flash is gn 36 at 35mm")
		a := c.say(f.say)
		if a.Kind != answer.KindRecord || a.Record.Saved == "" {
			t.Errorf("%q was not kept:\n%s", f.say, a.Text)
			continue
		}
		// The house puts the flash one panel behind the cloth.
		model := panelLight(f.guide, f.power, f.zoom, f.panel, f.panel, f.dist)
		want := math.Log2(model / (2.5 * f.aperture * f.aperture * 100 / f.iso))
		own, after := lossOf(t, c, "through")
		// The face's own patch is taken as a disc or a rectangle of the lit
		// area, within a twentieth of a stop of the sum.
		if math.Abs(own.Stops-want) > 0.06 {
			t.Errorf("%q: loss %.3f stops, summed %.3f", f.say, own.Stops, want)
		}
		if own.Spread != 1.0/3 {
			t.Errorf("%q: one frame is trusted to ±%v", f.say, own.Spread)
		}
		if !strings.Contains(after.Text, "your own calibration") || strings.Contains(after.Text, "until you calibrate") {
			t.Errorf("the answer does not tell of the calibration:\n%s", after.Text)
		}
		if got := after.Numbers.Map()["flash_loss_stops"]; math.Abs(got-own.Stops) > 1e-9 {
			t.Errorf("flash_loss_stops is %v, kept %v", got, own.Stops)
		}
	}
}

// TestCalibrationBare is the inverse square by hand: GN 36 at 1/16 and 2 m is
// f/4.5 at ISO 100 (GN·√p/d); metered f/3.2 it is a stop less. Source:
// photometry handbook §3.1.
func TestCalibrationBare(t *testing.T) {
	c := newCrew(t)
	c.say("our flash is gn 36 at 35mm")
	c.say("test frame: bare flash 2 m from face at 1/16, zoom 35, gives f3.2 iso 100")
	own, _ := lossOf(t, c, "bare")
	if want := 2 * math.Log2(4.5/3.2); math.Abs(own.Stops-want) > 1e-6 {
		t.Errorf("loss %.4f, by hand %.4f", own.Stops, want)
	}
}

// TestCalibrationMoves checks what a calibration is for: with a stop more lost
// than computed, the same picture takes twice the power.
func TestCalibrationMoves(t *testing.T) {
	exposure := func(frames ...string) (stops, power float64) {
		c := newCrew(t)
		c.say("our flash is gn 36 at 35mm")
		for _, f := range frames {
			c.say(f)
		}
		c.thread = "picture"
		n := c.say("open shade ev 10, flash thru 40in panel, panel 1.2 m from face, f5.6 iso 200 1/125").Numbers.Map()
		return n["flash_stops"] - math.Log2(n["flash_power"]), n["flash_power"]
	}
	plain, _ := exposure()
	model := panelLight(36, 0.25, 35, 1.016, 1.016, 1)
	// a frame that comes out one stop under the model
	n := math.Sqrt(model / 2 / 2.5)
	lost, _ := exposure(fmt.Sprintf("test frame: panel 1 m, flash 1/4, gives f%.2f iso 100", n))
	if got := plain - lost; math.Abs(got-1) > 0.07 {
		t.Errorf("a stop lost moves the flash by %.3f stops", got)
	}
}

// TestCalibrationSpread takes the mean of frames, and half their range.
func TestCalibrationSpread(t *testing.T) {
	c := newCrew(t)
	c.say("our flash is gn 36 at 35mm")
	for _, f := range []string{"f2.8", "f4", "f5.6"} {
		c.say("test frame: bare flash 2 m from face at 1/16, zoom 35, gives " + f + " iso 100")
	}
	own, _ := lossOf(t, c, "bare")
	at := func(f float64) float64 { return 2 * math.Log2(4.5/f) }
	mean, half := (at(2.8)+at(4)+at(5.6))/3, (at(2.8)-at(5.6))/2
	if math.Abs(own.Stops-mean) > 1e-6 || math.Abs(own.Spread-half) > 1e-6 {
		t.Errorf("%+v, by hand %.4f ± %.4f", own, mean, half)
	}
	if a := c.say("whats in my kit"); !strings.Contains(a.Text, "calibration bare") {
		t.Errorf("the kit list does not tell of it:\n%s", a.Text)
	}
	if a := c.say("remove the calibrations from my kit"); a.Record.Saved == "" {
		t.Errorf("it can't be taken off:\n%s", a.Text)
	}
	if own, _ := lossOf(t, c, "bare"); own != (fact.Loss{}) {
		t.Errorf("it still counts: %+v", own)
	}
}

// TestCalibrationRefuses keeps nothing of a frame that can't be right or says
// too little.
func TestCalibrationRefuses(t *testing.T) {
	for _, say := range []string{
		"test frame: panel 1 m, flash 1/128, gives f64 iso 100",
		"test frame: flash 1/8, gives f5.6 iso 100",
		"calibration: flash 1/1 40in panel 3 m from face gives f1 iso 6400",
	} {
		c := newCrew(t)
		a := c.say(say)
		if a.Kind != answer.KindRecord || a.Record.Saved != "" {
			t.Errorf("%q: %s, saved %q\n%s", say, a.Kind, a.Record.Saved, a.Text)
		}
	}
}
