package decay

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// State says what is known of a parameter.
type State string

// Only an Estimated parameter has a standard error and limits.
const (
	Estimated    State = "estimated"
	Fixed        State = "fixed"        // given, not estimated
	AtBound      State = "at its bound" // the readings pull it further than it may go
	Undetermined State = "undetermined" // the readings do not tell it, or not apart from another
	Absent       State = "absent"       // the shape of the curve has no such parameter
)

// Parameter is one parameter of a fitted curve.
type Parameter struct {
	Name  string
	Value float64
	SE    float64 // NaN unless Estimated
	State State

	df float64 // of the t distribution of its limits
}

// ErrNotEstimable means that the readings give no limits for what was asked.
var ErrNotEstimable = errors.New("not estimable")

// Limits returns the confidence limits Value ± t·SE, with t the quantile of
// Student's distribution on the residual degrees of freedom, or on clusters
// − 1 if Clustered was asked for. They may lie where the parameter cannot,
// such as a floor below 0°.
//
// A parameter that is not Estimated is ErrNotEstimable; a level outside (0, 1)
// is an error too.
func (p Parameter) Limits(level float64) (lower, upper float64, err error) {
	if err := checkLevel(level); err != nil {
		return math.NaN(), math.NaN(), err
	}
	if p.State != Estimated {
		return math.NaN(), math.NaN(), fmt.Errorf("limits of %s, which is %s: %w", p.Name, p.State, ErrNotEstimable)
	}
	reach := studentQuantile(level, p.df) * p.SE
	return p.Value - reach, p.Value + reach, nil
}

// Prediction is a fitted curve at one time.
type Prediction struct {
	Time, Value, SE float64

	// Lower and Upper are confidence limits of the curve, the mean of many
	// readings.
	Lower, Upper float64

	// NewLower and NewUpper are limits for one new reading of weight 1.
	NewLower, NewUpper float64
}

// Predict returns the curve at each of times, in their order, with limits at
// the given confidence level for that time alone:
//
//	m ± t SE             for the curve, SE² = gᵀ V g with g = ∂m/∂β
//	m ± t √(s² + SE²)    for a new reading
//
// V is the Covariance, and t is as in Parameter.Limits. Limits are not cut off
// at what a value can be. Without a Covariance, SE and limits are NaN.
//
// A time that is not finite, or where the model has no value, and a level
// outside (0, 1) are errors.
func (s *Solution) Predict(times []float64, level float64) ([]Prediction, error) {
	if err := checkLevel(level); err != nil {
		return nil, err
	}
	t := studentQuantile(level, s.limitDF())
	list := make([]Prediction, len(times))
	for i, time := range times {
		value, se := s.at(time)
		if !finite(time) || !finite(value) {
			return nil, fmt.Errorf("predict: the curve has no value at time %g", time)
		}
		reach, newReach := t*se, t*math.Hypot(s.ResidualSD, se)
		list[i] = Prediction{time, value, se, value - reach, value + reach, value - newReach, value + newReach}
	}
	return list, nil
}

// Predict is Solution.Predict of the fitted curve, in degrees.
func (c *Curve) Predict(times []float64, level float64) ([]Prediction, error) {
	return c.Solution.Predict(times, level)
}

// at returns the curve at a time, and its standard error or NaN.
func (s *Solution) at(time float64) (value, se float64) {
	p := len(s.Parameters)
	β, gradient := make([]float64, p), make([]float64, p)
	for j, parameter := range s.Parameters {
		β[j] = parameter.Value
	}
	value = s.model.Eval(β, time, gradient)
	if s.Covariance == nil {
		return value, math.NaN()
	}
	g := mat.NewVecDense(p, gradient)
	return value, math.Sqrt(max(0, mat.Inner(g, s.Covariance, g)))
}

func (s *Solution) limitDF() float64 {
	if s.Clusters > 0 {
		return float64(s.Clusters - 1)
	}
	return float64(s.DF)
}

func checkLevel(level float64) error {
	if !(level > 0 && level < 1) {
		return fmt.Errorf("confidence level %g is not between 0 and 1", level)
	}
	return nil
}

// studentQuantile is the t that ±t encloses level of Student's distribution.
func studentQuantile(level, df float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile((1 + level) / 2)
}
