package survival_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/survival"
)

// The best single inspection of exponential lives comes after 1.5936 means,
// when 0.7968 of them have ended, and is worth 0.6476 of lives known to the
// day: the one-point case of Ogawa, Osaka Math. J. 3 (1951) 175–213, tabulated
// by Sarhan, Greenberg and Ogawa, Ann. Math. Stat. 34 (1963) 102–116, whose
// likelihood is the same; 1.59 and 20 % are also Fisher's (1922) for dilutions.
// All from memory; the closed form 2 + W(−2e⁻²) was worked out apart to
// 1.593624260040040.
const bestHazard = 1.593624260040040

func TestInspectionInformationIsGreatest(t *testing.T) {
	share := math.Exp(-bestHazard)
	assert.InDelta(t, 1-0.7968, share, 5e-5)
	most := survival.InspectionInformation(share)
	assert.InDelta(t, 0.6476, most, 5e-5)
	for _, other := range []float64{0.02, 0.1, 0.2, 0.21, 0.3, 0.5, 0.9} {
		assert.Less(t, survival.InspectionInformation(other), most, "%v", other)
	}
	assert.InDelta(t, bestHazard*math.Exp(bestHazard), 2*math.Expm1(bestHazard), 1e-13, "the root of the optimum's equation")
}

// The information is the mean square of the score, which is taken here by
// differences of the likelihood.
func TestInspectionInformationIsTheScoresVariance(t *testing.T) {
	const step = 1e-5
	for _, h := range []float64{0.01, 0.3, 1, 2, 7} {
		ended := func(logTheta float64) float64 { return math.Log(-math.Expm1(-h * math.Exp(logTheta))) }
		holds := func(logTheta float64) float64 { return -h * math.Exp(logTheta) }
		slope := func(f func(float64) float64) float64 { return (f(step) - f(-step)) / (2 * step) }
		s := math.Exp(-h)
		want := (1-s)*math.Pow(slope(ended), 2) + s*math.Pow(slope(holds), 2)
		assert.InEpsilon(t, want, survival.InspectionInformation(s), 1e-8, "H = %v", h)
	}
}

func TestInspectionInformationAtTheEnds(t *testing.T) {
	assert.Zero(t, survival.InspectionInformation(0))
	assert.Zero(t, survival.InspectionInformation(1))
	for _, bad := range []float64{-0.1, 1.1, math.NaN(), math.Inf(1)} {
		assert.True(t, math.IsNaN(survival.InspectionInformation(bad)), "%v", bad)
	}
}

func exponential(mean float64) func(float64) float64 {
	return func(t float64) float64 { return math.Exp(-t / mean) }
}

func days(n int) []float64 {
	times := make([]float64, n)
	for i := range times {
		times[i] = float64(i + 1)
	}
	return times
}

func TestPlanInspectionExponential(t *testing.T) {
	plan, err := survival.PlanInspection([]func(float64) float64{exponential(1000)}, days(3000), 0.9)
	require.NoError(t, err)
	assert.InDelta(t, 1000*bestHazard, plan.Best, 0.51, "1.5936 means")
	assert.InDelta(t, 0.6476, plan.Information, 5e-5)
	assert.False(t, plan.Open)
	assert.InEpsilon(t, 0.9*plan.Information, survival.InspectionInformation(math.Exp(-plan.Enough/1000)), 1e-3)
	assert.Less(t, plan.Enough, plan.Best)

	early, err := survival.PlanInspection([]func(float64) float64{exponential(1000)}, days(500), 0.9)
	require.NoError(t, err)
	assert.True(t, early.Open)
	assert.Equal(t, 500.0, early.Best)
}

// Whatever the shape of a hazard, the best look is where it has cumulated
// 1.5936 since the look before; and two lives that are alike ask for the same
// look as one.
func TestPlanInspectionWeibull(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		shape := rapid.Float64Range(0.6, 6).Draw(r, "shape")
		scale := rapid.Float64Range(200, 1000).Draw(r, "scale")
		held := rapid.Float64Range(0, 600).Draw(r, "held")
		hazard := func(t float64) float64 { return math.Pow(t/scale, shape) }
		best := scale*math.Pow(hazard(held)+bestHazard, 1/shape) - held
		if best < 2 || best > 1999 {
			r.Skip("past the days asked about")
		}
		life := func(t float64) float64 { return math.Exp(hazard(held) - hazard(held+t)) }
		one, err := survival.PlanInspection([]func(float64) float64{life}, days(2000), 1)
		require.NoError(r, err)
		two, err := survival.PlanInspection([]func(float64) float64{life, life}, days(2000), 1)
		require.NoError(r, err)
		assert.InDelta(r, best, one.Best, 1)
		assert.Equal(r, one.Best, one.Enough, "all of the most is had at the best")
		assert.Equal(r, one.Best, two.Best)
		assert.InEpsilon(r, 2*one.Information, two.Information, 1e-12)
	})
}

func TestPlanInspectionRefuses(t *testing.T) {
	one := []func(float64) float64{exponential(10)}
	_, err := survival.PlanInspection(one, nil, 0.9)
	require.ErrorIs(t, err, survival.ErrTimes)
	for _, part := range []float64{0, -1, 1.01, math.NaN()} {
		_, err = survival.PlanInspection(one, days(3), part)
		require.ErrorIs(t, err, survival.ErrShare)
	}
	plan, err := survival.PlanInspection([]func(float64) float64{func(float64) float64 { return 1 }}, days(3), 0.9)
	require.NoError(t, err)
	assert.Nil(t, plan, "no look tells anything")
	plan, err = survival.PlanInspection(nil, days(3), 0.9)
	require.NoError(t, err)
	assert.Nil(t, plan)
}

func BenchmarkPlanInspection(b *testing.B) {
	lives := []func(float64) float64{exponential(300), exponential(500), exponential(700)}
	times := days(1000)
	for b.Loop() {
		_, _ = survival.PlanInspection(lives, times, 0.9)
	}
}
