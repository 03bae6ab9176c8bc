package aft

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// factor is the Cholesky factor of a symmetric matrix after its rows and
// columns were scaled so that the diagonal is 1: covariates may have any unit.
type factor struct {
	scale []float64
	chol  mat.Cholesky
}

// factorise factorises sign·a, q by q, with ridge added to its diagonal unless
// that is nil. It reports whether the sum is positive definite.
func factorise(a []float64, q int, sign float64, ridge []float64) (*factor, bool) {
	f := &factor{scale: make([]float64, q)}
	diagonal := make([]float64, q)
	for j := range q {
		diagonal[j] = sign * a[j*q+j]
		if ridge != nil {
			diagonal[j] += ridge[j]
		}
		if !(diagonal[j] > 0) {
			return nil, false
		}
		f.scale[j] = 1 / math.Sqrt(diagonal[j])
	}
	scaled := mat.NewSymDense(q, nil)
	for j := range q {
		scaled.SetSym(j, j, 1)
		for k := j + 1; k < q; k++ {
			scaled.SetSym(j, k, sign*a[j*q+k]*f.scale[j]*f.scale[k])
		}
	}
	return f, f.chol.Factorize(scaled)
}

// weakest returns the first row that depends on those before it to within
// tolerance, as a share of its square, or −1.
func weakest(a []float64, q int, tolerance float64) int {
	for k := 1; k <= q; k++ {
		leading := make([]float64, k*k)
		for j := range k {
			copy(leading[j*k:(j+1)*k], a[j*q:j*q+k])
		}
		f, ok := factorise(leading, k, 1, nil)
		if !ok {
			return k - 1
		}
		var u mat.TriDense
		f.chol.UTo(&u)
		if pivot := u.At(k-1, k-1); !(pivot*pivot > tolerance) {
			return k - 1
		}
	}
	return -1
}

// solve returns the solution x of the matrix times x = b.
func (f *factor) solve(b []float64) []float64 {
	x := mat.NewVecDense(len(b), nil)
	for j, v := range b {
		x.SetVec(j, v*f.scale[j])
	}
	_ = f.chol.SolveVecTo(x, x) // an ill-conditioned system still gives a direction
	for j, s := range f.scale {
		x.SetVec(j, x.AtVec(j)*s)
	}
	return x.RawVector().Data
}

// inverse returns the inverse of the matrix.
func (f *factor) inverse() *mat.SymDense {
	q := len(f.scale)
	inverse := mat.NewSymDense(q, nil)
	_ = f.chol.InverseTo(inverse)
	for j := range q {
		for k := j; k < q; k++ {
			inverse.SetSym(j, k, inverse.At(j, k)*f.scale[j]*f.scale[k])
		}
	}
	return inverse
}
