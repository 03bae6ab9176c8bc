package aft_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/stat/distuv"

	"beadspan/stats/survival"
	. "beadspan/stats/survival/aft"
)

// Exponential lives: ℓ = −d log λ − T/λ in closed form, so that each limit of
// the median λ log 2 solves 2 (ℓ̂ − ℓ) = z².
func TestProfileOfExponential(t *testing.T) {
	spans := []survival.Span{survival.Exact(10), survival.Exact(35), survival.RightCensored(50), survival.RightCensored(50)}
	m, err := Fit(Data{Spans: spans}, Exponential)
	require.NoError(t, err)
	q, err := m.ProfileQuantile(Life{X: []float64{1}}, 0.5, 0.9)
	require.NoError(t, err)
	const d, watched = 2.0, 145.0
	assert.InEpsilon(t, watched/d*math.Ln2, q.Time, 1e-9)
	z := distuv.UnitNormal.Quantile(0.95)
	for _, limit := range []float64{q.Lower, q.Upper} {
		λ := limit / math.Ln2
		deviance := 2 * (d*math.Log(λ*d/watched) + watched/λ - d)
		assert.InEpsilon(t, z*z, deviance, 1e-8)
	}
	assert.Less(t, q.Lower, q.Time)
	assert.Greater(t, q.Upper, q.Time)
}

// Other models, with a covariate and strata: at each limit the plain formula's
// likelihood, maximised over the other parameters by trial, has fallen by z²/2.
func TestProfileFallsAsItMust(t *testing.T) {
	spans := withVisits()
	x := make([]float64, len(spans))
	strata := make([]int, len(spans))
	for i := range x {
		x[i], strata[i] = float64(i%3), i%2
	}
	design, err := NewDesign(len(spans), Numeric("x", x))
	require.NoError(t, err)
	data := Data{Spans: spans, Design: design, Strata: strata}
	life := Life{X: []float64{1, 1.5}, Stratum: 1, Shift: 0.2}
	z := distuv.UnitNormal.Quantile(0.975)
	for law, w := range map[Distribution]float64{Weibull: math.Log(-math.Log(0.8)), LogNormal: -0.8416212335729143, LogLogistic: math.Log(0.25)} {
		m, err := Fit(data, law)
		require.NoError(t, err)
		q, err := m.ProfileQuantile(life, 0.2, 0.95)
		require.NoError(t, err)
		for _, limit := range []float64{q.Lower, q.Upper} {
			best := highest(func(rest []float64) float64 {
				θ := []float64{0, rest[0], rest[1], rest[2]}
				θ[0] = math.Log(limit) - 0.2 - 1.5*rest[0] - math.Exp(rest[2])*w
				return naiveLogLik(data, law, θ)
			}, []float64{m.Coefficients[1], m.LogScale[0], m.LogScale[1]})
			assert.InDelta(t, z*z/2, m.LogLik-best, 1e-4, "%v", law)
		}
	}
}

// The search along the profile uses exact derivatives, here held against
// differences.
func TestProfileDerivatives(t *testing.T) {
	spans := withVisits()
	x := make([]float64, len(spans))
	for i := range x {
		x[i] = float64(i % 3)
	}
	design, err := NewDesign(len(spans), Numeric("x", x))
	require.NoError(t, err)
	m, err := Fit(Data{Spans: spans, Design: design}, LogLogistic)
	require.NoError(t, err)
	life, log, rest := Life{X: []float64{1, 2}}, 3.5, []float64{0.2, -0.4}
	_, gradient, second := ProfileSurface(m, life, 0.3, log, rest)
	value := func(rest []float64) float64 { h, _, _ := ProfileSurface(m, life, 0.3, log, rest); return h }
	central := &fd.Settings{Formula: fd.Central}
	for j, want := range fd.Gradient(nil, value, rest, central) {
		assert.InEpsilon(t, want, gradient[j], 1e-6)
		slope := func(rest []float64) float64 { _, g, _ := ProfileSurface(m, life, 0.3, log, rest); return g[j] }
		for k, want := range fd.Gradient(nil, slope, rest, central) {
			assert.InEpsilon(t, want, second.At(j, k), 1e-5)
		}
	}
}

// highest climbs by coordinates, in steps halved when none helps.
func highest(f func([]float64) float64, at []float64) float64 {
	best := f(at)
	for step := 0.2; step > 1e-5; {
		moved := false
		for j := range at {
			for _, by := range []float64{step, -step} {
				at[j] += by
				if h := f(at); h > best {
					best, moved = h, true
				} else {
					at[j] -= by
				}
			}
		}
		if !moved {
			step /= 2
		}
	}
	return best
}

// withVisits are lives seen at visits, some late.
func withVisits() []survival.Span {
	b, r := survival.Between, survival.RightCensored
	return []survival.Span{b(10, 20), b(15, 40), b(30, 35), b(60, 90), r(80), r(45), survival.LeftCensored(12),
		b(25, 50).EnteredAt(5), b(70, 75).EnteredAt(40), survival.Exact(33), b(50, 64), b(90, 120), r(110), b(5, 9), b(44, 70)}
}

// By cluster, z² grows with the variance of the quantile.
func TestProfileByCluster(t *testing.T) {
	spans := withVisits()
	for i := range spans {
		spans[i].Cluster = i / 3
	}
	m, err := Fit(Data{Spans: spans}, Weibull)
	require.NoError(t, err)
	robust, err := m.ByCluster(Uncorrected)
	require.NoError(t, err)
	life := Life{X: []float64{1}}
	plain, err := m.Quantile(life, 0.5, 0.95)
	require.NoError(t, err)
	wider, err := robust.ProfileQuantile(life, 0.5, 0.95)
	require.NoError(t, err)
	z := distuv.UnitNormal.Quantile(0.975) * wider.SELog / plain.SELog
	same, err := m.ProfileQuantile(life, 0.5, 2*distuv.UnitNormal.CDF(z)-1)
	require.NoError(t, err)
	assert.InEpsilon(t, same.Lower, wider.Lower, 1e-6)
	assert.InEpsilon(t, same.Upper, wider.Upper, 1e-6)
}
