package survival_test

import (
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	. "beadspan/stats/survival"
)

// extreme draws lives at times of any size, with a few odd weights, in few
// clusters.
func extreme(t *rapid.T, n int) []Span {
	times := rapid.SampledFrom([]float64{0, 1e-300, 1e-9, 1, 1 + 1e-12, 2, 1e9, 1e9 + 1, 1e300})
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Span {
		seen := []float64{times.Draw(t, "time"), times.Draw(t, "time"), times.Draw(t, "time")}
		slices.Sort(seen)
		s := Span{Entry: seen[0], Lower: seen[1], Upper: seen[2]}
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0:
			s.Upper = s.Lower
		case 1:
			s.Upper = math.Inf(1)
		}
		if rapid.Bool().Draw(t, "from the start") {
			s.Entry = 0
		}
		if rapid.IntRange(0, 9).Draw(t, "weighs") == 0 {
			s = s.Weighing(rapid.SampledFrom([]float64{1e-9, 0.5, 3, 1e9}).Draw(t, "weight"))
		}
		return s.OfCluster(rapid.IntRange(0, 4).Draw(t, "cluster"))
	}), 1, n).Draw(t, "spans")
}

// settled takes what ended in an interval for ended at its upper end.
func settled(spans []Span) []Span {
	exact := slices.Clone(spans)
	for i, s := range exact {
		if !math.IsInf(s.Upper, 1) {
			exact[i].Lower = s.Upper
		}
	}
	return exact
}

// expected fails on an error that no method's doc tells of.
func expected(t *rapid.T, err error) {
	var bad *SpanError
	var unsettled *ConvergenceError
	if errors.As(err, &bad) || errors.As(err, &unsettled) || errors.Is(err, ErrNoSpans) || errors.Is(err, ErrIncomparable) {
		return
	}
	t.Fatalf("unexpected error: %v", err)
}

// Whatever lives are given, each method answers with numbers in their range or
// with an error that says what is wrong; none panics or runs on.
func TestAnyLivesGetAnAnswer(t *testing.T) {
	answered := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		groups := [][]Span{extreme(t, 6), extreme(t, 6)}
		sane := func(method string, chiSq float64, df int, p float64, err error) {
			if err != nil {
				expected(t, err)
				return
			}
			answered[method]++
			require.GreaterOrEqual(t, chiSq, 0.0, method)
			require.Equal(t, 1, df, method)
			require.True(t, p >= 0 && p <= 1, "%s: p = %v", method, p)
		}
		for name, weight := range map[string]RankWeight{"log-rank": nil, "gehan": Gehan, "late": RhoGamma(0, 2)} {
			r, err := WeightedLogRank(weight, [][]Span{settled(groups[0]), settled(groups[1])})
			if err != nil {
				r = &LogRankResult{}
			}
			sane(name, r.ChiSq, r.DF, r.P, err)
		}
		for _, scores := range []Scores{Finkelstein, Sun, Wilcoxon} {
			r, err := ScoreTest(groups, scores)
			if err != nil {
				r = &ScoreResult{}
			}
			sane("score test", r.ChiSq, r.DF, r.P, err)
			c, err := ClusterTest(t.Context(), groups, Relabelling{Scores: scores, Replicates: 19})
			if err != nil {
				c = &ClusterResult{}
			}
			sane("cluster test", c.ChiSq, c.DF, c.P, err)
			sane("cluster test at large", c.ChiSq, c.DF, c.LargeP, err)
		}
		curve, err := Turnbull(append(groups[0], groups[1]...))
		if err != nil {
			expected(t, err)
			return
		}
		answered["turnbull"]++
		sum := 0.0
		for _, v := range curve.Intervals {
			require.True(t, v.Mass >= 0 && v.After >= 0 && v.Lower <= v.Upper, "%+v", v)
			sum += v.Mass
		}
		require.InDelta(t, 1, sum, 1e-9)
	})
	for _, method := range []string{"log-rank", "score test", "cluster test", "turnbull"} {
		require.Positive(t, answered[method], method)
	}
}
