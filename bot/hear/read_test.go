package hear

import (
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"panelhand/rules"
	"panelhand/rules/playbook"
)

func Example() {
	book, _ := rules.Load(playbook.Files)
	ear := New(book.Words)
	r := ear.Read("overhead light, want softer, have flash + 40in panel, flurb", nil)
	fmt.Println(r.Facts.Choices("light.from"), r.Facts.Choices("wants"))
	for _, item := range r.Facts.Kit() {
		fmt.Println(item.Count, item.Kind, item.SizeM)
	}
	fmt.Println(r.Leftover)
	// Output:
	// [overhead] [softer]
	// 1 flash 0
	// 1 panel 1.016
	// [flurb]
}

func TestReadOfNothing(t *testing.T) {
	ear := house(t)
	for _, say := range []string{"", "   ", "\n\t", "\x00\xff", "\u200b"} {
		if r := ear.Read(say, nil); !r.Empty || !r.Facts.Empty() {
			t.Errorf("%q: %+v", say, r)
		}
	}
	if r := ear.Read(strings.Repeat("flash ", 2000), nil); !r.TooLong || !r.Facts.Empty() {
		t.Errorf("12 kB were read: %+v", r)
	}
	if r := ear.Read("blorp zzkt fnarg", nil); !r.Facts.Empty() || len(r.Leftover) != 3 {
		t.Errorf("nonsense is heard: %+v", r)
	}
}

func TestMostlyUnheard(t *testing.T) {
	ear := house(t)
	for say, want := range map[string]bool{
		"overhead light, want softer, have flash + 40in panel": false,
		"blorp zzkt fnarg":                         true,
		"quantum blorp of the zorgs, fnarg, flash": true,
		"hello":                          false, // nothing that could say something
		"gruffly sun":                    false, // one of two
		"flash, panel, snorkel, gribble": false, // half of them
		"snorkel gribble on wibbly frobnitz near a panel": true,
	} {
		r := ear.Read(say, nil)
		if r.MostlyUnheard() != want || len(r.Leftover) > r.Content {
			t.Errorf("%q: %d words, %q left over: mostly unheard is %t", say, r.Content, r.Leftover, r.MostlyUnheard())
		}
	}
}

// The longest messages of the worst kind are read in a blink: nothing but small
// words, negations, or numbers.
func TestReadIsBounded(t *testing.T) {
	ear := house(t)
	for _, word := range []string{"go ", "some ", "too ", "the ", "it not ", "no flash or ", "1/8 ", "1 m from ", "not ", "panel ", "leds ", "one ", "half a stop ", "Flsh a ", "1 stop lower "} {
		began := time.Now()
		ear.Read(strings.Repeat(word, MaxBytes/len(word)), nil)
		if took := time.Since(began); took > 3*time.Second {
			t.Errorf("8 kB of %q took %v", word, took)
		}
	}
}

func TestReadTogether(t *testing.T) {
	ear := house(t)
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			for range 50 {
				if r := ear.Read("dusk, two flashes, no stands, 3 people", nil); r.Facts.Count("flash") != 2 {
					t.Error("two readers disturb each other")
				}
			}
		})
	}
	all.Wait()
}

// What a fraction alone is (trade handbook, README): 1/64 and 1/128 are
// powers; 1/2 to 1/32 by doubling are powers where a flash is in the talk; every
// other one is a time.
func TestFractions(t *testing.T) {
	ear := house(t)
	flash := ear.Read("one flash", nil).Facts
	for _, c := range []struct {
		say             string
		talk            bool
		shutter, powers float64
	}{
		{"1/8", false, 0.125, 0}, {"1/8", true, 0, 0.125}, {"1/128", false, 0, 1.0 / 128}, {"1/64", true, 0, 1.0 / 64}, {"1/60", true, 1.0 / 60, 0}, {"1/125", false, 0.008, 0},
		{"1/32", true, 0, 1.0 / 32}, {"1/15", true, 1.0 / 15, 0}, {"1/1", true, 0, 1}, {"flash at 1/4", false, 0, 0.25}, {"shutter 1/4, flash 1/4", false, 0.25, 0.25},
	} {
		known := flash
		if !c.talk {
			known = nil
		}
		f := ear.Read(c.say, known).Facts
		shutter, _ := f.Number("camera.shutter_s")
		item, _ := f.Item("flash")
		if !near(shutter, c.shutter) || !near(item.Power, c.powers) {
			t.Errorf("%q (flash in the talk: %v): shutter %v, power %v", c.say, c.talk, shutter, item.Power)
		}
	}
}

