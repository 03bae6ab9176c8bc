package pooling

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// TestEightSchools has the effects of coaching in eight schools with their
// standard errors: Rubin, J. Educ. Stat. 6 (1981) 377–401. Posterior means and
// standard deviations under a uniform prior of τ are those that the guides to
// the program Stan print for these data, of some thousand draws: μ 7.9 (5.1), τ
// 6.6, school A 11.4 (8.3), C 6.2 (7.7), E 5.1 (6.4) (from memory, and so to
// half a unit).
func TestEightSchools(t *testing.T) {
	d := Data{Estimates: []float64{28, 8, -3, 7, -1, 1, 18, 12}, Covariance: mat.NewSymDense(8, nil), Groupings: [][]int{{0, 1, 2, 3, 4, 5, 6, 7}}}
	for i, se := range []float64{15, 10, 16, 11, 9, 11, 10, 18} {
		d.Covariance.SetSym(i, i, se*se)
	}
	a, err := Average(d)
	require.NoError(t, err)
	assert.InDelta(t, 6.6, a.SD[0], 0.5)
	mean, err := a.Average([]float64{1})
	require.NoError(t, err)
	assert.InDelta(t, 7.9, mean.Mean, 0.5)
	assert.InDelta(t, 5.1, mean.SE, 0.5)
	for school, want := range map[int][2]float64{0: {11.4, 8.3}, 2: {6.2, 7.7}, 4: {5.1, 6.4}} {
		p, err := a.Predict([]float64{1}, []int{school})
		require.NoError(t, err)
		assert.InDelta(t, want[0], p.Mean, 0.5)
		assert.InDelta(t, want[1], p.SE, 0.5)
	}
	// The best single τ is 0: all schools alike, which the average doesn't claim.
	m, err := Fit(d)
	require.NoError(t, err)
	assert.Zero(t, m.SD[0])

	_, err = Average(Data{})
	assert.ErrorIs(t, err, ErrData)
	_, err = a.Predict(nil, nil)
	assert.ErrorIs(t, err, ErrData)
}
