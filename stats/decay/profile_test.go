package decay

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

// The velocity of an enzyme's reaction against the concentration of its
// substrate, with and without puromycin: Bates and Watts, Nonlinear Regression
// Analysis and Its Applications (1988) Appendix A1.3, from Treloar (1974).
// Standard errors and profile limits by R 4.6.0's nls and confint, as public
// test suites quote them. confint interpolates between few points of the
// profile, good to about 2e-4 in K; another program that such a suite quotes
// has 0.046920 and 0.086157 for K with puromycin, as we do.
func TestProfileLimitsOfPuromycin(t *testing.T) {
	michaelisMenten := Model{
		Parameters: []string{"Vm", "K"},
		Eval: func(β []float64, x float64, gradient []float64) float64 {
			gradient[0] = x / (β[1] + x)
			gradient[1] = -β[0] * x / ((β[1] + x) * (β[1] + x))
			return β[0] * x / (β[1] + x)
		},
	}
	for name, c := range map[string]struct {
		x, y   []float64
		limits map[string][2]float64
		sigma  float64
	}{
		"treated": {
			[]float64{0.02, 0.02, 0.06, 0.06, 0.11, 0.11, 0.22, 0.22, 0.56, 0.56, 1.10, 1.10},
			[]float64{76, 47, 97, 107, 123, 139, 159, 152, 191, 201, 207, 200},
			map[string][2]float64{"Vm": {197.30212847588, 229.29006489262}, "K": {0.04692516839, 0.08615995299}}, 10.93365819,
		},
		"untreated": {
			[]float64{0.02, 0.02, 0.06, 0.06, 0.11, 0.11, 0.22, 0.22, 0.56, 0.56, 1.10},
			[]float64{67, 51, 84, 86, 98, 115, 131, 124, 144, 158, 160},
			map[string][2]float64{"Vm": {145.63695396382, 176.54440120384}, "K": {0.03137459811, 0.07006130623}}, 9.773003029,
		},
	} {
		t.Run(name, func(t *testing.T) {
			points := make([]Point, len(c.x))
			for i := range points {
				points[i] = Point{Time: c.x[i], Value: c.y[i], Weight: 1}
			}
			sol, err := LeastSquares(michaelisMenten, points, []float64{200, 0.1}, Settings{})
			require.NoError(t, err)
			check.Value(t, "sigma", sol.ResidualSD, c.sigma, check.Tolerance{Rel: 1e-7})
			for parameter, want := range c.limits {
				lower, upper, err := sol.ProfileLimits(parameter, 0.95)
				require.NoError(t, err)
				check.Value(t, "lower "+parameter, lower, want[0], check.Tolerance{Rel: 3e-4})
				check.Value(t, "upper "+parameter, upper, want[1], check.Tolerance{Rel: 3e-4})
				if name == "treated" && parameter == "K" {
					check.Value(t, "lower K, elsewhere", lower, 0.046920, check.Tolerance{Abs: 6e-7})
					check.Value(t, "upper K, elsewhere", upper, 0.086157, check.Tolerance{Abs: 6e-7})
				}
			}
		})
	}
}

// In a model that is linear in its parameters profile limits are the exact t
// limits.
func TestProfileLimitsOfALine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(3, rapid.Uint64().Draw(t, "seed")))
		points := make([]Point, rapid.IntRange(4, 20).Draw(t, "n"))
		for i := range points {
			points[i] = Point{Time: 30 * float64(i), Value: 110 - 2*float64(i) + 5*random.NormFloat64(), Weight: 1 + random.Float64()}
		}
		sol, err := LeastSquares(Linear(), points, []float64{100, 0}, Settings{})
		require.NoError(t, err)
		for _, p := range sol.Parameters {
			wantLower, wantUpper, err := p.Limits(0.9)
			require.NoError(t, err)
			lower, upper, err := sol.ProfileLimits(p.Name, 0.9)
			require.NoError(t, err)
			tol := check.Tolerance{Abs: 1e-7 * p.SE}
			wantNear(t, "lower "+p.Name, lower, wantLower, tol)
			wantNear(t, "upper "+p.Name, upper, wantUpper, tol)
		}
	})
}

// At a limit of the time to a threshold, no curve through the threshold at that
// time may have a lower sum than RSS (1 + t²/df), and one must have it: held
// against a grid over the other two parameters.
func TestProfileTimeToIsWhereTheSumSays(t *testing.T) {
	points := readings([2]float64{0, 111}, [2]float64{60, 98}, [2]float64{120, 90}, [2]float64{240, 75}, [2]float64{480, 66},
		[2]float64{700, 62}, [2]float64{900, 61})
	curve, err := Fit(points, Options{})
	require.NoError(t, err)
	x, err := curve.ProfileTimeTo(80, 0.95)
	require.NoError(t, err)
	s := curve.Solution
	const t4 = 2.776445105 // of Student's distribution on 4 df, printed tables
	want := s.RSS * (1 + t4*t4/4)
	for _, limit := range []float64{x.Lower, x.Upper} {
		lowest := math.Inf(1)
		for floor := 40.0; floor < 70; floor += 0.02 {
			for tau := 100.0; tau < 400; tau += 0.5 {
				start := floor + (80-floor)*math.Exp(limit/tau)
				lowest = min(lowest, sumAt(points, floor, start, tau))
			}
		}
		check.Value(t, "sum", lowest, want, check.Tolerance{Rel: 1e-4})
	}
	assert.Less(t, x.Lower, x.Time)
	assert.Less(t, x.Time, x.Upper)
}

