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
	points := make([]decay.Point, len(readings))
	for i, r := range readings {
		points[i] = decay.Point{Time: r.Time, Value: r.Value, Weight: r.Weight, Cluster: r.Outer}
	}
	curve, err := decay.Fit(points, decay.Options{Floor: floor})
	if err != nil {
		return nil, fmt.Errorf("start of mixed curves: %w", err)
	}
	if !curve.Falls {
		return nil, fmt.Errorf("start of mixed curves: the readings together show no fall, so τ is %w", ErrNotIdentified)
	}
	return []float64{curve.Floor.Value, curve.Start.Value, curve.Tau.Value}, nil
}
