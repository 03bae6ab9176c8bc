package calc

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"beadspan/stats/decay"
)

// mixedShape is a curve of a mixed model with what its parameters may do.
type mixedShape struct {
	decay.Model
	log  []bool // of each parameter: it is above 0, and effects add to its logarithm
	pace int    // the place of the parameter that says how long the fall takes
}

// straightLine is a regression on time.
func straightLine() decay.Model {
	return decay.Model{
		Parameters: []string{"start", "slope"},
		Eval: func(β []float64, t float64, gradient []float64) float64 {
			gradient[0], gradient[1] = 1, t
			return β[0] + β[1]*t
		},
	}
}

// newMixedShape finds a curve by its name, which must be one of decay.Shapes.
func newMixedShape(name decay.Shape) mixedShape {
	if name == decay.LinearShape {
		return mixedShape{straightLine(), []bool{false, false}, 0}
	}
	shape := mixedShape{Model: name.Model()}
	for i, parameter := range shape.Parameters {
		shape.log = append(shape.log, slices.Contains([]string{"tau", "power", "width"}, parameter))
		if parameter == "tau" || parameter == "mid" {
			shape.pace = i
		}
	}
	return shape
}

// places finds parameters by their names, in the order of the curve; the one of
// pace if there are none.
func (s mixedShape) places(names []string) (places []int) {
	if len(names) == 0 {
		return []int{s.pace}
	}
	for at, name := range s.Parameters {
		if slices.Contains(names, name) {
			places = append(places, at)
		}
	}
	return places
}

// Check refuses names that are none of the curve's parameters, and parameters
// that are both known and to be explained. Mixed takes options that pass.
func (o MixedOptions) Check() error {
	shape := newMixedShape(o.Model)
	err := knownNames(o.Model, shape.Parameters, o.Random, o.Within, o.On, slices.Sorted(maps.Keys(o.Held)), slices.Sorted(maps.Keys(o.Start)))
	if err != nil {
		return err
	}
	for _, names := range [][]string{o.Random, o.Within, o.On} {
		for _, at := range shape.places(names) {
			if _, held := o.Held[shape.Parameters[at]]; held {
				return fmt.Errorf("%s is held: neither groups nor covariates can change it; name other parameters with "+
					"--random, --random-within or --on", shape.Parameters[at])
			}
		}
	}
	return nil
}

// knownNames refuses names that are none of a curve's parameters.
func knownNames(shape decay.Shape, parameters []string, lists ...[]string) error {
	for _, name := range slices.Concat(lists...) {
		if !slices.Contains(parameters, name) {
			return fmt.Errorf("no parameter %q: the %s curve has %s", name, shape, strings.Join(parameters, ", "))
		}
	}
	return nil
}
