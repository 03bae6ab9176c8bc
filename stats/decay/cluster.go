package decay

import (
	"fmt"

	"gonum.org/v1/gonum/mat"
)

// clusterScores returns, for each cluster in the order of its first point, the
// derivative of −RSS/2, or of the loss in its place, that its points contribute
// at the minimum, by parameter.
func (s *search) clusterScores() ([]*mat.VecDense, error) {
	p := len(s.scale)
	byCluster := map[int]*mat.VecDense{}
	var scores []*mat.VecDense
	for i, point := range s.points {
		score := byCluster[point.Cluster]
		if score == nil {
			score = mat.NewVecDense(p, nil)
			byCluster[point.Cluster] = score
			scores = append(scores, score)
		}
		pull := -s.here.resid[i]
		if s.trust != nil {
			pull *= s.trust[i]
		}
		score.AddScaledVec(score, pull, mat.NewVecDense(p, s.here.jacobian[i*p:(i+1)*p]))
	}
	if len(scores) < 2 {
		return nil, fmt.Errorf("limits from the scatter between clusters: %d cluster: %w", len(scores), ErrTooFew)
	}
	return scores, nil
}

// sandwich returns A (∑ u uᵀ) A for the inverse information A and scores u.
// The zeros of A drop the scores of parameters that are not free.
func sandwich(inverse *mat.SymDense, scores []*mat.VecDense) *mat.SymDense {
	covariance := mat.NewSymDense(inverse.SymmetricDim(), nil)
	influence := mat.NewVecDense(inverse.SymmetricDim(), nil)
	for _, u := range scores {
		influence.MulVec(inverse, u)
		covariance.SymRankOne(covariance, 1, influence)
	}
	return covariance
}
