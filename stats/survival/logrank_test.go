package survival_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	. "beadspan/stats/survival"
)

// Strata of one kind of life each: pooling them by hand is not the same, adding
// their sums is.
func TestStrataAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		first := [][]Span{drawn(t, 12, true, false), drawn(t, 12, true, false)}
		second := [][]Span{scaled(drawn(t, 12, true, false), 3), nil}
		weight := rapid.SampledFrom([]RankWeight{nil, Gehan, RhoGamma(1, 1)}).Draw(t, "weight")
		one, err := WeightedLogRank(weight, first)
		if err != nil {
			require.ErrorIs(t, err, ErrIncomparable)
			return
		}
		// A group alone in its stratum is compared with nothing.
		both, err := WeightedLogRank(weight, first, second)
		require.NoError(t, err)
		require.InDelta(t, one.ChiSq, both.ChiSq, 1e-9)
		// The same stratum twice says all twice.
		twice, err := WeightedLogRank(weight, first, first)
		require.NoError(t, err)
		require.InDelta(t, 2*one.ChiSq, twice.ChiSq, 1e-9*(1+one.ChiSq))
		require.InDelta(t, 2*one.Sums[0], twice.Sums[0], 1e-9)
	})
}

func TestLogRankWeightIsRepetition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, aTimes := weighed(t, false)
		b, bTimes := weighed(t, false)
		weight := rapid.SampledFrom([]RankWeight{nil, TaroneWare, PetoAndersen}).Draw(t, "weight")
		want, err := WeightedLogRank(weight, [][]Span{aTimes, bTimes})
		if err != nil {
			require.ErrorIs(t, err, ErrIncomparable)
			return
		}
		got, err := WeightedLogRank(weight, [][]Span{a, b})
		require.NoError(t, err)
		require.InDeltaSlice(t, want.Sums, got.Sums, 1e-9)
		require.InDelta(t, want.ChiSq, got.ChiSq, 1e-9*(1+want.ChiSq))
	})
	_, err := LogRank([][]Span{{Exact(1)}, {Exact(2), Exact(3).Weighing(1.5)}})
	var bad *SpanError
	require.ErrorAs(t, err, &bad)
	assert.Equal(t, 1, bad.Index)
	assert.ErrorContains(t, err, "group 1")
	assert.ErrorContains(t, err, "whole lives")
}

// The order of lives, the names of groups and the unit of time say nothing.
func TestLogRankInvariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		groups := [][]Span{drawn(t, 15, true, false), drawn(t, 15, true, false), drawn(t, 15, true, false)}
		want, err := WeightedLogRank(RhoGamma(0.5, 0.5), groups)
		if err != nil {
			require.ErrorIs(t, err, ErrIncomparable)
			return
		}
		by := rapid.SampledFrom([]float64{1e9, 1e-9, 1 / 30.4375}).Draw(t, "unit")
		order := rapid.Permutation([]int{0, 1, 2}).Draw(t, "order")
		other := make([][]Span, 3)
		for g, from := range order {
			other[g] = scaled(rapid.Permutation(groups[from]).Draw(t, "lives"), by)
		}
		got, err := WeightedLogRank(RhoGamma(0.5, 0.5), other)
		require.NoError(t, err)
		require.InDelta(t, want.ChiSq, got.ChiSq, 1e-8*(1+want.ChiSq))
		require.Equal(t, want.DF, got.DF)
		for g, from := range order {
			require.InDelta(t, want.Sums[from], got.Sums[g], 1e-9)
		}
	})
}

// Of two groups a trend is the difference, whatever the scores.
func TestTrendOfTwoIsTheDifference(t *testing.T) {
	r, err := LogRank([][]Span{exactDays(60, 1), scaled(exactDays(60, 2), 1.3)})
	require.NoError(t, err)
	trend, err := r.Trend([]float64{3, 17})
	require.NoError(t, err)
	assert.InDelta(t, r.ChiSq, trend.ChiSq, 1e-9)
	assert.InDelta(t, r.P, trend.P, 1e-12)
	assert.Negative(t, trend.Sum, "the second group lasts longer")

	_, err = r.Trend([]float64{5, 5})
	assert.ErrorIs(t, err, ErrIncomparable)
	assert.Panics(t, func() { _, _ = r.Trend([]float64{1}) })
}

func TestStrataMustHaveTheSameGroups(t *testing.T) {
	two := [][]Span{{Exact(1)}, {Exact(2)}}
	_, err := WeightedLogRank(nil, two, append(slices.Clone(two), []Span{Exact(3)}))
	assert.ErrorIs(t, err, ErrIncomparable)
	assert.ErrorContains(t, err, "stratum 1 has 3 groups")
	_, err = WeightedLogRank(nil, [][]Span{{Exact(1)}, nil}, [][]Span{{Exact(1)}, nil})
	assert.ErrorIs(t, err, ErrNoSpans)
	assert.ErrorContains(t, err, "group 1")
	_, err = WeightedLogRank(nil, two, [][]Span{nil, {Exact(2), Between(2, 3)}})
	assert.ErrorContains(t, err, "stratum 1: group 1: span 1")
	_, err = WeightedLogRank(nil)
	assert.ErrorIs(t, err, ErrIncomparable)
	assert.Panics(t, func() { RhoGamma(-1, 0) })
}

// Times of two groups that differ by rounding only are one time; an entry at
// the very start is none.
func TestTiesBetweenGroups(t *testing.T) {
	want, err := LogRank([][]Span{{Exact(0.3), Exact(5)}, {Exact(0.3), RightCensored(4), Exact(0.9)}})
	require.NoError(t, err)
	x, y := 0.1, 0.2
	got, err := LogRank([][]Span{{Exact(x + y), Exact(5)}, {Exact(0.3), RightCensored(4), Exact(0.9).EnteredAt(1e-12)}})
	require.NoError(t, err)
	assert.Equal(t, want.Expected, got.Expected)
}
