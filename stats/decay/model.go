package decay

// Model is a curve m(t; β) with named parameters β and exact derivatives.
// Linear, Exponential, Stretched and Logistic are models of a fall; any other
// curve runs through LeastSquares as well.
type Model struct {
	// Parameters names β, in order; its length is their number.
	Parameters []string

	// Eval returns m(t; β) and sets gradient[j] = ∂m/∂βⱼ. It may return NaN
	// or an infinity where the model has no value: the search then turns
	// back. It keeps neither slice.
	Eval func(β []float64, t float64, gradient []float64) float64

	// Straight are the places of parameters that the curve is a straight line in:
	// it has no second derivatives by any two of them. Nil is always true, and may
	// cost time.
	Straight []int
}

// level is the model of values that do not change.
func level() Model {
	return Model{
		Parameters: []string{"level"},
		Eval: func(β []float64, _ float64, gradient []float64) float64 {
			gradient[0] = 1
			return β[0]
		},
	}
}
