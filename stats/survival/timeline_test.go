package survival

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The quick look at a span and the one that explains must agree.
func TestSoundMeansNoProblem(t *testing.T) {
	number := rapid.SampledFrom([]float64{0, math.Copysign(0, -1), 1, 2, 1e-300, -1, math.MaxFloat64,
		math.Inf(1), math.Inf(-1), math.NaN(), math.Copysign(math.NaN(), -1)})
	rapid.Check(t, func(t *rapid.T) {
		s := Span{Entry: number.Draw(t, "entry"), Lower: number.Draw(t, "lower"),
			Upper: number.Draw(t, "upper"), Weight: number.Draw(t, "weight")}
		require.Equal(t, s.problem() == "", s.sound(), "%+v: %s", s, s.problem())
	})
}

func TestSortSights(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.SampledFrom([]int{1, 2, fewSights - 1, fewSights, 2000}).Draw(t, "n")
		scale := rapid.SampledFrom([]float64{1, 1e-300, 1e300, 0.1}).Draw(t, "scale")
		kinds := rapid.SampledFrom([]int{1, 3, 1 << 40}).Draw(t, "kinds")
		seed := rapid.Uint64().Draw(t, "seed")
		sights := make([]sight, n)
		for i := range sights {
			seed = seed*6364136223846793005 + 1442695040888963407
			sights[i] = newSight(float64(seed>>20%uint64(kinds))*scale, seed>>63 == 1, float64(i))
		}
		given := make(map[sight]bool, n)
		for _, s := range sights {
			given[s] = true
		}
		sorted := sortSights(sights)
		require.Len(t, sorted, n)
		for i, s := range sorted {
			require.True(t, given[s]) // the weight makes each unique
			delete(given, s)
			require.True(t, i == 0 || sorted[i-1].time() <= s.time())
		}
	})
}
