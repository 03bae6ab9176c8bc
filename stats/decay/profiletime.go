package decay

import (
	"fmt"
	"math"
	"slices"
)

// ProfileTimeTo returns what TimeTo does, with the limits of
// Solution.ProfileLimits for the time T of crossing, which takes the place of
// the start among the parameters:
//
//	θ(t) = c + r (T − t)                     linear
//	θ(t) = c + δ (q(t)/q(T) − 1)             else
//
// with c the threshold, δ how far below it the floor is, and q the share of the
// fall that is left. Upper is +Inf if the readings allow a floor as high as the
// threshold, or a time beyond ten times the last reading's and the estimate. A
// start beyond 180° is allowed for on the way.
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
	s := c.Solution
	if c.Start.State == AtBound {
		return 0, 0, fmt.Errorf("the %s is at its bound: %w", c.Start.Name, ErrNotEstimable)
	}
	p, err := s.profile(level)
	if err != nil {
		return 0, 0, err
	}
	settings := c.passingBounds(x.Threshold)
	p.best, p.step = x.Time, x.SE
	p.low, p.high = x.Time*closeBy, farOff*max(c.Last, x.Time)
	p.rest = c.passingValues(x.Threshold)
	before := x.Time
	p.sum = func(time float64, rest []float64) (*Solution, error) {
		model := c.passing(time, x.Threshold)
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
	if lower == p.low {
		lower = 0
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
// within the limits of the sum of squares: curves that get there ever later
// come as close to it as one likes.
func (c *Curve) mayNeverReach(threshold float64, p *profile) bool {
	s := c.Solution
	if c.Shape == LinearShape || c.Floor.State == Fixed {
		return false
	}
	low, high := s.bounds()
	low[floorAt], low[c.startAt()] = threshold, threshold
	settings := Settings{Lower: low, Upper: high}
	solution, _ := leastSquares(s.model, s.points, clamp(s.values(), settings), settings)
	return solution != nil && p.over(solution.RSS) <= 0
}

// farOff is how far a limit is looked for, in multiples of the later of the last
// reading's time and the estimate.
const farOff = 10

// closeBy is the same towards 0, in multiples of the estimate.
const closeBy = 1e-6

// slowed returns parameters of a curve that takes ratio times as long.
func slowed(model Model, parameters []float64, ratio float64) []float64 {
	slowed := slices.Clone(parameters)
	for j, name := range model.Parameters {
		switch name {
		case "tau", "mid", "width":
			slowed[j] *= ratio
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
