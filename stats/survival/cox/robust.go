package cox

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// robust adds what follows from the clusters.
func (m *Model) robust() error {
	member, clusters := m.clusters()
	m.Clusters = clusters
	v, err := m.inverse()
	if err != nil {
		return err
	}
	byCluster := summed(m.changes(v), member, clusters, len(m.free))
	sandwich := crossProduct(byCluster, len(m.free))
	m.RobustCovariance = m.fullSquare(sandwich)
	for j := range m.Coefficients {
		m.Coefficients[j].RobustSE = math.Sqrt(m.RobustCovariance[j][j])
	}
	q := m.design.q
	if len(m.free) == q && clusters > q {
		m.RobustWald = newTest(quadratic(m.climb.end.beta, sandwich), q)
	}
	if clusters > q {
		m.RobustScore = newTest(m.robustScore(member, clusters), q)
	}
	return nil
}

// clusters numbers the clusters and returns each row's.
func (m *Model) clusters() (member []int, clusters int) {
	numbers := map[int]int{}
	member = make([]int, len(m.design.row))
	for k, i := range m.design.row {
		label := m.data.Cluster[i]
		number, known := numbers[label]
		if !known {
			number = len(numbers)
			numbers[label] = number
		}
		member[k] = number
	}
	return member, len(numbers)
}

// robustScore is Uᵀ (∑ U Uᵀ over clusters)⁻¹ U with all coefficients 0.
func (m *Model) robustScore(member []int, clusters int) float64 {
	s := m.design
	score := s.scoreResiduals(make([]float64, s.q), m.Ties)
	total := make([]float64, s.q)
	for k, w := range s.weight {
		for j := range total {
			score[k*s.q+j] *= w
			total[j] += score[k*s.q+j]
		}
	}
	return quadratic(total, crossProduct(summed(score, member, clusters, s.q), s.q))
}

// summed adds up rows of q numbers by cluster.
func summed(rows []float64, member []int, clusters, q int) []float64 {
	sums := make([]float64, clusters*q)
	for k, c := range member {
		for j, x := range rows[k*q : (k+1)*q] {
			sums[c*q+j] += x
		}
	}
	return sums
}

// crossProduct is the sum of x xᵀ over rows x of q numbers.
func crossProduct(rows []float64, q int) *mat.SymDense {
	if q == 0 {
		return &mat.SymDense{}
	}
	m := mat.NewSymDense(q, nil)
	for ; len(rows) > 0; rows = rows[q:] {
		m.SymRankOne(m, 1, mat.NewVecDense(q, rows[:q:q]))
	}
	return m
}

// quadratic is xᵀ v⁻¹ x, NaN if v is singular.
func quadratic(x []float64, v *mat.SymDense) float64 {
	var c mat.Cholesky
	if len(x) == 0 || !c.Factorize(v) || c.Cond() > 1e14 {
		return math.NaN()
	}
	vector, solved := mat.NewVecDense(len(x), x), mat.NewVecDense(len(x), nil)
	if err := c.SolveVecTo(solved, vector); err != nil {
		return math.NaN()
	}
	return mat.Dot(vector, solved)
}
