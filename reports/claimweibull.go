package reports

import (
	"errors"
	"fmt"

	"beadspan/stats/survival/aft"
	"beadspan/study"
)

// weibullOpinion is a Weibull curve through a group's lives, with limits robust
// to vehicles; nil where there is none.
type weibullOpinion struct{ model *aft.Model }

// weibull fits it. A group of which too little is known has none, and neither has
// one whose visits don't show how lives spread.
func (g claimGroup) weibull() (weibullOpinion, error) {
	if g.row.Curve == nil {
		return weibullOpinion{}, nil
	}
	model, err := aft.Fit(aft.Data{Spans: g.spans}, aft.Weibull)
	if err == nil {
		model, err = model.ByCluster(aft.Jackknife)
	}
	switch {
	case notFittable(err), errors.Is(err, aft.ErrClusters):
		return weibullOpinion{}, nil
	case err != nil:
		return weibullOpinion{}, fmt.Errorf("fit a Weibull curve: %w", err)
	}
	return weibullOpinion{model}, nil
}

// fill adds the opinion to an end, where it would not be a forecast.
func (w weibullOpinion) fill(end *ClaimEnd, g claimGroup) error {
	if w.model == nil || end.Months > g.row.LongestMonths {
		return nil
	}
	c, err := w.model.Survival(aft.Life{X: []float64{1}}, end.Months*study.DaysPerMonth, g.options.Level)
	if err != nil {
		return fmt.Errorf("share by the Weibull curve: %w", err)
	}
	end.Weibull = &Share{Months: end.Months, Share: c.Survival, AtLeast: c.Survival, AtMost: c.Survival, Limits: limitsOf(c.Lower, c.Upper)}
	return nil
}
