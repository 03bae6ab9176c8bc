package mixed

import (
	"slices"

	"beadspan/stats/decay"
)

// FallModel says what ChooseFall is to weigh: falls of angles, in degrees, of
// which groups of the inner level each have a floor, a start and a τ of their
// own. They differ in where they end also if the floor is known: without that,
// limits of what a group comes to in a year would be too narrow.
type FallModel struct {
	// Floor is around which the floors lie, such as the angle of uncoated panels,
	// if that is known: it is weighed against one that the readings tell. Nil means
	// that they have to.
	Floor *float64

	// Outer lets τ differ between outer groups too.
	Outer bool

	// Covariates are names of those that τ depends on: all that readings have.
	Covariates []string
}

// exponential is the model of exponentials around a floor, or around one to be
// estimated if that is nil.
func (m FallModel) exponential(floor *float64, start []float64) CurveModel {
	all := make([]int, len(m.Covariates))
	for i := range all {
		all[i] = i
	}
	return CurveModel{
		Curve: decay.Exponential(), Start: start, Nodes: 1, Covariates: m.Covariates,
		Parameters: []Parameter{{Known: floor, Inner: true}, {Inner: true}, {Log: true, Covariates: all, Outer: m.Outer, Inner: true}},
	}
}

// cold fits a model from the one curve that fits all readings. Where groups'
// floors are not told apart, they have the same.
func (m FallModel) cold(shape decay.Shape, readings []Reading, floor *float64) (*CurvesFit, error) {
	start, err := startOf(shape, readings, floor)
	if err != nil {
		return nil, err
	}
	model := m.exponential(floor, start)
	if shape == decay.StretchedShape {
		model = stretchedModel(model, start)
	}
	fit, err := Curves(readings, model)
	if err == nil {
		return fit, nil
	}
	model.Parameters = slices.Clone(model.Parameters)
	model.Parameters[0].Inner = false
	if one, oneErr := Curves(readings, model); oneErr == nil {
		return one, nil
	}
	return nil, err
}
