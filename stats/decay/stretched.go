package decay

import "math"

// powerAt is the place of the power among the parameters of Stretched, after
// those of Exponential.
const powerAt = tauAt + 1

// Stretched is the stretched exponential,
//
//	θ(t) = θ∞ + (θ0 − θ∞) e^(−u),  u = (t/τ)^k,  t ≥ 0
//
// with the parameters of Exponential and, last, "power" k > 0: below 1 the
// fall is steep at first and then drags on, above 1 it sets in slowly. τ is
// still the time at which the distance to the floor has shrunk to 1/e.
// Derivatives, with d = (θ0 − θ∞) e^(−u):
//
//	∂θ/∂θ∞ = 1 − e^(−u),  ∂θ/∂θ0 = e^(−u),  ∂θ/∂τ = d u k/τ,  ∂θ/∂k = −d u log(t/τ)
//
// the last two 0 at t = 0.
func Stretched() Model {
	return Model{
		Parameters: []string{floorAt: "floor", startAt: "start", tauAt: "tau", powerAt: "power"},
		Straight:   []int{floorAt, startAt},
		Eval: func(β []float64, t float64, gradient []float64) float64 {
			floor, start, τ, k := β[floorAt], β[startAt], β[tauAt], β[powerAt]
			u := math.Pow(t/τ, k)
			left := math.Exp(-u)
			gradient[floorAt] = -math.Expm1(-u)
			gradient[startAt] = left
			gradient[tauAt], gradient[powerAt] = 0, 0
			if u > 0 && left > 0 { // else the logarithm or u may be infinite, and their limits are 0
				pace := (start - floor) * u * left
				gradient[tauAt] = pace * k / τ
				gradient[powerAt] = -pace * math.Log(t/τ)
			}
			return floor + (start-floor)*left
		},
	}
}
