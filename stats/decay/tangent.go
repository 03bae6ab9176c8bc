package decay

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// tangent is a model linearised at one set of parameters: at a small step δ
// the residuals are resid + jacobian·δ.
type tangent struct {
	β        []float64
	resid    []float64 // √w (m − y)
	jacobian []float64 // √w ∂m/∂β, a row for each point
	rss      float64   // ∑ resid²
	rounding float64   // what rounding alone may make of rss
	offset   float64   // see Solution

	// free are the parameters that may move: not held, and not at a bound
	// with the sum falling towards the outside.
	free []int

	// triangle is R of the QR decomposition of [jacobian/scale | resid] over
	// the free parameters, so that its last column is Qᵀ·resid and its last
	// element the length of what no step can remove.
	triangle blas64.General

	stacked   []float64 // room for the decomposition
	tau, work []float64
}

func newTangent(n, p int) *tangent {
	return &tangent{
		β: make([]float64, p), resid: make([]float64, n), jacobian: make([]float64, n*p),
		free: make([]int, 0, p), triangle: blas64.General{Data: make([]float64, (p+1)*(p+1))},
		stacked: make([]float64, n*(p+1)), tau: make([]float64, p+1), work: make([]float64, p+1),
	}
}

// evaluate finds residuals and derivatives at t.β. It reports false, and leaves
// t unfit for use, if one of them is not finite.
func (s *search) evaluate(t *tangent) bool {
	p := len(t.β)
	t.rss, t.rounding = 0, 0
	for i, point := range s.points {
		row := t.jacobian[i*p : (i+1)*p]
		value := s.model.Eval(t.β, point.Time, row)
		root := math.Sqrt(point.Weight)
		t.resid[i] = root * (value - point.Value)
		for j := range row {
			row[j] *= root
			if !finite(row[j]) {
				return false
			}
		}
		t.rss += t.resid[i] * t.resid[i]
		noise := 4 * 0x1p-53 * root * (math.Abs(value) + math.Abs(point.Value))
		t.rounding += noise * noise
	}
	return finite(t.rss)
}

// settle makes t the place to search from. The scale of each parameter grows
// with its derivatives and never shrinks: a parameter that for a while has no
// effect must not run away. Places that are only tried do not change it.
func (s *search) settle(t *tangent) {
	for j := range s.scale {
		s.scale[j] = max(s.scale[j], t.columnLength(j))
	}
	for j, length := range s.scale {
		if length == 0 {
			s.scale[j] = 1
		}
	}
	s.project(t)
}

// project finds what steps from t can do.
func (s *search) project(t *tangent) {
	s.release(t)
	t.decompose(s.scale)
}

func (t *tangent) columnLength(j int) float64 {
	p := len(t.β)
	sum := 0.0
	for i := range t.resid {
		d := t.jacobian[i*p+j]
		sum += d * d
	}
	return math.Sqrt(sum)
}

// release lists the parameters that may move from t.
func (s *search) release(t *tangent) {
	p := len(t.β)
	t.free = t.free[:0]
	for j, b := range t.β {
		slope := 0.0 // half the derivative of the sum
		for i, r := range t.resid {
			slope += r * t.jacobian[i*p+j]
		}
		atLower := b <= s.lower[j] && slope >= 0
		atUpper := b >= s.upper[j] && slope <= 0
		if !s.held(j) && !atLower && !atUpper {
			t.free = append(t.free, j)
		}
	}
}

// decompose fills the triangle and the offset, with each free column of the
// jacobian divided by its scale.
func (t *tangent) decompose(scale []float64) {
	n, p, q := len(t.resid), len(t.β), len(t.free)
	a := blas64.General{Rows: n, Cols: q + 1, Stride: q + 1, Data: t.stacked[:n*(q+1)]}
	for i, r := range t.resid {
		row := a.Data[i*(q+1) : (i+1)*(q+1)]
		for k, j := range t.free {
			row[k] = t.jacobian[i*p+j] / scale[j]
		}
		row[q] = r
	}
	lapack64.Geqrf(a, t.tau[:min(n, q+1)], t.work[:q+1], q+1)

	t.triangle = blas64.General{Rows: q + 1, Cols: q + 1, Stride: q + 1, Data: t.triangle.Data[:(q+1)*(q+1)]}
	copy(t.triangle.Data, a.Data)
	t.offset = 0
	if q > 0 {
		within := blas64.Nrm2(t.shadow()) / math.Sqrt(float64(q))
		without := math.Abs(t.triangle.Data[q*(q+1)+q]) / math.Sqrt(float64(n-q))
		t.offset = within / without
	}
}

// shadow is the part of the residuals that lies in the tangent plane.
func (t *tangent) shadow() blas64.Vector {
	q := len(t.free)
	return blas64.Vector{N: q, Inc: q + 1, Data: t.triangle.Data[q:]}
}

// factor is the triangle without its last row and column.
func (t *tangent) factor() blas64.Triangular {
	q := len(t.free)
	return blas64.Triangular{
		Uplo: blas.Upper, Diag: blas.NonUnit, N: q, Stride: q + 1, Data: t.triangle.Data,
	}
}

// exact reports whether the residuals are no more than rounding.
func (t *tangent) exact() bool { return t.rss <= t.rounding }

// remains returns the share of the sum that the linear model expects to lose
// on the whole way to the minimum.
func (t *tangent) remains() float64 {
	length := blas64.Nrm2(t.shadow())
	return length * length / t.rss
}

// foresee returns the share of the sum that the linear model expects to lose
// by a step in the scaled free parameters.
func (t *tangent) foresee(step []float64) float64 {
	q := len(t.free)
	saved := 0.0
	for k := range q {
		before := t.triangle.Data[k*(q+1)+q]
		after := before
		for l := k; l < q; l++ {
			after += t.triangle.Data[k*(q+1)+l] * step[l]
		}
		saved += before*before - after*after
	}
	return saved / t.rss
}
