package decay

import (
	"errors"
	"fmt"
)

// Settings bounds a search. Its zero value leaves the parameters free.
type Settings struct {
	// Lower and Upper bound each parameter; nil means no bounds. A parameter
	// whose bounds are equal is held at that value and not estimated.
	Lower, Upper []float64

	// MaxIterations ends a search that does not settle; 0 means 1000.
	MaxIterations int

	// Clustered takes the covariance from the scatter between clusters.
	Clustered bool

	// Loss limits the pull of odd points; its zero value is least squares.
	Loss Loss

	straight bool // go by the loss from the start on, without squares before
}

// Stop says why a search ended.
type Stop string

// The last three are no convergence, the others are; those of "trust" and
// "most points" end a fit by another loss than squares.
const (
	StopOffset     Stop = "the residuals are at right angles to the curve's tangents"
	StopRounding   Stop = "rounding hides any further improvement"
	StopExact      Stop = "the curve goes through every point"
	StopSettled    Stop = "the trust in the points has settled"
	StopMostExact  Stop = "the curve goes through most points"
	StopIterations Stop = "the limit of iterations was reached"
	StopStuck      Stop = "no step improves the fit"
	StopUnsettled  Stop = "the trust in the points does not settle"
)

// NotConvergedError is a search that ended away from a minimum.
type NotConvergedError struct {
	Stop       Stop
	Iterations int
	Offset     float64   // as in Solution
	Parameters []float64 // where it ended
}

// Error says how the search ended and where.
func (e *NotConvergedError) Error() string {
	return fmt.Sprintf("no minimum found in %d iterations: %s, at %g", e.Iterations, e.Stop, e.Parameters)
}

// LeastSquares estimates the parameters of model as those that minimise
//
//	RSS(β) = ∑ wᵢ (yᵢ − m(tᵢ; β))²
//
// within the bounds of settings, by the Levenberg–Marquardt method: each step
// minimises the linearised sum within a trust region that is scaled by the
// largest derivative seen of each parameter. A step over a bound ends at it;
// there a parameter rests while the sum falls towards the outside.
//
// The search has converged when the relative offset (see Solution) is below
// 1e-10, when rounding hides how the sum could still fall, or when the curve
// goes through every point: to rounding, or at the limit of iterations to 1e-6
// of the values. It finds a minimum near start, which need not be the lowest.
// Points are not modified, and their order matters only to rounding.
//
// With another Loss the parameters are then moved to where
//
//	∑ √wᵢ ψ(rᵢ/s) ∂m(tᵢ)/∂βⱼ = 0,  rᵢ = √wᵢ (yᵢ − m(tᵢ; β))
//
// by least squares with weights wᵢ ψ(u)/u, u = rᵢ/s, until no r changes by more
// than 1e-9 s; s = median |r| / 0.6745 is taken anew in each of
// the first 200 rounds. If the curve
// goes through more than half of the points, so that s is 0, it stays there,
// with no limits. The loss guards against odd values, not against odd times.
//
// A bad point is a *PointError; fewer points than free parameters + 1, or
// fewer than 2 clusters if Clustered, is ErrTooFew; a search that does not
// settle is a *NotConvergedError; a start outside the bounds, or where the
// model has no value, and an unknown loss are errors too. It panics if the lengths of start or
// bounds are not the model's number of parameters.
//
// Sources: Moré, The Levenberg–Marquardt algorithm, in Watson (ed.), Numerical
// Analysis (1978) 105–116; Bates and Watts, Technometrics 23 (1981) 179–183,
// for the offset as criterion; Venables and Ripley, Modern Applied Statistics
// with S, 4th ed. (2002) section 6.5, for the loss.
func LeastSquares(model Model, points []Point, start []float64, settings Settings) (*Solution, error) {
	solution, err := leastSquares(model, points, start, settings)
	if err != nil {
		return nil, fmt.Errorf("least squares: %w", err)
	}
	return solution, nil
}

// leastSquares returns a *NotConvergedError together with the place where the
// search ended, about whose parameters nothing is known.
func leastSquares(model Model, points []Point, start []float64, settings Settings) (*Solution, error) {
	if err := checkPoints(points); err != nil {
		return nil, err
	}
	if err := settings.Loss.check(); err != nil {
		return nil, err
	}
	s := newSearch(model, points, settings)
	if err := s.checkStart(start); err != nil {
		return nil, err
	}
	err := s.begin(start)
	if err == nil && !settings.straight {
		err = s.run()
	}
	if err == nil && settings.Loss != Squares {
		err = s.reweigh()
	}
	var unsettled *NotConvergedError
	if err != nil && !errors.As(err, &unsettled) {
		return nil, err
	}
	solution, fault := s.solution()
	if fault != nil {
		return nil, fault
	}
	if unsettled != nil {
		solution.forget()
	}
	return solution, err
}
