package mixed

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/stats/decay"
	"beadspan/stats/internal/check"
)

// knownFloor fits exponentials to a floor that is known.
func knownFloor(t *testing.T, readings []Reading, floor float64) *CurvesFit {
	t.Helper()
	fit, err := FallModel{Floor: &floor, Outer: true}.cold(decay.ExponentialShape, readings, &floor)
	require.NoError(t, err)
	return fit
}

// From where the smaller model is, the larger one comes to the same estimates as
// from afar, and what was foretold of it does not change them.
func TestExtensionIsTheLargerModel(t *testing.T) {
	readings := drawnFalls(2, 30, 1.3, 74)
	small := knownFloor(t, readings, 75)
	for name, extend := range map[string]func() (*extension, error){
		"stretched": small.stretched,
		"freed":     func() (*extension, error) { return small.freed(0) },
	} {
		t.Run(name, func(t *testing.T) {
			untold, err := grown(extend())
			require.NoError(t, err)
			e, err := extend()
			require.NoError(t, err)
			got, err := e.fit()
			require.NoError(t, err)
			assert.Equal(t, got.ψ, untold.ψ)
			want, err := Curves(readings, e.model)
			require.NoError(t, err)
			near(t, "log-likelihood", got.LogLik, want.LogLik, check.Tolerance{Abs: 1e-6})
			for j, e := range want.Fixed {
				near(t, e.Name, got.Fixed[j].Value, e.Value, check.Tolerance{Abs: 1e-3 * e.SE})
				near(t, e.Name, got.Fixed[j].SE, e.SE, check.Tolerance{Rel: 0.01})
			}
		})
	}
}

// The score test foretells what the likelihood ratio is, for both test the same
// and are alike near the truth (Rao, Linear Statistical Inference, 2nd ed. (1973)
// section 6e); and where the smaller model is true, both are a χ² on one degree of
// freedom, of mean 1 and variance 2.
func TestGainIsTheScoreTest(t *testing.T) {
	const fleets = 24
	sum := map[string]float64{}
	for seed := range uint64(fleets) {
		small := knownFloor(t, drawnFalls(seed, 20, 1, 76), 76)
		for name, extend := range map[string]func() (*extension, error){
			"stretched": small.stretched,
			"freed":     func() (*extension, error) { return small.freed(0) },
		} {
			e, err := extend()
			require.NoError(t, err)
			gain := e.gain()
			sum[name] += gain
			if seed >= 5 {
				continue
			}
			large, err := e.fit()
			require.NoError(t, err)
			near(t, name, gain, 2*(large.LogLik-small.LogLik), check.Tolerance{Abs: 0.1, Rel: 0.15})
		}
	}
	for name, total := range sum {
		assert.InDelta(t, 1, total/fleets, 3*0.29, name) // three of √(2/24)
	}
}
