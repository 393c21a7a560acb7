package figures

import "testing"

func TestParse(t *testing.T) {
	f, err := parse([]string{"ev", "8 1/250 100", "13.96578428", "", "somebody"})
	if err != nil || len(f.Args) != 3 || f.Args[1] != 0.004 || f.Want != 13.96578428 || f.Within > 0.6e-8 || f.Within < 0.5e-8 {
		t.Errorf("%+v %v", f, err)
	}
	for _, row := range [][]string{
		{"ev", "x", "1", "", "somebody"}, {"ev", "1", "", "", "somebody"}, {"ev", "1", "1", "wide", "somebody"}, {"ev", "1", "1", "", ""},
	} {
		if _, err := parse(row); err == nil {
			t.Errorf("took %q", row)
		}
	}
}
