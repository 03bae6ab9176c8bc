package survival_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	. "beadspan/stats/survival"
)

// Two-sided limits of confidence c are one-sided ones at (1 + c)/2.
//
// 4 of 20 at 90 %: NIST/SEMATECH e-Handbook of Statistical Methods, section
// 7.2.4.2, "exact binomial confidence limits" (its figures from memory; it solves
// for them by hand, to about 1e-6). The others are printed by binom.test of R, as
// reprinted on many pages: 9 of 24 at 95 % and 1 of 1497 at 90 %, to 7 digits.
func TestCountLimitsPublished(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ held, n, level, lower, upper, within float64 }{
		{4, 20, 0.95, 0.071354, 0.401029, 2e-6},
		{9, 24, 0.975, 0.1879929, 0.5940636, 1e-7},
		{1, 1497, 0.95, 3.426347e-5, 3.164954e-3, 1e-9},
	} {
		lower, upper, err := CountLimits(c.held, c.n, c.level)
		require.NoError(t, err)
		assert.InDelta(t, c.lower, lower, c.within)
		assert.InDelta(t, c.upper, upper, c.within)
	}
}

// The rule of three: of nobody in n the upper 95 % limit is 3/n, for n of 30 and
// more to within a twentieth. Hanley and Lippman-Hand, JAMA 249 (1983) 1743–1745
// (from memory).
func TestCountLimitsRuleOfThree(t *testing.T) {
	t.Parallel()
	for _, n := range []float64{30, 100, 1000} {
		lower, upper, err := CountLimits(0, n, 0.95)
		require.NoError(t, err)
		assert.Zero(t, lower)
		assert.InEpsilon(t, 3/n, upper, 0.05)
	}
}

// What the limits mean, by the binomial distribution itself; that who held and
// who didn't change places; that all of n is NobodyFailed; and that between whole
// numbers limits run on from one to the next.
func TestCountLimits(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(r *rapid.T) {
		n := float64(rapid.IntRange(1, 400).Draw(r, "n"))
		held := float64(rapid.IntRange(0, int(n)).Draw(r, "held"))
		level := rapid.Float64Range(0.5, 0.999).Draw(r, "level")
		lower, upper, err := CountLimits(held, n, level)
		require.NoError(r, err)
		assert.LessOrEqual(r, lower, held/n)
		assert.GreaterOrEqual(r, upper, held/n)
		if held > 0 {
			assert.InDelta(r, 1-level, 1-distuv.Binomial{N: n, P: lower}.CDF(held-1), 1e-9)
		}
		if held < n {
			assert.InDelta(r, 1-level, distuv.Binomial{N: n, P: upper}.CDF(held), 1e-9)
			_, next, err := CountLimits(held+0.5, n, level)
			require.NoError(r, err)
			_, last, err := CountLimits(held+1, n, level)
			require.NoError(r, err)
			assert.True(r, upper < next && next < last, "%v, %v, %v", upper, next, last)
		}
		least, most, err := CountLimits(n-held, n, level)
		require.NoError(r, err)
		assert.InDelta(r, 1-upper, least, 1e-9)
		assert.InDelta(r, 1-lower, most, 1e-9)
		all, _, err := CountLimits(n, n, level)
		require.NoError(r, err)
		none, err := NobodyFailed(int(n), level)
		require.NoError(r, err)
		assert.InDelta(r, none, all, 1e-9)
	})
}

func TestCountLimitsRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range [][2]float64{{0, 0}, {1, -1}, {-0.5, 3}, {4, 3}, {math.NaN(), 3}, {1, math.NaN()}, {1, math.Inf(1)}} {
		_, _, err := CountLimits(c[0], c[1], 0.95)
		require.ErrorIs(t, err, ErrCount, "%v", c)
	}
	_, _, err := CountLimits(1, 2, 1)
	require.ErrorIs(t, err, ErrLevel)
}
