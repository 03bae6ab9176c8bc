package survival_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival"
)

// Means and errors at other times are compared in TestReference. Here the
// reference's for 6-MP and placebo at 23 weeks, 17.90924 (1.55319) and 8.66667
// (1.37739), make the difference.
func TestMeanDifference(t *testing.T) {
	placebo := []Span{}
	for _, c := range check.Cases(t, "kaplan-meier") {
		if c.ID == "kaplan-meier/leukemia-6mp" {
			d := c.Data.Where(t, map[string]any{"group": "placebo"})
			placebo = inputs{Time: "time", Status: "status"}.spans(t, d)
		}
	}
	mean := func(spans []Span) RestrictedMean {
		curve, err := KaplanMeier(spans, 0.95)
		require.NoError(t, err)
		m, err := curve.RestrictedMean(23)
		require.NoError(t, err)
		return m
	}
	treated, control := mean(remission(t)), mean(placebo)
	d, err := treated.Less(control)
	require.NoError(t, err)
	const want = 17.90924369747899 - 8.666666666666666
	tol := check.Tolerance{Rel: 1e-9}
	check.Value(t, "difference", d.Difference, want, tol)
	check.Value(t, "SE", d.SE, math.Sqrt(1.5531899782483796*1.5531899782483796+1.3773900412645483*1.3773900412645483), tol)
	check.Value(t, "lower", d.Lower, want-1.959963984540054*d.SE, tol)
	check.Value(t, "upper", d.Upper, want+1.959963984540054*d.SE, tol)
	check.Value(t, "z", d.Z, want/d.SE, tol)
	check.Value(t, "p", d.P, 2*distuv.UnitNormal.CDF(-want/d.SE), tol)

	back, err := control.Less(treated)
	require.NoError(t, err)
	assert.Equal(t, []float64{-d.Difference, -d.Upper, -d.Lower, d.P}, []float64{back.Difference, back.Lower, back.Upper, back.P})
}

func TestMeansThatDoNotCompare(t *testing.T) {
	curve, err := KaplanMeier(six, 0.95)
	require.NoError(t, err)
	up5, err := curve.RestrictedMean(5)
	require.NoError(t, err)
	up6, err := curve.RestrictedMean(6)
	require.NoError(t, err)
	_, err = up5.Less(up6)
	assert.ErrorIs(t, err, ErrHorizon)
	other, err := KaplanMeier(six, 0.9)
	require.NoError(t, err)
	at90, err := other.RestrictedMean(5)
	require.NoError(t, err)
	_, err = up5.Less(at90)
	assert.ErrorIs(t, err, ErrLevel)
	for _, tau := range []float64{0, -1, math.NaN()} {
		_, err = curve.RestrictedMean(tau)
		assert.ErrorIs(t, err, ErrHorizon)
	}
}

// Past what is known there is no mean; before the first end there is one, but no
// error that says anything.
func TestRestrictedMeanNotEstimable(t *testing.T) {
	curve, err := KaplanMeier(six, 0.95) // last seen at 9, S 0.6
	require.NoError(t, err)
	past, err := curve.RestrictedMean(9.5)
	require.NoError(t, err)
	for _, x := range []float64{past.Mean, past.SE, past.Lower, past.Upper} {
		assert.True(t, math.IsNaN(x))
	}
	early, err := curve.RestrictedMean(2)
	require.NoError(t, err)
	assert.Equal(t, []float64{2, 0}, []float64{early.Mean, early.SE})
	assert.True(t, math.IsNaN(early.Lower) && math.IsNaN(early.Upper))
	d, err := early.Less(early)
	require.NoError(t, err)
	assert.Equal(t, 0.0, d.Difference)
	assert.True(t, math.IsNaN(d.SE) && math.IsNaN(d.P))
}

// Where every end is known the restricted mean is the plain mean of min(life,
// tau), and its error that of a mean, √(variance/n) with the divisor n.
func TestRestrictedMeanOfKnownEndsIsTheMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		days := rapid.SliceOfN(rapid.IntRange(1, 50), 2, 40).Draw(t, "days")
		tau := float64(rapid.IntRange(1, 60).Draw(t, "tau"))
		spans, counted := make([]Span, len(days)), make([]float64, len(days))
		for i, day := range days {
			spans[i], counted[i] = Exact(float64(day)), min(float64(day), tau)
		}
		curve, err := KaplanMeier(spans, 0.95)
		require.NoError(t, err)
		m, err := curve.RestrictedMean(tau)
		require.NoError(t, err)
		mean, variance := stat.PopMeanVariance(counted, nil)
		require.InDelta(t, mean, m.Mean, 1e-10)
		require.InDelta(t, math.Sqrt(variance/float64(len(days))), m.SE, 1e-9)
		if m.SE > 0 {
			require.GreaterOrEqual(t, m.Lower, 0.0)
			require.LessOrEqual(t, m.Upper, tau)
		}

		forever, err := curve.RestrictedMean(math.Inf(1)) // all have ended
		require.NoError(t, err)
		whole, err := curve.RestrictedMean(1000)
		require.NoError(t, err)
		require.InDelta(t, whole.Mean, forever.Mean, 1e-10)
	})
}
