package mixed

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"beadspan/stats/decay"
	"beadspan/stats/internal/check"
)

func fittedFleet(t *testing.T, vehicles int, model CurveModel) (*CurvesFit, map[label][2]float64) {
	readings, own := drawFleet(rand.New(rand.NewPCG(5, 12)), vehicles, 10)
	fit, err := Curves(readings, model)
	require.NoError(t, err)
	return fit, own
}

// The typical curve, its error and its crossing have closed forms for the
// exponential: with g the derivatives of θ(t) or of T = τ log((θ0 − θ∞)/(h −
// θ∞)) by the fixed effects, SE² = gᵀ Cov g.
func TestTypicalClosedForm(t *testing.T) {
	fit, _ := fittedFleet(t, 40, fleetModel)
	floor, start, τ := fit.Fixed[0].Value, fit.Fixed[1].Value, math.Exp(fit.Fixed[2].Value+fit.Fixed[3].Value)
	se := func(g ...float64) float64 {
		v := mat.NewVecDense(4, g)
		return math.Sqrt(mat.Inner(v, fit.Covariance, v))
	}
	curve := fit.Typical([]float64{1})
	tol := check.Tolerance{Rel: 1e-7}

	list, err := curve.Predict([]float64{0, 200}, 0.95)
	require.NoError(t, err)
	left := math.Exp(-200 / τ)
	slope := (start - floor) * left * 200 / τ
	value := floor + (start-floor)*left
	wantSE := se(1-left, left, slope, slope)
	near(t, "value", list[1].Value, value, tol)
	near(t, "SE", list[1].SE, wantSE, tol)
	// 40 vehicles less the two fixed effects of τ; 2.0244 is in tables of t, e.g.
	// https://www.itl.nist.gov/div898/handbook/eda/section3/eda3672.htm (2.024).
	reach, err := curve.reach(0.95)
	require.NoError(t, err)
	near(t, "t", reach, 2.0244*math.Sqrt(40./38), check.Tolerance{Rel: 5e-5})
	near(t, "lower", list[1].Lower, value-reach*wantSE, tol)
	b, c := fit.Outer.Covariance, fit.Inner.Covariance
	require.Zero(t, b.At(0, 1))
	between := left*left*b.At(0, 0) + slope*slope*(b.At(1, 1)+c.At(0, 0))
	new := math.Sqrt(wantSE*wantSE + between + fit.ResidualSD*fit.ResidualSD)
	near(t, "upper of a reading", list[1].NewUpper, value+reach*new, tol)

	crossing, err := curve.TimeTo(80, 0.95)
	require.NoError(t, err)
	drop, rest := start-floor, 80-floor
	when := τ * math.Log(drop/rest)
	whenSE := se(τ*(1/rest-1/drop), τ/drop, when, when)
	assert.Equal(t, decay.Crosses, crossing.Outcome)
	near(t, "time", crossing.Time, when, tol)
	near(t, "SE of time", crossing.SE, whenSE, check.Tolerance{Rel: 1e-6})
	near(t, "upper limit", crossing.Upper, when*math.Exp(reach*whenSE/when), check.Tolerance{Rel: 1e-6})
	assert.False(t, crossing.Extrapolated)

	for threshold, outcome := range map[float64]decay.Outcome{120: decay.BelowFromStart, 40: decay.NotReached} {
		crossing, err := curve.TimeTo(threshold, 0.95)
		require.NoError(t, err)
		assert.Equal(t, outcome, crossing.Outcome)
	}
	near(t, "τ", curve.Parameters()[2].Value, τ, tol)
	near(t, "SE of τ", curve.Parameters()[2].SE, τ*se(0, 0, 1, 1), tol)
	_, err = curve.TimeTo(80, 1)
	assert.ErrorContains(t, err, "level 1")
	_, err = curve.Predict([]float64{math.NaN()}, 0.95)
	assert.Error(t, err)
}

// A patch that was read very often tells its own curve, and the fleet little:
// its empirical-Bayes curve and error come near to those of least squares to
// its own readings. One that was read twice stays near the typical curve.
func TestOwnCurve(t *testing.T) {
	random := rand.New(rand.NewPCG(6, 13))
	readings, _ := drawFleet(random, 24, 8)
	var points []decay.Point
	for range 4000 {
		day := 700 * random.Float64()
		angle := 55 + 60*math.Exp(-day/200) + truth.errorSD*random.NormFloat64()
		readings = append(readings, Reading{day, angle, 1, 99, 0, []float64{0}})
		points = append(points, decay.Point{Time: day, Value: angle, Weight: 1})
	}
	for _, day := range []float64{30, 50} {
		readings = append(readings, Reading{day, 55 + 50*math.Exp(-day/300), 1, 98, 0, []float64{0}})
	}
	fit, err := Curves(readings, fleetModel)
	require.NoError(t, err)
	floor := fit.Fixed[0].Value
	want, err := decay.Fit(points, decay.Options{Floor: &floor})
	require.NoError(t, err)

	often, err := fit.Of(99, 0, []float64{0})
	require.NoError(t, err)
	near(t, "start", often.Parameters()[1].Value, want.Start.Value, check.Tolerance{Rel: 2e-3})
	near(t, "τ", often.Parameters()[2].Value, want.Tau.Value, check.Tolerance{Rel: 5e-3})
	near(t, "SE of start", often.Parameters()[1].SE, want.Start.SE, check.Tolerance{Rel: 0.25})

	rarely, err := fit.Of(98, 0, []float64{0})
	require.NoError(t, err)
	typical := fit.Typical([]float64{0})
	near(t, "log τ", math.Log(rarely.Parameters()[2].Value), math.Log(typical.Parameters()[2].Value), check.Tolerance{Abs: 0.2})
	assert.Greater(t, rarely.Parameters()[2].SE, 5*often.Parameters()[2].SE)

	_, err = fit.Of(98, 7, []float64{0})
	assert.ErrorIs(t, err, ErrNoGroup)
}

