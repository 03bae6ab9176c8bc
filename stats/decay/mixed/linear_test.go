package mixed

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

// oneWay is a model of groups around one mean.
func oneWay(by Criterion) LinearModel {
	return LinearModel{Fixed: []string{"mean"}, Levels: []Level{{Effects: []string{"group"}}}, Criterion: by}
}

func oneWayRow(y float64, group int) Row {
	return Row{Value: y, Weight: 1, Fixed: []float64{1}, Outer: group, OuterRandom: []float64{1}}
}

// In a balanced one-way layout of a groups of k, with mean squares B between
// and W within, the estimates have closed forms (Searle, Casella and
// McCulloch, Variance Components, 1992, chapter 3; from memory):
//
//	REML: σ² = W, σ_b² = (B − W)/k;  ML: σ_b² = ((1 − 1/a)B − W)/k
//
// and where that is negative, 0, with all of the sum of squares in σ².
func TestBalancedOneWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, k := rapid.IntRange(2, 8).Draw(t, "groups"), rapid.IntRange(2, 6).Draw(t, "size")
		spread := rapid.Float64Range(0, 5).Draw(t, "spread")
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		var rows []Row
		var all, means []float64
		within := 0.0
		for g := range a {
			b := spread * random.NormFloat64()
			group := make([]float64, k)
			for i := range group {
				group[i] = 10 + b + random.NormFloat64()
				rows = append(rows, oneWayRow(group[i], g))
			}
			all, means = append(all, group...), append(means, stat.Mean(group, nil))
			within += stat.Variance(group, nil) * float64(k-1)
		}
		n, fa, fk := float64(a*k), float64(a), float64(k)
		mw, mb := within/(n-fa), fk*stat.Variance(means, nil)
		for _, by := range []Criterion{REML, ML} {
			scale, df := 1.0, n-1
			if by == ML {
				scale, df = 1-1/fa, n
			}
			between, error := (scale*mb-mw)/fk, mw
			if between < 0 {
				between, error = 0, stat.Variance(all, nil)*(n-1)/df
			}
			fit, err := Linear(rows, oneWay(by))
			require.NoError(t, err)
			near(t, "variance between", fit.Levels[0].Covariance.At(0, 0), between, check.Tolerance{Rel: 1e-6, Abs: 1e-7 * error})
			near(t, "variance within", fit.ResidualSD*fit.ResidualSD, error, check.Tolerance{Rel: 1e-6})
			near(t, "mean", fit.Fixed[0].Value, stat.Mean(all, nil), check.Tolerance{Rel: 1e-10})
			near(t, "SE", fit.Fixed[0].SE, math.Sqrt((between+error/fk)/fa), check.Tolerance{Rel: 1e-6})
		}
	})
}

func near(t rapid.TB, what string, got, want float64, tol check.Tolerance) {
	t.Helper()
	if !check.Near(got, want, tol) {
		t.Errorf("%s: got %v, want %v (%+v)", what, got, want, tol)
	}
}

// Groups that differ less than chance would have them show no spread: the fit
// is then that of least squares.
func TestNoSpreadIsLeastSquares(t *testing.T) {
	var rows []Row
	var x, y []float64
	for g := range 6 {
		for i, r := range []float64{-1, 1, 1, -1} { // each group has mean residual and slope 0
			at := float64(i)
			x, y = append(x, at), append(y, 3+2*at+r)
			rows = append(rows, Row{
				Value: 3 + 2*at + r, Weight: 1, Fixed: []float64{1, at}, Outer: g, OuterRandom: []float64{1, at},
			})
		}
	}
	for _, correlated := range []bool{true, false} {
		fit, err := Linear(rows, LinearModel{
			Fixed: []string{"1", "x"}, Levels: []Level{{[]string{"1", "x"}, correlated}}, Criterion: REML,
		})
		require.NoError(t, err)
		intercept, slope := stat.LinearRegression(x, y, nil, false)
		near(t, "intercept", fit.Fixed[0].Value, intercept, check.Tolerance{Rel: 1e-10})
		near(t, "slope", fit.Fixed[1].Value, slope, check.Tolerance{Rel: 1e-10})
		s := math.Sqrt(24. / 22)
		near(t, "residual SD", fit.ResidualSD, s, check.Tolerance{Rel: 1e-7})
		near(t, "SE of slope", fit.Fixed[1].SE, s/math.Sqrt(stat.Variance(x, nil)*23), check.Tolerance{Rel: 1e-6})
		near(t, "spread", fit.Levels[0].SD(0), 0, check.Tolerance{Abs: 1e-4})
		near(t, "spread of slopes", fit.Levels[0].SD(1), 0, check.Tolerance{Abs: 1e-4})
		assert.True(t, fit.Singular)
		assert.Contains(t, fit.Notes[0], "no spread")
	}
}

