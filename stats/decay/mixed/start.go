package mixed

import (
	"fmt"

	"beadspan/stats/decay"
)

// ExponentialStart returns values of floor, start and τ to search from, for a
// CurveModel of decay.Exponential: those of the one curve that fits all
// readings, in degrees, best. floor is nil if it is to be estimated.
//
// Errors are those of decay.Fit; readings in which no fall is seen are
// ErrNotIdentified.
func ExponentialStart(readings []Reading, floor *float64) ([]float64, error) {
	return startOf(decay.ExponentialShape, readings, floor)
}

// startOf is the same for any shape.
func startOf(shape decay.Shape, readings []Reading, floor *float64) ([]float64, error) {
	points := make([]decay.Point, len(readings))
	for i, r := range readings {
		points[i] = decay.Point{Time: r.Time, Value: r.Value, Weight: r.Weight, Cluster: r.Outer}
	}
	curve, err := decay.Fit(points, decay.Options{Shape: shape, Floor: floor})
	if err != nil {
		return nil, fmt.Errorf("start of mixed curves: %w", err)
	}
	if !curve.Falls {
		return nil, fmt.Errorf("start of mixed curves: the readings together show no fall, so its pace is %w", ErrNotIdentified)
	}
	start := make([]float64, len(curve.Solution.Parameters))
	for j, p := range curve.Solution.Parameters {
		start[j] = p.Value
	}
	return start, nil
}
