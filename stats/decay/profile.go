package decay

import (
	"fmt"
	"math"
	"slices"
)

// ProfileLimits returns limits of a parameter that follow the bend of the sum
// of squares instead of taking it for a parabola: the values of the parameter,
// on either side of the estimate, at which the lowest sum that the others can
// still reach is
//
//	RSS (1 + t²/DF)
//
// with t the quantile of Student's distribution on DF. In a model that is
// linear in its parameters they are Parameter.Limits. A limit that the readings
// do not give is the parameter's bound, or infinite if it has none.
//
// A parameter that is held, and a solution that is Clustered or of another
// loss than squares, are ErrNotEstimable, as is a sum that cannot be followed;
// a name that the model does not have and a level outside (0, 1) are errors too.
//
// Source: Bates and Watts, Nonlinear Regression Analysis and Its Applications
// (1988) section 6.1.
func (s *Solution) ProfileLimits(parameter string, level float64) (lower, upper float64, err error) {
	lower, upper, err = s.profileLimits(parameter, level)
	if err != nil {
		return math.NaN(), math.NaN(), fmt.Errorf("profile limits of %s: %w", parameter, err)
	}
	return lower, upper, nil
}

func (s *Solution) profileLimits(parameter string, level float64) (lower, upper float64, err error) {
	j := slices.Index(s.model.Parameters, parameter)
	if j < 0 {
		return 0, 0, fmt.Errorf("the model has parameters %v", s.model.Parameters)
	}
	p, err := s.profile(level)
	if err != nil {
		return 0, 0, err
	}
	low, high := s.bounds()
	if low[j] == high[j] {
		return 0, 0, fmt.Errorf("it is held at %g: %w", low[j], ErrNotEstimable)
	}
	p.best, p.step = s.Parameters[j].Value, s.Parameters[j].SE
	p.low, p.high = low[j], high[j]
	p.rest = s.values()
	p.sum = func(value float64, rest []float64) (*Solution, error) {
		low, high := slices.Clone(low), slices.Clone(high)
		low[j], high[j] = value, value
		rest = slices.Clone(rest)
		rest[j] = value
		return leastSquares(s.model, s.points, rest, Settings{Lower: low, Upper: high})
	}
	return p.limits()
}

// values returns the estimates.
func (s *Solution) values() []float64 {
	values := make([]float64, len(s.Parameters))
	for j, p := range s.Parameters {
		values[j] = p.Value
	}
	return values
}

// bounds returns a copy of those that the search kept to.
func (s *Solution) bounds() (lower, upper []float64) {
	p := len(s.Parameters)
	lower, upper = slices.Clone(s.settings.Lower), slices.Clone(s.settings.Upper)
	if lower == nil {
		lower = slices.Repeat([]float64{math.Inf(-1)}, p)
	}
	if upper == nil {
		upper = slices.Repeat([]float64{math.Inf(1)}, p)
	}
	return lower, upper
}

// profile follows the lowest sum of squares along one quantity.
type profile struct {
	best, step float64 // its estimate and standard error, which may be NaN
	low, high  float64 // its bounds
	rest       []float64

	// sum is the search with the quantity at a value, from the rest of the
	// parameters of another such search.
	sum func(value float64, rest []float64) (*Solution, error)

	rss, scale float64 // lowest sum of all, and its residual SD
	t          float64 // where the limits are, in profile t
}

// profile begins one, or tells why there is none.
func (s *Solution) profile(level float64) (*profile, error) {
	if err := checkLevel(level); err != nil {
		return nil, err
	}
	switch {
	case s.Loss != Squares:
		return nil, fmt.Errorf("the loss %s has no likelihood: %w", s.Loss, ErrNotEstimable)
	case s.Clusters > 0:
		return nil, fmt.Errorf("readings of one cluster are not independent: %w", ErrNotEstimable)
	case s.ResidualSD == 0:
		return nil, fmt.Errorf("the curve goes through every point: %w", ErrNotEstimable)
	}
	return &profile{rss: s.RSS, scale: s.ResidualSD, t: studentQuantile(level, float64(s.DF))}, nil
}

// over is the profile t of a sum of squares, √(RSS(value) − RSS)/s, less what it is at the limit.
func (p *profile) over(rss float64) float64 {
	return math.Sqrt(max(0, rss-p.rss))/p.scale - p.t
}

// limits returns the ends on both sides.
func (p *profile) limits() (lower, upper float64, err error) {
	if lower, err = p.limit(-1, p.low); err != nil {
		return 0, 0, err
	}
	upper, err = p.limit(1, p.high)
	return lower, upper, err
}

// reached is a value of the quantity with how far over the limit it is.
type reached struct{ value, over float64 }

// limit returns the end on one side: the bound if the sum stays low as far as
// that.
func (p *profile) limit(side, bound float64) (float64, error) {
	step := p.step * p.t
	if !finite(step) || step == 0 {
		step = max(math.Abs(p.best)/10, 1e-6)
	}
	rest := p.rest
	at := func(value float64) (reached, error) {
		solution, err := p.sum(value, rest)
		if solution == nil {
			return reached{}, fmt.Errorf("the sum of squares cannot be followed to %g (%w): %w", value, err, ErrNotEstimable)
		}
		rest = solution.values()
		r := reached{value, p.over(solution.RSS)}
		if err != nil && r.over >= 0 {
			// The search did not settle, so the sum may be lower than it found.
			return reached{}, fmt.Errorf("the sum of squares cannot be followed to %g: %w", value, ErrNotEstimable)
		}
		return r, nil
	}
	inside, patience := reached{p.best, -p.t}, 8
	for range 60 {
		value := inside.value + side*step
		if side*(value-bound) >= 0 {
			value = bound
		}
		if value == inside.value || math.IsInf(value, 0) {
			return bound, nil
		}
		outside, err := at(value)
		switch {
		case err != nil && patience > 0:
			// From nearer by, the search may find its way.
			step, patience = step/4, patience-1
			continue
		case err != nil:
			return 0, err
		case outside.over >= 0:
			return between(inside, outside, at)
		case value == bound:
			return bound, nil
		}
		inside, step = outside, 2*step
	}
	return bound, nil
}

// between narrows down where the profile t passes the limit, by false position
// with an end that stays counting for less each time (the Illinois method).
func between(inside, outside reached, at func(float64) (reached, error)) (float64, error) {
	a, b := inside, outside
	stayed := 0.0 // the sign of the end that the last step left
	for range 100 {
		next, err := at(b.value - (b.value-a.value)*b.over/(b.over-a.over))
		if err != nil {
			return 0, err
		}
		moved := math.Abs(next.value - b.value)
		if next.over < 0 {
			moved = math.Abs(next.value - a.value)
		}
		if math.Abs(next.over) <= 1e-10 || moved <= 1e-10*math.Abs(next.value) {
			return next.value, nil
		}
		if next.over >= 0 {
			if b = next; stayed < 0 {
				a.over /= 2
			}
			stayed = -1
		} else {
			if a = next; stayed > 0 {
				b.over /= 2
			}
			stayed = 1
		}
	}
	return b.value, nil
}
