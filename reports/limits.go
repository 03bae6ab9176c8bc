package reports

import "math"

// Limits are confidence limits. A limit of +Inf is not reached: the data set
// no bound on that side.
type Limits struct {
	Low, High float64
}

// limitsOf returns nil unless both limits are defined.
func limitsOf(low, high float64) *Limits {
	if math.IsNaN(low) || math.IsNaN(high) {
		return nil
	}
	return &Limits{low, high}
}
