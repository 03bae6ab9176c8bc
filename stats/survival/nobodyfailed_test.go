package survival_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	. "beadspan/stats/survival"
)

// 59 of 59 is the well-known smallest sample that shows 95 % reliability with
// 95 % confidence, 299 of 299 that for 99 % (success-run theorem; textbook
// figures, from memory).
func TestNobodyFailed(t *testing.T) {
	for n, claim := range map[int]float64{59: 0.95, 299: 0.99} {
		enough, err := NobodyFailed(n, 0.95)
		require.NoError(t, err)
		tooFew, err := NobodyFailed(n-1, 0.95)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, enough, claim)
		assert.Less(t, tooFew, claim)
	}
}

// At the limit, seeing all n last has probability 1 − level: what the exact
// binomial limit means.
func TestNobodyFailedIsTheBinomialLimit(t *testing.T) {
	for _, n := range []int{1, 5, 10, 200} {
		for _, level := range []float64{0.5, 0.9, 0.99} {
			s, err := NobodyFailed(n, level)
			require.NoError(t, err)
			all := distuv.Binomial{N: float64(n), P: s}.Prob(float64(n))
			assert.InDelta(t, 1-level, all, 1e-12)
		}
	}
	_, err := NobodyFailed(0, 0.95)
	assert.ErrorIs(t, err, ErrCount)
	_, err = NobodyFailed(5, 1)
	assert.ErrorIs(t, err, ErrLevel)
}
