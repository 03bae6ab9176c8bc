package decay

import (
	"fmt"
	"math"
	"slices"
)

// ProfileTimeTo returns what TimeTo does, with the limits of
// Solution.ProfileLimits for the time T of crossing: it takes the place of the
// start among the parameters, as
//
//	θ0 = floor + (threshold − floor)/q(T)
//
// with q(T) the share of the fall that is left at T. Upper is +Inf if the
// readings allow a floor as high as the threshold, or times a hundred times as
// long as they themselves or the estimate. A start beyond 180° is allowed for
// on the way.
//
// A curve that does not cross, or whose start is at its bound, is
// ErrNotEstimable, and so is what is in Solution.ProfileLimits.
func (c *Curve) ProfileTimeTo(threshold, level float64) (Crossing, error) {
	x, err := c.TimeTo(threshold, level)
	if err != nil {
		return Crossing{}, err
	}
	if x.Lower, x.Upper, err = c.profileTime(x, level); err != nil {
		return Crossing{}, fmt.Errorf("profile limits of the time to %g degrees: %w", threshold, err)
	}
	return x, nil
}

func (c *Curve) profileTime(x Crossing, level float64) (lower, upper float64, err error) {
	if x.Outcome != Crosses {
		return 0, 0, fmt.Errorf("the curve's outcome is %q: %w", x.Outcome, ErrNotEstimable)
	}
	if c.Start.State == AtBound {
		return 0, 0, fmt.Errorf("the %s is at its bound: %w", c.Start.Name, ErrNotEstimable)
	}
	s := c.Solution
	p, err := s.profile(level)
	if err != nil {
		return 0, 0, err
	}
	at := c.startAt()
	low, high := s.bounds()
	if c.Shape != LinearShape {
		high[floorAt] = min(high[floorAt], math.Nextafter(x.Threshold, 0))
	}
	settings := Settings{Lower: without(low, at), Upper: without(high, at), MaxIterations: followIterations}
	p.best, p.step, p.low, p.high = x.Time, x.SE, 0, farOff*max(c.Last, x.Time)
	p.rest = without(s.values(), at)
	before := x.Time
	p.sum = func(time float64, rest []float64) (*Solution, error) {
		model := through(s.model, at, time, x.Threshold)
		rest = clamp(slowed(model, rest, time/before), settings)
		solution, err := leastSquares(model, s.points, rest, settings)
		if solution != nil {
			before = time
		}
		return solution, err
	}
	if lower, err = p.limit(-1, p.low); err != nil {
		return 0, 0, err
	}
	if c.mayNeverReach(x.Threshold, p) {
		return lower, math.Inf(1), nil
	}
	before = x.Time
	if upper, err = p.limit(1, p.high); upper == p.high {
		upper = math.Inf(1)
	}
	return lower, upper, err
}

// mayNeverReach reports whether a curve that levels off at the threshold is
// within the limits of the sum of squares. Curves that get there ever later
// come as close to it as one likes, but numbers cannot follow them.
func (c *Curve) mayNeverReach(threshold float64, p *profile) bool {
	s := c.Solution
	if c.Shape == LinearShape || c.Floor.State == Fixed {
		return false
	}
	low, high := s.bounds()
	low[floorAt], low[c.startAt()] = threshold, threshold
	settings := Settings{Lower: low, Upper: high, MaxIterations: followIterations}
	solution, _ := leastSquares(s.model, s.points, clamp(s.values(), settings), settings)
	return solution != nil && p.over(solution.RSS) <= 0
}

// farOff is how far a limit is looked for, in multiples of the last reading's
// time or of the estimate.
const farOff = 100

// slowed returns parameters of a curve that takes ratio times as long.
func slowed(model Model, parameters []float64, ratio float64) []float64 {
	slowed := slices.Clone(parameters)
	for j, name := range model.Parameters {
		switch name {
		case "tau", "mid", "width":
			slowed[j] *= ratio
		case "rate":
			slowed[j] /= ratio
		}
	}
	return slowed
}

// clamp moves parameters into their bounds.
func clamp(parameters []float64, settings Settings) []float64 {
	for j, value := range parameters {
		parameters[j] = min(max(value, settings.Lower[j]), settings.Upper[j])
	}
	return parameters
}

// without returns a copy of list that lacks the element at a place.
func without[T any](list []T, at int) []T {
	rest := append([]T{}, list[:at]...)
	return append(rest, list[at+1:]...)
}

// through is a model whose curves all have a value at a time. The parameter at
// a place, which the model must be linear in, is solved for and no longer one.
// With m₀ the value at T while that parameter s is 0 and all derivatives g,
//
//	s = (value − m₀(T))/gₛ(T),  dm(t)/dβⱼ = gⱼ(t) − gₛ(t) gⱼ(T)/gₛ(T)
func through(model Model, at int, time, value float64) Model {
	n := len(model.Parameters)
	β, here, there := make([]float64, n), make([]float64, n), make([]float64, n)
	return Model{
		Parameters: without(model.Parameters, at),
		Eval: func(rest []float64, t float64, gradient []float64) float64 {
			copy(β, rest[:at])
			copy(β[at+1:], rest[at:])
			β[at] = 0
			zero := model.Eval(β, time, there)
			β[at] = (value - zero) / there[at]
			model.Eval(β, time, there)
			m := model.Eval(β, t, here)
			per := here[at] / there[at]
			for j := range gradient {
				k := j
				if j >= at {
					k++
				}
				gradient[j] = here[k] - per*there[k]
			}
			return m
		},
	}
}
