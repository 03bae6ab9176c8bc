package aft

import (
	"fmt"
	"math"
	"slices"
)

const (
	maxIterations = 200
	// The decrement is twice what the quadratic through a point promises that
	// the log-likelihood may still gain. The ascent stops at once below
	// decrementWanted, and below decrementAllowed when rounding lets it come no
	// closer.
	decrementWanted  = 1e-24
	decrementAllowed = 1e-8
	// Where the surface is not concave, steps are damped by this share of the
	// natural curvature at first.
	firstDamping = 1e-3
)

// ConvergenceError says that the search for a maximum was given up.
type ConvergenceError struct {
	Iterations int
	Decrement  float64 // twice the gain in log-likelihood still promised; NaN of a search for a limit
}

// Error tells how far the search came.
func (e *ConvergenceError) Error() string {
	if math.IsNaN(e.Decrement) {
		return fmt.Sprintf("no limit found in %d steps", e.Iterations)
	}
	return fmt.Sprintf("no convergence in %d iterations: the log-likelihood promises to gain another %.2g",
		e.Iterations, e.Decrement/2)
}

// surface is a log-likelihood: it returns the height at θ and writes the
// derivatives there to d. NaN and −Inf are heights outside its domain.
type surface func(θ []float64, d *derivatives) float64

// summit is where an ascent ended.
type summit struct {
	θ          []float64
	height     float64
	d          *derivatives
	iterations int
	path       []float64 // heights, from the start on
}

// climb goes to the maximum of f from start by Newton's method. Where the
// surface is not concave the step is turned towards the gradient and damped, less
// so each time that it turned out too short; and a step is shortened until it gains what a fair part of it promises, so that the height
// never falls but by rounding. natural is how much curvature each parameter may
// be expected to have; check may refuse a point on the way. The end may be flat
// in some direction, and is returned with a *ConvergenceError too.
func climb(f surface, start, natural []float64, check func(θ []float64) error) (*summit, error) {
	at := &summit{θ: slices.Clone(start), d: newDerivatives(len(start))}
	at.height = f(at.θ, at.d)
	if math.IsNaN(at.height) || math.IsInf(at.height, 0) {
		return nil, &ConvergenceError{Decrement: math.Inf(1)}
	}
	at.path = append(at.path, at.height)
	if len(start) == 0 {
		return at, nil
	}
	next := &summit{θ: slices.Clone(start), d: newDerivatives(len(start))}
	last, damping := math.Inf(1), firstDamping
	for ; at.iterations < maxIterations; at.iterations++ {
		step, decrement, damped := newtonStep(at.d, natural, damping)
		// Along a parameter that runs off it falls by e a step, no less.
		stalled := decrement <= decrementAllowed && decrement > last/2
		if decrement <= decrementWanted || stalled {
			return at, nil
		}
		last = decrement
		share := f.advance(at, next, step, decrement)
		if share == 0 {
			if decrement <= decrementAllowed {
				return at, nil
			}
			return at, &ConvergenceError{at.iterations, decrement}
		}
		if damped && share == 1 {
			damping /= 10
		} else {
			damping = firstDamping
		}
		at.θ, next.θ, at.d, next.d, at.height = next.θ, at.θ, next.d, at.d, next.height
		at.path = append(at.path, at.height)
		if err := check(at.θ); err != nil {
			return nil, err
		}
	}
	return at, &ConvergenceError{at.iterations, last}
}

// advance sets next to a point on the step from at that is high enough, and
// returns the share of the step that leads there; 0 if there is none.
func (f surface) advance(at, next *summit, step []float64, decrement float64) (share float64) {
	slack := 0.0
	if decrement < 1e-4 { // the last steps gain less than the heights' rounding
		slack = 1e-13 * max(1, math.Abs(at.height))
	}
	for share = 1; share > 1e-12; share /= 2 {
		for j := range step {
			next.θ[j] = at.θ[j] + share*step[j]
		}
		next.height = f(next.θ, next.d)
		if next.height >= at.height+1e-4*share*decrement-slack && !math.IsInf(next.height, 1) {
			return share
		}
	}
	return 0
}

// newtonStep returns −H⁻¹g and g·step. Where −H is not positive definite, damping
// times natural is added to its diagonal, or tenfold of that as often as it
// takes.
func newtonStep(d *derivatives, natural []float64, damping float64) (step []float64, decrement float64, damped bool) {
	q := len(d.gradient)
	f, ok := factorise(d.second, q, -1, nil)
	ridge := make([]float64, q)
	for ; !ok && damping < 1e15; damping *= 10 {
		damped = true
		for j, n := range natural {
			ridge[j] = damping * n
		}
		f, ok = factorise(d.second, q, -1, ridge)
	}
	step = slices.Clone(d.gradient)
	if ok {
		step = f.solve(d.gradient)
	}
	for j, g := range d.gradient {
		decrement += g * step[j]
	}
	return step, decrement, damped
}
