package decay

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

// By hand, for a mean: clusters {1, 3}, {5, 5}, {4, 6} have mean 4 and sums of
// residuals −4, 2, 2, so the variance of the mean is (16 + 4 + 4)/6². Limits
// use t(0.975; 2) = 4.302652730 of printed tables.
func TestClusteredMeanByHand(t *testing.T) {
	var points []Point
	for i, y := range []float64{1, 3, 5, 5, 4, 6} {
		points = append(points, Point{Time: float64(i), Value: y, Weight: 1, Cluster: 10 * (i / 2)})
	}
	sol, err := LeastSquares(level(), points, []float64{0}, Settings{Clustered: true})
	require.NoError(t, err)
	require.Equal(t, 3, sol.Clusters)
	tol := check.Tolerance{Rel: 1e-9}
	se := math.Sqrt(24.0 / 36)
	check.Value(t, "SE", sol.Parameters[0].SE, se, tol)
	lower, upper, err := sol.Parameters[0].Limits(0.95)
	require.NoError(t, err)
	check.Value(t, "lower", lower, 4-4.302652730*se, tol)
	check.Value(t, "upper", upper, 4+4.302652730*se, tol)
	at, err := sol.Predict([]float64{2}, 0.95)
	require.NoError(t, err)
	check.Value(t, "lower limit of the curve", at[0].Lower, lower, tol)
}

// A naive second version: full matrices, one cluster after the other.
func TestClusteredAgreesWithNaive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := fleetLike(t)
		curve, err := Fit(points, Options{Clustered: true})
		require.NoError(t, err)

		var beta []float64
		for _, p := range curve.Solution.Parameters {
			beta = append(beta, p.Value)
		}
		var bread, meat, inverse, want mat.Dense
		bread.ReuseAs(3, 3)
		meat.ReuseAs(3, 3)
		for cluster := range 6 {
			score := mat.NewDense(3, 1, nil)
			for _, p := range points {
				if p.Cluster != cluster {
					continue
				}
				g := mat.NewDense(3, 1, nil)
				value := Exponential().Eval(beta, p.Time, g.RawMatrix().Data)
				var gg, add mat.Dense
				gg.Mul(g, g.T())
				gg.Scale(p.Weight, &gg)
				bread.Add(&bread, &gg)
				add.Scale(p.Weight*(p.Value-value), g)
				score.Add(score, &add)
			}
			var uu mat.Dense
			uu.Mul(score, score.T())
			meat.Add(&meat, &uu)
		}
		require.NoError(t, inverse.Inverse(&bread))
		want.Product(&inverse, &meat, &inverse)
		for j := range 3 {
			for k := range 3 {
				// The scores cancel to zero at the minimum, so what the offset
				// leaves there, about 1e-10, shows in the last digits.
				tol := check.Tolerance{Rel: 1e-6, Abs: 1e-6 * math.Sqrt(want.At(j, j)*want.At(k, k))}
				wantNear(t, "covariance", curve.Solution.Covariance.At(j, k), want.At(j, k), tol)
			}
		}
	})
}

// Entering every reading twice under the same vehicle adds no knowledge: the
// clustered limits must stay, where those of independent readings shrink.
func TestClusteredIgnoresCopies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := fleetLike(t)
		twice := append(slices.Clone(points), points...)
		one, err := Fit(points, Options{Clustered: true})
		require.NoError(t, err)
		two, err := Fit(twice, Options{Clustered: true})
		require.NoError(t, err)
		for j, p := range one.Solution.Parameters {
			wantNear(t, p.Name, two.Solution.Parameters[j].SE, p.SE, check.Tolerance{Rel: 1e-6})
		}
		naive, err := Fit(points, Options{})
		require.NoError(t, err)
		fooled, err := Fit(twice, Options{})
		require.NoError(t, err)
		n := float64(len(points))
		shrinks := math.Sqrt((n - 3) / (2*n - 3))
		wantNear(t, "tau", fooled.Tau.SE, naive.Tau.SE*shrinks, check.Tolerance{Rel: 1e-6})
	})
}
