package mixed

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// nested is a linear mixed model with its data, in the form in which its
// deviance is computed again and again: reduced to cross-products of each
// group, so that the cost of a deviance does not depend on the rows.
//
// Columns are in the order [Z₂ Z₁ X y]: a group's random columns, then all
// that is to the right of them.
type nested struct {
	grouping
	p, q1, q2  int
	data       []float64 // rows, each times √weight
	logWeights float64   // ∑ log w

	// After reduce the columns of X are orthonormal, X = X̃ R, and y is the
	// residual of ordinary least squares, y − X base.
	r    blas64.Triangular
	base []float64
	rss  float64 // of ordinary least squares
	size float64 // ∑ y²

	outers, inners []member
	total          []float64 // cross-products of [X̃ y], not touched by absorb

	// Set by absorb.
	logDet float64   // log|V|
	left   []float64 // [X̃ y]ᵀ V⁻¹ [X̃ y], then its Cholesky factor, lower
	logX   float64   // log|X̃ᵀV⁻¹X̃|
	r2     float64   // generalised residual sum of squares
	coef   []float64 // β̃, of X̃
}

// newNested makes room for the rows of a grouping.
func newNested(g grouping, p, q1, q2 int) *nested {
	n := &nested{grouping: g, p: p, q1: q1, q2: q2}
	n.data = make([]float64, len(g.order)*n.columns())
	n.base, n.coef = make([]float64, p), make([]float64, p)
	n.total, n.left = make([]float64, (p+1)*(p+1)), make([]float64, (p+1)*(p+1))
	n.outers = newMembers(len(g.outer), q1, p+1)
	if q2 > 0 {
		n.inners = newMembers(len(g.inner), q2, q1+p+1)
	}
	return n
}

func (n *nested) columns() int { return n.q2 + n.q1 + n.p + 1 }

func (n *nested) row(i int) []float64 {
	m := n.columns()
	return n.data[i*m : (i+1)*m]
}

// part returns columns [from, to) of a block of rows as a matrix.
func (n *nested) part(rows block, from, to int) blas64.General {
	m := n.columns()
	return blas64.General{Rows: rows.len(), Cols: to - from, Stride: m, Data: n.data[rows.from*m+from : rows.to*m]}
}

// reduce turns the rows into cross-products. names are of the fixed columns,
// for the error if one of them depends on those before.
func (n *nested) reduce(names []string) error {
	if err := n.orthonormalise(names); err != nil {
		return err
	}
	all, m := block{0, len(n.order)}, n.columns()
	xy := n.part(all, m-n.p-1, m)
	blas64.Gemm(blas.Trans, blas.NoTrans, 1, xy, xy, 0, square(n.p+1, n.total))
	for g, rows := range n.rowsOf {
		n.outers[g].multiply(n.part(rows, n.q2, n.q2+n.q1), n.part(rows, n.q2+n.q1, m))
	}
	for s := range n.inners {
		n.inners[s].multiply(n.part(n.inner[s], 0, n.q2), n.part(n.inner[s], n.q2, m))
	}
	return nil
}

// orthonormalise replaces X by X̃ and y by the residual of least squares. What
// the groups explain is then subtracted from numbers of its own size.
func (n *nested) orthonormalise(names []string) error {
	all, m := block{0, len(n.order)}, n.columns()
	x := n.part(all, m-n.p-1, m-1)
	copied := mat.NewDense(x.Rows, x.Cols, nil)
	copied.SetRawMatrix(x)
	var qr mat.QR
	qr.Factorize(copied)
	var r mat.Dense
	qr.RTo(&r)
	upper := make([]float64, n.p*n.p)
	for j := range n.p {
		length := 0.0
		for i := range j + 1 {
			upper[i*n.p+j] = r.At(i, j)
			length = math.Hypot(length, r.At(i, j))
		}
		if math.Abs(r.At(j, j)) <= 1e-10*length {
			return fmt.Errorf("fixed effect %s and those before it are %w", names[j], ErrNotIdentified)
		}
	}
	n.r = blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: n.p, Stride: n.p, Data: upper}
	blas64.Trsm(blas.Right, blas.NoTrans, 1, n.r, x)

	y := blas64.Vector{N: x.Rows, Inc: m, Data: n.data[m-1:]}
	n.size = blas64.Dot(y, y)
	clear(n.base)
	along := blas64.Vector{N: n.p, Inc: 1, Data: make([]float64, n.p)}
	for range 2 { // the second time takes away what rounding left
		blas64.Gemv(blas.Trans, 1, x, y, 0, along)
		blas64.Gemv(blas.NoTrans, -1, x, along, 1, y)
		blas64.Axpy(1, along, vector(n.base))
	}
	blas64.Trsv(blas.NoTrans, n.r, vector(n.base))
	n.rss = blas64.Dot(y, y)
	return nil
}

// fixed returns β.
func (n *nested) fixed() []float64 {
	β := append([]float64(nil), n.coef...)
	blas64.Trsv(blas.NoTrans, n.r, vector(β))
	blas64.Axpy(1, vector(n.base), vector(β))
	return β
}

func square(n int, data []float64) blas64.General { return matrix(n, n, data) }

func matrix(rows, cols int, data []float64) blas64.General {
	return blas64.General{Rows: rows, Cols: cols, Stride: max(1, cols), Data: data[:rows*cols]}
}

func vector(data []float64) blas64.Vector { return blas64.Vector{N: len(data), Inc: 1, Data: data} }
