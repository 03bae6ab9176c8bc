package mixed

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/decay"
	"beadspan/stats/internal/check"
)

// truth is what fleets of tests are drawn from: an exponential decay with a
// random start by vehicle and a random log τ by vehicle and patch, and marine
// vehicles with a τ that is shorter by a third.
var truth = struct{ floor, start, τ, marine, startSD, vehicleSD, patchSD, errorSD float64 }{55, 110, 300, -0.4, 3, 0.25, 0.15, 3}

// fleetModel is the truth as a model.
var fleetModel = CurveModel{
	Curve: decay.Exponential(), Covariates: []string{"marine"}, Start: []float64{50, 105, 250},
	Parameters: []Parameter{{}, {Outer: true}, {Log: true, Covariates: []int{0}, Outer: true, Inner: true}},
}

// drawFleet draws readings of vehicles of one to three patches, each read up to
// most times until it drops out, and each patch's own log τ and start.
func drawFleet(random *rand.Rand, vehicles, most int) (readings []Reading, own map[label][2]float64) {
	own = map[label][2]float64{}
	for v := range vehicles {
		marine := float64(v % 2)
		start := truth.start + truth.startSD*random.NormFloat64()
		logτ := math.Log(truth.τ) + truth.marine*marine + truth.vehicleSD*random.NormFloat64()
		for p := range 1 + v%3 {
			patch := logτ + truth.patchSD*random.NormFloat64()
			own[label{v, p}] = [2]float64{patch, start}
			for i := range 2 + random.IntN(most-1) {
				day := 60 * (float64(i) + random.Float64())
				angle := truth.floor + (start-truth.floor)*math.Exp(-day/math.Exp(patch))
				readings = append(readings, Reading{
					Time: day, Value: angle + truth.errorSD*random.NormFloat64(), Weight: 1,
					Outer: v, Inner: p, Covariates: []float64{marine},
				})
			}
		}
	}
	return readings, own
}

// Curves that are lines are the linear mixed model, by either approximation.
func TestCurvesThatAreLines(t *testing.T) {
	line := decay.Model{Parameters: []string{"a", "b"}, Eval: func(β []float64, t float64, gradient []float64) float64 {
		gradient[0], gradient[1] = 1, t
		return β[0] + β[1]*t
	}}
	rows := nestedRows(rand.New(rand.NewPCG(3, 6)), 12)
	model := nestedModel
	model.Criterion = ML
	want, err := Linear(rows, model)
	require.NoError(t, err)
	var readings []Reading
	for _, r := range rows {
		readings = append(readings, Reading{Time: r.Fixed[1], Value: r.Value, Weight: r.Weight, Outer: r.Outer, Inner: r.Inner})
	}
	for nodes, tol := range []float64{1e-6, 1e-4} {
		// Errors from the curvature in all directions also count that β and
		// the variances are not independent in data without balance.
		ofSE := check.Tolerance{Rel: []float64{1e-6, 0.05}[nodes]}
		got, err := Curves(readings, CurveModel{
			Curve: line, Correlated: true, Start: []float64{0, 0}, Nodes: nodes,
			Parameters: []Parameter{{Outer: true, Inner: true}, {Outer: true}},
		})
		require.NoError(t, err)
		near(t, "log-likelihood", got.LogLik, want.LogLik, check.Tolerance{Abs: 1e-7})
		near(t, "residual SD", got.ResidualSD, want.ResidualSD, check.Tolerance{Rel: tol})
		for i := range 2 {
			near(t, "fixed", got.Fixed[i].Value, want.Fixed[i].Value, check.Tolerance{Rel: tol})
			near(t, "SE", got.Fixed[i].SE, want.Fixed[i].SE, ofSE)
			near(t, "covariance", got.Outer.Covariance.At(0, i), want.Levels[0].Covariance.At(0, i), check.Tolerance{Rel: 10 * tol})
		}
		near(t, "inner variance", got.Inner.Covariance.At(0, 0), want.Levels[1].Covariance.At(0, 0), check.Tolerance{Rel: 10 * tol})
		for s, g := range got.Groups {
			near(t, "outer effect", g.OuterEffects[1], want.Groups[s].OuterEffects[1], check.Tolerance{Rel: 10 * tol, Abs: 10 * tol})
			near(t, "inner effect", g.InnerEffects[0], want.Groups[s].InnerEffects[0], check.Tolerance{Rel: 10 * tol, Abs: 10 * tol})
		}
	}
}

func TestCurvesProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 7))
		readings, _ := drawFleet(random, 24, 8)
		fit, err := Curves(readings, fleetModel)
		require.NoError(t, err)

		up, stretch := rapid.Float64Range(-50, 50).Draw(t, "up"), rapid.Float64Range(0.01, 10).Draw(t, "stretch")
		changed := slices.Clone(readings)
		for i := range changed {
			changed[i].Value += up
			changed[i].Time *= stretch
			changed[i].Outer = 100 - changed[i].Outer
		}
		random.Shuffle(len(changed), func(i, j int) { changed[i], changed[j] = changed[j], changed[i] })
		model := fleetModel
		model.Start = []float64{model.Start[0] + up, model.Start[1] + up, model.Start[2] * stretch}
		other, err := Curves(changed, model)
		require.NoError(t, err)

		tol := check.Tolerance{Rel: 1e-5, Abs: 1e-5}
		near(t, "floor", other.Fixed[0].Value, fit.Fixed[0].Value+up, tol)
		near(t, "start", other.Fixed[1].Value, fit.Fixed[1].Value+up, tol)
		near(t, "log τ", other.Fixed[2].Value, fit.Fixed[2].Value+math.Log(stretch), tol)
		near(t, "marine", other.Fixed[3].Value, fit.Fixed[3].Value, tol)
		near(t, "SE of log τ", other.Fixed[2].SE, fit.Fixed[2].SE, tol)
		// The fixed point is no maximum of the likelihood, which therefore changes
		// with what a slow approach to it leaves.
		near(t, "log-likelihood", other.LogLik, fit.LogLik, check.Tolerance{Abs: 1e-4})
		near(t, "vehicle SD", other.Outer.SD(1), fit.Outer.SD(1), check.Tolerance{Rel: 1e-3, Abs: 1e-3})
		near(t, "patch SD", other.Inner.SD(0), fit.Inner.SD(0), check.Tolerance{Rel: 1e-3, Abs: 1e-3})
	})
}

// Groups whose readings are all the same show no spread, and the fit is that
// of least squares to all of them.
func TestNoSpreadIsOneCurve(t *testing.T) {
	one, _ := drawFleet(rand.New(rand.NewPCG(1, 8)), 1, 12)
	var readings []Reading
	var points []decay.Point
	for g := range 8 {
		for _, r := range one {
			readings = append(readings, Reading{Time: r.Time, Value: r.Value, Weight: 1, Outer: g})
			points = append(points, decay.Point{Time: r.Time, Value: r.Value, Weight: 1})
		}
	}
	model := fleetModel
	model.Covariates, model.Parameters = nil, []Parameter{{}, {}, {Log: true, Outer: true}}
	fit, err := Curves(readings, model)
	require.NoError(t, err)
	assert.True(t, fit.Singular)
	want, err := decay.LeastSquares(decay.Exponential(), points, model.Start, decay.Settings{})
	require.NoError(t, err)
	inflated := math.Sqrt(float64(want.N) / float64(want.DF)) // ML divides by n
	got := fit.Typical(nil).Parameters()
	for j, p := range want.Parameters {
		near(t, p.Name, got[j].Value, p.Value, check.Tolerance{Rel: 1e-5})
		near(t, "SE of "+p.Name, got[j].SE*inflated, p.SE, check.Tolerance{Rel: 1e-4})
	}
	near(t, "log-likelihood", fit.LogLik, want.LogLik, check.Tolerance{Abs: 1e-6})
}

