package survival_test

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	. "beadspan/stats/survival"
)

// Four tests with p 0.01, 0.04, 0.03 and 0.005, a worked example that teaching
// pages reprint (geeksforgeeks.org, "Holm-Bonferroni method", among others): the
// thresholds 0.0125, 0.0167, 0.025 and 0.05 reject the fourth and the first.
// So 0.005·4, 0.01·3 and 0.03·2, and the last is held up at that.
func TestHolmWorkedExample(t *testing.T) {
	assert.InDeltaSlice(t, []float64{0.03, 0.06, 0.06, 0.02}, Holm([]float64{0.01, 0.04, 0.03, 0.005}), 1e-15)
}

func TestHolmEdges(t *testing.T) {
	nan := math.NaN()
	got := Holm([]float64{nan, 0.04, nan, 0.03})
	assert.True(t, math.IsNaN(got[0]) && math.IsNaN(got[2]))
	assert.InDelta(t, 0.06, got[1], 1e-15, "tests not made do not count")
	assert.InDelta(t, 0.06, got[3], 1e-15)
	assert.Empty(t, Holm(nil))
	assert.Equal(t, []float64{1, 1}, Holm([]float64{0.7, 0.6}))
	assert.Panics(t, func() { Holm([]float64{1.1}) })
}

// By definition: a test is rejected at a level exactly if it and all with a
// smaller p pass their thresholds.
func TestHolmIsTheSequentialProcedure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SliceOfN(rapid.Float64Range(0, 0.1), 1, 8).Draw(t, "p")
		level := rapid.Float64Range(0.001, 0.5).Draw(t, "level")
		for i, adjusted := range Holm(p) {
			if math.Abs(adjusted-level) < 1e-9 {
				continue
			}
			rejected := true
			for j := range p {
				if p[j] > p[i] {
					continue
				}
				smaller := 0
				for k := range p {
					if p[k] < p[j] || p[k] == p[j] && k < j {
						smaller++
					}
				}
				rejected = rejected && (p[j] <= level/float64(len(p)-smaller) || p[j] == p[i] && j > i)
			}
			require.Equal(t, rejected, adjusted <= level, "p %v: adjusted %v, level %v", p[i], adjusted, level)
		}
	})
}

// A pair that nothing compares is told as such, and does not count.
func TestPairsThatCannotBeCompared(t *testing.T) {
	late := []Span{Exact(3000).EnteredAt(2000), RightCensored(3001).EnteredAt(2000)}
	pairs, err := PairwiseLogRank(nil, [][]Span{exactDays(40, 1), exactDays(40, 2), late})
	require.NoError(t, err)
	require.Len(t, pairs, 3)
	assert.Equal(t, pairs[0].P, pairs[0].Adjusted)
	for _, pair := range pairs[1:] {
		assert.True(t, math.IsNaN(pair.P) && math.IsNaN(pair.ChiSq) && math.IsNaN(pair.Adjusted))
	}

	_, err = PairwiseLogRank(nil, [][]Span{exactDays(9, 1), exactDays(9, 2), {Between(1, 2)}})
	assert.ErrorContains(t, err, "groups 0 and 2")
	var bad *SpanError
	assert.ErrorAs(t, err, &bad)
	_, err = PairwiseLogRank(nil)
	assert.ErrorIs(t, err, ErrIncomparable)
	failed := errors.New("failed")
	_, err = Pairwise(2, func(_, _ int) (_, _ float64, _ error) { return 0, 0, failed })
	assert.ErrorIs(t, err, failed)
}
