package mixed

import (
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
)

// bends differentiates what modes.settle returns, by everything that it depends
// on: the fixed effects and the R of both levels. The sum of squares changes as
// if the modes stayed, for they are where it is least. The determinant changes
// with the tangents, and these with the modes too, which follow from the
// curves' second derivatives.
type bends struct {
	*modes
	logDet, sum shares

	adjoint  []float64
	outer    blas64.General // rows of the arrow's inverse
	inner    blas64.General
	variance blas64.General // H of an inner group
	turned   []float64      // sum over the readings of an inner group
	after    []float64      // room
}

// shares are derivatives.
type shares struct {
	β      []float64
	r1, r2 blas64.General
}

func newBends(l *fleet) *bends {
	b := &bends{modes: newModes(l)}
	k, q1, q2 := b.arrow.k, l.q1, l.q2
	b.outer, b.inner = matrix(q1, k, make([]float64, q1*k)), matrix(q2, k, make([]float64, q2*k))
	b.variance = square(k, make([]float64, k*k))
	b.turned, b.after = make([]float64, k), make([]float64, k)
	for _, d := range []*shares{&b.logDet, &b.sum} {
		d.β = make([]float64, l.p)
		d.r1, d.r2 = matrix(k, q1, make([]float64, k*q1)), matrix(k, q2, make([]float64, k*q2))
	}
	return b
}

// add adds the derivatives of group g, of which settle was the last call. The
// adjoint is what the determinant gains by the modes, divided by the Hessian of
// the sum of squares, or if that is not positive definite to rounding, by that
// of the tangents.
func (b *bends) add(g int) {
	a := b.arrow
	b.adjoint = sized(b.adjoint, len(b.u))
	clear(b.adjoint)
	for s := range a.branches {
		b.spread(s)
		b.turn(g, s)
		if a.q1 > 0 {
			blas64.Gemv(blas.Trans, 1, a.r1, vector(b.turned), 1, vector(b.adjoint[:a.q1]))
		}
		if a.q2 > 0 {
			blas64.Gemv(blas.Trans, 1, a.r2, vector(b.turned), 0, vector(b.own(b.adjoint, s)))
		}
	}
	by := b.bent
	if !b.isBent {
		by = a
	}
	by.solve(b.adjoint)
	for s := range a.branches {
		b.follow(g, s)
	}
}

// spread sets variance to H = [R₁ R₂] A⁻¹ [R₁ R₂]ᵀ of inner group s, which is
// what is not known of its sums, and adds what R adds to the determinant
// directly, 2 G [R₁ R₂] A⁻¹.
func (b *bends) spread(s int) {
	a, g := b.arrow, b.arrow.branches[s].g
	a.against(s, b.outer, b.inner)
	clear(b.variance.Data)
	for _, level := range []struct{ r, rows, d blas64.General }{{a.r1, b.outer, b.logDet.r1}, {a.r2, b.inner, b.logDet.r2}} {
		if level.rows.Rows > 0 {
			blas64.Gemm(blas.NoTrans, blas.NoTrans, 1, level.r, level.rows, 1, b.variance)
			blas64.Gemm(blas.NoTrans, blas.Trans, 2, g, level.rows, 1, level.d)
		}
	}
}

// turn finds for each reading of inner group s by how much the determinant
// grows with its sums, v = 2 w K H gradient, and adds these up.
func (b *bends) turn(g, s int) {
	l, k := b.l, b.arrow.k
	rows := l.inner[l.outer[g].from+s]
	clear(b.turned)
	for i := rows.from; i < rows.to; i++ {
		c := &b.curves[i-l.rowsOf[g].from]
		blas64.Gemv(blas.NoTrans, 2*l.readings[i].Weight, b.variance, vector(c.gradient), 0, vector(b.after))
		blas64.Gemv(blas.NoTrans, 1, square(k, c.hessian), vector(b.after), 0, vector(c.turn))
		floats.Add(b.turned, c.turn)
	}
}

// follow adds the derivatives of inner group s. With p what the adjoint adds to
// its sums, the determinant changes with a reading's sums by
//
//	e = v − w (gradientᵀp) gradient + w r K p
func (b *bends) follow(g, s int) {
	l, a := b.l, b.arrow
	rows := l.inner[l.outer[g].from+s]
	b.move(b.adjoint, s)
	clear(b.turned)
	for i := rows.from; i < rows.to; i++ {
		c, r := &b.curves[i-l.rowsOf[g].from], &l.readings[i]
		blas64.Gemv(blas.NoTrans, r.Weight*c.off, square(a.k, c.hessian), vector(b.shift), 1, vector(c.turn))
		floats.AddScaled(c.turn, -r.Weight*floats.Dot(c.gradient, b.shift), c.gradient)
		floats.Add(b.turned, c.turn)
		for j, t := range l.terms {
			by := 1.0
			if t.covariate != intercept {
				by = r.Covariates[t.covariate]
			}
			b.logDet.β[j] += c.turn[t.parameter] * by
			b.sum.β[j] -= 2 * r.Weight * c.off * c.gradient[t.parameter] * by
		}
	}
	pull := vector(b.pull[s*a.k : (s+1)*a.k])
	if a.q1 > 0 {
		blas64.Ger(1, vector(b.turned), vector(b.u[:a.q1]), b.logDet.r1)
		blas64.Ger(1, pull, vector(b.adjoint[:a.q1]), b.logDet.r1)
		blas64.Ger(-2, pull, vector(b.u[:a.q1]), b.sum.r1)
	}
	if a.q2 > 0 {
		blas64.Ger(1, vector(b.turned), vector(b.own(b.u, s)), b.logDet.r2)
		blas64.Ger(1, pull, vector(b.own(b.adjoint, s)), b.logDet.r2)
		blas64.Ger(-2, pull, vector(b.own(b.u, s)), b.sum.r2)
	}
}

// plus adds other derivatives.
func (d shares) plus(more shares) {
	floats.Add(d.β, more.β)
	floats.Add(d.r1.Data, more.r1.Data)
	floats.Add(d.r2.Data, more.r2.Data)
}
