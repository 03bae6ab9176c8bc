package calc

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"beadspan/stats/survival"
	"beadspan/stats/survival/aft"
)

// AFTOptions say what is wanted of an accelerated failure time model.
type AFTOptions struct {
	Level        float64 // confidence level of the limits
	Distribution string  // weibull, exponential, lognormal, loglogistic, or BestDistribution
	Correction   string  // of errors by clusters, one of CorrectionNames
	Outlook
}

// BestDistribution asks for the distribution of least AIC.
const BestDistribution = "best"

// CorrectionNames are the names of what errors by clusters can do about few
// clusters.
func CorrectionNames() []string { return []string{"jackknife", "scaled", "plain"} }

func correction(name string) aft.Correction {
	return []aft.Correction{aft.Jackknife, aft.Scaled, aft.Uncorrected}[slices.Index(CorrectionNames(), name)]
}

// AFTResult is an accelerated failure time model: lists with an element for
// each parameter, tests and predictions.
type AFTResult struct {
	Source
	Level        float64  `json:"conf_level"`
	Distribution string   `json:"distribution"`
	Choice       []choice `json:"choice"`
	N            int      `json:"n"`
	Exact        int      `json:"n_exact"`
	Right        int      `json:"n_right"`
	Left         int      `json:"n_left"`
	Interval     int      `json:"n_interval"`
	Clusters     int      `json:"clusters"`

	Parameters []string  `json:"parameters"`
	Coef       Numbers   `json:"coef"`
	Scale      Numbers   `json:"scale"`
	LogScale   Numbers   `json:"log_scale"`
	SE         Numbers   `json:"se"`
	Variance   []Numbers `json:"vcov"`
	Correction *string   `json:"robust_correction"`
	RobustSE   Numbers   `json:"robust_se"`
	RobustVar  []Numbers `json:"robust_vcov"`
	Limits     limits    `json:"ci"` // of the coefficients and log σ
	P          Numbers   `json:"p_value"`

	LogLik          Number          `json:"loglik"`
	AIC             Number          `json:"aic"`
	LikelihoodRatio *interceptTest  `json:"lr_test"`
	Random          *randomEffects  `json:"random"`
	Predictions     []aftPrediction `json:"predictions"`
}

// choice is a distribution that the data were held against.
type choice struct {
	Distribution string `json:"distribution"`
	LogLik       Number `json:"loglik"`
	AIC          Number `json:"aic"`
}

// interceptTest compares a model with the same without covariates.
type interceptTest struct {
	LogLik Number `json:"loglik_intercept_only"`
	chiSquare
}

// AFT fits an accelerated failure time model to the covariates of the data,
// with a scale for each stratum. A random intercept for each of the data's
// groups is added where there are any.
func AFT(d *Data, o AFTOptions) (*AFTResult, error) {
	data, err := d.forAFT()
	if err != nil {
		return nil, err
	}
	r := &AFTResult{Source: d.Source, Level: o.Level, Choice: []choice{}, Predictions: []aftPrediction{}}
	r.count(d.Spans)
	if d.Groups != nil {
		err = r.fitMixed(d, data, o)
	} else {
		err = r.fit(d, data, o)
	}
	var open *aft.NotEstimableError
	if errors.As(err, &open) {
		return unknownAFT(d, data, o, err), nil
	}
	if err != nil {
		return nil, d.blame(err)
	}
	return r, nil
}

// unknownAFT is the result where the data do not tell what the parameters are.
func unknownAFT(d *Data, data aft.Data, o AFTOptions, why error) *AFTResult {
	names := append(slices.Clone(data.Design.Names()), "log(scale)")
	n, nan := len(names), Number(math.NaN())
	r := &AFTResult{
		Source: d.Source, Level: o.Level, Distribution: o.Distribution, Choice: []choice{}, Parameters: names,
		Coef: unknown(n - 1), Scale: unknown(1), LogScale: unknown(1), SE: unknown(n), Variance: unknownMatrix(n),
		Limits: limits{unknown(n), unknown(n)}, P: unknown(n), LogLik: nan, AIC: nan, Predictions: []aftPrediction{},
	}
	r.count(d.Spans)
	r.Notes = append(r.Notes, why.Error())
	return r
}

// forAFT arranges the data with a design.
func (d *Data) forAFT() (aft.Data, error) {
	var terms []aft.Term
	for j, name := range d.Covariates {
		column := make([]float64, len(d.Spans))
		for i := range column {
			column[i] = d.X[i*len(d.Covariates)+j]
		}
		terms = append(terms, aft.Numeric(name, column))
	}
	design, err := aft.NewDesign(len(d.Spans), terms...)
	if err != nil {
		return aft.Data{}, err
	}
	data := aft.Data{Spans: d.Spans, Design: design}
	if d.Strata != nil {
		data.Strata = d.Strata.Of
	}
	return data, nil
}

