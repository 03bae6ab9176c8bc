package calc

import (
	"errors"
	"slices"

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
		r.groupColumns = slices.Concat(d.cluster.Columns, d.Groups.Columns)
		r.InnerGroups = new(plan.innerGroups())
	}
	if o.Model != decay.LinearShape {
		r.Nodes = &o.Nodes
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
	r.describe(plan, fit.Fitness, fit.Fixed, fit.Covariance)
	r.mixedSpread = newMixedSpread(plan.randomNames(plan.outer), fit.Levels[0])
	if plan.inner != nil {
		r.Inner = new(newMixedSpread(plan.randomNames(plan.inner), fit.Levels[1]))
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
	r.describe(plan, fit.Fitness, fit.Fixed, fit.Covariance)
	r.mixedSpread = newMixedSpread(plan.randomNames(plan.outer), fit.Outer)
	if plan.inner != nil {
		r.Inner = new(newMixedSpread(plan.randomNames(plan.inner), fit.Inner))
	}
	return r.look(plan, fit)
}
