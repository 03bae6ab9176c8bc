package aft

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// limit returns the log time, from the estimate on in steps of se (below 0 for
// the lower limit), at which the root of 2 (ℓ̂ − ℓ) comes to edge; infinite where
// it does not.
func (r *profile) limit(se, edge float64) (float64, error) {
	r.rest = r.model.parameters()[1:]
	near, far, err := r.bracket(se, edge)
	if err != nil || math.IsInf(far.log, 0) {
		return far.log, err
	}
	// The root is nearly linear in log time: a secant between the bounds, the
	// end that stays put counted half (the Illinois rule).
	for range 100 {
		next, err := r.retreat(near.log, (near.log*far.gap-far.log*near.gap)/(far.gap-near.gap), edge)
		if err != nil {
			return 0, err
		}
		if math.Abs(next.gap) < 1e-10*edge || math.Abs(far.log-near.log) < 1e-13*max(1, math.Abs(near.log)) {
			return next.log, nil
		}
		if next.gap >= 0 {
			far = next
			near.gap /= 2
		} else {
			near = next
			far.gap /= 2
		}
	}
	return 0, &ConvergenceError{Iterations: 100, Decrement: math.NaN()}
}

// bound is a log time and its gap.
type bound struct{ log, gap float64 }

// bracket goes outwards from the estimate until the root has come to edge; far
// is infinite where it would leave the numbers there are.
func (r *profile) bracket(se, edge float64) (near, far bound, err error) {
	const farthest = 700 // e to this is near the largest number there is
	near = bound{r.at, -edge}
	step := edge * se
	for range 200 {
		if math.Abs(near.log+step-r.at) > farthest {
			return near, bound{log: math.Inf(int(math.Copysign(1, se)))}, nil
		}
		far, err = r.retreat(near.log, near.log+step, edge)
		if err != nil || far.gap >= 0 {
			return near, far, err
		}
		step = 2 * (far.log - near.log)
		near = far
	}
	return near, far, &ConvergenceError{Iterations: 200, Decrement: math.NaN()}
}

// retreat returns the bound at a log time, or at one nearer to near if the other
// parameters lie too far from where they are there to be found.
func (r *profile) retreat(near, log, edge float64) (bound, error) {
	for tries := 1; ; tries++ {
		gap, err := r.gap(log, edge)
		var lost *ConvergenceError
		switch {
		case !errors.As(err, &lost):
			return bound{log, gap}, err
		case tries == 20:
			return bound{}, fmt.Errorf("at time %g: %w", math.Exp(log), err)
		}
		log = near + (log-near)/4
	}
}

// gap is how far the root of 2 (ℓ̂ − ℓ) at a log time lies above edge, or edge
// where it lies farther: that would only bend the secant.
func (r *profile) gap(log, edge float64) (float64, error) {
	r.log = log
	height, err := r.highest(edge)
	if err != nil {
		return 0, err
	}
	return min(math.Sqrt(max(0, 2*(r.model.LogLik-height)))-edge, edge), nil
}

// highest is the log-likelihood at r.log, over the other parameters.
func (r *profile) highest(edge float64) (float64, error) {
	s := r.model.sample
	start := r.start(edge)
	if len(start) == 0 {
		height := r.logLikelihood(start, newDerivatives(0))
		if math.IsNaN(height) { // of numbers past the largest there is
			height = math.Inf(-1)
		}
		return height, nil
	}
	var ranOff []float64
	at, err := climb(r.logLikelihood, start, s.natural(r.full(start))[1:], func(rest []float64) error {
		err := s.withinBounds(r.full(rest))
		if err != nil {
			ranOff = rest
		}
		return err
	})
	if ranOff != nil {
		return r.logLikelihood(r.bounded(ranOff), newDerivatives(len(ranOff))), nil
	}
	// An ascent given up on will do where what it may still gain is next to nothing.
	var lost *ConvergenceError
	if errors.As(err, &lost) && at != nil && lost.Decrement < 1e-6*max(1, r.model.LogLik-at.height) {
		err = nil
	}
	if err != nil {
		return 0, err
	}
	r.rest = at.θ
	return at.height, nil
}

// start chooses where to look for the other parameters: where they were found
// last, unless these lie far below the height at edge; then where it is highest
// among them, the way that the curvature at the estimate points out, and the
// estimate with σ as wide as the way from its log time.
func (r *profile) start(edge float64) []float64 {
	s := r.model.sample
	height := func(rest []float64) float64 { return r.logLikelihood(rest, newDerivatives(len(rest))) }
	best := height(r.rest)
	if r.model.LogLik-best < 10*max(1, edge*edge) || len(r.rest) == 0 {
		return r.rest
	}
	away := r.log - r.at
	ahead := r.model.parameters()[1:]
	wide := slices.Clone(ahead)
	for j, slope := range r.tangent() {
		ahead[j] += away * slope
	}
	for j := len(wide) - s.scales(); j < len(wide); j++ {
		wide[j] = min(max(wide[j], math.Log(math.Abs(away))), math.Log(largestSigma))
	}
	chosen := r.rest
	for _, rest := range [][]float64{r.bounded(ahead), wide} {
		if h := height(rest); h > best || math.IsNaN(best) {
			chosen, best = rest, h
		}
	}
	return chosen
}

// tangent is how the other parameters change with the log time along the
// profile, at the estimate: with C the covariance of independent spans and g the
// derivative of log time, Cg/g'Cg.
func (r *profile) tangent() []float64 {
	s := r.model.sample
	g := mat.NewVecDense(s.parameters(), nil)
	for j, x := range r.life.X {
		g.SetVec(j, x)
	}
	if s.law.scaled() {
		g.SetVec(s.columns+r.life.Stratum, s.sigmas(r.model.parameters())[r.life.Stratum]*r.w)
	}
	var along mat.VecDense
	along.MulVec(r.model.independent, g)
	along.ScaleVec(1/mat.Dot(g, &along), &along)
	return along.RawVector().Data[1:]
}

// bounded moves every σ to where it may be.
func (r *profile) bounded(rest []float64) []float64 {
	moved := slices.Clone(rest)
	for j := len(moved) - r.model.sample.scales(); j < len(moved); j++ {
		moved[j] = min(max(moved[j], math.Log(leastSigma)), math.Log(largestSigma))
	}
	return moved
}
