package calc

import (
	"slices"
	"strings"

	"beadspan/stats/decay"
	"beadspan/stats/decay/mixed"
)

// mixedPlan is a mixed model in the terms of a file.
type mixedPlan struct {
	*Data
	shape        mixedShape
	options      MixedOptions
	outer, inner []int // places of the parameters with random effects
	on           []int // of those that covariates act on
	typical      []life
}

// newMixedPlan finds the parameters that the options name, and the covariates
// to predict for.
func newMixedPlan(d *Data, o MixedOptions) (*mixedPlan, error) {
	p := &mixedPlan{Data: d, shape: newMixedShape(o.Model), options: o}
	p.outer = p.shape.places(o.Random)
	if d.Groups != nil {
		p.inner = p.shape.places(o.Within)
	}
	if len(d.Covariates) > 0 {
		p.on = p.shape.places(o.On)
	}
	predict := o.Predict
	if len(predict) == 0 && len(d.Covariates) == 0 {
		predict = [][]Condition{{}}
	}
	for _, values := range predict {
		given, err := d.life(values)
		if err != nil {
			return nil, err
		}
		p.typical = append(p.typical, given)
	}
	return p, nil
}

// held is the known value of a parameter, nil if it is estimated.
func (p *mixedPlan) held(at int) *float64 {
	if value, known := p.options.Held[p.shape.Parameters[at]]; known {
		return &value
	}
	return nil
}

// line arranges the data for the line as a linear model.
func (p *mixedPlan) line() ([]mixed.Row, mixed.LinearModel) {
	rows := make([]mixed.Row, len(p.Points))
	for i, point := range p.Points {
		row := mixed.Row{Value: point.Value, Weight: point.Weight, Outer: point.Cluster, Inner: p.innerGroup(i)}
		bases := []float64{1, point.Time}
		for at, base := range bases {
			row.Fixed = append(row.Fixed, base)
			if slices.Contains(p.on, at) {
				for _, x := range p.covariatesOf(i) {
					row.Fixed = append(row.Fixed, base*x)
				}
			}
		}
		for _, at := range p.outer {
			row.OuterRandom = append(row.OuterRandom, bases[at])
		}
		for _, at := range p.inner {
			row.InnerRandom = append(row.InnerRandom, bases[at])
		}
		rows[i] = row
	}
	model := mixed.LinearModel{Fixed: p.fixedNames(), Criterion: mixed.REML,
		Levels: []mixed.Level{{Effects: p.randomNames(p.outer), Correlated: p.options.Correlated}}}
	if p.inner != nil {
		model.Levels = append(model.Levels, mixed.Level{Effects: p.randomNames(p.inner), Correlated: p.options.Correlated})
	}
	return rows, model
}

func (p *mixedPlan) readings() []mixed.Reading {
	readings := make([]mixed.Reading, len(p.Points))
	for i, point := range p.Points {
		readings[i] = mixed.Reading{Time: point.Time, Value: point.Value, Weight: point.Weight,
			Outer: point.Cluster, Inner: p.innerGroup(i), Covariates: p.covariatesOf(i)}
	}
	return readings
}

// curves is the model of the curve, or of the line, with values to start from.
func (p *mixedPlan) curves() (mixed.CurveModel, error) {
	model := mixed.CurveModel{Curve: p.shape.Model, Covariates: p.Covariates, Correlated: p.options.Correlated, Nodes: p.options.Nodes}
	if p.options.Model == decay.LinearShape {
		model.Nodes = 0 // exact
	}
	all := make([]int, len(p.Covariates))
	for i := range all {
		all[i] = i
	}
	for at, log := range p.shape.log {
		parameter := mixed.Parameter{Log: log, Outer: slices.Contains(p.outer, at), Inner: slices.Contains(p.inner, at), Known: p.held(at)}
		if slices.Contains(p.on, at) {
			parameter.Covariates = all
		}
		model.Parameters = append(model.Parameters, parameter)
	}
	var err error
	model.Start, err = p.start()
	return model, err
}

func (p *mixedPlan) innerGroup(i int) int {
	if p.Groups == nil {
		return 0
	}
	return p.Groups.Of[i]
}

// innerGroups counts the inner groups.
func (p *mixedPlan) innerGroups() int {
	seen := map[[2]int]bool{}
	for i, point := range p.Points {
		seen[[2]int{point.Cluster, p.innerGroup(i)}] = true
	}
	return len(seen)
}

// covariatesOf are the covariates of a row.
func (p *mixedPlan) covariatesOf(i int) []float64 {
	n := len(p.Covariates)
	return p.X[i*n : (i+1)*n]
}

// fixedNames are the names of the fixed effects as printed.
func (p *mixedPlan) fixedNames() (names []string) {
	for at, name := range p.shape.Parameters {
		if p.held(at) != nil {
			continue
		}
		if p.shape.log[at] {
			name = "log " + name
		}
		names = append(names, p.printed(name))
		if slices.Contains(p.on, at) {
			for _, covariate := range p.Covariates {
				names = append(names, p.printed(name+": "+covariate))
			}
		}
	}
	return names
}

func (p *mixedPlan) randomNames(places []int) []string {
	names := make([]string, len(places))
	for i, at := range places {
		names[i] = p.shape.Parameters[at]
		if p.shape.log[at] {
			names[i] = "log " + names[i]
		}
		names[i] = p.printed(names[i])
	}
	return names
}

// printed turns the name of an effect on the line into that of a column of a
// regression, and leaves others alone.
func (p *mixedPlan) printed(effect string) string {
	if p.options.Model != decay.LinearShape {
		return effect
	}
	parameter, covariate, on := strings.Cut(effect, ": ")
	switch {
	case parameter == "start" && on:
		return covariate
	case parameter == "start":
		return "(Intercept)"
	case on:
		return p.columns.Time + ":" + covariate
	}
	return p.columns.Time
}
