package calc

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"beadspan/stats/survival"
	"beadspan/stats/survival/cox"
	"beadspan/study"
)

// CoxOptions say what is wanted of a proportional hazards model.
type CoxOptions struct {
	Level   float64       // confidence level of the limits
	Ties    string        // one of TiesNames
	Predict [][]Condition // the lives whose survival is wanted
	Times   []float64     // and when; nil: at each time at which a life ended
}

// TiesNames are the names of what can be done about lives that end at once.
func TiesNames() []string { return []string{"efron", "breslow", "exact"} }

// CoxResult is a proportional hazards model: lists with an element for each
// covariate, tests and predictions.
type CoxResult struct {
	Source
	Level      float64   `json:"conf_level"`
	Ties       string    `json:"ties"`
	N          int       `json:"n"`
	Events     int       `json:"events"`
	Clusters   int       `json:"clusters"`
	Covariates []string  `json:"covariates"`
	Coef       Numbers   `json:"coef"`
	SE         Numbers   `json:"se"`
	Variance   []Numbers `json:"vcov"`
	RobustSE   Numbers   `json:"robust_se"`
	RobustVar  []Numbers `json:"robust_vcov"`
	Ratio      Numbers   `json:"hazard_ratio"`
	Limits     limits    `json:"ci"` // of Ratio
	P          Numbers   `json:"p_value"`

	LogLikNull      Number       `json:"loglik_null"`
	LogLik          Number       `json:"loglik"`
	LikelihoodRatio chiSquare    `json:"lr_test"`
	Wald            chiSquare    `json:"wald_test_model_based"`
	Score           chiSquare    `json:"score_test"`
	RobustWald      *chiSquare   `json:"wald_test_robust"`
	RobustScore     *chiSquare   `json:"score_test_robust"`
	Concordance     concordance  `json:"concordance"`
	HazardsKM       *hazardsTest `json:"ph_test_km"`
	HazardsTime     *hazardsTest `json:"ph_test_identity"`
	HazardsRank     *hazardsTest `json:"ph_test_rank"`
	Predicted       []predicted  `json:"predicted_survival"`
}

// concordance says how well the model orders lives.
type concordance struct {
	C          Number `json:"c"`
	SE         Number `json:"se"`
	Concordant Number `json:"concordant"`
	Discordant Number `json:"discordant"`
	TiedX      Number `json:"tied_x"`
	TiedY      Number `json:"tied_y"`
	TiedBoth   Number `json:"tied_xy"`
}

// Cox fits a proportional hazards model to the covariates of the data.
func Cox(d *Data, o CoxOptions) (*CoxResult, error) {
	ties := []cox.Ties{cox.Efron, cox.Breslow, cox.Exact}[slices.Index(TiesNames(), o.Ties)]
	m, err := cox.Fit(d.forCox(), ties)
	var refused *cox.RowError
	if errors.As(err, &refused) {
		return nil, study.Problems{{File: d.File, Row: d.Lines[refused.Row], Want: refused.Reason}}
	}
	if err != nil {
		return nil, err
	}
	r := &CoxResult{
		Source: d.Source, Level: o.Level, Ties: o.Ties, N: m.N, Events: m.Events, Clusters: m.Clusters, Covariates: d.Covariates,
		LogLikNull: Number(m.LogLikNull), LogLik: Number(m.LogLik),
		LikelihoodRatio: newChiSquare(m.LikelihoodRatio), Wald: newChiSquare(m.Wald), Score: newChiSquare(m.Score),
		Predicted: []predicted{},
	}
	r.Notes = append(r.Notes, m.Notes...)
	r.describe(m)
	if ties != cox.Exact {
		if err := r.testHazards(m, d.Covariates); err != nil {
			return nil, err
		}
	}
	for _, values := range o.Predict {
		p, err := d.predict(m, values, o)
		if err != nil {
			return nil, err
		}
		r.Predicted = append(r.Predicted, p)
	}
	return r, nil
}

// forCox arranges the data as rows that were watched from entry to time.
func (d *Data) forCox() cox.Data {
	rows := cox.Data{Covariates: len(d.Covariates), Names: d.Covariates, X: d.X}
	for _, s := range d.Spans {
		rows.Stop = append(rows.Stop, s.Lower)
		rows.Event = append(rows.Event, s.Lower == s.Upper)
		if d.columns.Entry != "" {
			rows.Start = append(rows.Start, s.Entry)
		}
		if d.columns.Weight != "" {
			rows.Weight = append(rows.Weight, s.Weight)
		}
	}
	if d.Strata != nil {
		rows.Stratum = d.Strata.Of
	}
	if d.cluster != nil {
		rows.Cluster = d.cluster.Of
	}
	return rows
}