// fit fits a model without random effects.
func (r *AFTResult) fit(d *Data, data aft.Data, o AFTOptions) error {
	m, err := r.choose(data, o)
	if err != nil {
		return err
	}
	if err := r.describe(&m.Estimate, m.LogLik, m.AIC, d.Strata); err != nil {
		return err
	}
	if err := r.test(m, data); err != nil {
		return err
	}
	answering := m
	if d.cluster != nil {
		if answering, err = r.robust(m, o); err != nil {
			return err
		}
		r.Clusters = m.Counts.Clusters
	}
	return r.predict(d, &answering.Estimate, answering, o)
}

// choose fits the distribution that was asked for, or the best.
func (r *AFTResult) choose(data aft.Data, o AFTOptions) (*aft.Model, error) {
	if o.Distribution != BestDistribution {
		law, err := aft.ParseDistribution(o.Distribution)
		if err != nil {
			return nil, err
		}
		return aft.Fit(data, law)
	}
	found, err := aft.Choose(data)
	if err != nil {
		return nil, err
	}
	for _, m := range found.Models {
		r.Choice = append(r.Choice, choice{m.Distribution.String(), Number(m.LogLik), Number(m.AIC)})
	}
	for _, failed := range found.Failed {
		r.Notes = append(r.Notes, "not among the choice: "+failed.Error())
	}
	return found.Models[0], nil
}

// count counts the lives by what is known of their ends.
func (r *AFTResult) count(spans []survival.Span) {
	r.N = len(spans)
	for _, s := range spans {
		switch {
		case s.Lower == s.Upper:
			r.Exact++
		case math.IsInf(s.Upper, 1):
			r.Right++
		case s.Lower == 0:
			r.Left++
		default:
			r.Interval++
		}
	}
}

// describe fills how well a model fits and what it says of its parameters. Strata have their
// names where the library has numbers.
func (r *AFTResult) describe(e *aft.Estimate, logLik, aic float64, strata *Labels) error {
	r.LogLik, r.AIC = Number(logLik), Number(aic)
	r.Distribution = e.Distribution.String()
	r.Parameters = slices.Clone(e.Names)
	if first := len(e.Coefficients); strata != nil && len(strata.Names) > 1 {
		for s, name := range strata.Names {
			r.Parameters[first+s] = "log(scale) " + name
		}
	}
	r.Coef, r.LogScale = plain(e.Coefficients), plain(e.LogScale)
	r.Scale = numbers(e.LogScale, math.Exp)
	r.Variance = covariance(e)
	parameters, err := e.Parameters(r.Level)
	if err != nil {
		return err
	}
	r.SE = numbers(parameters, func(p aft.Parameter) float64 { return p.SE })
	r.limit(parameters)
	return nil
}

// limit fills limits and tests of the parameters.
func (r *AFTResult) limit(parameters []aft.Parameter) {
	r.Limits.Lower = numbers(parameters, func(p aft.Parameter) float64 { return p.Lower })
	r.Limits.Upper = numbers(parameters, func(p aft.Parameter) float64 { return p.Upper })
	r.P = numbers(parameters, func(p aft.Parameter) float64 { return p.P })
}

// robust adds errors by clusters, which limits and predictions then go by.
func (r *AFTResult) robust(m *aft.Model, o AFTOptions) (*aft.Model, error) {
	robust, err := m.ByCluster(correction(o.Correction))
	if err != nil {
		return nil, err
	}
	parameters, err := robust.Parameters(r.Level)
	if err != nil {
		return nil, err
	}
	r.Correction = &o.Correction
	r.RobustSE = numbers(parameters, func(p aft.Parameter) float64 { return p.SE })
	r.RobustVar = covariance(&robust.Estimate)
	r.limit(parameters)
	return robust, nil
}

// test compares the model with that of an intercept alone.
func (r *AFTResult) test(m *aft.Model, data aft.Data) error {
	if len(m.Coefficients) == 1 {
		return nil
	}
	data.Design = nil
	alone, err := aft.Fit(data, m.Distribution)
	var open *aft.NotEstimableError
	if errors.As(err, &open) {
		r.Notes = append(r.Notes, fmt.Sprintf("no test against an intercept alone: %v", err))
		return nil
	}
	if err != nil {
		return err
	}
	test, err := aft.CompareNested(alone, m)
	if err != nil {
		return err
	}
	r.LikelihoodRatio = &interceptTest{Number(alone.LogLik), chiSquare{Number(test.ChiSq), test.DF, Number(test.P)}}
	return nil
}

func covariance(e *aft.Estimate) []Numbers {
	rows := make([]Numbers, e.Covariance.SymmetricDim())
	for i := range rows {
		for j := range rows {
			rows[i] = append(rows[i], Number(e.Covariance.At(i, j)))
		}
	}
	return rows
}
