package survival_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival"
)

// Spans that only touch, worked by hand. With ends (lower, upper] the places
// for mass are (0, 5], (5, 10] and (10, 15] (and nothing beyond, since the one
// open span allows (10, 15]). Likelihood a·b²·c·(a + b)·c with a + b + c = 1:
// c = 2/6; given a + b = 4/6, a·b² is largest at b = 2a. Were the ends closed,
// days 5 and 10 would each belong to both neighbours, and the masses were 1/3 on
// day 5 and 2/3 on day 10 (testdata/reference, npmle/tiny-touching).
func TestTurnbullEndsAreOpenBelow(t *testing.T) {
	curve, err := Turnbull([]Span{
		LeftCensored(5), Between(5, 10), Between(5, 10), Between(10, 15), LeftCensored(10), RightCensored(10),
	})
	require.NoError(t, err)
	require.Len(t, curve.Intervals, 3)
	tol := check.Tolerance{Rel: 1e-12}
	for i, want := range []Interval{
		{Lower: 0, Upper: 5, Mass: 2.0 / 9, After: 7.0 / 9},
		{Lower: 5, Upper: 10, Mass: 4.0 / 9, After: 1.0 / 3},
		{Lower: 10, Upper: 15, Mass: 1.0 / 3, After: 0},
	} {
		got := curve.Intervals[i]
		check.Value(t, "mass", got.Mass, want.Mass, tol)
		check.Value(t, "after", got.After, want.After, tol)
		got.Mass, got.After = want.Mass, want.After
		assert.Equal(t, want, got)
	}
	check.Value(t, "log-likelihood", curve.LogLik, math.Log(2.0/9*16/81*1/9*6/9), tol)
}

// A death on day 5 itself is not in (5, 10], and is in (0, 5].
func TestTurnbullPointsAtEnds(t *testing.T) {
	curve, err := Turnbull([]Span{LeftCensored(5), Exact(5), Between(5, 10)})
	require.NoError(t, err)
	require.Len(t, curve.Intervals, 2)
	assert.Equal(t, 5.0, curve.Intervals[0].Lower)
	assert.True(t, curve.Intervals[0].Exact)
	assert.InDelta(t, 2.0/3, curve.Intervals[0].Mass, 1e-12)
	assert.InDelta(t, 1.0/3, curve.Intervals[1].Mass, 1e-12)
}

func TestIntervalCurveAt(t *testing.T) {
	curve, err := Turnbull([]Span{Between(4, 8), Between(4, 8), Exact(10), RightCensored(12)})
	require.NoError(t, err)
	nan := math.NaN()
	for _, want := range []IntervalPoint{
		{Time: 0, Lower: 1, Upper: 1, Determined: true, Survival: 1},
		{Time: 4, Lower: 1, Upper: 1, Determined: true, Survival: 1},
		{Time: 5, Lower: 0.5, Upper: 1, Survival: 0.875},
		{Time: 8, Lower: 0.5, Upper: 0.5, Determined: true, Survival: 0.5},
		{Time: 10, Lower: 0.25, Upper: 0.25, Determined: true, Survival: 0.25},
		{Time: 12, Lower: 0.25, Upper: 0.25, Determined: true, Survival: 0.25},
		{Time: 13, Lower: 0, Upper: 0.25, Survival: nan},
	} {
		at := curve.At(want.Time)
		tol := check.Tolerance{Abs: 1e-12}
		check.Value(t, "lower", at.Lower, want.Lower, tol)
		check.Value(t, "upper", at.Upper, want.Upper, tol)
		check.Value(t, "survival", at.Survival, want.Survival, tol)
		assert.Equal(t, want.Determined, at.Determined, "%v", want.Time)
	}
}

func TestIntervalQuantile(t *testing.T) {
	curve, err := Turnbull([]Span{Between(4, 8), Between(4, 8), Exact(10), RightCensored(12)})
	require.NoError(t, err)
	inf := math.Inf(1)
	for _, want := range []IntervalQuantile{
		{P: 0.125, Lower: 4, Upper: 8, Time: 5},
		{P: 0.5, Lower: 4, Upper: 8, Time: 9, Flat: true}, // between 8 and 10
		{P: 0.6, Lower: 10, Upper: 10, Time: 10},
		{P: 0.75, Lower: 10, Upper: 10, Time: 11, Flat: true}, // between 10 and 12
		{P: 0.9, Lower: 12, Upper: inf, Time: inf},
	} {
		got := curve.Quantile(want.P)
		check.Value(t, "time", got.Time, want.Time, check.Tolerance{Rel: 1e-12})
		got.Time = want.Time
		assert.Equal(t, want, got)
	}
	assert.Panics(t, func() { curve.Quantile(0) })
}

// Nothing says whether the first life ended before the second was enrolled.
func TestTurnbullSaysWhenMassesAreNotUnique(t *testing.T) {
	curve, err := Turnbull([]Span{LeftCensored(10), Between(8, 10).EnteredAt(5)})
	require.NoError(t, err)
	assert.False(t, curve.Unique)
	assert.InDelta(t, 0, curve.LogLik, 1e-12, "each fits with certainty")

	curve, err = Turnbull([]Span{LeftCensored(5), LeftCensored(10), Between(8, 10).EnteredAt(5)})
	require.NoError(t, err)
	assert.True(t, curve.Unique)
	// a = P(T ≤ 5): a·1·1, so everything ends by 5 but for the late one, which
	// would need some left: S falls to 0, and what the late one says is lost.
	assert.InDelta(t, 1, curve.Intervals[0].Mass, 1e-12)
}

// Late entrants after all others had ended cannot bring S back from 0.
func TestTurnbullDiesOutWithTheRiskSet(t *testing.T) {
	spans := []Span{Exact(2), Exact(3), Exact(7).EnteredAt(5), RightCensored(9).EnteredAt(5)}
	curve, err := Turnbull(spans)
	require.NoError(t, err)
	assert.Equal(t, 0.0, curve.At(3).Upper)
	assert.Equal(t, 0.0, curve.At(8).Upper)
	// The late ones still count in the likelihood: 1/4 of the early, 1/4 of the late.
	assert.InDelta(t, 2*math.Log(0.25), curve.LogLik, 1e-12)
}

func TestTurnbullFromNothing(t *testing.T) {
	for _, spans := range [][]Span{{RightCensored(0)}, {RightCensored(4).EnteredAt(4)}} {
		curve, err := Turnbull(spans)
		require.NoError(t, err)
		assert.Equal(t, []Interval{{Upper: math.Inf(1), Mass: 1}}, curve.Intervals)
		assert.Equal(t, 1, curve.N)
	}
	all, err := Turnbull([]Span{Exact(0), Exact(0)})
	require.NoError(t, err)
	assert.Equal(t, []Interval{{Exact: true, Mass: 1}}, all.Intervals)
}