// Both ends of all a flash can do say nothing of where it stands; two powers
// short of that do.
func TestPowerRange(t *testing.T) {
	ear := house(t)
	for say, want := range map[string]float64{
		"hall, one flash 1/1..1/128":      0,
		"hall, one flash 1/128..1":        0,
		"hall, flash from 1/1 to 1/128":   0,
		"hall, flash 1/128-1/1, one hand": 0,
		"hall, flash 1/16 to 1/8":         1.0 / 8,
		"hall, flash 1/128, 1 helper":     1.0 / 128,
	} {
		item, _ := ear.Read(say, nil).Facts.Item("flash")
		if !near(item.Power, want) {
			t.Errorf("%q: power %v, want %v", say, item.Power, want)
		}
	}
}

// A number belongs to the cloth it stands beside, whatever is named next.
func TestSizeOfTheCloth(t *testing.T) {
	ear := house(t)
	for say, want := range map[string]struct{ size, height float64 }{
		"softbox 90cm on a lightstand, flash":           {0.9, 0},
		"octa 120 over the sitter, flash":               {1.2, 0},
		"flash 1/16, octa 95 at 1.3 m":                  {0.95, 0},
		"softbox 70 cam left 60 deg, flash":             {0.7, 0},
		"softbox 70 left, flash":                        {0, 0},
		"softbox 60cm, flash on a 2 m stand":            {0.6, 2},
		"softbox on a 2.5 m light stand, one flash":     {0, 2.5},
		"flash in a softbox, stand 2m, bag of sand 5kg": {0, 2},
	} {
		f := ear.Read(say, nil).Facts
		box, _ := f.Item("softbox")
		stand, _ := f.Item("stand")
		if !near(box.SizeM, want.size) || !near(stand.HeightM, want.height) {
			t.Errorf("%q: box %v m, stand %v m high", say, box.SizeM, stand.HeightM)
		}
	}
}

// Only the side that was named is there, of a panel with five.
func TestOneSideOnly(t *testing.T) {
	ear := house(t)
	for say, want := range map[string]int{
		"window, black side of the 5in1 only": 1,
		"window, 5in1, only its black side":   1,
		"window, 5in1 with its black side":    5,
	} {
		item, _ := ear.Read(say, nil).Facts.Item("panel")
		if len(item.Surfaces) != want || item.Surfaces[0] != "black" && want == 1 {
			t.Errorf("%q: %v", say, item.Surfaces)
		}
	}
}

// Metered exposures: EV100 = log2(N²/t) − log2(ISO/100); lux = 2.5·2^EV
// (photometry handbook §1.1). A lux on the flat under light from above is cut by 1.5 stops.
func TestMetered(t *testing.T) {
	ear := house(t)
	for say, want := range map[string]float64{
		"hall metered f/4 1/125 iso 400":        8.966,
		"meter says f4 1/125 iso 400":           8.966,
		"f2.8 1/60 iso 800 metered at her face": 5.877,
		"EV 7":                                  7,
		"320 lux at the face":                   7,
		"overhead light, 320 lux measured horizontal on the table": 5.5,
		"320 lux on the table": 7,
	} {
		f := ear.Read(say, nil).Facts
		if ev, ok := f.Number("light.ev100"); !ok || ev < want-0.01 || ev > want+0.01 {
			t.Errorf("%q: EV %v, want %v", say, ev, want)
		}
		if _, set := f.Get("camera.aperture"); set {
			t.Errorf("%q: what was measured is taken for what is set", say)
		}
	}
}
