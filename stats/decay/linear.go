package decay

// The places of the parameters of Linear.
const (
	lineStartAt = iota
	rateAt
)

// Linear is the fall by the same amount in every unit of time,
//
//	θ(t) = θ0 − r t
//
// with parameters, in this order, "start" θ0 in the unit of the values and
// "rate" r, what is lost in a unit of time: above 0 if the values fall.
// Derivatives:
//
//	∂θ/∂θ0 = 1,  ∂θ/∂r = −t
func Linear() Model {
	return Model{
		Parameters: []string{lineStartAt: "start", rateAt: "rate"},
		Straight:   []int{lineStartAt, rateAt},
		Eval: func(β []float64, t float64, gradient []float64) float64 {
			gradient[lineStartAt] = 1
			gradient[rateAt] = -t
			return β[lineStartAt] - β[rateAt]*t
		},
	}
}