// describe fills what the model says of its coefficients.
func (r *CoxResult) describe(m *cox.Model) {
	pick := func(of func(cox.Coefficient) float64) Numbers { return numbers(m.Coefficients, of) }
	limit := func(c cox.Coefficient) (lower, upper float64) { return c.Limits(r.Level) }
	r.Coef = pick(func(c cox.Coefficient) float64 { return c.Value })
	r.SE = pick(func(c cox.Coefficient) float64 { return c.SE })
	r.Variance = matrix(m.Covariance)
	r.Ratio = pick(func(c cox.Coefficient) float64 { return math.Exp(c.Value) })
	r.Limits.Lower = pick(func(c cox.Coefficient) float64 { lower, _ := limit(c); return math.Exp(lower) })
	r.Limits.Upper = pick(func(c cox.Coefficient) float64 { _, upper := limit(c); return math.Exp(upper) })
	r.P = pick(func(c cox.Coefficient) float64 {
		se := c.SE
		if m.Clusters > 0 {
			se = c.RobustSE
		}
		return math.Erfc(math.Abs(c.Value/se) / math.Sqrt2)
	})
	if m.Clusters > 0 {
		r.RobustSE = pick(func(c cox.Coefficient) float64 { return c.RobustSE })
		r.RobustVar = matrix(m.RobustCovariance)
		wald, score := newChiSquare(m.RobustWald), newChiSquare(m.RobustScore)
		r.RobustWald, r.RobustScore = &wald, &score
	}
	c := m.Concordance()
	r.Concordance = concordance{Number(c.C), Number(c.SE), Number(c.Concordant), Number(c.Discordant),
		Number(c.TiedRisk), Number(c.TiedTime), Number(c.TiedBoth)}
}

func newChiSquare(t cox.Test) chiSquare { return chiSquare{Number(t.ChiSq), t.DF, Number(t.P)} }

// hazardsTest tests whether hazard ratios stay the same over time, for each
// covariate and, as GLOBAL, for all.
type hazardsTest struct {
	Terms []string `json:"terms"`
	ChiSq Numbers  `json:"chisq"`
	DF    []int    `json:"df"`
	P     Numbers  `json:"p_value"`
}

func (r *CoxResult) testHazards(m *cox.Model, covariates []string) error {
	for _, test := range []struct {
		transform cox.Transform
		into      **hazardsTest
	}{{cox.KM, &r.HazardsKM}, {cox.Identity, &r.HazardsTime}, {cox.Rank, &r.HazardsRank}} {
		found, err := m.ProportionalHazards(test.transform)
		if err != nil {
			return err
		}
		h := &hazardsTest{Terms: append(slices.Clone(covariates), "GLOBAL")}
		for _, t := range append(found.Terms, found.Global) {
			h.ChiSq = append(h.ChiSq, Number(t.ChiSq))
			h.DF = append(h.DF, t.DF)
			h.P = append(h.P, Number(t.P))
		}
		*test.into = h
	}
	return nil
}

// predicted is the survival of one life: lists with an element for each time.
type predicted struct {
	X        map[string]any `json:"x"`
	Strata   map[string]any `json:"strata"`
	Times    Numbers        `json:"times"`
	Survival Numbers        `json:"survival"`
	SE       Numbers        `json:"se_survival"`
	Hazard   Numbers        `json:"cumhaz"`
	Lower    Numbers        `json:"lower_log"`
	Upper    Numbers        `json:"upper_log"`
	Method   string         `json:"baseline_method"`
}

func (d *Data) predict(m *cox.Model, values []Condition, o CoxOptions) (predicted, error) {
	l, err := d.life(values)
	if err != nil {
		return predicted{}, err
	}
	found, err := m.Predict(cox.Asked{X: l.x, Stratum: l.stratum, Times: o.Times, Level: o.Level, Scale: survival.Log})
	if err != nil {
		return predicted{}, fmt.Errorf("predict: %w", err)
	}
	pick := func(of func(cox.Predicted) float64) Numbers { return numbers(found, of) }
	return predicted{
		X:        l.values,
		Strata:   l.strata,
		Times:    pick(func(p cox.Predicted) float64 { return p.Time }),
		Survival: pick(func(p cox.Predicted) float64 { return p.Survival }),
		SE:       pick(func(p cox.Predicted) float64 { return p.SurvivalSE }),
		Hazard:   pick(func(p cox.Predicted) float64 { return p.Hazard }),
		Lower:    pick(func(p cox.Predicted) float64 { return p.Lower }),
		Upper:    pick(func(p cox.Predicted) float64 { return p.Upper }),
		Method:   o.Ties,
	}, nil
}
