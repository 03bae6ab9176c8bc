package calc

import (
	"beadspan/stats/survival/aft"
)

// Outlook is what is wanted of single lives.
type Outlook struct {
	Predict [][]Condition // the lives; a model without covariates answers anyway
	Shares  []float64     // of lives ended, for quantiles
	Times   []float64     // at which survival is wanted
	Profile bool          // also limits of quantiles from the profile likelihood
	Alive   []float64     // times at which the life may be known to hold still
	Horizon float64       // how far ahead remaining life counts
}

// aftPrediction is what a model says of one life.
type aftPrediction struct {
	X         map[string]any  `json:"x"`
	Strata    map[string]any  `json:"strata"`
	Quantiles []aftQuantile   `json:"quantiles"`
	Survival  []aftSurvival   `json:"survival_at"`
	Remaining []remainingLife `json:"remaining_life"`
	Fit       *fitCheck       `json:"fit_check"`
}

// aftQuantile is the time by which a share of such lives has ended.
type aftQuantile struct {
	Share    Number `json:"failure_probability"`
	Quantile Number `json:"quantile"`
	SE       Number `json:"se_quantile"`
	Log      Number `json:"log_quantile"`
	SELog    Number `json:"se_log_quantile"`
	limitsPair
	Profile *limitsPair `json:"profile"`
}

// aftSurvival is the chance that such a life lasts.
type aftSurvival struct {
	Time     Number `json:"time"`
	Survival Number `json:"survival"`
	SE       Number `json:"se_survival"`
	limitsPair
}

// remainingLife is what is left of such a life that still holds.
type remainingLife struct {
	Alive    Number `json:"alive"`
	Horizon  Number `json:"horizon"`
	Expected Number `json:"expected"`
	SE       Number `json:"se"`
	limitsPair
	Survival []aftSurvival `json:"survival_at"` // given that it holds at Alive
}

// fitCheck holds the model against Turnbull's estimate.
type fitCheck struct {
	Distance Number    `json:"distance"`
	AtTime   Number    `json:"at_time"`
	Points   fitPoints `json:"points"`
}

// fitPoints are lists with an element for each point of a probability plot.
type fitPoints struct {
	Time     Numbers `json:"time"`
	Survival Numbers `json:"survival"`
	Model    Numbers `json:"model_survival"`
	Score    Numbers `json:"score"`
}

// predict answers for the lives. model is nil where it has random effects, and
// then has neither profile limits nor a check of fit.
func (r *AFTResult) predict(d *Data, e *aft.Estimate, model *aft.Model, o AFTOptions) error {
	lives := o.Predict
	if len(lives) == 0 && len(d.Covariates) == 0 && d.Strata == nil {
		lives = [][]Condition{{}}
	}
	for _, values := range lives {
		given, err := d.life(values)
		if err != nil {
			return err
		}
		l := aft.Life{X: append([]float64{1}, given.x...), Stratum: given.stratum}
		p := aftPrediction{X: given.values, Strata: given.strata,
			Quantiles: []aftQuantile{}, Survival: []aftSurvival{}, Remaining: []remainingLife{}}
		if err := p.answer(e, l, o); err != nil {
			return err
		}
		if model != nil {
			if err := p.check(model, l, o); err != nil {
				return err
			}
		}
		r.Predictions = append(r.Predictions, p)
	}
	return nil
}

// answer fills what any model can say.
func (p *aftPrediction) answer(e *aft.Estimate, l aft.Life, o AFTOptions) error {
	for _, share := range o.Shares {
		q, err := e.Quantile(l, share, o.Level)
		if err != nil {
			return err
		}
		p.Quantiles = append(p.Quantiles, aftQuantile{Number(q.P), Number(q.Time), Number(q.SE), Number(q.Log), Number(q.SELog),
			limitsPair{Number(q.Lower), Number(q.Upper)}, nil})
	}
	for _, t := range o.Times {
		s, err := e.Survival(l, t, o.Level)
		if err != nil {
			return err
		}
		p.Survival = append(p.Survival, newAFTSurvival(s))
	}
	for _, alive := range o.Alive {
		left, err := e.RemainingLife(l, alive, o.Horizon, o.Level)
		if err != nil {
			return err
		}
		remaining := remainingLife{Number(left.Alive), Number(left.Horizon), Number(left.Expected), Number(left.SE),
			limitsPair{Number(left.Lower), Number(left.Upper)}, []aftSurvival{}}
		for _, t := range o.Times {
			if t < alive {
				continue // it is known to hold then
			}
			s, err := e.GivenAlive(l, alive, t, o.Level)
			if err != nil {
				return err
			}
			remaining.Survival = append(remaining.Survival, newAFTSurvival(s))
		}
		p.Remaining = append(p.Remaining, remaining)
	}
	return nil
}

func newAFTSurvival(s aft.Chance) aftSurvival {
	return aftSurvival{Number(s.Time), Number(s.Survival), Number(s.SE), limitsPair{Number(s.Lower), Number(s.Upper)}}
}

// check adds profile limits, and holds the model's shape against the data.
func (p *aftPrediction) check(m *aft.Model, l aft.Life, o AFTOptions) error {
	if o.Profile {
		for i := range p.Quantiles {
			q, err := m.ProfileQuantile(l, float64(p.Quantiles[i].Share), o.Level)
			if err != nil {
				return err
			}
			p.Quantiles[i].Profile = &limitsPair{Number(q.Lower), Number(q.Upper)}
		}
	}
	found, err := m.CheckFit(l)
	if err != nil {
		return err
	}
	pick := func(of func(aft.PlotPoint) float64) Numbers { return numbers(found.Points, of) }
	p.Fit = &fitCheck{Number(found.Distance), Number(found.AtTime), fitPoints{
		pick(func(x aft.PlotPoint) float64 { return x.Time }),
		pick(func(x aft.PlotPoint) float64 { return x.Survival }),
		pick(func(x aft.PlotPoint) float64 { return x.Model }),
		pick(func(x aft.PlotPoint) float64 { return x.Score }),
	}}
	return nil
}
