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
// Quantile's. Upper is +Inf, or Lower 0, where no time is unlikely enough.
//
// In a model ByCluster z² is multiplied by how much larger the variance of log
// t is than if spans were independent.
//
// Errors are those of Quantile; besides, an l whose X does not begin with the
// intercept's 1, and a *ConvergenceError or *NotEstimableError from the search
// for the other parameters at some t.
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
	ridge := &profile{model: m, life: l, w: m.Distribution.quantile(p)}
	edge := z * q.SELog / se // in roots of 2 (ℓ̂ − ℓ)
	lower, err := ridge.limit(q.Log, -se, edge)
	if err != nil {
		return q, fmt.Errorf("lower profile limit: %w", err)
	}
	upper, err := ridge.limit(q.Log, se, edge)
	if err != nil {
		return q, fmt.Errorf("upper profile limit: %w", err)
	}
	q.Lower, q.Upper = math.Exp(lower), math.Exp(upper)
	return q, nil
}

// profile is the highest log-likelihood at which a quantile has a given
// logarithm.
type profile struct {
	model *Model
	life  Life
	w     float64   // the error's quantile
	log   float64   // of the time
	rest  []float64 // the other parameters, found last: b without the intercept, log σ
}

// limit returns the log time, from the estimate at on in steps of se (below 0
// for the lower limit), at which the root of 2 (ℓ̂ − ℓ) comes to edge.
func (r *profile) limit(at, se, edge float64) (float64, error) {
	const farthest = 700 // e to this is near the largest number there is
	r.rest = r.model.parameters()[1:]
	near, nearGap := at, -edge
	far, farGap := at, 0.0
	for step, tries := edge*se, 0; ; tries++ {
		far = near + step
		if math.Abs(far-at) > farthest {
			return math.Inf(int(math.Copysign(1, se))), nil
		}
		gap, err := r.gap(far, edge)
		var lost *ConvergenceError
		if errors.As(err, &lost) && tries < 100 {
			step /= 4 // the other parameters were too far from theirs to find them
			continue
		}
		if err != nil {
			return 0, err
		}
		if gap >= 0 {
			farGap = gap
			break
		}
		near, nearGap = far, gap
		step *= 2
	}
	// The root is nearly linear in log time: a secant between the bounds, the
	// end that stays put counted half (the Illinois rule).
	for range 100 {
		next := (near*farGap - far*nearGap) / (farGap - nearGap)
		gap, err := r.gap(next, edge)
		if err != nil {
			return 0, err
		}
		if math.Abs(gap) < 1e-10*edge || math.Abs(far-near) < 1e-13*max(1, math.Abs(near)) {
			return next, nil
		}
		if gap >= 0 {
			far, farGap, nearGap = next, gap, nearGap/2
		} else {
			near, nearGap, farGap = next, gap, farGap/2
		}
	}
	return 0, &ConvergenceError{Iterations: 100, Decrement: math.NaN()}
}

// gap is how far the root of 2 (ℓ̂ − ℓ) at a log time lies above edge.
func (r *profile) gap(log, edge float64) (float64, error) {
	r.log = log
	s := r.model.sample
	at, err := climb(r.logLikelihood, r.rest, s.natural(r.full(r.rest))[1:], func(rest []float64) error {
		return s.withinBounds(r.full(rest))
	})
	if err != nil {
		return 0, err
	}
	r.rest = at.θ
	return math.Sqrt(max(0, 2*(r.model.LogLik-at.height))) - edge, nil
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