func TestCurvesRefuse(t *testing.T) {
	good, _ := drawFleet(rand.New(rand.NewPCG(2, 9)), 12, 8)
	with := func(change func(r *Reading)) []Reading {
		readings := slices.Clone(good)
		for i := range readings {
			change(&readings[i])
		}
		return readings
	}
	first := func(change func(r *Reading)) []Reading {
		readings := slices.Clone(good)
		change(&readings[0])
		return readings
	}
	for name, bad := range map[string][]Reading{
		"time":   first(func(r *Reading) { r.Time = math.Inf(1) }),
		"value":  first(func(r *Reading) { r.Value = math.NaN() }),
		"weight": first(func(r *Reading) { r.Weight = -1 }),
		"column": first(func(r *Reading) { r.Covariates = []float64{math.NaN()} }),
	} {
		_, err := Curves(bad, fleetModel)
		var row *RowError
		require.ErrorAs(t, err, &row, name)
		assert.ErrorContains(t, err, name)
	}
	for name, bad := range map[string][]Reading{
		"none":      nil,
		"one group": with(func(r *Reading) { r.Outer = 0 }),
	} {
		_, err := Curves(bad, fleetModel)
		assert.ErrorIs(t, err, ErrTooFew, name)
	}
	for name, bad := range map[string][]Reading{
		"all at one time":       with(func(r *Reading) { r.Time = 5 }),
		"one patch a vehicle":   with(func(r *Reading) { r.Inner = 0 }),
		"one covariate for all": with(func(r *Reading) { r.Covariates = []float64{1} }),
	} {
		_, err := Curves(bad, fleetModel)
		assert.ErrorIs(t, err, ErrNotIdentified, name)
	}
	_, err := ExponentialStart(with(func(r *Reading) { r.Value = 100 + r.Time/100 }), nil)
	assert.ErrorIs(t, err, ErrNotIdentified)
	flat := with(func(r *Reading) { r.Value = 100 })
	_, err = Curves(flat, fleetModel)
	assert.Error(t, err)

	none := fleetModel
	none.Parameters = []Parameter{{}, {}, {Log: true}}
	assert.Panics(t, func() { _, _ = Curves(good, none) })
	quadrature := fleetModel
	quadrature.Nodes = 5
	assert.Panics(t, func() { _, _ = Curves(good, quadrature) })
	unlike := fleetModel
	unlike.Covariates = nil
	assert.Panics(t, func() { _, _ = Curves(good, unlike) })
}

// Any fleet of short and long series, drop-outs and odd values is fitted or
// refused with a reason, and nothing in a fit is NaN.
func TestCurvesNeverNaN(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 10))
		readings, _ := drawFleet(random, rapid.IntRange(2, 6).Draw(t, "vehicles"), rapid.IntRange(2, 8).Draw(t, "most"))
		for range rapid.IntRange(0, 5).Draw(t, "odd") {
			readings[random.IntN(len(readings))].Value = 180 * random.Float64()
		}
		fit, err := Curves(readings, fleetModel)
		if err != nil {
			require.Condition(t, func() bool {
				var settled *NotConvergedError
				return errors.As(err, &settled) || errors.Is(err, ErrNotIdentified) || errors.Is(err, ErrTooFew)
			}, "%v", err)
			return
		}
		for _, e := range fit.Fixed {
			require.False(t, math.IsNaN(e.Value) || math.IsNaN(e.SE), "%+v", fit.Fixed)
		}
		require.False(t, math.IsNaN(fit.LogLik+fit.ResidualSD+fit.Outer.SD(0)+fit.Outer.SD(1)+fit.Inner.SD(0)))
	})
}

// An unknown floor is estimated as well as a known one is kept to.
func TestKnownFloor(t *testing.T) {
	readings, _ := drawFleet(rand.New(rand.NewPCG(4, 11)), 40, 10)
	floor := truth.floor
	model := fleetModel
	model.Parameters = slices.Clone(model.Parameters)
	model.Parameters[0].Known = &floor
	fit, err := Curves(readings, model)
	require.NoError(t, err)
	assert.Equal(t, "start", fit.Fixed[0].Name)
	assert.Equal(t, "log tau: marine", fit.Fixed[2].Name)
	known := fit.Typical([]float64{0}).Parameters()[0]
	assert.Equal(t, Effect{"floor", floor, 0}, known)

	start, err := ExponentialStart(readings, &floor)
	require.NoError(t, err)
	assert.Equal(t, floor, start[0])
}

// What is known of the median floor leaves how groups differ from it.
func TestKnownFloorWithSpread(t *testing.T) {
	random := rand.New(rand.NewPCG(14, 23))
	var readings []Reading
	for v := range 60 {
		floor := truth.floor + 4*random.NormFloat64()
		for i := range 12 {
			day := 80 * float64(i)
			readings = append(readings, Reading{Time: day, Value: floor + (110-floor)*math.Exp(-day/250) + 2*random.NormFloat64(), Weight: 1, Outer: v})
		}
	}
	model := CurveModel{
		Curve: decay.Exponential(), Start: []float64{55, 105, 250}, Nodes: 1,
		Parameters: []Parameter{{Known: &truth.floor, Outer: true}, {}, {Log: true}},
	}
	fit, err := Curves(readings, model)
	require.NoError(t, err)
	assert.Len(t, fit.Fixed, 2)
	near(t, "SD of floor", fit.Outer.SD(0), 4, check.Tolerance{Abs: 4 * 4 / math.Sqrt(2*60)})
	near(t, "error", fit.ResidualSD, 2, check.Tolerance{Rel: 0.1})
	assert.Equal(t, Effect{"floor", truth.floor, 0}, fit.Typical(nil).Parameters()[0])
}
