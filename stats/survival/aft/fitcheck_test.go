package aft_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/stats/survival"
	. "beadspan/stats/survival/aft"
)

// On exact lives the distance is Kolmogorov's: the largest gap between i/n or
// (i − 1)/n and the model's distribution function at the ith life.
func TestDistanceIsKolmogorovs(t *testing.T) {
	times := []float64{3, 8, 9, 14, 31, 77}
	var spans []survival.Span
	for _, time := range times {
		spans = append(spans, survival.Exact(time))
	}
	for _, law := range Distributions() {
		m, err := Fit(Data{Spans: spans}, law)
		require.NoError(t, err)
		want := 0.0
		for i, time := range times {
			f := 1 - naiveSurvival(law, (math.Log(time)-m.Coefficients[0])/math.Exp(m.LogScale[0]))
			want = max(want, math.Abs(float64(i+1)/6-f), math.Abs(float64(i)/6-f))
		}
		c, err := m.CheckFit(single)
		require.NoError(t, err)
		assert.InEpsilon(t, want, c.Distance, 1e-9, "%v", law)
		for _, p := range c.Points { // on the model's line, Score would be w
			assert.InEpsilon(t, p.Survival, naiveSurvival(law, p.Score), 1e-9)
			assert.InEpsilon(t, p.Model, naiveSurvival(law, (math.Log(p.Time)-m.Coefficients[0])/math.Exp(m.LogScale[0])), 1e-9)
		}
		assert.Len(t, c.Points, 2*len(times)-2)
	}
}

// On intervals it is the largest distance from the model to the bounds that the
// Turnbull estimate leaves, here looked for time by time. Late lives make both
// conditional on the first entry.
func TestDistanceFromTurnbullsBounds(t *testing.T) {
	late := withVisits()
	for i := range late {
		late[i] = survival.Between(late[i].Lower+5, late[i].Upper+5).EnteredAt(4)
	}
	for _, spans := range [][]survival.Span{withVisits(), late} {
		m, err := Fit(Data{Spans: spans}, LogLogistic)
		require.NoError(t, err)
		c, err := m.CheckFit(single)
		require.NoError(t, err)
		curve, err := survival.Turnbull(spans)
		require.NoError(t, err)
		given, err := m.GivenAlive(single, spans[0].Entry, spans[0].Entry, 0.95)
		require.NoError(t, err)
		require.Equal(t, 1.0, given.Survival)
		widest := 0.0
		for at := 4.0; at < 95; at += 0.001 {
			alive := 0.0
			if spans[0].Entry > 0 {
				alive = 4
			}
			s, err := m.GivenAlive(single, alive, at, 0.95)
			require.NoError(t, err)
			b := curve.At(at)
			widest = max(widest, b.Lower-s.Survival, s.Survival-b.Upper)
		}
		assert.InDelta(t, widest, c.Distance, 1e-3)
		assert.LessOrEqual(t, widest, c.Distance+1e-9)
	}
}

// Lives are compared after they were carried over to one set of covariates: to
// which one does not matter.
func TestCheckFitDoesNotDependOnTheLife(t *testing.T) {
	data, _ := visited(200, 3)
	m, err := Fit(data, Weibull)
	require.NoError(t, err)
	a, err := m.CheckFit(Life{X: []float64{1, 0, 0, 0}})
	require.NoError(t, err)
	b, err := m.CheckFit(Life{X: []float64{1, 5, -1, 1}})
	require.NoError(t, err)
	assert.InDelta(t, a.Distance, b.Distance, 1e-6)
	assert.Less(t, a.Distance, 2/math.Sqrt(200), "the data were made by this model")
	_, err = m.CheckFit(single)
	assert.ErrorContains(t, err, "check fit: the life has 1 covariates")
}

// AIC finds the Weibull that 4,000 lives were drawn from, and the likelihood
// ratio tells it from the exponential inside it.
func TestChooseFindsTheDistribution(t *testing.T) {
	data, _ := visited(4000, 9)
	choice, err := Choose(data)
	require.NoError(t, err)
	require.Len(t, choice.Models, 4)
	assert.Equal(t, Weibull, choice.Models[0].Distribution)
	for i := range choice.Models[1:] {
		assert.LessOrEqual(t, choice.Models[i].AIC, choice.Models[i+1].AIC)
	}
	exponential, err := Fit(data, Exponential)
	require.NoError(t, err)
	test, err := CompareNested(exponential, choice.Models[0])
	require.NoError(t, err)
	assert.Equal(t, 1, test.DF)
	assert.Less(t, test.P, 1e-10)
	_, err = CompareNested(choice.Models[0], exponential)
	assert.ErrorContains(t, err, "not a special case")

	_, err = Choose(Data{Spans: []survival.Span{survival.RightCensored(4)}})
	var unknown *NotEstimableError
	assert.ErrorAs(t, err, &unknown)
}

// Of lives that all ended within one interval nothing tells the spread: the
// exponential, which supposes one, must not win because it alone has a fit.
func TestChooseLeavesOutTheExponentialWhereLivesDoNotSpread(t *testing.T) {
	alike := slices.Repeat([]survival.Span{{Lower: 300, Upper: 330}}, 20)
	_, err := Fit(Data{Spans: alike}, Exponential)
	require.NoError(t, err, "by itself it has a maximum")
	_, err = Choose(Data{Spans: alike})
	var unknown *NotEstimableError
	assert.ErrorAs(t, err, &unknown)
}
