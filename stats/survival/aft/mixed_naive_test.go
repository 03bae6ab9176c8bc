package aft_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"

	"beadspan/stats/survival"
	. "beadspan/stats/survival/aft"
)

// marginal is the log-likelihood with a random intercept by the trapezoid rule
// over u/ω from −10 to 10, spectrally accurate for such integrands. θ is b, ω,
// log σ.
func marginal(data Data, law Distribution, group []int, θ []float64) float64 {
	p := len(data.Design.Names())
	b := slices.Delete(slices.Clone(θ), p, p+1)
	sum := 0.0
	for g := range slices.Max(group) + 1 {
		one := Data{Design: data.Design.Keep(func(i int) bool { return group[i] == g })}
		for i, s := range data.Spans {
			if group[i] == g {
				one.Spans = append(one.Spans, s)
			}
		}
		integral := 0.0
		const h = 0.05
		for v := -10.0; v <= 10; v += h {
			shifted := slices.Clone(b)
			shifted[0] += θ[p] * v
			if l := naiveLogLik(one, law, shifted); !math.IsNaN(l) {
				integral += h * math.Exp(l-v*v/2) / math.Sqrt(2*math.Pi)
			}
		}
		sum += math.Log(integral)
	}
	return sum
}

// TestMixedAgainstTrapezoids: at FitMixed's estimate its log-likelihood and
// covariance are those of the integral taken the plain way, whose slope is 0.
func TestMixedAgainstTrapezoids(t *testing.T) {
	data, group := visited(48, 5)
	for i := range group {
		group[i] = i / 6
	}
	data.Spans[3].Weight = 2
	for _, law := range Distributions() {
		m, err := FitMixed(data, law, group)
		require.NoError(t, err)
		θ := append(slices.Clone(m.Coefficients), m.Omega.SD)
		if law != Exponential {
			θ = append(θ, m.LogScale[0])
		}
		value := func(θ []float64) float64 { return marginal(data, law, group, θ) }
		assert.InDelta(t, value(θ), m.LogLik, 1e-7, "%v", law)
		if math.IsNaN(m.Omega.SE) {
			continue // at its bound
		}
		for j, slope := range fd.Gradient(nil, value, θ, &fd.Settings{Formula: fd.Central}) {
			assert.InDelta(t, 0, slope, 1e-4, "%v %d", law, j)
		}
		information := m.Information()
		for j := range θ {
			bend := fd.Derivative(func(x float64) float64 {
				moved := slices.Clone(θ)
				moved[j] = x
				return value(moved)
			}, θ[j], &fd.Settings{Formula: fd.Central2nd, Step: 1e-3})
			assert.InEpsilon(t, -bend, information.At(j, j), 1e-3, "%v %d", law, j)
		}
	}
}

// Groups that are all alike show no variance between them: ω is 0 and the rest
// is the plain fit.
func TestMixedWithoutVariance(t *testing.T) {
	var data Data
	var group []int
	for g := range 5 {
		for _, s := range withVisits() {
			data.Spans = append(data.Spans, s)
			group = append(group, g-2)
		}
	}
	for _, law := range Distributions() {
		m, err := FitMixed(data, law, group)
		require.NoError(t, err)
		plain, err := Fit(data, law)
		require.NoError(t, err)
		assert.Zero(t, m.Omega.SD, "%v", law)
		assert.True(t, math.IsNaN(m.Omega.SE))
		assert.InDelta(t, plain.LogLik, m.LogLik, 1e-8)
		assert.InDelta(t, plain.Coefficients[0], m.Coefficients[0], 1e-6)
		assert.Equal(t, []int{-2, -1, 0, 1, 2}, groupsOf(m.Effects))
		for _, e := range m.Effects {
			assert.Zero(t, e.Mean)
		}
	}
}

// A new group's chance is the average over groups: by slices of
// the normal distribution here.
func TestNewGroupSurvivalIsAnAverage(t *testing.T) {
	data, group := visited(300, 6)
	m, err := FitMixed(data, Weibull, group)
	require.NoError(t, err)
	require.Greater(t, m.Omega.SD, 0.05)
	life := Life{X: []float64{1, 3, 0, 1}}
	for _, at := range []float64{0, 90, 365, 900} {
		c, err := m.NewGroupSurvival(life, at, 0.95)
		require.NoError(t, err)
		average := 0.0
		for v := -8.0; v <= 8; v += 0.01 {
			shifted := life
			shifted.Shift = m.Omega.SD * v
			s, err := m.Survival(shifted, at, 0.95)
			require.NoError(t, err)
			average += 0.01 * s.Survival * math.Exp(-v*v/2) / math.Sqrt(2*math.Pi)
		}
		assert.InDelta(t, average, c.Survival, 1e-9)
		if at > 0 {
			θ := append(append(slices.Clone(m.Coefficients), m.Omega.SD), m.LogScale...)
			_, covariance := m.At(θ)
			g := mat.NewVecDense(len(θ), fd.Gradient(nil, func(θ []float64) float64 {
				moved, _ := m.At(θ)
				c, _ := moved.NewGroupSurvival(life, at, 0.95)
				return c.Survival
			}, θ, &fd.Settings{Formula: fd.Central}))
			assert.InEpsilon(t, math.Sqrt(mat.Inner(g, covariance, g)), c.SE, 1e-6)
			assert.True(t, 0 < c.Lower && c.Lower < c.Survival && c.Survival < c.Upper && c.Upper < 1, "%+v", c)
		}
	}
}

func TestMixedRefuses(t *testing.T) {
	spans := withVisits()
	_, err := FitMixed(Data{Spans: spans}, Weibull, make([]int, len(spans)))
	assert.ErrorIs(t, err, ErrGroups)
	_, err = FitMixed(Data{Spans: spans}, Weibull, nil)
	assert.ErrorContains(t, err, "0 group numbers for 15 spans")
	_, err = FitMixed(Data{Spans: []survival.Span{survival.RightCensored(3)}}, Weibull, []int{1})
	var unknown *NotEstimableError
	assert.ErrorAs(t, err, &unknown)
}

// A group of which nothing is known is still listed.
func TestMixedListsSilentGroups(t *testing.T) {
	data, group := visited(60, 7)
	data.Spans[0] = survival.RightCensored(0)
	data.Spans[1] = survival.RightCensored(0)
	m, err := FitMixed(data, LogNormal, group)
	require.NoError(t, err)
	assert.Equal(t, Effect{Group: 0, SD: m.Omega.SD}, m.Effects[0])
	assert.Len(t, m.Effects, 30)
}

func groupsOf(effects []Effect) []int {
	var numbers []int
	for _, e := range effects {
		numbers = append(numbers, e.Group)
	}
	return numbers
}
