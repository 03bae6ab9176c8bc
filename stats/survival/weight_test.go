package survival_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	. "beadspan/stats/survival"
)

// weighed draws lives with whole weights, and the same lives one by one.
func weighed(t *rapid.T, intervals bool) (weights, repeats []Span) {
	for i, s := range drawn(t, 15, true, intervals) {
		s = s.OfCluster(i % 5)
		times := rapid.IntRange(1, 4).Draw(t, "times")
		weights = append(weights, s.Weighing(float64(times)))
		for range times {
			repeats = append(repeats, s)
		}
	}
	return weights, repeats
}

// A weight of 3 says what three lives alike say.
func TestTurnbullWeightIsRepetition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		weights, repeats := weighed(t, true)
		want, err := Turnbull(repeats)
		require.NoError(t, err)
		got, err := Turnbull(weights)
		require.NoError(t, err)
		requireSameCurve(t, want, got, 1)

		// The maximum does not depend on what weight is the unit.
		for i, s := range weights {
			weights[i] = s.Weighing(s.Weight * 0.3)
		}
		third, err := Turnbull(weights)
		require.NoError(t, err)
		third.LogLik /= 0.3
		requireSameCurve(t, want, third, 1)
	})
}

func TestBootstrapWeightIsRepetition(t *testing.T) {
	var weights, repeats []Span
	for i, s := range visited(60, 4) {
		weights = append(weights, s.Weighing(float64(1+i%3)))
		for range 1 + i%3 {
			repeats = append(repeats, s)
		}
	}
	want, err := ClusterBootstrap(t.Context(), repeats, usual)
	require.NoError(t, err)
	got, err := ClusterBootstrap(t.Context(), weights, usual)
	require.NoError(t, err)
	for i, w := range want.Survival {
		assert.InDelta(t, w.Lower, got.Survival[i].Lower, 1e-9)
		assert.InDelta(t, w.Upper, got.Survival[i].Upper, 1e-9)
	}
	assert.Equal(t, want.Quantiles, got.Quantiles)
	unweighted, err := ClusterBootstrap(t.Context(), visited(60, 4), usual)
	require.NoError(t, err)
	assert.NotEqual(t, unweighted.Survival, got.Survival)
}
