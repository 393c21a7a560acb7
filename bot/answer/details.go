package answer

import (
	"fmt"
	"strings"
)

// Details is what --full adds to the phone text: working, runners-up, what
// was dropped and why, and what every rule said.
func (a *Answer) Details() string {
	var b strings.Builder
	if len(a.Working) > 0 {
		b.WriteString("\n\nWorking\n")
		for _, w := range a.Working {
			fmt.Fprintf(&b, "  %s = %.4g %s\n      %s  (%s)\n", w.Name, w.Value, w.Unit, w.Formula, w.Source)
		}
	}
	others := func(head string, list []Other) {
		if len(list) == 0 {
			return
		}
		b.WriteString("\n" + head + "\n")
		for _, o := range list {
			fmt.Fprintf(&b, "  %s: %s\n", o.Title, o.Why)
		}
	}
	if a.Record != nil {
		for _, f := range a.Record.Found {
			if strings.Contains(f.Text, "\n") { // a file
				fmt.Fprintf(&b, "\n\n%s\n\n%s", f.Title, f.Text)
			}
		}
	}
	others("Second best", a.Others)
	others("Not here", a.Dropped)
	if len(a.Assumed) > 0 {
		b.WriteString("\nAssumed\n")
		for _, s := range a.Assumed {
			fmt.Fprintf(&b, "  %s: %s\n", s.Text, s.Why)
		}
	}
	if len(a.Trace) > 0 {
		b.WriteString("\nRules\n")
		for _, t := range a.Trace {
			fmt.Fprintf(&b, "  %-28s %-10s %s\n", t.Rule, t.Verdict, t.Why)
		}
	}
	return strings.TrimRight(b.String(), "\n")
}