// With a random log τ alone the times to a threshold are log-normal around the
// typical one, with the spread of log τ.
func TestPassageIsLogNormal(t *testing.T) {
	model := fleetModel
	model.Parameters = []Parameter{{}, {}, {Log: true, Covariates: []int{0}, Outer: true}}
	fit, _ := fittedFleet(t, 40, model)
	curve := fit.Typical([]float64{0})
	const draws = 20_000
	passage, err := curve.Passage(80, 1000, draws, 1)
	require.NoError(t, err)
	typical, err := curve.TimeTo(80, 0.95)
	require.NoError(t, err)
	want := distuv.LogNormal{Mu: math.Log(typical.Time), Sigma: fit.Outer.SD(0)}
	for _, time := range []float64{100, 150, 200, 300, 400} {
		share, se := passage.By(time)
		near(t, "share", share, want.CDF(time), check.Tolerance{Abs: 4*se + 1e-4})
	}
	median, reached := passage.Quantile(0.5)
	assert.True(t, reached)
	near(t, "median", median, typical.Time, check.Tolerance{Rel: 4 * 1.2533 * fit.Outer.SD(0) / math.Sqrt(draws)})

	again, err := curve.Passage(80, 1000, draws, 1)
	require.NoError(t, err)
	assert.Equal(t, passage, again)
	_, reached = must(curve.Passage(80, 100, 1000, 1)).Quantile(0.9)
	assert.False(t, reached)
	assert.Len(t, must(curve.Passage(179, 100, 10, 1)).Times, 10, "below from the start")
	_, err = curve.Passage(80, 0, 10, 1)
	assert.ErrorContains(t, err, "horizon")
	_, err = curve.Passage(80, 1, 0, 1)
	assert.ErrorContains(t, err, "draws")
}

func must(p *Passage, err error) *Passage {
	if err != nil {
		panic(err)
	}
	return p
}

// A group's own passage is about what is not known of it: its median is near
// the crossing of its curve, and its spread near the error of that.
func TestOwnPassage(t *testing.T) {
	fit, _ := fittedFleet(t, 30, fleetModel)
	curve, err := fit.Of(3, 0, []float64{1})
	require.NoError(t, err)
	crossing, err := curve.TimeTo(75, 0.6827)
	require.NoError(t, err)
	passage, err := curve.Passage(75, 3000, 20_000, 2)
	require.NoError(t, err)
	median, _ := passage.Quantile(0.5)
	lower, _ := passage.Quantile(0.15865)
	near(t, "median", median, crossing.Time, check.Tolerance{Rel: 0.01})
	near(t, "lower", lower, crossing.Lower, check.Tolerance{Rel: 0.02})
}

func TestBootstrap(t *testing.T) {
	fit, _ := fittedFleet(t, 40, fleetModel)
	timeTo := func(f *CurvesFit) (float64, error) {
		x, err := f.Typical([]float64{0}).TimeTo(80, 0.95)
		return x.Time, err
	}
	const replicates = 120
	got, err := fit.Bootstrap(context.Background(), replicates, 1, timeTo)
	require.NoError(t, err)
	assert.Equal(t, replicates, len(got.Values)+got.Failed)
	assert.Less(t, got.Failed, replicates/20)
	x, err := fit.Typical([]float64{0}).TimeTo(80, 0.95)
	require.NoError(t, err)
	// The bootstrap's SD has a relative error of 1/√(2·120), 6 %.
	near(t, "SE", stat.StdDev(got.Values, nil), x.SE, check.Tolerance{Rel: 0.25})
	near(t, "centre", stat.Mean(got.Values, nil), x.Time, check.Tolerance{Abs: x.SE / 2})
	lower, upper := got.Limits(0.95)
	assert.Less(t, lower, x.Time)
	assert.Greater(t, upper, x.Time)

	few, err := fit.Bootstrap(context.Background(), 4, 7, timeTo)
	require.NoError(t, err)
	same, err := fit.Bootstrap(context.Background(), 4, 7, timeTo)
	require.NoError(t, err)
	assert.Equal(t, few, same)

	none, err := fit.Bootstrap(context.Background(), 3, 1, func(*CurvesFit) (float64, error) { return 0, errors.New("no") })
	require.NoError(t, err)
	assert.Equal(t, 3, none.Failed)
	lower, _ = none.Limits(0.95)
	assert.True(t, math.IsNaN(lower))

	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = fit.Bootstrap(stopped, 10, 1, timeTo)
	assert.ErrorIs(t, err, context.Canceled)
}
