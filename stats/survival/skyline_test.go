package survival

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
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
			for i := first; i <= last; i++ {
				for j := i; j <= last; j++ {
					dense.SetSym(i, j, dense.At(i, j)+h)
				}
			}
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

		require.True(t, m.factor())
		b := append([]float64{}, product.RawVector().Data...)
		m.solve(b)
		assert.InDeltaSlice(t, x, b, 1e-9)
	}
}

func TestSkylineKnowsSingular(t *testing.T) {
	assert.False(t, newSkyline(2, []block{{0, 1, 3}}).factor())
	assert.False(t, newSkyline(2, []block{{0, 0, 3}}).factor(), "nothing on the second")
	assert.True(t, newSkyline(2, []block{{0, 1, 3}, {1, 1, 1e-6}}).factor())
	assert.True(t, newSkyline(0, nil).factor())
}
