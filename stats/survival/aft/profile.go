package aft

import (
	"errors"
	"fmt"
	"math"
)

// ProfileQuantile is Quantile with limits from the profile likelihood: all
// times t for which
//
//	2 (ℓ̂ − max{ℓ(b, σ) : x'b + σ w(p) = log t}) ≤ z²
//
// They follow the likelihood where it is not symmetric in log t, as with few
// ends or a quantile beyond the follow-up, and suit such data better than
// Quantile's. Upper is +Inf, or Lower 0, where no time is unlikely enough. At
// every t, σ may be anything from 1e-9 to 50: where the spans would have it run
// on, as with few ends and a t far off, the highest ℓ is that at the edge.
//
// In a model ByCluster z² is multiplied by how much larger the variance of log
// t is than if spans were independent. Where that is 0 so is the width.
//
// Errors are those of Quantile; besides, an l whose X does not begin with the
// intercept's 1, and a *ConvergenceError from the search for the other
// parameters at some t.
//
// Source: Venzon and Moolgavkar, J. R. Stat. Soc. C 37 (1988) 87–94; Rotnitzky
// and Jewell, Biometrika 77 (1990) 485–497, for the factor (from memory).
func (m *Model) ProfileQuantile(l Life, p, level float64) (Quantile, error) {
	q, err := m.Quantile(l, p, level)
	if err != nil {
		return q, err
	}
	if l.X[0] != 1 {
		return q, errors.New("profile limits: the life's covariates must begin with 1, for the intercept")
	}
	z, _ := m.margin(level)
	spans := *m
	spans.Covariance = m.independent
	se := spans.standardError(l, 1, math.Exp(m.LogScale[l.Stratum])*m.Distribution.quantile(p))
	ridge := &profile{model: m, life: l, w: m.Distribution.quantile(p), at: q.Log}
	edge := z * q.SELog / se // in roots of 2 (ℓ̂ − ℓ)
	if edge == 0 {
		return q, nil
	}
	lower, err := ridge.limit(-se, edge)
	if err != nil {
		return q, fmt.Errorf("lower profile limit: %w", err)
	}
	upper, err := ridge.limit(se, edge)
	if err != nil {
		return q, fmt.Errorf("upper profile limit: %w", err)
	}
	q.Lower, q.Upper = min(math.Exp(lower), q.Time), max(math.Exp(upper), q.Time) // but for rounding
	return q, nil
}

// profile is the highest log-likelihood at which a quantile has a given
// logarithm.
type profile struct {
	model *Model
	life  Life
	w     float64   // the error's quantile
	at    float64   // log of the estimated time
	log   float64   // of the time
	rest  []float64 // the other parameters, found last: b without the intercept, log σ
}

// full adds the intercept that the log time asks for.
func (r *profile) full(rest []float64) []float64 {
	s := r.model.sample
	θ := append([]float64{0}, rest...)
	θ[0] = r.log - r.life.Shift - s.sigmas(θ)[r.life.Stratum]*r.w
	for j := 1; j < s.columns; j++ {
		θ[0] -= r.life.X[j] * θ[j]
	}
	return θ
}

// logLikelihood is the surface over the other parameters; by the chain rule,
// with J = ∂θ₀/∂rest, its gradient is g + g₀J and its second derivatives are
// H + H₀J' + JH₀' + H₀₀JJ' + g₀ ∂²θ₀.
func (r *profile) logLikelihood(rest []float64, d *derivatives) float64 {
	s := r.model.sample
	θ := r.full(rest)
	whole := newDerivatives(len(θ))
	height := s.logLikelihood(θ, whole)

	n, q := len(rest), len(θ)
	by := make([]float64, n)
	for j := 1; j < s.columns; j++ {
		by[j-1] = -r.life.X[j]
	}
	own := n - s.strata + r.life.Stratum // where the life's own log σ is
	if s.law.scaled() {
		by[own] = -s.sigmas(θ)[r.life.Stratum] * r.w
	}
	g, h := whole.gradient, whole.second
	for j := range n {
		d.gradient[j] = g[j+1] + g[0]*by[j]
		for k := range n {
			d.second[j*n+k] = h[(j+1)*q+k+1] + h[j+1]*by[k] + by[j]*h[k+1] + h[0]*by[j]*by[k]
		}
	}
	if s.law.scaled() {
		d.second[own*n+own] += g[0] * by[own]
	}
	return height
}
