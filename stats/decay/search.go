package decay

import (
	"fmt"
	"math"
	"slices"
)

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

	trust  []float64 // share of its weight that each point keeps; nil if all do
	spread float64   // scale of the residuals under a loss other than squares
}

func newSearch(model Model, points []Point, settings Settings) *search {
	n, p := len(points), len(model.Parameters)
	room := make(room, p+stepSolverRoom(p)+2*tangentRoom(n, p))
	s := &search{
		model: model, points: points, settings: settings,
		lower: settings.Lower, upper: settings.Upper,
		scale: room.take(p), solver: newStepSolver(&room, p),
		here: newTangent(&room, n, p), next: newTangent(&room, n, p),
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

// room is memory that is taken piece by piece: small searches are many, and ask
// for it once each.
type room []float64

func (r *room) take(n int) []float64 {
	taken := (*r)[:n:n]
	*r = (*r)[n:]
	return taken
}

func (s *search) checkStart(start []float64) error {
	if len(start) != len(s.scale) {
		panic(fmt.Sprintf("decay: %d start values for %d parameters", len(start), len(s.scale)))
	}
	for j, b := range start {
		if !(s.lower[j] <= b && b <= s.upper[j]) || !finite(b) {
			return fmt.Errorf("start value %g of %s is not within %g to %g",
				b, s.model.Parameters[j], s.lower[j], s.upper[j])
		}
	}
	if estimated := s.estimated(); len(s.points) <= estimated {
		return fmt.Errorf("%d points for %d parameters: %w", len(s.points), estimated, ErrTooFew)
	}
	return nil
}

// held reports whether parameter j is given rather than estimated.
func (s *search) held(j int) bool { return s.lower[j] == s.upper[j] }

// begin puts s.here at the start.
func (s *search) begin(start []float64) error {
	copy(s.here.β, start)
	if !s.evaluate(s.here) {
		return fmt.Errorf("the model has no finite value at the start %g", start)
	}
	s.settle(s.here)
	return nil
}

// run moves s.here to a minimum.
func (s *search) run() error {
	radius := firstRadius * s.length(s.here.β)
	if radius == 0 {
		radius = firstRadius
	}
	for ; s.iterations < s.settings.MaxIterations; s.iterations++ {
		switch {
		case s.here.exact():
			return s.end(StopExact)
		case s.here.offset <= offsetEnough:
			return s.end(StopOffset)
		case radius <= 1e-16*s.length(s.here.β):
			return s.end(StopStuck)
		}
		verdict := s.try(radius)
		if verdict.stop {
			return s.end(StopRounding)
		}
		radius = verdict.radius
		if verdict.better {
			s.here, s.next = s.next, s.here
			s.settle(s.here)
		} else {
			s.project(s.here) // the attempt may have pinned parameters
		}
	}
	if s.here.nearlyExact(s.points) {
		return s.end(StopExact)
	}
	return s.end(StopIterations)
}

// verdict is what an attempt to step has shown.
type verdict struct {
	better bool    // s.next is the place to go on from
	radius float64 // of the next attempt
	stop   bool    // rounding hides any improvement that there may be
}

// try evaluates the best step within a radius. The radius is doubled after a
// step that the linear model foresaw well, and quartered after one that it did
// not.
func (s *search) try(radius float64) verdict {
	length, foreseen, cut := s.move(s.within(radius))
	if length == 0 {
		return verdict{stop: true}
	}
	if !s.evaluate(s.next) {
		return verdict{radius: length / 10}
	}
	gain, unsure := 1-s.next.rss/s.here.rss, s.here.unsure()
	better := foreseen > 0 && gain >= 1e-4*foreseen
	switch {
	case cut && foreseen <= unsure && gain >= -unsure:
		return verdict{better: true, radius: radius} // arriving at the bound is what matters
	case s.here.settled() && math.Abs(gain) < unsure:
		// Rounding hides whether the sum fell, but the offset, which is
		// linear in the distance to the minimum, still tells.
		s.project(s.next)
		better = s.next.offset < 0.9*s.here.offset
		return verdict{better: better, radius: radius, stop: !better}
	case !better && foreseen <= unsure:
		return verdict{stop: true}
	case !better || gain < foreseen/4:
		radius = length / 4
	case gain > foreseen*3/4:
		radius = max(radius, 2*length)
	}
	return verdict{better: better, radius: radius}
}

// end records why the search ended.
func (s *search) end(why Stop) error {
	s.stop = why
	if why == StopIterations || why == StopStuck || why == StopUnsettled {
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
// bound: so cut it still leads downwards. It returns the scaled length of the
// way and the share of the sum that the linear model expects it to save.
func (s *search) move(step []float64) (length, foreseen float64, cut bool) {
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
		s.next.β[j] = min(max(to, s.lower[j]), s.upper[j])
		step[k] = (s.next.β[j] - s.here.β[j]) * s.scale[j]
		length = math.Hypot(length, step[k])
	}
	return length, s.here.foresee(step), meets >= 0
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
