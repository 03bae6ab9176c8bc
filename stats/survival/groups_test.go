package survival_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	. "beadspan/stats/survival"
)

// On exact and right-censored spans, with late entrants too, Sun's scores add up
// to observed less expected ends (algebra: a life scores [ended] − ∑ d/n over
// its time at risk).
func TestSunScoresAddUpToTheLogRank(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		groups := [][]Span{drawn(t, 15, true, false), drawn(t, 15, true, false)}
		lr, err := LogRank(groups)
		if err != nil {
			require.ErrorIs(t, err, ErrIncomparable)
			return
		}
		sc, err := ScoreTest(groups, Sun)
		if err != nil { // late entrants after S fell to 0, or scores all alike
			return
		}
		for g, scores := range sc.Scores {
			sum := 0.0
			for _, c := range scores {
				sum += c
			}
			require.InDelta(t, lr.Observed[g]-lr.Expected[g], sum, 1e-9)
		}
	})
}

// Finkelstein's score is the derivative, at equal groups, of a life's
// log-likelihood by its log hazard ratio b: log [(Lᶿ − Rᶿ)/Vᶿ], θ = eᵇ, with S
// at its lower end, upper end and entry.
func TestFinkelsteinScoresAreDerivatives(t *testing.T) {
	groups := [][]Span{
		{Between(3, 6), Between(2, 5).EnteredAt(1), RightCensored(7), LeftCensored(4), Between(8, 12).EnteredAt(5)},
		{Between(5, 9), RightCensored(9).EnteredAt(4), LeftCensored(2), Between(1, 3), RightCensored(10)},
	}
	curve, err := Turnbull(append(append([]Span{}, groups[0]...), groups[1]...))
	require.NoError(t, err)
	r, err := ScoreTest(groups, Finkelstein)
	require.NoError(t, err)
	survival := func(day float64) float64 {
		at := curve.At(day)
		require.True(t, at.Determined || math.IsInf(day, 1))
		return at.Lower
	}
	for g, members := range groups {
		for i, s := range members {
			logLik := func(b float64) float64 {
				θ := math.Exp(b)
				return math.Log((math.Pow(survival(s.Lower), θ) - math.Pow(survival(s.Upper), θ)) /
					math.Pow(survival(s.Entry), θ))
			}
			const h = 1e-5
			assert.InDelta(t, (logLik(h)-logLik(-h))/(2*h), r.Scores[g][i], 1e-8, "%+v", s)
		}
	}
}

// Groups that are copies of one another do not differ, and their order only
// turns signs.
func TestComparisonsAreFair(t *testing.T) {
	a, b := visited(60, 1), visited(80, 2)
	same, err := ScoreTest([][]Span{a, a}, Finkelstein)
	require.NoError(t, err)
	assert.InDelta(t, 0, same.ChiSq, 1e-12)
	assert.InDelta(t, 1, same.P, 1e-5)

	one, err := ScoreTest([][]Span{a, b}, Finkelstein)
	require.NoError(t, err)
	two, err := ScoreTest([][]Span{b, a}, Finkelstein)
	require.NoError(t, err)
	assert.InDelta(t, one.ChiSq, two.ChiSq, 1e-9)
	assert.InDelta(t, one.Sums[0], two.Sums[1], 1e-9)

	short, long := exactDays(100, 1), exactDays(100, 2)
	for i := range long {
		long[i].Lower *= 2
		long[i].Upper *= 2
	}
	lr, err := LogRank([][]Span{short, long})
	require.NoError(t, err)
	assert.Greater(t, lr.Observed[0], lr.Expected[0], "shorter lives end more often")
	sc, err := ScoreTest([][]Span{short, long}, Wilcoxon)
	require.NoError(t, err)
	assert.Positive(t, sc.Sums[0], "shorter lives score higher")
}

// The order of lives and the unit of time say nothing.
func TestScoreTestInvariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scores := rapid.SampledFrom([]Scores{Finkelstein, Sun, Wilcoxon}).Draw(t, "scores")
		groups := [][]Span{drawn(t, 15, false, true), drawn(t, 15, false, true)}
		want, err := ScoreTest(groups, scores)
		if err != nil {
			require.ErrorIs(t, err, ErrIncomparable)
			return
		}
		by := rapid.SampledFrom([]float64{1e9, 1e-9, 1 / 30.4375}).Draw(t, "unit")
		other := make([][]Span, 2)
		for g, lives := range groups {
			other[g] = scaled(rapid.Permutation(lives).Draw(t, "lives"), by)
		}
		got, err := ScoreTest(other, scores)
		require.NoError(t, err)
		require.InDelta(t, want.ChiSq, got.ChiSq, 1e-6*(1+want.ChiSq))
		require.InDelta(t, want.Sums[0], got.Sums[0], 1e-6)
	})
}

func TestIncomparable(t *testing.T) {
	for name, groups := range map[string][][]Span{
		"one group":             {{Exact(1), Exact(2)}},
		"no group":              nil,
		"nobody ended":          {{RightCensored(3)}, {RightCensored(4)}},
		"never watched at once": {{Exact(2), RightCensored(3)}, {Exact(7).EnteredAt(5), RightCensored(9).EnteredAt(5)}},
		"one at risk":           {{Exact(5)}, {RightCensored(3)}},
	} {
		_, err := LogRank(groups)
		assert.ErrorIs(t, err, ErrIncomparable, name)
	}
	_, err := ScoreTest([][]Span{{RightCensored(3)}, {RightCensored(3)}}, Sun)
	assert.ErrorIs(t, err, ErrIncomparable, "scores all alike")

	// Of three groups one is watched apart: the other two are compared.
	r, err := LogRank([][]Span{exactDays(40, 1), exactDays(40, 2), {Exact(3000).EnteredAt(2000)}})
	require.NoError(t, err)
	assert.Equal(t, 1, r.DF)

	_, err = ScoreTest([][]Span{{Exact(2), Exact(3)}, {Exact(7).EnteredAt(5), RightCensored(9).EnteredAt(5)}}, Sun)
	var bad *SpanError
	require.ErrorAs(t, err, &bad)
	assert.Equal(t, 0, bad.Index)
	assert.ErrorContains(t, err, "group 1")
}
