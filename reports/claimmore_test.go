package reports

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

// The follow-up that decidingRatio asks for is tried out on the scale on which it
// is made: truths drawn about the estimate, what is seen of them in the vehicles
// that are added, and the two put together. Of 100,000 draws 80 % must decide,
// to four standard errors.
func TestDecidingRatioDecides(t *testing.T) {
	t.Parallel()
	z := distuv.UnitNormal.Quantile(0.975)
	x := func(share float64) float64 { return math.Asin(math.Sqrt(share)) }
	share := func(x float64) float64 { return math.Pow(math.Sin(x), 2) }
	for i, away := range []float64{-1.9, -1.2, 1.2, 1.5, 1.9} {
		const σ, n = 0.05, 100_000
		promised := 0.8
		estimate := x(promised) + away*σ
		end := ClaimEnd{Promised: promised, Share: &Share{Share: share(estimate)}, Limits: Limits{share(estimate - z*σ), share(estimate + z*σ)}}
		ratio, known := decidingRatio(end, 0.95)
		require.True(t, known)
		draw := rand.New(rand.NewPCG(uint64(i), 4))
		decided := 0.0
		for range n {
			truth := estimate + σ*draw.NormFloat64()
			seen := truth + σ/math.Sqrt(ratio-1)*draw.NormFloat64()
			together := (estimate + (ratio-1)*seen) / ratio
			decided += float64(one(math.Abs(together-x(promised)) > z*σ/math.Sqrt(ratio))) / n
		}
		assert.InDelta(t, likelyDecided, decided, 4*math.Sqrt(0.2*0.8/n), "%v", away)
	}
}

// Nearer to the promise takes more, up to where no number is told.
func TestNearerTakesMore(t *testing.T) {
	t.Parallel()
	last := 1.0
	for _, share := range []float64{0.87, 0.865, 0.86, 0.85} {
		ratio, known := decidingRatio(ClaimEnd{Promised: 0.8, Share: &Share{Share: share}, Limits: Limits{share - 0.08, share + 0.08}}, 0.95)
		require.True(t, known, "%v", share)
		assert.Greater(t, ratio, last)
		last = ratio
	}
	_, known := decidingRatio(ClaimEnd{Promised: 0.8, Share: &Share{Share: 0.805}, Limits: Limits{0.7, 0.9}}, 0.95)
	assert.False(t, known)
}

func TestMoreIsRoundedUp(t *testing.T) {
	t.Parallel()
	for vehicles, want := range map[float64]int{0.2: 1, 7: 7, 19.1: 20, 21: 25, 96: 100, 123: 130, 1234: 1300} {
		m := newMore(vehicles, 11.5)
		assert.Equal(t, want, m.Vehicles, fmt.Sprint(vehicles))
		assert.InDelta(t, 12, m.Months, 0)
		assert.InDelta(t, float64(12*want), m.VehicleMonths, 0)
	}
}
