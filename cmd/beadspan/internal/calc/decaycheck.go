package calc

import (
	"fmt"

	"beadspan/stats/decay"
)

// residualCheck is a question put to the residuals of a curve.
type residualCheck struct {
	Kind      decay.ResidualKind `json:"check"`
	Statistic Number             `json:"statistic"`
	P         Number             `json:"p_value"`
	Row       *int               `json:"row"` // of the file, if it is about one
	Note      string             `json:"note"`
}

// checkResiduals puts all questions to the residuals of a solution.
func (c *DecayCurve) checkResiduals(s *decay.Solution) {
	for _, found := range s.CheckResiduals() {
		check := residualCheck{found.Kind, Number(found.Statistic), Number(found.PValue), nil, found.Note}
		if found.Point >= 0 {
			check.Row = &c.lines[found.Point]
		}
		c.Checks = append(c.Checks, check)
	}
}

// writeChecks prints what was found; the findings hold their probabilities.
func (c *DecayCurve) writeChecks(p *page) {
	if len(c.Checks) == 0 {
		return
	}
	p.line("Residuals")
	for _, check := range c.Checks {
		about := string(check.Kind)
		if check.Row != nil {
			about += fmt.Sprintf(", row %d", *check.Row)
		}
		p.line("  %s: %s", about, check.Note)
	}
	p.line("")
}
