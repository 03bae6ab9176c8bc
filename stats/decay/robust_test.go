package decay

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

// phoneCalls are the millions of calls from Belgium in 1950 to 1973, of which
// six years hold minutes instead: Rousseeuw and Leroy, Robust Regression and
// Outlier Detection (1987), as reprinted in Venables and Ripley, Modern Applied
// Statistics with S, 4th ed. (2002) section 6.5.
func phoneCalls() []Point {
	calls := []float64{
		4.4, 4.7, 4.7, 5.9, 6.6, 7.3, 8.1, 8.8, 10.6, 12, 13.5, 14.9, 16.1, 21.2,
		119, 124, 142, 159, 182, 212, 43, 24, 27, 29,
	}
	points := make([]Point, len(calls))
	for i, y := range calls {
		points[i] = Point{Time: float64(50 + i), Value: y, Weight: 1, Cluster: i}
	}
	return points
}

// The summaries of these fits by MASS's rlm as printed in that section, from
// memory; the one by Huber's loss is on the help page of summary.rlm too, with
// 26.553 for the intercept's error. rlm stops when residuals change by 1e-4,
// which leaves Huber's line a thousandth away from where it would settle, and
// takes the variance of ψ′ by n − 1.
func TestRobustLineOfPhoneCalls(t *testing.T) {
	for loss, want := range map[Loss]struct {
		intercept, interceptSE, slope, slopeSE, scale float64
		tol                                           check.Tolerance
	}{
		Huber: {-102.622, 26.553, 2.041, 0.429, 9.03, check.Tolerance{Rel: 3e-3}},
		Tukey: {-52.302, 2.753, 1.098, 0.044, 1.65, check.Tolerance{Abs: 6e-4, Rel: 1e-4}},
	} {
		sol, err := LeastSquares(Linear(), phoneCalls(), []float64{0, 0}, Settings{Loss: loss})
		require.NoError(t, err)
		check.Value(t, "intercept", sol.Parameters[0].Value, want.intercept, want.tol)
		check.Value(t, "slope", -sol.Parameters[1].Value, want.slope, want.tol)
		roughly := check.Tolerance{Rel: 3e-3, Abs: 6e-4}
		check.Value(t, "SE of intercept", sol.Parameters[0].SE, want.interceptSE, roughly)
		check.Value(t, "SE of slope", sol.Parameters[1].SE, want.slopeSE, roughly)
		check.Value(t, "scale", sol.ResidualSD, want.scale, check.Tolerance{Rel: 3e-3, Abs: 6e-3})
		assert.Equal(t, 22, sol.DF)
		assert.Equal(t, StopSettled, sol.Stop)
	}
}

// Tukey's loss sets aside the six years that hold minutes, 1964 to 1969, and
// trusts every other at least by half but 1963 and 1970, in which the change
// fell (same section).
func TestTrustInPhoneCalls(t *testing.T) {
	sol, err := LeastSquares(Linear(), phoneCalls(), []float64{0, 0}, Settings{Loss: Tukey})
	require.NoError(t, err)
	require.Len(t, sol.Trust, 24)
	for i, trust := range sol.Trust {
		switch year := 1950 + i; {
		case year >= 1964 && year <= 1969:
			assert.Zero(t, trust, year)
		case year != 1963 && year != 1970:
			assert.Greater(t, trust, 0.5, year)
		}
	}
}

// Brownlee's stack loss data, with the row's number as time. Coefficients and
// errors by Huber's loss are printed in the documentation of statsmodels' RLM.
func TestRobustPlaneOfStackLoss(t *testing.T) {
	rows := [][4]float64{ // air flow, water temperature, acid, loss
		{80, 27, 89, 42}, {80, 27, 88, 37}, {75, 25, 90, 37}, {62, 24, 87, 28}, {62, 22, 87, 18}, {62, 23, 87, 18}, {62, 24, 93, 19},
		{62, 24, 93, 20}, {58, 23, 87, 15}, {58, 18, 80, 14}, {58, 18, 89, 14}, {58, 17, 88, 13}, {58, 18, 82, 11}, {58, 19, 93, 12},
		{50, 18, 89, 8}, {50, 18, 86, 7}, {50, 19, 72, 8}, {50, 19, 79, 8}, {50, 20, 80, 9}, {56, 20, 82, 15}, {70, 20, 91, 15},
	}
	plane := Model{
		Parameters: []string{"air", "water", "acid", "constant"},
		Eval: func(β []float64, t float64, gradient []float64) float64 {
			copy(gradient, rows[int(t)][:3])
			gradient[3] = 1
			return β[0]*gradient[0] + β[1]*gradient[1] + β[2]*gradient[2] + β[3]
		},
	}
	points := make([]Point, len(rows))
	for i, row := range rows {
		points[i] = Point{Time: float64(i), Value: row[3], Weight: 1}
	}
	sol, err := LeastSquares(plane, points, make([]float64, 4), Settings{Loss: Huber})
	require.NoError(t, err)
	want := []float64{0.82938433, 0.92606597, -0.12784672, -41.02649835}
	errors := []float64{0.11100521, 0.30293016, 0.12864961, 9.79189854}
	for j, p := range sol.Parameters {
		check.Value(t, p.Name, p.Value, want[j], check.Tolerance{Rel: 1e-7})
		check.Value(t, "SE of "+p.Name, p.SE, errors[j], check.Tolerance{Rel: 1e-7})
	}
}

