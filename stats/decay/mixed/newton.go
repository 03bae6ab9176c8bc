package mixed

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// NotConvergedError is a search that ended away from a maximum of the
// likelihood.
type NotConvergedError struct {
	What       string // that was looked for
	Iterations int
	Gain       float64   // of log-likelihood that the next step still promised
	At         []float64 // where it ended, in the search's own scale
}

// Error says how far the search came.
func (e *NotConvergedError) Error() string {
	return fmt.Sprintf("%s not settled after %d iterations: the next would gain %.2g in log-likelihood", e.What, e.Iterations, e.Gain)
}

const (
	mostSteps = 200
	// What a step promises to save of a deviance at its minimum: at settledAt one
	// more step is taken, at nearlyAt the search may end where none saves anything.
	settledAt, nearlyAt = 1e-12, 1e-9
)

// slope is a function to be minimised: it returns the value at x and sets the
// gradient, unless that is nil. +Inf is a value.
type slope func(x, gradient []float64) float64

// minimum is where a search has ended.
type minimum struct {
	at         []float64
	value      float64
	iterations int
	hessian    *mat.SymDense
}

// minimise finds a minimum near start by Newton's method. curvature returns
// the Hessian; its negative eigenvalues are taken as positive, which turns
// away from saddles, and steps are halved until they save what they promise a
// share of.
func minimise(what string, f slope, curvature func(x, gradient []float64) *mat.SymDense, start []float64) (minimum, error) {
	m := minimum{at: slices.Clone(start)}
	gradient := make([]float64, len(start))
	m.value = f(m.at, gradient)
	next := make([]float64, len(start))
	promise := math.Inf(1)
	for m.iterations < mostSteps && !math.IsInf(m.value, 0) {
		m.iterations++
		m.hessian = curvature(m.at, gradient)
		step := downhill(m.hessian, gradient)
		promise = -floats.Dot(step, gradient) / 2
		done := promise <= settledAt
		value := backtrack(f, m.at, m.value, step, gradient, next)
		if value < m.value {
			copy(m.at, next)
			m.value = f(m.at, gradient)
		} else if promise <= max(nearlyAt, 1e-13*(1e3+math.Abs(m.value))) {
			done = true // rounding hides any gain that there may be
		} else if !done {
			break
		}
		if done {
			return m, nil
		}
	}
	return m, &NotConvergedError{What: what, Iterations: m.iterations, Gain: promise / 2, At: m.at}
}

// downhill is the Newton step.
func downhill(hessian *mat.SymDense, gradient []float64) []float64 {
	var eigen mat.EigenSym
	step := make([]float64, len(gradient))
	if !eigen.Factorize(hessian, true) {
		floats.ScaleTo(step, -1, gradient)
		return step
	}
	var axes mat.Dense
	eigen.VectorsTo(&axes)
	values := eigen.Values(nil)
	largest := math.Max(math.Abs(values[0]), math.Abs(values[len(values)-1]))
	for k, bend := range values {
		axis := mat.Col(nil, k, &axes)
		along := floats.Dot(axis, gradient)
		floats.AddScaled(step, -along/math.Max(math.Abs(bend), 1e-10*largest+1e-300), axis)
	}
	return step
}

// backtrack sets next to a point on the step that saves a share of what is
// promised, and returns its value, or that of here if there is none.
func backtrack(f slope, here []float64, value float64, step, gradient, next []float64) float64 {
	share := 1.0
	for j, s := range step { // short of 0, where symmetry hides the slope
		share = min(share, 0.8*max(1, math.Abs(here[j]))/math.Abs(s))
	}
	along := floats.Dot(step, gradient)
	for range 40 {
		floats.AddScaledTo(next, here, share, step)
		if v := f(next, nil); v <= value+1e-4*share*along {
			return v
		}
		share /= 2
	}
	return value
}

// differenced returns the Hessian by differences of exact gradients. They are
// good to about 1e-4, as good as Newton's method needs them.
func differenced(f slope) func(x, gradient []float64) *mat.SymDense {
	return func(x, gradient []float64) *mat.SymDense {
		moved := slices.Clone(x)
		return symmetric(len(x), func(j int, row []float64) {
			h := 1e-4 * max(0.1, math.Abs(x[j]))
			moved[j] += h
			f(moved, row)
			moved[j] = x[j]
			floats.Sub(row, gradient)
			floats.Scale(1/h, row)
		})
	}
}

// symmetric returns the matrix of k rows that are symmetric but for rounding.
func symmetric(k int, fill func(j int, row []float64)) *mat.SymDense {
	full := mat.NewDense(k, k, nil)
	for j := range k {
		fill(j, full.RawRowView(j))
	}
	sym := mat.NewSymDense(k, nil)
	for i := range k {
		for j := i; j < k; j++ {
			sym.SetSym(i, j, (full.At(i, j)+full.At(j, i))/2)
		}
	}
	return sym
}
