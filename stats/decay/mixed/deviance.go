package mixed

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// absorb takes the random effects for Λ₁ and Λ₂ into the covariance V and
// solves for the fixed effects. Groups are taken in from the innermost: each
// is its own block of V, so that only numbers of its own are touched. It
// reports false if the solution is lost in rounding.
func (n *nested) absorb(λ1, λ2 blas64.Triangular) bool {
	copy(n.left, n.total)
	left := square(n.p+1, n.left)
	n.logDet = 0
	for g := range n.outers {
		logDet, ok := n.absorbGroup(g, λ1, λ2, left)
		if !ok {
			return false
		}
		n.logDet += logDet
	}
	return n.solve()
}

// absorbGroup takes in one outer group with its inner ones. It returns log|V|
// of its rows and subtracts what its random effects explain from left.
func (n *nested) absorbGroup(g int, λ1, λ2 blas64.Triangular, left blas64.General) (logDet float64, ok bool) {
	outer := &n.outers[g]
	outer.reset()
	for s := n.outer[g].from; n.q2 > 0 && s < n.outer[g].to; s++ {
		added, ok := n.inners[s].absorb(λ2)
		if !ok {
			return 0, false
		}
		logDet += added
		n.hand(&n.inners[s], outer, left)
	}
	added, ok := outer.absorb(λ1)
	if ok && n.q1 > 0 {
		u := outer.cols(0, n.p+1)
		blas64.Gemm(blas.Trans, blas.NoTrans, -1, u, u, 1, left)
	}
	return logDet + added, ok
}

// hand takes what an inner group explains from its outer group and from all.
func (n *nested) hand(inner, outer *member, left blas64.General) {
	xy := inner.cols(n.q1, n.q1+n.p+1)
	blas64.Gemm(blas.Trans, blas.NoTrans, -1, xy, xy, 1, left)
	if n.q1 > 0 {
		z := inner.cols(0, n.q1)
		blas64.Gemm(blas.Trans, blas.NoTrans, -1, z, z, 1, square(n.q1, outer.a))
		blas64.Gemm(blas.Trans, blas.NoTrans, -1, z, xy, 1, matrix(n.q1, n.p+1, outer.b))
	}
}

// solve finds β̃ and r² by the Cholesky decomposition of [X̃ y]ᵀV⁻¹[X̃ y].
func (n *nested) solve() bool {
	k := n.p + 1
	_, ok := lapack64.Potrf(blas64.Symmetric{Uplo: blas.Lower, N: k, Stride: k, Data: n.left})
	if !ok {
		return false
	}
	n.logX = 0
	for j := range n.p {
		n.logX += 2 * math.Log(n.left[j*k+j])
	}
	n.r2 = n.left[k*k-1] * n.left[k*k-1]
	copy(n.coef, n.left[n.p*k:])
	blas64.Trsv(blas.Trans, n.leftFactor(), vector(n.coef))
	return true
}

// leftFactor is the Cholesky factor of X̃ᵀV⁻¹X̃.
func (n *nested) leftFactor() blas64.Triangular {
	return blas64.Triangular{Uplo: blas.Lower, Diag: blas.NonUnit, N: n.p, Stride: n.p + 1, Data: n.left}
}

// freedom is the number that r² is divided by for σ².
func (n *nested) freedom(by Criterion) float64 {
	if by == REML {
		return float64(len(n.order) - n.p)
	}
	return float64(len(n.order))
}

// deviance is −2 times the (restricted) log-likelihood at the last absorb,
// but for the constants of the weights and of the scale of X.
func (n *nested) deviance(by Criterion) float64 {
	f := n.freedom(by)
	d := n.logDet + f*(1+math.Log(2*math.Pi*n.r2/f))
	if by == REML {
		d += n.logX
	}
	return d
}

// logLik is the (restricted) log-likelihood with all constants.
func (n *nested) logLik(by Criterion) float64 {
	d := n.deviance(by) - n.logWeights
	if by == REML {
		for j := range n.p {
			d += 2 * math.Log(math.Abs(n.r.Data[j*n.r.Stride+j]))
		}
	}
	return -d / 2
}
