package mixed

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

// drawArrow draws an arrow, and the same as a matrix of gonum, with the columns
// [R₁ … R₂ …] of its inner groups.
func drawArrow(random *rand.Rand, k, q1, q2, branches int) (a *arrow, whole *mat.SymDense, columns []*mat.Dense) {
	a = newArrow(k, q1, q2)
	a.r1, a.r2 = matrix(k, q1, make([]float64, k*q1)), matrix(k, q2, make([]float64, k*q2))
	normals(random, a.r1.Data)
	normals(random, a.r2.Data)
	a.hold(branches)
	n := q1 + branches*q2
	sum := mat.NewDense(n, n, nil)
	for j := range n {
		sum.Set(j, j, 1)
	}
	for s := range branches {
		half := mat.NewDense(k, k, nil)
		normals(random, half.RawMatrix().Data)
		g := mat.NewDense(k, k, a.branches[s].g.Data)
		g.Mul(half, half.T())
		r := mat.NewDense(k, n, nil)
		for i := range k {
			for j := range q1 {
				r.Set(i, j, a.r1.Data[i*q1+j])
			}
			for j := range q2 {
				r.Set(i, q1+s*q2+j, a.r2.Data[i*q2+j])
			}
		}
		var part mat.Dense
		part.Product(r.T(), g, r)
		sum.Add(sum, &part)
		columns = append(columns, r)
	}
	whole = mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			whole.SetSym(i, j, sum.At(i, j))
		}
	}
	return a, whole, columns
}

// An arrow does what gonum does with the matrix written out.
func TestArrow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 17))
		k, q1, q2 := rapid.IntRange(1, 4).Draw(t, "k"), rapid.IntRange(0, 3).Draw(t, "q1"), rapid.IntRange(0, 3).Draw(t, "q2")
		if q1+q2 == 0 {
			return
		}
		a, whole, columns := drawArrow(random, k, q1, q2, rapid.IntRange(1, 4).Draw(t, "branches"))
		logDet, ok := a.factor()
		require.True(t, ok)
		var root mat.Cholesky
		require.True(t, root.Factorize(whole))
		tol := check.Tolerance{Rel: 1e-8, Abs: 1e-9}
		near(t, "log determinant", logDet, root.LogDet(), tol)

		n := whole.SymmetricDim()
		x, want := make([]float64, n), mat.NewVecDense(n, nil)
		normals(random, x)
		require.NoError(t, root.SolveVecTo(want, mat.NewVecDense(n, append([]float64(nil), x...))))
		a.solve(x)
		for i := range x {
			near(t, "solution", x[i], want.AtVec(i), tol)
		}
		for s, r := range columns {
			var inverse mat.Dense
			require.NoError(t, root.SolveTo(&inverse, r.T()))
			outer, inner := matrix(q1, k, make([]float64, q1*k)), matrix(q2, k, make([]float64, q2*k))
			a.against(s, outer, inner)
			for j := range k {
				for i := range q1 {
					near(t, "outer", outer.Data[i*k+j], inverse.At(i, j), tol)
				}
				for i := range q2 {
					near(t, "inner", inner.Data[i*k+j], inverse.At(q1+s*q2+i, j), tol)
				}
			}
		}
	})
}

// What is scattered has the inverse as its covariance: exactly so for the
// images of the unit vectors.
func TestArrowScatter(t *testing.T) {
	const k, q1, q2, s = 3, 2, 2, 1
	a, whole, _ := drawArrow(rand.New(rand.NewPCG(3, 18)), k, q1, q2, 3)
	_, ok := a.factor()
	require.True(t, ok)
	var root mat.Cholesky
	require.True(t, root.Factorize(whole))
	var inverse mat.SymDense
	require.NoError(t, root.InverseTo(&inverse))
	images := mat.NewDense(q1+q2, q1+q2, nil)
	for j := range q1 + q2 {
		z := make([]float64, q1+q2)
		z[j] = 1
		a.scatter(s, z[:q1], z[q1:])
		images.SetCol(j, z)
	}
	var covariance mat.Dense
	covariance.Mul(images, images.T())
	place := func(i int) int {
		if i < q1 {
			return i
		}
		return i + s*q2
	}
	for i := range q1 + q2 {
		for j := range q1 + q2 {
			near(t, "covariance", covariance.At(i, j), inverse.At(place(i), place(j)), check.Tolerance{Abs: 1e-10})
		}
	}
}
