package calc

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

	"beadspan/stats/decay"
)

// DecayOptions say what is wanted of falling curves.
type DecayOptions struct {
	Level      float64
	Model      decay.Shape // or AnyShape
	Loss       decay.Loss
	Floor      *float64           // held there; nil: estimated
	Start      map[string]float64 // search from here instead, for values of any kind; of all parameters that aren't held
	Held       map[string]float64 // with Start
	Profile    bool               // also limits from the profile of the sum of squares
	Times      []float64          // at which values are wanted
	Thresholds []float64          // that the curve comes down to; not with Start
}

// AnyShape asks for the shape of least AICc.
const AnyShape decay.Shape = "auto"

// Check refuses names that are none of the curve's parameters, and a start that
// is not complete. Decay takes options that pass.
func (o DecayOptions) Check() error {
	if o.Model == AnyShape {
		return nil
	}
	names := o.Model.Model().Parameters
	if err := knownNames(o.Model, names, slices.Sorted(maps.Keys(o.Start)), slices.Sorted(maps.Keys(o.Held))); err != nil || o.Start == nil {
		return err
	}
	for _, name := range names {
		_, given := o.Start[name]
		if _, held := o.Held[name]; !given && !held {
			return fmt.Errorf("give --start a value of each parameter that is not held: %s is missing", name)
		}
	}
	return nil
}

// DecayResult is a curve for each group.
type DecayResult struct {
	Source
	Level  float64      `json:"conf_level"`
	Groups []DecayCurve `json:"groups"`

	groupColumns string
}

// DecayCurve is the curve through the readings of one group.
type DecayCurve struct {
	Group    *string      `json:"group"`
	Model    *decay.Shape `json:"model"`
	Loss     *decay.Loss  `json:"robust"`
	N        int          `json:"n"`
	Clusters int          `json:"clusters"`
	Falls    *bool        `json:"falls"`
	Optimum  optimum      `json:"refined"`
	LogLik   Number       `json:"loglik"`
	AIC      Number       `json:"aic"`
	BIC      Number       `json:"bic"`
	AICc     Number       `json:"aicc"`

	Predictions []prediction       `json:"predictions"`
	Crossings   []decayCrossing    `json:"time_to_threshold"`
	Odd         []oddReading       `json:"odd_readings"`
	Choice      []shapeChoice      `json:"choice"`
	Averaged    []averagedCrossing `json:"averaged_time_to_threshold"`
	Notes       []string           `json:"notes"`

	trust []float64 // of each reading under a robust loss
}

// decayCrossing has limits by the profile too, if they were asked for.
type decayCrossing struct {
	crossing
	Profile *limitsPair `json:"profile"`
}

// optimum is what a curve's search ended at: lists with an element for each
// parameter.
type optimum struct {
	Names      []string      `json:"names"`
	Parameters Numbers       `json:"parameters"`
	SD         Numbers       `json:"sd"`
	States     []decay.State `json:"state"`
	Limits     limits        `json:"ci"`
	Profile    *limits       `json:"profile"`
	RSS        Number        `json:"rss"`
	ResidualSD Number        `json:"residual_sd"`
	DF         int           `json:"df"`
	Variance   []Numbers     `json:"vcov"`
}

// Decay fits a falling curve to the readings of each group.
func Decay(d *Data, o DecayOptions) (*DecayResult, error) {
	if err := d.checkAngles(o); err != nil {
		return nil, err
	}
	r := &DecayResult{Source: d.Source, Level: o.Level, groupColumns: d.groupColumns()}
	lines := split(d.Groups, d.Lines)
	for g, points := range split(d.Groups, d.Points) {
		c, err := newDecayCurve(points, d.cluster != nil, o)
		if err != nil {
			return nil, d.inGroup(g, err)
		}
		c.Odd = findOdd(points, lines[g], c.trust)
		c.Group = d.groupName(g)
		r.Groups = append(r.Groups, *c)
	}
	return r, nil
}

// checkAngles lists all that is no contact angle, unless the options say where
// to search from.
func (d *Data) checkAngles(o DecayOptions) error {
	problems := problemList{file: d.File}
	for i, point := range d.Points {
		if o.Start == nil && !(point.Value >= 0 && point.Value <= 180) {
			problems.add(d.Lines[i], d.columns.Value, strconv.FormatFloat(point.Value, 'g', -1, 64),
				"expected a contact angle of 0 to 180 degrees; for other values say with --start where to search from")
		}
	}
	return problems.orNil()
}

// newDecayCurve fits the curve of one group, or says why there is none.
func newDecayCurve(points []decay.Point, clustered bool, o DecayOptions) (*DecayCurve, error) {
	c := &DecayCurve{N: len(points), Predictions: []prediction{}, Crossings: []decayCrossing{},
		Choice: []shapeChoice{}, Averaged: []averagedCrossing{}, Notes: []string{}}
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
	return c.describe(curve.Solution, o)
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
	return c.describe(solution, o)
}

// describe fills what follows from a solution.
func (c *DecayCurve) describe(s *decay.Solution, o DecayOptions) error {
	c.Clusters, c.trust = s.Clusters, s.Trust
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
	found, err := s.Predict(o.Times, o.Level)
	if err != nil {
		return err
	}
	for _, p := range found {
		c.Predictions = append(c.Predictions, newPrediction(p))
	}
	return nil
}

func newOptimum(s *decay.Solution, level float64) (optimum, error) {
	found := optimum{RSS: Number(s.RSS), ResidualSD: Number(s.ResidualSD), DF: s.DF, Variance: unknownMatrix(len(s.Parameters))}
	for i, p := range s.Parameters {
		lower, upper, err := p.Limits(level)
		if errors.Is(err, decay.ErrNotEstimable) {
			lower, upper = math.NaN(), math.NaN()
		} else if err != nil {
			return optimum{}, err
		}
		found.Names = append(found.Names, p.Name)
		found.States = append(found.States, p.State)
		found.Limits.Lower, found.Limits.Upper = append(found.Limits.Lower, Number(lower)), append(found.Limits.Upper, Number(upper))
		if s.Covariance != nil {
			for j := range s.Parameters {
				found.Variance[i][j] = Number(s.Covariance.At(i, j))
			}
		}
	}
	found.Parameters = numbers(s.Parameters, func(p decay.Parameter) float64 { return p.Value })
	found.SD = numbers(s.Parameters, func(p decay.Parameter) float64 { return p.SE })
	return found, nil
}

// unknown fills the curve where the readings do not tell it.
func (c *DecayCurve) unknown(why error) {
	names, nan := []string{}, Number(math.NaN())
	if c.Model != nil {
		names = c.Model.Model().Parameters
	}
	n := len(names)
	c.Optimum = optimum{names, unknown(n), unknown(n), make([]decay.State, n), limits{unknown(n), unknown(n)}, nil, nan, nan, 0, unknownMatrix(n)}
	for j := range c.Optimum.States {
		c.Optimum.States[j] = decay.Undetermined
	}
	c.LogLik, c.AIC, c.BIC, c.AICc = nan, nan, nan, nan
	c.Notes = append(c.Notes, fmt.Sprintf("not estimable: %v", why))
}
