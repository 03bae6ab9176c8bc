package study

import "math"

// MostSpreadDeg is how large the standard deviation of a reading's drops may
// be, in degrees, before another drop should be taken: single drops on a panel
// scatter by 2 to 4° (common practice, no source).
const MostSpreadDeg = 6

// SpreadDeg is the standard deviation of the drops' angles, in degrees, with
// n − 1 in its denominator; measured is false for fewer than two drops.
func (r Reading) SpreadDeg() (spread float64, measured bool) {
	if len(r.AnglesDeg) < 2 {
		return 0, false
	}
	mean, _ := r.MeanAngleDeg()
	sum := 0.0
	for _, a := range r.AnglesDeg {
		sum += (a - mean) * (a - mean)
	}
	return math.Sqrt(sum / float64(len(r.AnglesDeg)-1)), true
}
