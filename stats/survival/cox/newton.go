package cox

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// ErrNoConvergence is returned where the maximum of the likelihood was not
// found, for lack of digits.
var ErrNoConvergence = errors.New("the likelihood's maximum was not found")

const (
	maxSteps    = 100
	maxHalvings = 40
	// converged is the gain in log-likelihood, doubled, that is left to be
	// expected: coefficients are then within 1e-9 of a standard error.
	converged = 1e-18
	// rounded is what may be left where it no longer halves at each step, the
	// score being nothing but rounding.
	rounded = 1e-14
	// flat is what is left where it is time to ask whether coefficients run off:
	// each step then gains a third of what the one before did and never
	// becomes short.
	flat = 1e-10
	// long is a step's reach, the range of what it adds to linear predictors,
	// that no step near a maximum has; longest is as far as one step may go.
	long, longest = 0.1, 20
)

// climb is a search for the maximum.
type climb struct {
	path []float64 // the log-likelihood at each point, the start included
	end  *point
	// away is the direction in which coefficients run off to infinity, nil if
	// there is a maximum.
	away []float64
}

// climb goes from a point to the maximum by Newton's method. A step that
// would lower the likelihood is halved until it does not.
func (l *likelihood) climb(from *point) (*climb, error) {
	c := &climb{path: []float64{from.logLik}, end: from}
	before := math.Inf(1) // what the step before promised
	for range maxSteps {
		step, gain, err := newtonStep(c.end, l.q)
		if err != nil {
			return nil, fmt.Errorf("%w after %d steps: %w", ErrNoConvergence, len(c.path)-1, err)
		}
		if gain <= converged || (gain <= rounded && gain > before/2) {
			return c, nil
		}
		if gain <= flat && l.reach(step) > long && l.separates(step) {
			c.away = step
			return c, nil
		}
		if c.end, err = l.follow(c.end, step, gain); err != nil {
			return nil, err
		}
		c.path = append(c.path, c.end.logLik)
		before = gain
	}
	return nil, fmt.Errorf("%w in %d steps", ErrNoConvergence, maxSteps)
}

// newtonStep solves for the step; gain is twice what it promises.
func newtonStep(p *point, q int) (step []float64, gain float64, err error) {
	if q == 0 {
		return nil, 0, nil
	}
	var inverse mat.Cholesky
	if !inverse.Factorize(symmetric(p.information, q)) {
		return nil, 0, errors.New("the information is singular")
	}
	step = make([]float64, q)
	if err := inverse.SolveVecTo(mat.NewVecDense(q, step), mat.NewVecDense(q, p.score)); err != nil {
		return nil, 0, err
	}
	for j, u := range p.score {
		gain += u * step[j]
	}
	return step, gain, nil
}

// follow takes the step, or a half, a quarter, … of it. It is an *OutlierError
// where the way up leads to where hazards no longer fit into floats.
func (l *likelihood) follow(from *point, step []float64, gain float64) (*point, error) {
	// Where a step promises less than rounding takes, the sum that is ℓ cannot
	// tell up from down.
	rounding := 1e-13 * (math.Abs(from.logLik) + float64(len(l.moments)))
	factor := min(1, longest/l.reach(step))
	outside := false
	for range maxHalvings {
		beta := make([]float64, l.q)
		for j := range beta {
			beta[j] = from.beta[j] + factor*step[j]
		}
		to := l.at(beta)
		risen := to.logLik - from.logLik
		outside = outside || !finite(risen)
		if finite(risen) && (risen >= 0 || gain < rounding && risen >= -rounding) {
			return to, nil
		}
		factor /= 2
	}
	if outside {
		return nil, l.outlier(from.beta)
	}
	return nil, fmt.Errorf("%w: no step raises it", ErrNoConvergence)
}

// reach is the range of what a direction adds to the linear predictors of a
// stratum, the widest there is.
func (l *likelihood) reach(direction []float64) float64 {
	widest := 0.0
	for _, g := range l.strata {
		least, most := math.Inf(1), math.Inf(-1)
		for k := g.firstRow; k < g.afterRow; k++ {
			p := dot(direction, l.zOf(k))
			least, most = min(least, p), max(most, p)
		}
		widest = max(widest, most-least)
	}
	return widest
}

// symmetric makes a matrix of its lower triangle.
func symmetric(triangle []float64, q int) *mat.SymDense {
	if q == 0 {
		return &mat.SymDense{}
	}
	m, i := mat.NewSymDense(q, nil), 0
	for a := range q {
		for b := range a + 1 {
			m.SetSym(a, b, triangle[i])
			i++
		}
	}
	return m
}
