package survival

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The likelihood never falls from one step to the next, beyond the rounding of
// its own sum, and the conditions of its maximum are met at the end.
func TestLikelihoodNeverFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spans := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Span {
			lower := rapid.Float64Range(0, 10).Draw(t, "lower")
			s := Between(lower, lower+rapid.SampledFrom([]float64{0, 0.5, 3, 8, math.Inf(1)}).Draw(t, "width"))
			if late := rapid.Float64Range(0, 1).Draw(t, "late"); late > 0.7 && lower > 1 {
				s = s.EnteredAt(lower * (1 - late))
			}
			return s
		}), 2, 40).Draw(t, "spans")
		intervals := innermost(spans)
		z := newHazards(rowsOf(spans, intervals), len(intervals))
		z.begin()
		height := z.logLikelihood(z.u)
		require.False(t, math.IsInf(height, 0), "the start must be possible")
		for range maxIterations {
			blocks := z.look()
			if z.gap <= gapAllowed {
				return
			}
			among := z.promising()
			reached, moved := z.advance(among, z.newton(among, blocks), height)
			require.True(t, moved)
			require.GreaterOrEqual(t, reached, height-1e-12*(1+math.Abs(height)))
			height = reached
		}
		t.Fatalf("no convergence: gap %g", z.gap)
	})
}