// ψ must be the derivative that trust and slope say it is, and reach the
// textbook's values: Huber's is k from k on, Tukey's 0 from c on.
func TestLossSlopes(t *testing.T) {
	assert.InDelta(t, 1.345, 5*Huber.trust(5), 1e-12)
	assert.InDelta(t, -1.345, -5*Huber.trust(-5), 1e-12)
	assert.InDelta(t, 0, Tukey.trust(4.685), 1e-12)
	assert.Zero(t, Tukey.trust(-9))
	assert.Equal(t, 1.0, Squares.trust(1e9))
	rapid.Check(t, func(t *rapid.T) {
		loss := rapid.SampledFrom([]Loss{Squares, Huber, Tukey}).Draw(t, "loss")
		u := rapid.Float64Range(-8, 8).Filter(func(u float64) bool {
			return math.Abs(math.Abs(u)-huberReach) > 1e-4 && math.Abs(math.Abs(u)-tukeyReach) > 1e-4
		}).Draw(t, "u")
		const h = 1e-5
		difference := ((u+h)*loss.trust(u+h) - (u-h)*loss.trust(u-h)) / (2 * h)
		wantNear(t, "slope", loss.slope(u), difference, check.Tolerance{Rel: 1e-8, Abs: 1e-8})
	})
}

// One absurd reading among twenty-four must not move the time at which half of
// the fall is done by more than a few of its standard errors; least squares it
// throws far off.
func TestRobustFitShrugsOffOneReading(t *testing.T) {
	for _, loss := range []Loss{Huber, Tukey} {
		rapid.Check(t, func(t *rapid.T) {
			points := fleetLike(t)
			for i := range points {
				points[i].Weight = 1
			}
			clean, err := Fit(points, Options{Loss: loss})
			require.NoError(t, err)
			half := (clean.Start.Value + clean.Floor.Value) / 2
			want, err := clean.TimeTo(half, 0.95)
			require.NoError(t, err)
			odd := slices.Clone(points)
			odd[rapid.IntRange(4, 20).Draw(t, "odd")].Value = 5
			curve, err := Fit(odd, Options{Loss: loss})
			require.NoError(t, err)
			got, err := curve.TimeTo(half, 0.95)
			require.NoError(t, err)
			if math.Abs(got.Time-want.Time) > 6*want.SE {
				t.Fatalf("%s: one reading moves %g to %g, SE %g", loss, want.Time, got.Time, want.SE)
			}
		})
	}
}

// Limits under a loss must hold the truth as often as those of least squares
// when nothing is odd: within 4 standard errors of 400 draws, and 0.015 for an
// error that is known only for many readings.
func TestRobustLimitsCoverTheTruth(t *testing.T) {
	const draws = 400
	for _, loss := range []Loss{Huber, Tukey} {
		random := rand.New(rand.NewPCG(41, 26))
		held := 0
		for range draws {
			curve, err := Fit(drawn(random, 30, 30, threeDegrees), Options{Loss: loss})
			require.NoError(t, err)
			lower, upper, err := curve.Tau.Limits(0.95)
			require.NoError(t, err)
			held += count(lower, truth.tau, upper)
		}
		assert.InDelta(t, 0.95, float64(held)/draws, 0.059, loss)
	}
}

// With more than half of the readings on the curve there is no scale to judge
// the rest by.
func TestRobustFitThroughMostPoints(t *testing.T) {
	points := readings([2]float64{0, 100}, [2]float64{1, 99}, [2]float64{2, 98}, [2]float64{3, 97}, [2]float64{4, 40},
		[2]float64{5, 95}, [2]float64{6, 94}, [2]float64{7, 93})
	sol, err := LeastSquares(Linear(), points, []float64{100, 1}, Settings{Loss: Huber})
	require.NoError(t, err)
	check.Value(t, "start", sol.Parameters[0].Value, 100, check.Tolerance{Rel: 1e-6})
	check.Value(t, "rate", sol.Parameters[1].Value, 1, check.Tolerance{Rel: 1e-6})

	_, err = LeastSquares(Linear(), points, []float64{100, 1}, Settings{Loss: "absolute"})
	assert.ErrorContains(t, err, `no loss is named "absolute"`)
	_, err = Fit(points, Options{Loss: "absolute"})
	assert.ErrorContains(t, err, `no loss is named "absolute"`)
}