// The model of curves through a point goes through it, is the fitted curve at
// the estimate, and has the derivatives of its values.
func TestPassingModel(t *testing.T) {
	for _, shape := range Shapes() {
		rapid.Check(t, func(t *rapid.T) {
			curve, err := Fit(fleetLike(t), Options{Shape: shape})
			require.NoError(t, err)
			x, err := curve.TimeTo(85, 0.95)
			require.NoError(t, err)
			if x.Outcome != Crosses {
				t.Skip("no crossing")
			}
			model, values := curve.passing(x.Time, 85), curve.passingValues(85)
			day := rapid.Float64Range(0, 900).Draw(t, "day")
			gradient := make([]float64, len(values))
			wantNear(t, "threshold", model.Eval(values, x.Time, gradient), 85, check.Tolerance{Rel: 1e-12})
			want, err := curve.Predict([]float64{day}, 0.95)
			require.NoError(t, err)
			wantNear(t, "curve", model.Eval(values, day, gradient), want[0].Value, check.Tolerance{Rel: 1e-9})
			wantGradient(t, model, values, day, check.Tolerance{Rel: 1e-5, Abs: 1e-6})
		})
	}
}

// Straight lines: Fieller's exact limits of −(θ0 − c)/r solve a quadratic, and
// the profile must be them.
func TestProfileTimeToOfALineIsFiellers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(4, rapid.Uint64().Draw(t, "seed")))
		points := make([]Point, 12)
		for i := range points {
			points[i] = Point{Time: 30 * float64(i), Value: 112 - 2.5*float64(i) + 1.5*random.NormFloat64(), Weight: 1 + random.Float64()}
		}
		curve, err := Fit(points, Options{Shape: LinearShape})
		require.NoError(t, err)
		x, err := curve.ProfileTimeTo(95, 0.95)
		require.NoError(t, err)
		// (θ0 − c − r T)² = t² var(θ0 − r T), a quadratic in T.
		v, student := curve.Solution.Covariance, studentQuantile(0.95, 10)
		above, rate := curve.Start.Value-95, curve.Solution.Parameters[rateAt].Value
		a := rate*rate - student*student*v.At(1, 1)
		b := -2*above*rate + 2*student*student*v.At(0, 1)
		c := above*above - student*student*v.At(0, 0)
		root := math.Sqrt(b*b - 4*a*c)
		wantNear(t, "lower", x.Lower, (-b-root)/(2*a), check.Tolerance{Rel: 1e-7})
		wantNear(t, "upper", x.Upper, (-b+root)/(2*a), check.Tolerance{Rel: 1e-7})
	})
}

// Short series leave the floor so open that the threshold may never be reached.
func TestProfileTimeToMayBeOpen(t *testing.T) {
	curve, err := Fit(readings([2]float64{0, 110}, [2]float64{60, 103}, [2]float64{120, 97.5}, [2]float64{180, 91}, [2]float64{240, 88}), Options{})
	require.NoError(t, err)
	x, err := curve.ProfileTimeTo(80, 0.95)
	require.NoError(t, err)
	assert.True(t, math.IsInf(x.Upper, 1), "%+v", x)
	assert.Greater(t, x.Lower, 240.0)
	lower, upper, err := curve.Solution.ProfileLimits("floor", 0.95)
	require.NoError(t, err)
	assert.Zero(t, lower)
	assert.Less(t, upper, 91.0)
}

func TestProfileLimitsRejects(t *testing.T) {
	floor := 60.0
	points := readings([2]float64{0, 110}, [2]float64{100, 90}, [2]float64{200, 80}, [2]float64{300, 75}, [2]float64{400, 73})
	held, err := Fit(points, Options{Floor: &floor})
	require.NoError(t, err)
	_, _, err = held.Solution.ProfileLimits("floor", 0.95)
	assert.ErrorIs(t, err, ErrNotEstimable)
	_, _, err = held.Solution.ProfileLimits("power", 0.95)
	assert.ErrorContains(t, err, "[floor start tau]")
	_, _, err = held.Solution.ProfileLimits("tau", 95)
	assert.ErrorContains(t, err, "confidence level")
	_, err = held.ProfileTimeTo(50, 0.95)
	assert.ErrorIs(t, err, ErrNotEstimable)
	for _, options := range []Options{{Clustered: true}, {Loss: Huber}} {
		curve, err := Fit(points, options)
		require.NoError(t, err)
		_, _, err = curve.Solution.ProfileLimits("tau", 0.95)
		assert.ErrorIs(t, err, ErrNotEstimable)
	}
}

// On anything that Fit makes sense of, so do profiles: limits around the
// estimate, or a named reason.
func TestProfileLimitsOnAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		curve, err := Fit(anyPoints(t), Options{Shape: rapid.SampledFrom(Shapes()).Draw(t, "shape")})
		if err != nil {
			t.Skip(err)
		}
		for _, p := range curve.Solution.Parameters {
			lower, upper, err := curve.Solution.ProfileLimits(p.Name, 0.95)
			if err == nil && !(lower <= p.Value && p.Value <= upper) || err != nil && !errors.Is(err, ErrNotEstimable) {
				t.Fatalf("%+v: %g to %g, %v", p, lower, upper, err)
			}
		}
		x, err := curve.ProfileTimeTo(60, 0.95)
		if err == nil && !(x.Lower <= x.Time && x.Time <= x.Upper) || err != nil && !errors.Is(err, ErrNotEstimable) {
			t.Fatalf("%+v, %v", x, err)
		}
	})
}
