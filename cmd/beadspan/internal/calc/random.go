package calc

import "beadspan/stats/survival/aft"

// randomEffects are how groups differ in log life beside the covariates.
type randomEffects struct {
	Column string `json:"column"`
	SD     Number `json:"sd"`
	SE     Number `json:"se_sd"`
	limitsPair
	Groups []string `json:"groups"`
	Mean   Numbers  `json:"mean"`
	Spread Numbers  `json:"se_mean"`
}

// fitMixed fits a model with a random intercept for each group of the data.
func (r *AFTResult) fitMixed(d *Data, data aft.Data, o AFTOptions) error {
	law, err := aft.ParseDistribution(o.Distribution)
	if err != nil {
		return err
	}
	m, err := aft.FitMixed(data, law, d.Groups.Of)
	if err != nil {
		return err
	}
	if err := r.describe(&m.Estimate, m.LogLik, m.AIC, d.Strata); err != nil {
		return err
	}
	r.Random = &randomEffects{
		d.groupColumns(), Number(m.Omega.SD), Number(m.Omega.SE), limitsPair{Number(m.Omega.Lower), Number(m.Omega.Upper)},
		d.Groups.Names,
		numbers(m.Effects, func(e aft.Effect) float64 { return e.Mean }),
		numbers(m.Effects, func(e aft.Effect) float64 { return e.SD }),
	}
	return r.predict(d, &m.Estimate, nil, o)
}
