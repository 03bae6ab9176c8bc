package calc

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"

	"beadspan/stats/decay"
	"beadspan/stats/decay/mixed"
	"beadspan/study"
)

// MixedOptions say what is wanted of a mixed model. Parameters are named as in
// decay, those of the line start and slope.
type MixedOptions struct {
	Level      float64
	Model      decay.Shape
	Criterion  mixed.Criterion // REML takes the line alone
	Nodes      int             // as in mixed.CurveModel; of no account for the line
	Random     []string        // parameters that differ between groups; nil: the one of pace
	Within     []string        // and between inner groups, if there are any
	Correlated bool
	On         []string           // parameters that covariates act on; nil: the one of pace
	Held       map[string]float64 // parameters that are known
	Start      map[string]float64 // values to search from, where not to be found out
	MixedOutlook
}

// MixedResult is a regression or a curve with random effects: lists with an
// element for each fixed effect, how groups differ, and predictions.
type MixedResult struct {
	Source
	Level       float64         `json:"conf_level"`
	Model       decay.Shape     `json:"model"`
	Criterion   mixed.Criterion `json:"criterion"`
	Nodes       *int            `json:"nodes"`
	N           int             `json:"n"`
	Groups      int             `json:"groups"`
	InnerGroups *int            `json:"inner_groups"`

	FixedNames []string  `json:"fixed_names"`
	Fixed      Numbers   `json:"fixed"`
	SE         Numbers   `json:"se_fixed"`
	Variance   []Numbers `json:"vcov_fixed"`
	Limits     limits    `json:"ci"`
	P          Numbers   `json:"p_value"`
	mixedSpread
	Inner            *mixedSpread `json:"inner"`
	ResidualSD       Number       `json:"residual_sd"`
	ResidualVariance Number       `json:"residual_variance"`

	LogLik     Number        `json:"loglik"`
	AIC        Number        `json:"aic"`
	BIC        Number        `json:"bic"`
	Singular   *bool         `json:"singular"`
	Iterations *int          `json:"iterations"`
	Effects    []groupEffect `json:"blups"`
	Curves     []mixedCurve  `json:"curves"`

	groupColumns []string
}

// mixedSpread is how the groups of one level differ.
type mixedSpread struct {
	Names       []string  `json:"random_names"`
	Covariance  []Numbers `json:"random_covariance"`
	SD          Numbers   `json:"random_sd"`
	Correlation Number    `json:"random_correlation"` // of two
}

// groupEffect is what is known of one group.
type groupEffect struct {
	Group  string  `json:"group"`
	Inner  *string `json:"inner"`
	N      int     `json:"n"`
	Effect Numbers `json:"random_effect"`
	Within Numbers `json:"inner_effect"`
	*outlook
}

// Mixed fits a line or a curve whose parameters differ at random between the
// values of the data's cluster column, and within those between its groups.
// options must pass their Check.
func Mixed(d *Data, o MixedOptions) (*MixedResult, error) {
	plan, err := newMixedPlan(d, o)
	if err != nil {
		return nil, err
	}
	r := &MixedResult{
		Source: d.Source, Level: o.Level, Model: o.Model, Criterion: o.Criterion, N: len(d.Points),
		Groups: len(d.cluster.Names), Effects: []groupEffect{}, Curves: []mixedCurve{}, groupColumns: d.cluster.Columns,
	}
	if d.Groups != nil {
		r.groupColumns = append(r.groupColumns, d.Groups.Columns...)
		r.InnerGroups = new(plan.innerGroups())
	}
	if o.Criterion == mixed.REML {
		err = r.fitLine(plan)
	} else {
		err = r.fitCurves(plan)
	}
	var refused *mixed.RowError
	var unsettled *mixed.NotConvergedError
	switch {
	case errors.As(err, &refused):
		return nil, study.Problems{{File: d.File, Row: d.Lines[refused.Index], Want: refused.Problem}}
	case errors.Is(err, mixed.ErrTooFew), errors.Is(err, decay.ErrTooFew), errors.Is(err, mixed.ErrNotIdentified), errors.As(err, &unsettled):
		r.unknown(plan, err)
	case err != nil:
		return nil, err
	}
	return r, nil
}

// fitLine fits the line by REML.
func (r *MixedResult) fitLine(plan *mixedPlan) error {
	rows, model := plan.line()
	fit, err := mixed.Linear(rows, model)
	if err != nil {
		return err
	}
	r.describe(fit.Fitness, fit.Fixed, fit.Covariance)
	r.mixedSpread = newMixedSpread(fit.Levels[0])
	if len(fit.Levels) > 1 {
		r.Inner = new(newMixedSpread(fit.Levels[1]))
	}
	for _, g := range fit.Groups {
		r.Effects = append(r.Effects, plan.effect(g))
	}
	return nil
}

