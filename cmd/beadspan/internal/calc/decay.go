package calc

import (
	"fmt"
	"maps"
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
	Residuals  bool               // are to be checked
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
	thresholds   []float64
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
	Checks      []residualCheck    `json:"residual_checks"`
	Notes       []string           `json:"notes"`

	lines []int // rows of the readings in the file
}

// decayCrossing has limits by the profile too, if they were asked for.
type decayCrossing struct {
	crossing
	Profile *limitsPair `json:"profile"`
}

// Decay fits a falling curve to the readings of each group.
func Decay(d *Data, o DecayOptions) (*DecayResult, error) {
	if err := d.checkAngles(o); err != nil {
		return nil, err
	}
	r := &DecayResult{Source: d.Source, Level: o.Level, groupColumns: d.groupColumns(), thresholds: o.Thresholds}
	lines := split(d.Groups, d.Lines)
	for g, points := range split(d.Groups, d.Points) {
		c, err := newDecayCurve(points, lines[g], d.cluster != nil, o)
		if err != nil {
			return nil, d.inGroup(g, err)
		}
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
