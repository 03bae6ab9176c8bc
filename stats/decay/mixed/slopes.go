package mixed

import (
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
)

// slopes returns the derivatives of the deviance at the last absorb by the
// elements of ΛΛᵀ of each level,
//
//	∑ ZᵀV⁻¹Z − (f/r²) eeᵀ − H (X̃ᵀV⁻¹X̃)⁻¹ Hᵀ,  e = ZᵀV⁻¹(y − X̃β̃), H = ZᵀV⁻¹X̃
//
// over the groups of the level, the last term for REML only.
func (n *nested) slopes(by Criterion) (d [2][]float64) {
	outer, inner := n.newGradient(by, n.q1, n.p+1), n.newGradient(by, n.q2, n.q1+n.p+1)
	for g := range n.outers {
		if n.q1 > 0 {
			n.outers[g].after(outer.a, outer.b, outer.sa)
			outer.add(outer.b)
		}
		if n.q2 > 0 {
			for s := n.outer[g].from; s < n.outer[g].to; s++ {
				n.inners[s].after(inner.a, inner.b, inner.sa)
				inner.add(inner.explainBy(&n.outers[g]))
			}
		}
	}
	return [2][]float64{outer.d, inner.d}
}

// gradient sums the slopes of one level.
type gradient struct {
	of *nested
	by Criterion
	d  []float64 // by ΛΛᵀ

	// One group at a time:
	a, b  blas64.General // ZᵀV⁻¹Z and ZᵀV⁻¹[…]
	sa, h blas64.General // room
	ks    blas64.General
	e     []float64
}

func (n *nested) newGradient(by Criterion, q, m int) *gradient {
	room := func(rows, cols int) blas64.General { return matrix(rows, cols, make([]float64, rows*cols)) }
	return &gradient{
		of: n, by: by, d: make([]float64, q*q), e: make([]float64, q),
		a: room(q, q), b: room(q, m), sa: room(q, q), h: room(n.p, q), ks: room(q, n.q1),
	}
}

// explainBy takes what an outer group's random effects explain from a and b,
// and returns the columns of b that belong to [X̃ y].
func (t *gradient) explainBy(outer *member) blas64.General {
	q1, p := t.of.q1, t.of.p
	xy := blas64.General{Rows: t.b.Rows, Cols: p + 1, Stride: t.b.Stride, Data: t.b.Data[q1:]}
	if q1 > 0 {
		k := blas64.General{Rows: t.b.Rows, Cols: q1, Stride: t.b.Stride, Data: t.b.Data}
		blas64.Gemm(blas.NoTrans, blas.Trans, 1, k, square(q1, outer.s), 0, t.ks)
		blas64.Gemm(blas.NoTrans, blas.Trans, -1, t.ks, t.ks, 1, t.a)
		blas64.Gemm(blas.NoTrans, blas.NoTrans, -1, t.ks, outer.cols(0, p+1), 1, xy)
	}
	return xy
}

// add adds one group's part, with b its ZᵀV⁻¹[X̃ y].
func (t *gradient) add(b blas64.General) {
	n, q := t.of, t.a.Rows
	blas64.Axpy(1, vector(t.a.Data), vector(t.d))
	for i := range t.e {
		row := b.Data[i*b.Stride:]
		t.e[i] = row[n.p] - blas64.Dot(vector(row[:n.p]), vector(n.coef))
	}
	blas64.Ger(-n.freedom(t.by)/n.r2, vector(t.e), vector(t.e), square(q, t.d))
	if t.by != REML {
		return
	}
	for i := range q {
		for j := range n.p {
			t.h.Data[j*q+i] = b.Data[i*b.Stride+j]
		}
	}
	blas64.Trsm(blas.Left, blas.NoTrans, 1, n.leftFactor(), t.h)
	blas64.Gemm(blas.Trans, blas.NoTrans, -1, t.h, t.h, 1, square(q, t.d))
}
