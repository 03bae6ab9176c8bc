package calc

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"beadspan/stats/decay"
	"beadspan/stats/decay/mixed"
)

// start gives each parameter a value to search from: the one that is held or
// was given, else that of the one curve through all readings.
func (p *mixedPlan) start() ([]float64, error) {
	start, open := make([]float64, len(p.shape.Parameters)), false
	for at, name := range p.shape.Parameters {
		given, known := p.options.Start[name]
		if held := p.held(at); held != nil {
			given, known = *held, true
		}
		start[at], open = given, open || !known
	}
	if !open {
		return start, nil
	}
	found, err := p.together()
	if err != nil {
		return nil, err
	}
	for at, name := range p.shape.Parameters {
		if _, given := p.options.Start[name]; !given && p.held(at) == nil {
			start[at] = found[at]
		}
	}
	return start, nil
}

// together finds the one curve through all readings.
func (p *mixedPlan) together() ([]float64, error) {
	if p.options.Model == decay.LinearShape {
		fit, err := decay.LeastSquares(p.shape.Model, p.Points, []float64{0, 0}, decay.Settings{})
		if err != nil {
			return nil, err
		}
		return values(fit), nil
	}
	curve, err := decay.Fit(p.Points, decay.Options{Shape: p.options.Model, Floor: p.held(slices.Index(p.shape.Parameters, "floor"))})
	var unusable *decay.PointError
	switch {
	case errors.As(err, &unusable):
		return nil, fmt.Errorf("row %d: %s; to fit what is no angle, give --start a value of each parameter: %s",
			p.Lines[unusable.Index], unusable.Problem, strings.Join(p.shape.Parameters, ", "))
	case err != nil:
		return nil, err
	case !curve.Falls:
		return nil, fmt.Errorf("all readings together show no fall, so the curve is %w: --start may help", mixed.ErrNotIdentified)
	}
	return values(curve.Solution), nil
}

// values are those of all parameters.
func values(of *decay.Solution) []float64 {
	values := make([]float64, len(of.Parameters))
	for i, p := range of.Parameters {
		values[i] = p.Value
	}
	return values
}
