package survival

import (
	"math"
	"slices"
)

// skyline is a symmetric positive definite matrix, of which row j is stored
// from the diagonal to column reach[j]; beyond it all is zero. The reach never
// falls from row to row, so that a Cholesky factor fits in the same place.
//
// It is what the curvature of a likelihood of intervals looks like: two
// hazards meet in it only where one interval covers both.
type skyline struct {
	reach []int
	rows  [][]float64
}

// newSkyline adds up the outer products of blocks of ones:
//
//	∑ h 1[first…last] 1[first…last]ᵀ
//
// in time proportional to the number of blocks and of stored elements. Nothing
// is subtracted, so nothing is lost to cancellation.
func newSkyline(n int, blocks []block) *skyline {
	m := &skyline{reach: make([]int, n), rows: make([][]float64, n)}
	for j := range m.reach {
		m.reach[j] = j
	}
	for _, b := range blocks {
		m.reach[b.first] = max(m.reach[b.first], b.last)
	}
	size := 0
	for j := range m.reach {
		if j > 0 {
			m.reach[j] = max(m.reach[j], m.reach[j-1])
		}
		size += m.reach[j] - j + 1
	}
	store := make([]float64, size)
	for j := range m.rows {
		width := m.reach[j] - j + 1
		m.rows[j], store = store[:width:width], store[width:]
	}

	for _, b := range blocks {
		m.rows[b.first][b.last-b.first] += b.h
	}
	for j, r := range m.rows {
		// A block reaches every column up to its last …
		for k := len(r) - 2; k >= 0; k-- {
			r[k] += r[k+1]
		}
		// … and every row from its first on.
		if j > 0 {
			for k, above := range m.rows[j-1][1:] {
				r[k] += above
			}
		}
	}
	return m
}

// factoring estimates how many multiplications the factor of newSkyline's
// matrix takes.
func factoring(n int, blocks []block) (multiplications float64) {
	reach := make([]int, n)
	for _, b := range blocks {
		reach[b.first] = max(reach[b.first], b.last)
	}
	furthest := 0
	for j, to := range reach {
		furthest = max(furthest, to, j)
		width := float64(furthest - j + 1)
		multiplications += width * width / 2
	}
	return multiplications
}

// block is h times a block of ones from first to last, both included.
type block struct {
	first, last int
	h           float64
}

// ascend returns the maximum over x ≥ 0 of the quadratic
//
//	q(x) = slope·(x − at) − ½ (x − at)ᵀ M (x − at)
//
// reached from x = at by walking towards the free maximum and letting go of each
// unknown that comes to 0. One let go of is not taken up again.
func (m *skyline) ascend(at, slope []float64) []float64 {
	x := slices.Clone(at)
	moved := make([]float64, len(x)) // from at
	free := make([]int, len(x))
	for i := range free {
		free[i] = i
	}
	for len(free) > 0 {
		bent := m.times(moved)
		step := make([]float64, len(free))
		for k, i := range free {
			step[k] = slope[i] - bent[i]
		}
		part := m.keep(free)
		part.factor()
		part.solve(step)

		share := 1.0 // of the step that keeps all of x at 0 or above
		for k, i := range free {
			if step[k] < 0 {
				share = min(share, -x[i]/step[k])
			}
		}
		kept := free[:0]
		for k, i := range free {
			next := x[i] + share*step[k]
			stuck := step[k] < 0 && (next <= 0 || -x[i]/step[k] <= share)
			if stuck {
				next = 0
			}
			moved[i] += next - x[i]
			x[i] = next
			if !stuck {
				kept = append(kept, i)
			}
		}
		if len(kept) == len(free) {
			break
		}
		free = kept
	}
	return x
}

// keep returns the matrix of the kept rows and columns.
func (m *skyline) keep(kept []int) *skyline {
	part := &skyline{reach: make([]int, len(kept)), rows: make([][]float64, len(kept))}
	to := 0
	for i, j := range kept {
		for to < len(kept) && kept[to] <= m.reach[j] {
			to++
		}
		part.reach[i] = to - 1
		r := make([]float64, to-i)
		for k := range r {
			r[k] = m.rows[j][kept[i+k]-j]
		}
		part.rows[i] = r
	}
	return part
}

// times returns the product with x.
func (m *skyline) times(x []float64) []float64 {
	y := make([]float64, len(x))
	for j, r := range m.rows {
		y[j] += r[0] * x[j]
		for k := 1; k < len(r); k++ {
			y[j] += r[k] * x[j+k]
			y[j+k] += r[k] * x[j]
		}
	}
	return y
}

// smallestPivot is the share of its diagonal element below which a pivot is
// taken for rounding noise of a singular matrix.
const smallestPivot = 1e-11

// factor replaces the matrix by its Cholesky factor, upper triangular. Where
// the matrix is singular it factors one that has a little added to its
// diagonal.
func (m *skyline) factor() {
	diagonal := make([]float64, len(m.rows))
	for j, r := range m.rows {
		diagonal[j] = r[0]
	}
	for j, r := range m.rows {
		if floor := smallestPivot * diagonal[j]; !(r[0] > floor) {
			r[0] = max(floor, math.SmallestNonzeroFloat64*1e20)
		}
		pivot := math.Sqrt(r[0])
		for k := range r {
			r[k] /= pivot
		}
		r[0] = pivot
		for k := 1; k < len(r); k++ {
			if f := r[k]; f != 0 {
				below := m.rows[j+k]
				for l, x := range r[k:] {
					below[l] -= f * x
				}
			}
		}
	}
}

// solve replaces b by the solution x of A x = b, after factor.
func (m *skyline) solve(b []float64) {
	for j, r := range m.rows {
		b[j] /= r[0]
		for k := 1; k < len(r); k++ {
			b[j+k] -= r[k] * b[j]
		}
	}
	for j := len(m.rows) - 1; j >= 0; j-- {
		r := m.rows[j]
		for k := 1; k < len(r); k++ {
			b[j] -= r[k] * b[j+k]
		}
		b[j] /= r[0]
	}
}
