package pooling

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// New stands for a group that isn't in the data.
const New = -1

// Prediction is what is known of a true value: its mean, and the root of its
// mean squared error given the τ.
type Prediction struct{ Mean, SE float64 }

// Predict tells of the true value x'b + ∑ uₖ of the given groups, one for each
// grouping, New for one that isn't in the data. With h the covariance of ∑ uₖ
// with y it is, as the best linear unbiased prediction,
//
//	x'b + h'M⁻¹(y − Xb)
//	SE² = ∑ τₖ² − h'M⁻¹h + d'(X'M⁻¹X)⁻¹d,  d = x − X'M⁻¹h
//
// SE takes in that b is estimated, but not that the τ are: with few groups take
// limits from a t distribution with few degrees of freedom.
//
// An x or groups of another length are ErrData.
//
// Source: Robinson, Stat. Sci. 6 (1991) 15–32 (from memory).
func (m *Model) Predict(x []float64, groups []int) (Prediction, error) {
	if len(x) != len(m.Coefficients) || len(groups) != len(m.SD) {
		return Prediction{}, fmt.Errorf("predict: %w: %d numbers and %d groups, want %d and %d",
			ErrData, len(x), len(groups), len(m.Coefficients), len(m.SD))
	}
	n := len(m.data.Estimates)
	h := mat.NewVecDense(n, nil)
	variance := 0.0
	for k, τ := range m.SD {
		variance += τ * τ
		for i, g := range m.data.Groupings[k] {
			if g == groups[k] {
				h.SetVec(i, h.AtVec(i)+τ*τ)
			}
		}
	}
	var weighted, through, rest mat.VecDense
	weighted.MulVec(m.inverse, h)
	through.MulVec(m.x.T(), &weighted)
	at := mat.NewVecDense(len(x), append([]float64(nil), x...))
	rest.SubVec(at, &through)
	p := Prediction{Mean: mat.Dot(h, m.residual)}
	for j, b := range m.Coefficients {
		p.Mean += x[j] * b
	}
	p.SE = math.Sqrt(math.Max(0, variance-mat.Dot(h, &weighted)) + mat.Inner(&rest, m.Covariance, &rest))
	return p, nil
}

// Average tells of x'b: the mean of all groups.
func (m *Model) Average(x []float64) (Prediction, error) {
	if len(x) != len(m.Coefficients) {
		return Prediction{}, fmt.Errorf("average: %w: %d numbers for %d coefficients", ErrData, len(x), len(m.Coefficients))
	}
	at := mat.NewVecDense(len(x), append([]float64(nil), x...))
	return Prediction{mat.Dot(at, mat.NewVecDense(len(x), append([]float64(nil), m.Coefficients...))),
		math.Sqrt(mat.Inner(at, m.Covariance, at))}, nil
}
