package try

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"panelhand/rules"
)

// is reports whether a result is what a case expects.
func (r Result) is(want *rules.Expected) bool {
	switch {
	case want.Name.Value == "none":
		return r.Name == ""
	case r.Name != want.Name.Value || !strings.Contains(r.Text, want.Text):
		return false
	case want.Value == nil:
		return true
	}
	within := cmp.Or(want.Within, 0.005*math.Abs(*want.Value), 0.005)
	return r.Value != nil && math.Abs(*r.Value-*want.Value) <= within
}

func (r Result) String() string {
	switch {
	case r.Name == "":
		return "no number"
	case r.Value == nil:
		return r.Name + " " + r.Text
	}
	return fmt.Sprintf("%s %.6g (%s)", r.Name, *r.Value, r.Text)
}
