package mixed

import "fmt"

// OutlookOf is Outlook for a group that the model need not have been fitted to,
// such as one of the many that a sample stands for: readings are those of its
// outer group, its own among them, or none. What the others are like is known from
// the fit alone. Of a group in the fit, with the readings that it has there, it is
// what Outlook tells.
//
// Readings of more than one outer group, times or values that are not finite and
// weights that are not greater than 0 are errors. It panics if a reading's
// covariates are not as many as the model's.
func (p *Populations) OutlookOf(readings []Reading, inner int, covariates []float64, ask OutlookOptions) (*Outlook, error) {
	l := p.fit.fleet
	if len(readings) == 0 {
		return p.outlook(posterior{inner: -1, size: [2]int{l.q1, l.q2}}, covariates, ask)
	}
	for i, r := range readings {
		if err := l.check(i, r); err != nil {
			return nil, fmt.Errorf("outlook: %w", err)
		}
		if r.Outer != readings[0].Outer {
			return nil, fmt.Errorf("outlook: %w", &RowError{i, fmt.Sprintf("it is of outer group %d, and the first of %d", r.Outer, readings[0].Outer)})
		}
	}
	return p.outlook(l.alone(readings).posterior(inner), covariates, ask)
}
