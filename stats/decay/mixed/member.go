package mixed

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// member is one group at one level, with q random effects and m columns to
// the right of its random ones. V₀ is the covariance of its rows, over σ²,
// from what lies within it.
type member struct {
	q, m       int
	raw, right []float64 // ZᵀZ and Zᵀ[…], of the rows as they are
	a, b       []float64 // A = ZᵀV₀⁻¹Z and B = ZᵀV₀⁻¹[…]

	// With M = I + ΛᵀAΛ = LLᵀ:
	l []float64 // L
	s []float64 // S = L⁻¹Λᵀ, so that SᵀS = ΛM⁻¹Λᵀ
	u []float64 // U = S B
}

func newMembers(count, q, m int) []member {
	room := make([]float64, count*(4*q*q+3*q*m))
	take := func(size int) []float64 {
		taken := room[:size:size]
		room = room[size:]
		return taken
	}
	members := make([]member, count)
	for i := range members {
		members[i] = member{
			q: q, m: m, raw: take(q * q), right: take(q * m), a: take(q * q), b: take(q * m),
			l: take(q * q), s: take(q * q), u: take(q * m),
		}
	}
	return members
}

// multiply fills the cross-products of the rows.
func (g *member) multiply(z, right blas64.General) {
	if g.q == 0 {
		return
	}
	blas64.Gemm(blas.Trans, blas.NoTrans, 1, z, z, 0, square(g.q, g.raw))
	blas64.Gemm(blas.Trans, blas.NoTrans, 1, z, right, 0, matrix(g.q, g.m, g.right))
	g.reset()
}

// reset starts from the rows as they are.
func (g *member) reset() {
	copy(g.a, g.raw)
	copy(g.b, g.right)
}

// absorb finds L, S and U for a Λ and returns log|M|, which is what the
// group's random effects add to log|V|. It reports false if M is not positive
// definite to rounding.
func (g *member) absorb(λ blas64.Triangular) (logDet float64, ok bool) {
	if g.q == 0 {
		return 0, true
	}
	copy(g.l, g.a)
	m := square(g.q, g.l)
	blas64.Trmm(blas.Right, blas.NoTrans, 1, λ, m)
	blas64.Trmm(blas.Left, blas.Trans, 1, λ, m)
	for k := range g.q {
		g.l[k*g.q+k]++
	}
	_, ok = lapack64.Potrf(blas64.Symmetric{Uplo: blas.Lower, N: g.q, Stride: g.q, Data: g.l})
	if !ok {
		return 0, false
	}
	for i := range g.q {
		logDet += 2 * math.Log(g.l[i*g.q+i])
		for j := range g.q {
			g.s[i*g.q+j] = 0
			if i <= j {
				g.s[i*g.q+j] = λ.Data[j*λ.Stride+i]
			}
		}
	}
	blas64.Trsm(blas.Left, blas.NoTrans, 1, g.factor(), square(g.q, g.s))
	blas64.Gemm(blas.NoTrans, blas.NoTrans, 1, square(g.q, g.s), matrix(g.q, g.m, g.b), 0, matrix(g.q, g.m, g.u))
	return logDet, true
}

func (g *member) factor() blas64.Triangular {
	return blas64.Triangular{Uplo: blas.Lower, Diag: blas.NonUnit, N: g.q, Stride: g.q, Data: g.l}
}

// cols returns columns [from, to) of U.
func (g *member) cols(from, to int) blas64.General {
	return blas64.General{Rows: g.q, Cols: to - from, Stride: max(1, g.m), Data: g.u[from:]}
}

// after puts ZᵀV⁻¹Z and ZᵀV⁻¹[…] into a and b, with V the covariance of the
// group's rows that its own random effects are part of. sa is room of a's size.
func (g *member) after(a, b, sa blas64.General) {
	copy(a.Data, g.a)
	copy(b.Data, g.b)
	blas64.Gemm(blas.NoTrans, blas.NoTrans, 1, square(g.q, g.s), square(g.q, g.a), 0, sa)
	blas64.Gemm(blas.Trans, blas.NoTrans, -1, sa, sa, 1, a)
	blas64.Gemm(blas.Trans, blas.NoTrans, -1, sa, matrix(g.q, g.m, g.u), 1, b)
}
