package hear

import "testing"

// Degrees are the key's place where a light and a side are told with them, and
// nobody is asked to turn by them.
func TestKeySide(t *testing.T) {
	ear := house(t)
	for say, want := range map[string]float64{
		"camera right 35 deg flash in 60cm box 1m off":        35,
		"flash thru 40in panel, cam left 55 deg, shade":       55,
		"umbrella 20° to the left, flash, shade":              20,
		"turn her face 20 deg to the left, flash in umbrella": 0,
		"window 40 deg to the left, white panel":              0,
		"rim 60° camera left, flash":                          0,
		"28 degrees outside, flash":                           0,
		"flash 40 deg up":                                     0,
	} {
		if got, _ := ear.Read(say, nil).Facts.Number("key.side_deg"); got != want {
			t.Errorf("%q: the key is heard at %v°, want %v°", say, got, want)
		}
	}
}

// A length beside "bare" is the tube's from the face.
func TestBareDistance(t *testing.T) {
	ear := house(t)
	for say, want := range map[string]float64{
		"flash full 1m bare, sunny":     1,
		"flash 1/8 bare 2m, dusk":       2,
		"1.5m bare flash, shade":        1.5,
		"bare wall 2m behind her, sun":  0,
		"flash thru panel 1.2m, cloudy": 0,
	} {
		if got, _ := ear.Read(say, nil).Facts.Number("distance.flash_subject_m"); got != want {
			t.Errorf("%q: the bare flash is heard at %v m, want %v m", say, got, want)
		}
	}
}
