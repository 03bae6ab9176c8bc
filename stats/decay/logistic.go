package decay

import "math"

// The places of the parameters of Logistic, after the floor.
const (
	topAt = floorAt + 1 + iota
	midAt
	widthAt
)

// Logistic is the fall from one plateau to another,
//
//	θ(t) = θ∞ + (θ₋∞ − θ∞) / (1 + e^z),  z = (t − m)/s
//
// with parameters, in this order, "floor" θ∞ and "top" θ₋∞, the plateaus in
// the unit of the values, "mid" m, the time at which half of the fall is done
// and the fall is steepest, and "width" s > 0: from m − s to m + s goes 46 % of
// the fall. Derivatives, with p = 1/(1 + e^z) and d = (θ₋∞ − θ∞) p (1 − p)/s:
//
//	∂θ/∂θ∞ = 1 − p,  ∂θ/∂θ₋∞ = p,  ∂θ/∂m = d,  ∂θ/∂s = d z
func Logistic() Model {
	return Model{
		Parameters: []string{floorAt: "floor", topAt: "top", midAt: "mid", widthAt: "width"},
		Straight:   []int{floorAt, topAt},
		Eval: func(β []float64, t float64, gradient []float64) float64 {
			floor, top, width := β[floorAt], β[topAt], β[widthAt]
			z := (t - β[midAt]) / width
			left, gone := 1/(1+math.Exp(z)), 1/(1+math.Exp(-z))
			gradient[floorAt] = gone
			gradient[topAt] = left
			gradient[midAt] = (top - floor) * left * gone / width
			gradient[widthAt] = gradient[midAt] * z
			return floor + (top-floor)*left
		},
	}
}
