package decay

import (
	"fmt"
	"slices"
	"strings"
)

// Shape is the name of a model of a fall, as users write it.
type Shape string

// The shapes, from the stiffest to those with most parameters.
const (
	LinearShape      Shape = "linear"
	ExponentialShape Shape = "exponential"
	StretchedShape   Shape = "stretched"
	LogisticShape    Shape = "logistic"
)

// Shapes lists all shapes, in a fixed order.
func Shapes() []Shape {
	return []Shape{LinearShape, ExponentialShape, StretchedShape, LogisticShape}
}

// ShapeNamed returns the shape of that name. An unknown name is an error that
// lists those there are.
func ShapeNamed(name string) (Shape, error) {
	if shape := Shape(name); slices.Contains(Shapes(), shape) {
		return shape, nil
	}
	names := make([]string, len(Shapes()))
	for i, shape := range Shapes() {
		names[i] = string(shape)
	}
	return "", fmt.Errorf("no shape of curve is named %q; choose from %s", name, strings.Join(names, ", "))
}

// Model returns the curve of the shape; "" is exponential. It panics if the
// shape is none of Shapes.
func (s Shape) Model() Model {
	switch s {
	case LinearShape:
		return Linear()
	case ExponentialShape, "":
		return Exponential()
	case StretchedShape:
		return Stretched()
	case LogisticShape:
		return Logistic()
	}
	panic(fmt.Sprintf("decay: no shape %q", string(s)))
}
