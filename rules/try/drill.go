package try

import (
	"fmt"

	"panelhand/rules"
)

// drills runs the cases that stand beside drills: typed answers and their marks.
func (r *run) drills() {
	if r.bench.Mark == nil {
		return
	}
	cases, problems := rules.DrillCases(r.bench.Files)
	for _, p := range problems {
		r.report.Failures = append(r.report.Failures, Failure{At: p.Pos(), Want: p.Message})
	}
	for _, c := range cases {
		for _, m := range c.Marks {
			r.report.Cases++
			if got := r.bench.Mark(c.Drill.Value, c.With, m.Say.Value); got != m.Mark.Value {
				r.report.Failures = append(r.report.Failures, Failure{
					At: m.Say.Pos, Say: m.Say.Value,
					Want: fmt.Sprintf("%s must be marked %s, and is %s", c.Drill.Value, m.Mark.Value, nothing(got)),
				})
			}
		}
	}
}