// slopes draws rows of lines that differ by group, at random times.
func slopes(random *rand.Rand, groups int) []Row {
	var rows []Row
	for g := range groups {
		b, c := random.NormFloat64(), random.NormFloat64()/2
		for range 2 + random.IntN(6) {
			x := 4 * random.Float64()
			rows = append(rows, Row{
				Value: 5 - x + b + c*x + random.NormFloat64()/2, Weight: 1,
				Fixed: []float64{1, x}, Outer: g, OuterRandom: []float64{1, x},
			})
		}
	}
	return rows
}

func TestLinearProperties(t *testing.T) {
	model := LinearModel{
		Fixed: []string{"1", "x"}, Levels: []Level{{[]string{"1", "x"}, true}}, Criterion: REML,
	}
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		rows := slopes(random, rapid.IntRange(5, 15).Draw(t, "groups"))
		fit, err := Linear(rows, model)
		require.NoError(t, err)

		shift, stretch := rapid.Float64Range(-100, 100).Draw(t, "shift"), rapid.Float64Range(0.01, 100).Draw(t, "stretch")
		changed := slices.Clone(rows)
		for i, r := range changed {
			changed[i].Value += shift
			changed[i].Fixed = []float64{1, r.Fixed[1] * stretch}
			changed[i].OuterRandom = changed[i].Fixed
			changed[i].Outer = 1000 - r.Outer
		}
		random.Shuffle(len(changed), func(i, j int) { changed[i], changed[j] = changed[j], changed[i] })
		other, err := Linear(changed, model)
		require.NoError(t, err)

		tol := check.Tolerance{Rel: 1e-6, Abs: 1e-7}
		near(t, "intercept", other.Fixed[0].Value, fit.Fixed[0].Value+shift, tol)
		near(t, "SE of intercept", other.Fixed[0].SE, fit.Fixed[0].SE, tol)
		near(t, "slope", other.Fixed[1].Value*stretch, fit.Fixed[1].Value, tol)
		near(t, "residual SD", other.ResidualSD, fit.ResidualSD, tol)
		near(t, "spread of slopes", other.Levels[0].SD(1)*stretch, fit.Levels[0].SD(1), check.Tolerance{Rel: 1e-5, Abs: 1e-5})
		near(t, "log-likelihood", other.LogLik-math.Log(1/stretch), fit.LogLik, check.Tolerance{Abs: 1e-8})
		for i, g := range fit.Groups {
			mirror := other.Groups[len(other.Groups)-1-i]
			near(t, "effect", mirror.OuterEffects[0], g.OuterEffects[0], check.Tolerance{Rel: 1e-5, Abs: 1e-5})
		}
	})
}

func TestLinearRefuses(t *testing.T) {
	good := []Row{oneWayRow(1, 0), oneWayRow(2, 0), oneWayRow(3, 1), oneWayRow(5, 1)}
	with := func(change func(rows []Row)) []Row {
		rows := slices.Clone(good)
		change(rows)
		return rows
	}
	_, err := Linear(good, oneWay(REML))
	require.NoError(t, err)
	for name, bad := range map[string][]Row{
		"value":  with(func(r []Row) { r[2].Value = math.NaN() }),
		"weight": with(func(r []Row) { r[2].Weight = 0 }),
		"column": with(func(r []Row) { r[2].OuterRandom = []float64{math.Inf(1)} }),
	} {
		_, err := Linear(bad, oneWay(REML))
		var row *RowError
		require.ErrorAs(t, err, &row, name)
		assert.Equal(t, 2, row.Index)
		assert.ErrorContains(t, err, name)
	}
	for name, rows := range map[string][]Row{
		"none":            nil,
		"one group":       with(func(r []Row) { r[2].Outer, r[3].Outer = 0, 0 }),
		"one row a group": with(func(r []Row) { r[1].Outer, r[3].Outer = 2, 3 }),
	} {
		_, err := Linear(rows, oneWay(REML))
		assert.ErrorIs(t, err, ErrTooFew, name)
	}
	for name, values := range map[string][]float64{
		"constant":              {3, 3, 3, 3},
		"constant within group": {3, 3, 7, 7},
	} {
		_, err := Linear(with(func(r []Row) {
			for i, v := range values {
				r[i].Value = v
			}
		}), oneWay(REML))
		assert.ErrorIs(t, err, ErrNotIdentified, name)
	}
	twice := with(func(r []Row) {
		for i := range r {
			r[i].Fixed = []float64{1, 2}
		}
	})
	_, err = Linear(twice, LinearModel{Fixed: []string{"1", "two"}, Levels: oneWay(ML).Levels, Criterion: ML})
	assert.ErrorIs(t, err, ErrNotIdentified)
	assert.ErrorContains(t, err, "two")
	assert.Panics(t, func() { _, _ = Linear(good, LinearModel{Fixed: []string{"1"}}) })
	assert.Panics(t, func() { _, _ = Linear(twice, oneWay(ML)) })
}
