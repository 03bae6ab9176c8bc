package pooling

import (
	"fmt"
	"math"
)

// Averaged is a model averaged over what the τ may be. Where groups are few
// their best value says little, 0 least of all; predictions then come out less
// drawn together, and less sure, than one value of the τ would have them.
type Averaged struct {
	// SD is the mean of each τ.
	SD []float64

	models  []*Model
	weights []float64 // they add up to 1
}

// nodes are how many values of each τ are averaged over. They rise by equal
// factors from a hundredth of the estimates' spread to ten times it.
const nodes = 18

// Average fits the model for a grid of τ and weighs each by its restricted
// likelihood: the posterior when nothing is known of the τ beforehand, all
// values from 0 to ten times the spread of the estimates being as likely.
//
// Errors are those of Fit.
//
// Source: Gelman, Bayesian Anal. 1 (2006) 515–534, for the uniform prior of
// standard deviations (from memory).
func Average(d Data) (*Averaged, error) {
	if err := d.validate(); err != nil {
		return nil, fmt.Errorf("average pooled estimates: %w", err)
	}
	values, widths := grid(math.Sqrt(spread(d)))
	a := &Averaged{SD: make([]float64, len(d.Groupings))}
	cells := 1
	for range d.Groupings {
		cells *= len(values)
	}
	best := math.Inf(-1)
	for cell := range cells {
		variances := make([]float64, len(d.Groupings))
		width := 1.0
		for k, rest := 0, cell; k < len(variances); k, rest = k+1, rest/len(values) {
			variances[k] = values[rest%len(values)] * values[rest%len(values)]
			width *= widths[rest%len(values)]
		}
		m, err := at(d, variances)
		if err != nil {
			return nil, fmt.Errorf("average pooled estimates: %w", err)
		}
		a.models, a.weights = append(a.models, m), append(a.weights, m.LogLik+math.Log(width))
		best = math.Max(best, a.weights[cell])
	}
	sum := 0.0
	for i, w := range a.weights {
		a.weights[i] = math.Exp(w - best)
		sum += a.weights[i]
	}
	for i, m := range a.models {
		a.weights[i] /= sum
		for k, τ := range m.SD {
			a.SD[k] += a.weights[i] * τ
		}
	}
	return a, nil
}

// grid returns 0 and rising values of a τ, each with the width of what it
// stands for.
func grid(scale float64) (values, widths []float64) {
	values = append(values, 0)
	for i := range nodes {
		values = append(values, scale*math.Pow(10, -2+3*float64(i)/(nodes-1)))
	}
	widths = make([]float64, len(values))
	for i := range values[1:] {
		half := (values[i+1] - values[i]) / 2
		widths[i] += half
		widths[i+1] += half
	}
	return values, widths
}

// Predict is Model.Predict averaged: the mean of the means, and an SE that
// takes in how much they differ.
func (a *Averaged) Predict(x []float64, groups []int) (Prediction, error) {
	return a.mix(func(m *Model) (Prediction, error) { return m.Predict(x, groups) })
}

// Average is Model.Average averaged.
func (a *Averaged) Average(x []float64) (Prediction, error) {
	return a.mix(func(m *Model) (Prediction, error) { return m.Average(x) })
}

func (a *Averaged) mix(predict func(*Model) (Prediction, error)) (Prediction, error) {
	mean, square := 0.0, 0.0
	for i, m := range a.models {
		p, err := predict(m)
		if err != nil {
			return Prediction{}, err
		}
		mean += a.weights[i] * p.Mean
		square += a.weights[i] * (p.SE*p.SE + p.Mean*p.Mean)
	}
	return Prediction{mean, math.Sqrt(math.Max(0, square-mean*mean))}, nil
}
