package mixed

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// arrow is the matrix I + ∑ₛ RₛᵀGₛRₛ for the random effects u of one outer
// group: its own u₁ and those of each of its inner groups, u₂ₛ. Inner groups
// meet only in u₁, which gives it the shape of an arrow. The sums of the
// parameters of inner group s are R₁u₁ + R₂u₂ₛ more than its fixed ones, and Gₛ
// is what weighs them.
type arrow struct {
	k, q1, q2 int // parameters, effects
	r1, r2    blas64.General
	branches  []branch
	trunk     []float64 // Cholesky factor of M₀ = I + ∑ R₁ᵀGₛEₛ
	room      blas64.General
}

// branch is an inner group's part of an arrow.
type branch struct {
	g blas64.General // Gₛ
	m []float64      // Cholesky factor of Mₛ = I + R₂ᵀGₛR₂
	w blas64.General // Wₛ = Mₛ⁻¹R₂ᵀGₛR₁
	e blas64.General // Eₛ = R₁ − R₂Wₛ
}

func newArrow(k, q1, q2 int) *arrow {
	most := max(k, q1, q2)
	return &arrow{k: k, q1: q1, q2: q2, trunk: make([]float64, q1*q1), room: square(most, make([]float64, most*most))}
}

// hold makes room for a number of branches.
func (a *arrow) hold(branches int) {
	for len(a.branches) < branches {
		a.branches = append(a.branches, branch{
			g: square(a.k, make([]float64, a.k*a.k)), m: make([]float64, a.q2*a.q2),
			w: matrix(a.q2, a.q1, make([]float64, a.q2*a.q1)), e: matrix(a.k, a.q1, make([]float64, a.k*a.q1)),
		})
	}
	a.branches = a.branches[:branches]
}

// factor returns the log of the determinant. It reports false if the matrix is
// not positive definite to rounding.
func (a *arrow) factor() (logDet float64, ok bool) {
	clear(a.trunk)
	for j := range a.q1 {
		a.trunk[j*a.q1+j] = 1
	}
	for s := range a.branches {
		b := &a.branches[s]
		copy(b.e.Data, a.r1.Data)
		if a.q2 > 0 {
			if !a.factorBranch(b) {
				return 0, false
			}
			logDet += logDetOf(b.m, a.q2)
		}
		if a.q1 > 0 {
			ge := a.within(a.k, a.q1)
			blas64.Gemm(blas.NoTrans, blas.NoTrans, 1, b.g, b.e, 0, ge)
			blas64.Gemm(blas.Trans, blas.NoTrans, 1, a.r1, ge, 1, square(a.q1, a.trunk))
		}
	}
	if a.q1 > 0 {
		if !cholesky(a.trunk, a.q1) {
			return 0, false
		}
		logDet += logDetOf(a.trunk, a.q1)
	}
	return logDet, true
}

func (a *arrow) factorBranch(b *branch) bool {
	gr := a.within(a.k, a.q2)
	blas64.Gemm(blas.NoTrans, blas.NoTrans, 1, b.g, a.r2, 0, gr)
	blas64.Gemm(blas.Trans, blas.NoTrans, 1, a.r2, gr, 0, square(a.q2, b.m))
	for j := range a.q2 {
		b.m[j*a.q2+j]++
	}
	if !cholesky(b.m, a.q2) {
		return false
	}
	if a.q1 > 0 {
		blas64.Gemm(blas.Trans, blas.NoTrans, 1, gr, a.r1, 0, b.w)
		divide(b.m, a.q2, b.w)
		blas64.Gemm(blas.NoTrans, blas.NoTrans, -1, a.r2, b.w, 1, b.e)
	}
	return true
}

// within is the corner of the room with rows and columns.
func (a *arrow) within(rows, cols int) blas64.General {
	return matrix(rows, cols, a.room.Data)
}

// solve replaces x, the outer effects and then those of each inner group, by
// the solution of the arrow times it.
func (a *arrow) solve(x []float64) {
	outer, inner := x[:a.q1], x[a.q1:]
	if a.q1 > 0 {
		for s := range a.branches {
			if a.q2 > 0 {
				blas64.Gemv(blas.Trans, -1, a.branches[s].w, vector(inner[s*a.q2:(s+1)*a.q2]), 1, vector(outer))
			}
		}
		divide(a.trunk, a.q1, matrix(a.q1, 1, outer))
	}
	for s := range a.branches {
		if a.q2 == 0 {
			break
		}
		own := inner[s*a.q2 : (s+1)*a.q2]
		divide(a.branches[s].m, a.q2, matrix(a.q2, 1, own))
		if a.q1 > 0 {
			blas64.Gemv(blas.NoTrans, -1, a.branches[s].w, vector(outer), 1, vector(own))
		}
	}
}

// against returns the rows of the inverse for the outer effects, and for those
// of inner group s, times [R₁ R₂]ᵀ:
//
//	outer = M₀⁻¹Eₛᵀ,  inner = Mₛ⁻¹R₂ᵀ − Wₛ·outer
func (a *arrow) against(s int, outer, inner blas64.General) {
	b := &a.branches[s]
	if a.q1 > 0 {
		transpose(b.e, outer)
		divide(a.trunk, a.q1, outer)
	}
	if a.q2 > 0 {
		transpose(a.r2, inner)
		divide(b.m, a.q2, inner)
		if a.q1 > 0 {
			blas64.Gemm(blas.NoTrans, blas.NoTrans, -1, b.w, outer, 1, inner)
		}
	}
}

// scatter turns standard normal numbers z, in place, into effects of the outer
// group and of inner group s whose covariance is the arrow's inverse: u₁ =
// L₀⁻ᵀz₁ and u₂ = Lₛ⁻ᵀz₂ − Wₛu₁. A negative s is an inner group without readings.
func (a *arrow) scatter(s int, outer, inner []float64) {
	if a.q1 > 0 {
		blas64.Trsv(blas.Trans, lower(a.trunk, a.q1), vector(outer))
	}
	if a.q2 > 0 && s >= 0 {
		blas64.Trsv(blas.Trans, lower(a.branches[s].m, a.q2), vector(inner))
		if a.q1 > 0 {
			blas64.Gemv(blas.NoTrans, -1, a.branches[s].w, vector(outer), 1, vector(inner))
		}
	}
}

func cholesky(a []float64, n int) bool {
	_, ok := lapack64.Potrf(blas64.Symmetric{Uplo: blas.Lower, N: n, Stride: n, Data: a})
	return ok
}

func logDetOf(factor []float64, n int) float64 {
	sum := 0.0
	for j := range n {
		sum += 2 * math.Log(factor[j*n+j])
	}
	return sum
}

func lower(factor []float64, n int) blas64.Triangular {
	return blas64.Triangular{Uplo: blas.Lower, Diag: blas.NonUnit, N: n, Stride: n, Data: factor}
}

// divide replaces x by the solution of LLᵀ times it.
func divide(factor []float64, n int, x blas64.General) {
	blas64.Trsm(blas.Left, blas.NoTrans, 1, lower(factor, n), x)
	blas64.Trsm(blas.Left, blas.Trans, 1, lower(factor, n), x)
}

func transpose(from, to blas64.General) {
	for i := range from.Rows {
		for j := range from.Cols {
			to.Data[j*to.Stride+i] = from.Data[i*from.Stride+j]
		}
	}
}
