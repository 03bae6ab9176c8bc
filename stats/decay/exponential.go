package decay

import "math"

// The places of the parameters of Exponential, which Stretched begins with.
const (
	floorAt = iota
	startAt
	tauAt
)

// Exponential is the decay from a start to a floor,
//
//	θ(t) = θ∞ + (θ0 − θ∞) e^(−t/τ)
//
// with parameters, in this order, "floor" θ∞, "start" θ0 (both in the unit of
// the values) and "tau" τ > 0, the time in which the distance to the floor
// shrinks to 1/e. Derivatives:
//
//	∂θ/∂θ∞ = 1 − e^(−t/τ),  ∂θ/∂θ0 = e^(−t/τ),  ∂θ/∂τ = (θ0 − θ∞) e^(−t/τ) t/τ²
func Exponential() Model {
	return Model{
		Parameters: []string{floorAt: "floor", startAt: "start", tauAt: "tau"},
		Straight:   []int{floorAt, startAt},
		Eval: func(β []float64, t float64, gradient []float64) float64 {
			floor, start, τ := β[floorAt], β[startAt], β[tauAt]
			left := math.Exp(-t / τ)
			gradient[floorAt] = -math.Expm1(-t / τ)
			gradient[startAt] = left
			gradient[tauAt] = (start - floor) * left * (t / τ) / τ
			return floor + (start-floor)*left
		},
	}
}