// fitCurves fits a curve, or the line, by maximum likelihood.
func (r *MixedResult) fitCurves(plan *mixedPlan) error {
	model, err := plan.curves()
	if err != nil {
		return err
	}
	fit, err := mixed.Curves(plan.readings(), model)
	if err != nil {
		return err
	}
	if r.Model != decay.LinearShape {
		r.Nodes = new(model.Nodes)
	}
	for j := range fit.Fixed {
		fit.Fixed[j].Name = plan.printed(fit.Fixed[j].Name)
	}
	r.describe(fit.Fitness, fit.Fixed, fit.Covariance)
	r.mixedSpread = newMixedSpread(fit.Outer)
	if len(fit.Inner.Effects) > 0 {
		r.Inner = new(newMixedSpread(fit.Inner))
	}
	for _, names := range [][]string{r.Names, r.innerNames()} {
		for j := range names {
			names[j] = plan.printed(names[j])
		}
	}
	return r.look(plan, fit)
}

func (r *MixedResult) innerNames() []string {
	if r.Inner == nil {
		return nil
	}
	return r.Inner.Names
}

// describe fills what any fit says of its fixed effects.
func (r *MixedResult) describe(f mixed.Fitness, fixed []mixed.Effect, covariance *mat.SymDense) {
	z := normalQuantile(r.Level)
	for j, e := range fixed {
		r.FixedNames = append(r.FixedNames, e.Name)
		r.Limits.Lower = append(r.Limits.Lower, Number(e.Value-z*e.SE))
		r.Limits.Upper = append(r.Limits.Upper, Number(e.Value+z*e.SE))
		r.P = append(r.P, r.test(e))
		r.Variance = append(r.Variance, plain(mat.Row(nil, j, covariance)))
	}
	r.Fixed = numbers(fixed, func(e mixed.Effect) float64 { return e.Value })
	r.SE = numbers(fixed, func(e mixed.Effect) float64 { return e.SE })
	r.ResidualSD, r.ResidualVariance = Number(f.ResidualSD), Number(f.ResidualSD*f.ResidualSD)
	r.LogLik, r.AIC, r.BIC = Number(f.LogLik), Number(f.AIC), Number(f.BIC)
	r.Singular, r.Iterations = &f.Singular, &f.Iterations
	r.Notes = append(r.Notes, f.Notes...)
}

// test is the probability of an effect as large if there were none: NaN for a
// parameter of a curve, of which 0 says nothing.
func (r *MixedResult) test(e mixed.Effect) Number {
	if r.Model != decay.LinearShape && !strings.Contains(e.Name, ": ") {
		return Number(math.NaN())
	}
	return Number(math.Erfc(math.Abs(e.Value/e.SE) / math.Sqrt2))
}

func newMixedSpread(of mixed.Spread) mixedSpread {
	s := mixedSpread{Names: of.Effects, Correlation: Number(math.NaN())}
	for j := range of.Effects {
		s.Covariance = append(s.Covariance, plain(mat.Row(nil, j, of.Covariance)))
		s.SD = append(s.SD, Number(of.SD(j)))
	}
	if len(of.Effects) == 2 && of.Covariance.At(0, 1) != 0 {
		s.Correlation = Number(of.Covariance.At(0, 1)) / s.SD[0] / s.SD[1]
	}
	return s
}

// unknown fills the result where the data do not tell what the parameters are.
func (r *MixedResult) unknown(plan *mixedPlan, why error) {
	nan := Number(math.NaN())
	r.FixedNames = plan.fixedNames()
	n := len(r.FixedNames)
	r.Fixed, r.SE, r.Variance = unknown(n), unknown(n), unknownMatrix(n)
	r.Limits, r.P = limits{unknown(n), unknown(n)}, unknown(n)
	r.mixedSpread = unknownSpread(plan.randomNames(plan.outer))
	if len(plan.inner) > 0 {
		r.Inner = new(unknownSpread(plan.randomNames(plan.inner)))
	}
	r.ResidualSD, r.ResidualVariance, r.LogLik, r.AIC, r.BIC = nan, nan, nan, nan, nan
	r.Notes = append(r.Notes, fmt.Sprintf("not estimable: %v", why))
}

func unknownSpread(names []string) mixedSpread {
	n := len(names)
	return mixedSpread{names, unknownMatrix(n), unknown(n), Number(math.NaN())}
}
