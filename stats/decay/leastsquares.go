package decay

import (
	"fmt"
	"math"
	"slices"
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
}

// Stop says why a search ended.
type Stop string

// The first three are convergence, the last two are not.
const (
	StopOffset     Stop = "the residuals are at right angles to the curve's tangents"
	StopRounding   Stop = "rounding hides any further improvement"
	StopExact      Stop = "the curve goes through every point"
	StopIterations Stop = "the limit of iterations was reached"
	StopStuck      Stop = "no step improves the fit"
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
// goes through every point: to rounding, or at the limit of iterations to 1e-9
// of the values. It finds a minimum near
// start, which need not be the lowest. Points are not modified, and their
// order matters only to rounding.
//
// A bad point is a *PointError; fewer points than free parameters + 1, or
// fewer than 2 clusters if Clustered, is ErrTooFew; a search that does not
// settle is a *NotConvergedError; a start outside the bounds, or where the
// model has no value, is an error too. It panics if the lengths of start or
// bounds are not the model's number of parameters.
//
// Sources: Moré, The Levenberg–Marquardt algorithm, in Watson (ed.), Numerical
// Analysis (1978) 105–116; Bates and Watts, Technometrics 23 (1981) 179–183,
// for the offset as criterion.
func LeastSquares(model Model, points []Point, start []float64, settings Settings) (*Solution, error) {
	if err := checkPoints(points); err != nil {
		return nil, fmt.Errorf("least squares: %w", err)
	}
	s := newSearch(model, points, settings)
	if err := s.checkStart(start); err != nil {
		return nil, fmt.Errorf("least squares: %w", err)
	}
	if err := s.run(start); err != nil {
		return nil, fmt.Errorf("least squares: %w", err)
	}
	solution, err := s.solution()
	if err != nil {
		return nil, fmt.Errorf("least squares: %w", err)
	}
	return solution, nil
}

const (
	offsetEnough = 1e-10 // converged
	firstRadius  = 1     // trust region at the start, in lengths of β
)

// search is the state of one minimisation.
type search struct {
	model        Model
	points       []Point
	settings     Settings
	lower, upper []float64
	scale        []float64 // of each parameter: the largest |∂m/∂βⱼ| seen
	here, next   *tangent
	solver       *stepSolver
	iterations   int
	stop         Stop
}

func newSearch(model Model, points []Point, settings Settings) *search {
	p := len(model.Parameters)
	s := &search{
		model: model, points: points, settings: settings,
		lower: settings.Lower, upper: settings.Upper,
		scale: make([]float64, p), solver: newStepSolver(p),
		here: newTangent(len(points), p), next: newTangent(len(points), p),
	}
	if s.lower == nil {
		s.lower = slices.Repeat([]float64{math.Inf(-1)}, p)
	}
	if s.upper == nil {
		s.upper = slices.Repeat([]float64{math.Inf(1)}, p)
	}
	if s.settings.MaxIterations == 0 {
		s.settings.MaxIterations = 1000
	}
	if len(s.lower) != p || len(s.upper) != p {
		panic(fmt.Sprintf("decay: %d lower and %d upper bounds for %d parameters", len(s.lower), len(s.upper), p))
	}
	return s
}

func (s *search) checkStart(start []float64) error {
	if len(start) != len(s.scale) {
		panic(fmt.Sprintf("decay: %d start values for %d parameters", len(start), len(s.scale)))
	}
	estimated := 0
	for j, b := range start {
		if !(s.lower[j] <= b && b <= s.upper[j]) || !finite(b) {
			return fmt.Errorf("start value %g of %s is not within %g to %g",
				b, s.model.Parameters[j], s.lower[j], s.upper[j])
		}
		if !s.held(j) {
			estimated++
		}
	}
	if len(s.points) <= estimated {
		return fmt.Errorf("%d points for %d parameters: %w", len(s.points), estimated, ErrTooFew)
	}
	return nil
}

// held reports whether parameter j is given rather than estimated.
func (s *search) held(j int) bool { return s.lower[j] == s.upper[j] }

// run moves s.here to a minimum. The radius of the trust region is doubled
// after a step that the linear model foresaw well and quartered after one that
// it did not.
func (s *search) run(start []float64) error {
	copy(s.here.β, start)
	if !s.evaluate(s.here) {
		return fmt.Errorf("the model has no finite value at the start %g", start)
	}
	s.settle(s.here)
	radius := firstRadius * s.length(s.here.β)
	if radius == 0 {
		radius = firstRadius
	}
	for ; s.iterations < s.settings.MaxIterations; s.iterations++ {
		if s.here.exact() {
			return s.end(StopExact)
		}
		if s.here.offset <= offsetEnough {
			return s.end(StopOffset)
		}
		if radius <= 1e-16*s.length(s.here.β) {
			return s.end(StopStuck)
		}
		free := len(s.here.free)
		length, foreseen := s.move(s.within(radius))
		if len(s.here.free) < free && foreseen <= s.here.unsure() {
			// Nothing to gain along the bounds, so away from them: a shorter
			// step is steeper and turns there.
			radius /= 4
			s.project(s.here)
			continue
		}
		if length == 0 {
			return s.end(StopRounding)
		}
		if !s.evaluate(s.next) {
			radius = length / 10
			continue
		}
		gain := 1 - s.next.rss/s.here.rss
		better := foreseen > 0 && gain >= 1e-4*foreseen
		switch {
		case len(s.here.free) == free && s.here.settled() && math.Abs(gain) < s.here.unsure():
			// Rounding hides whether the sum fell, but the offset, which is
			// linear in the distance to the minimum, still tells.
			s.project(s.next)
			if better = s.next.offset < 0.9*s.here.offset; !better {
				return s.end(StopRounding)
			}
		case !better && foreseen <= s.here.unsure():
			return s.end(StopRounding)
		case !better || gain < foreseen/4:
			radius = length / 4
		case gain > foreseen*3/4:
			radius = max(radius, 2*length)
		}
		if better {
			s.here, s.next = s.next, s.here
			s.settle(s.here)
		} else {
			s.project(s.here) // within may have pinned parameters
		}
	}
	if s.here.nearlyExact(s.points) {
		return s.end(StopExact)
	}
	return s.end(StopIterations)
}

// end records why the search ended.
func (s *search) end(why Stop) error {
	s.stop = why
	if why == StopIterations || why == StopStuck {
		return &NotConvergedError{s.stop, s.iterations, s.here.offset, slices.Clone(s.here.β)}
	}
	return nil
}

// within returns the best step within radius, in scaled units of the free
// parameters. A parameter at a bound that this step would cross, although the
// sum by itself falls the other way, is pinned there and the step found anew.
func (s *search) within(radius float64) []float64 {
	for {
		step := s.solver.step(s.here, radius)
		free := s.here.free[:0]
		for k, j := range s.here.free {
			if s.room(j, step[k]) > 0 {
				free = append(free, j)
			}
		}
		if len(free) == len(step) {
			return step
		}
		s.here.free = free
		s.here.decompose(s.scale)
	}
}

// move sets s.next.β to the end of a step, or to where it meets the first
// bound: so shortened it still leads downwards. It returns the scaled length
// of the way and the share of the sum that the linear model expects it to
// save.
func (s *search) move(step []float64) (length, foreseen float64) {
	share, meets := 1.0, -1
	for k, j := range s.here.free {
		way := math.Abs(step[k]) / s.scale[j]
		if room := s.room(j, step[k]); way*share > room {
			share, meets = room/way, j
		}
	}
	copy(s.next.β, s.here.β)
	for k, j := range s.here.free {
		to := s.here.β[j] + share*step[k]/s.scale[j]
		if j == meets {
			to = math.Copysign(math.Inf(1), step[k])
		}
		s.next.β[j] = snap(to, s.lower[j], s.upper[j])
		step[k] = (s.next.β[j] - s.here.β[j]) * s.scale[j]
		length = math.Hypot(length, step[k])
	}
	return length, s.here.foresee(step)
}

// snap returns x within its bounds, and on one that is nearer than rounding
// lets a search come.
func snap(x, lower, upper float64) float64 {
	const near = 1e-12
	switch {
	case x <= lower+near*math.Abs(lower):
		return lower
	case x >= upper-near*math.Abs(upper):
		return upper
	}
	return x
}

// room is how far parameter j can go in the direction of a step.
func (s *search) room(j int, step float64) float64 {
	switch {
	case step < 0:
		return s.here.β[j] - s.lower[j]
	case step > 0:
		return s.upper[j] - s.here.β[j]
	}
	return math.Inf(1)
}

// length is the norm of β in the scale of the trust region.
func (s *search) length(β []float64) float64 {
	sum := 0.0
	for j, b := range β {
		sum = math.Hypot(sum, b*s.scale[j])
	}
	return sum
}
