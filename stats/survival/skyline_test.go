package survival

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// Sums of blocks of ones, their products, principal parts and solutions against
// gonum's dense matrices.
func TestSkylineAgainstDense(t *testing.T) {
	draw := rand.New(rand.NewPCG(4, 2))
	for range 200 {
		n := 1 + draw.IntN(12)
		var blocks []block
		dense := mat.NewSymDense(n, nil)
		add := func(first, last int, h float64) {
			blocks = append(blocks, block{first, last, h})
			addBlock(dense, block{first, last, h})
		}
		for j := range n { // regular
			add(j, j, 0.5+draw.Float64())
		}
		for range draw.IntN(10) {
			first := draw.IntN(n)
			add(first, first+draw.IntN(n-first), draw.Float64())
		}
		m := newSkyline(n, blocks)

		x := make([]float64, n)
		for i := range x {
			x[i] = draw.NormFloat64()
		}
		var product mat.VecDense
		product.MulVec(dense, mat.NewVecDense(n, x))
		assert.InDeltaSlice(t, product.RawVector().Data, m.times(x), 1e-12)

		var kept []int
		for j := range n {
			if draw.IntN(3) > 0 {
				kept = append(kept, j)
			}
		}
		part := m.keep(kept)
		for i := range kept {
			for j := i; j < len(kept); j++ {
				got := 0.0
				if j-i < len(part.rows[i]) {
					got = part.rows[i][j-i]
				}
				assert.InDelta(t, dense.At(kept[i], kept[j]), got, 1e-12)
			}
		}

		m.factor()
		b := append([]float64{}, product.RawVector().Data...)
		m.solve(b)
		assert.InDeltaSlice(t, x, b, 1e-9)
	}
}

// Which blocks settle all unknowns, against the eigenvalues of their sum.
func TestSpanAllAgainstEigenvalues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(t, "n")
		dense := mat.NewSymDense(n, nil)
		var blocks []block
		for range rapid.IntRange(0, 10).Draw(t, "blocks") {
			first := rapid.IntRange(0, n-1).Draw(t, "first")
			b := block{first, rapid.IntRange(first, n-1).Draw(t, "last"), 1}
			blocks = append(blocks, b)
			addBlock(dense, b)
		}
		var eigen mat.EigenSym
		require.True(t, eigen.Factorize(dense, false))
		require.Equal(t, eigen.Values(nil)[0] > 1e-9, spanAll(n, blocks))
	})
	assert.True(t, spanAll(0, nil))
}

// The way found, by either means, meets the conditions of the maximum of the
// quadratic over x ≥ 0: no slope where x > 0, none upwards where x = 0. That of
// the walk with factors need only be as high as where it started, since it takes
// nothing up again; without a bound in the way both solve the equations.
func TestAscentOfQuadratics(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "n")
		dense := mat.NewSymDense(n, nil)
		var blocks []block
		for j := range n {
			blocks = append(blocks, block{j, j, rapid.Float64Range(0.1, 10).Draw(t, "h")})
		}
		for range rapid.IntRange(0, 10).Draw(t, "wide") {
			first := rapid.IntRange(0, n-1).Draw(t, "first")
			blocks = append(blocks, block{first, rapid.IntRange(first, n-1).Draw(t, "last"), rapid.Float64Range(0.1, 10).Draw(t, "h")})
		}
		for _, b := range blocks {
			addBlock(dense, b)
		}
		at := rapid.SliceOfN(rapid.SampledFrom([]float64{0, 0.1, 1, 5}), n, n).Draw(t, "at")
		slope := rapid.SliceOfN(rapid.Float64Range(-20, 20), n, n).Draw(t, "slope")
		quadratic := func(x []float64) (height float64, gradient []float64) {
			away := mat.NewVecDense(n, nil)
			away.SubVec(mat.NewVecDense(n, x), mat.NewVecDense(n, at))
			var bent mat.VecDense
			bent.MulVec(dense, away)
			gradient = make([]float64, n)
			for j := range gradient {
				gradient[j] = slope[j] - bent.AtVec(j)
			}
			return mat.Dot(mat.NewVecDense(n, slope), away) - mat.Dot(away, &bent)/2, gradient
		}
		x := newBlockSum(n, blocks).ascend(at, slope)
		height, gradient := quadratic(x)
		for j, v := range x {
			require.GreaterOrEqual(t, v, 0.0)
			require.LessOrEqual(t, gradient[j], 1e-6)
			if v > 0 {
				require.GreaterOrEqual(t, gradient[j], -1e-6)
			}
		}
		walked, bent := quadratic(newSkyline(n, blocks).ascend(at, slope))
		require.GreaterOrEqual(t, walked, -1e-9)
		require.GreaterOrEqual(t, height, walked-1e-6)
		if norm(bent) < 1e-9 {
			require.InDelta(t, height, walked, 1e-6)
		}
	})
}

// Unknowns that only one wide block knows make the quadratic flat; it must be
// climbed all the same.
func TestAscentAlongFlatWays(t *testing.T) {
	x := newBlockSum(2, []block{{0, 1, 12}}).ascend([]float64{0, 0.25}, []float64{2, 1})
	assert.Greater(t, x[0], 0.0)
	assert.Equal(t, 0.0, x[1])
}

func addBlock(to *mat.SymDense, b block) {
	for i := b.first; i <= b.last; i++ {
		for j := i; j <= b.last; j++ {
			to.SetSym(i, j, to.At(i, j)+b.h)
		}
	}
}

func norm(x []float64) float64 { return mat.Norm(mat.NewVecDense(len(x), x), 2) }
