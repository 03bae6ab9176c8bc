package calc

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"

	"beadspan/stats/decay"
	"beadspan/stats/decay/mixed"
)

// mixedSpread is how the groups of one level differ.
type mixedSpread struct {
	Names       []string  `json:"random_names"`
	Covariance  []Numbers `json:"random_covariance"`
	SD          Numbers   `json:"random_sd"`
	Correlation Number    `json:"random_correlation"` // of two
}

// describe fills what any fit says of its fixed effects.
func (r *MixedResult) describe(plan *mixedPlan, f mixed.Fitness, fixed []mixed.Effect, covariance *mat.SymDense) {
	z := normalQuantile(r.Level)
	r.FixedNames = plan.fixedNames()
	for j, e := range fixed {
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

func newMixedSpread(names []string, of mixed.Spread) mixedSpread {
	s := mixedSpread{Names: names, Correlation: Number(math.NaN())}
	for j := range names {
		s.Covariance = append(s.Covariance, plain(mat.Row(nil, j, of.Covariance)))
		s.SD = append(s.SD, Number(of.SD(j)))
	}
	if len(names) == 2 && of.Covariance.At(0, 1) != 0 {
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
