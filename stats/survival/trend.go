package survival

import (
	"fmt"
	"math"
)

// Trend is a test whether the sums u of groups, with covariance V, follow the
// scores s given for them, such as doses or 1, 2, 3:
//
//	χ² = (sᵀ u)²/(sᵀ V s)  on one degree of freedom
//
// It has more power than the test of any difference where survival rises or
// falls with the score, and none against a difference that does not. Scores
// that do not tell apart groups that are compared are ErrIncomparable; that
// there is one finite score for each group is up to the caller: it panics.
//
// Source: Tarone, Biometrika 62 (1975) 679–682.
type Trend struct {
	Sum      float64 // ∑ sᵍ uᵍ: positive means that lives are shorter the higher the score
	Variance float64 // of Sum
	ChiSq    float64
	P        float64 // of a ChiSq this large or larger, were all groups alike
}

func newTrend(u []float64, v [][]float64, scores []float64) (*Trend, error) {
	if len(scores) != len(u) {
		panic(fmt.Sprintf("survival: trend: %d scores for %d groups", len(scores), len(u)))
	}
	t := &Trend{}
	scale := 0.0
	for g, s := range scores {
		if math.IsNaN(s) || math.IsInf(s, 0) {
			panic("survival: trend: scores must be finite")
		}
		t.Sum += s * u[g]
		for h, other := range scores {
			t.Variance += s * v[g][h] * other
		}
		scale += s * s * v[g][g]
	}
	if !(t.Variance > 1e-10*scale) {
		return nil, fmt.Errorf("trend: %w: the scores do not tell apart groups that were at risk together", ErrIncomparable)
	}
	t.ChiSq = t.Sum * t.Sum / t.Variance
	t.P = chiSquareTail(t.ChiSq, 1)
	return t, nil
}
