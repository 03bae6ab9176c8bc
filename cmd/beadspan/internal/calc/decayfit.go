package calc

import (
	"errors"
	"fmt"
	"math"

	"beadspan/stats/decay"
)

// newDecayCurve fits the curve of one group, or says why there is none.
func newDecayCurve(points []decay.Point, lines []int, clustered bool, o DecayOptions) (*DecayCurve, error) {
	c := &DecayCurve{lines: lines, N: len(points), Odd: []oddReading{}, Predictions: []prediction{}, Crossings: []decayCrossing{},
		Choice: []shapeChoice{}, Checks: []residualCheck{}, Averaged: []averagedCrossing{}, Notes: []string{}}
	if o.Model != AnyShape {
		c.Model = &o.Model
	}
	if o.Loss != decay.Squares {
		c.Loss = &o.Loss
	}
	var err error
	if o.Start != nil {
		err = c.fitFrom(points, clustered, o)
	} else {
		err = c.fit(points, clustered, o)
	}
	var unsettled *decay.NotConvergedError
	if errors.Is(err, decay.ErrTooFew) || errors.Is(err, decay.ErrFloor) || errors.As(err, &unsettled) {
		c.unknown(err)
		return c, nil
	}
	return c, err
}

// fit fits contact angles.
func (c *DecayCurve) fit(points []decay.Point, clustered bool, o DecayOptions) error {
	options := decay.Options{Shape: o.Model, Floor: o.Floor, Clustered: clustered, Loss: o.Loss}
	fit := func() (*decay.Curve, error) { return decay.Fit(points, options) }
	if o.Model == AnyShape {
		fit = func() (*decay.Curve, error) { return c.choose(points, options, o) }
	}
	curve, err := fit()
	if err != nil {
		return err
	}
	c.Model = &curve.Shape
	c.Falls = &curve.Falls
	c.Notes = append(c.Notes, curve.Notes...)
	for _, threshold := range o.Thresholds {
		x, err := curve.TimeTo(threshold, o.Level)
		if err != nil {
			return err
		}
		crossing := decayCrossing{crossing: newCrossing(x)}
		if o.Profile {
			if crossing.Profile, err = c.profileCrossing(curve, x, o.Level); err != nil {
				return err
			}
		}
		c.Crossings = append(c.Crossings, crossing)
	}
	return c.describe(curve.Solution, points, o)
}

// fitFrom fits values of any kind, from where the options say.
func (c *DecayCurve) fitFrom(points []decay.Point, clustered bool, o DecayOptions) error {
	model := o.Model.Model()
	n := len(model.Parameters)
	start, lower, upper := make([]float64, n), make([]float64, n), make([]float64, n)
	for j, name := range model.Parameters {
		start[j], lower[j], upper[j] = o.Start[name], math.Inf(-1), math.Inf(1)
		if value, held := o.Held[name]; held {
			start[j], lower[j], upper[j] = value, value, value
		}
	}
	solution, err := decay.LeastSquares(model, points, start, decay.Settings{Lower: lower, Upper: upper, Clustered: clustered, Loss: o.Loss})
	if err != nil {
		return err
	}
	return c.describe(solution, points, o)
}

// describe fills what follows from a solution.
func (c *DecayCurve) describe(s *decay.Solution, points []decay.Point, o DecayOptions) error {
	c.Clusters = s.Clusters
	c.LogLik, c.AIC, c.AICc = Number(s.LogLik), Number(s.AIC), Number(s.AICc)
	c.BIC = Number(-2*s.LogLik + float64(s.N-s.DF+1)*math.Log(float64(s.N))) // σ counts
	var err error
	if c.Optimum, err = newOptimum(s, o.Level); err != nil {
		return err
	}
	if o.Profile {
		if err := c.profileParameters(s, o.Level); err != nil {
			return err
		}
	}
	if o.Residuals {
		c.checkResiduals(s)
	}
	c.findOdd(points, s.Trust)
	found, err := s.Predict(o.Times, o.Level)
	if err != nil {
		return err
	}
	for _, p := range found {
		c.Predictions = append(c.Predictions, newPrediction(p))
	}
	return nil
}

// unknown fills the curve where the readings do not tell it.
func (c *DecayCurve) unknown(why error) {
	names, nan := []string{}, Number(math.NaN())
	if c.Model != nil {
		names = c.Model.Model().Parameters
	}
	c.Optimum = unknownOptimum(names)
	c.LogLik, c.AIC, c.BIC, c.AICc = nan, nan, nan, nan
	c.Notes = append(c.Notes, fmt.Sprintf("not estimable: %v", why))
}
