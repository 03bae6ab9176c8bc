package decay

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// tangent is a model linearised at one set of parameters: at a small step δ
// the residuals are resid + jacobian·δ.
type tangent struct {
	β        []float64
	resid    []float64 // √w (m − y)
	jacobian []float64 // √w ∂m/∂β, a row for each point
	rss      float64   // ∑ resid²
	rounding float64   // what rounding alone may make of rss
	within   float64   // length of the part of resid that steps can change
	offset   float64   // see Solution

	// free are the parameters that may move: not held, and not at a bound
	// with the sum falling towards the outside.
	free []int

	// triangle is R of the QR decomposition of [jacobian/scale | resid] over
	// the free parameters, so that its last column is Qᵀ·resid and its last
	// element the length of what no step can remove.
	triangle blas64.General

	regular bool // the triangle can be solved with

	stacked   []float64 // room for the decomposition
	tau, work []float64
	condition condition
}

func newTangent(r *room, n, p int) *tangent {
	return &tangent{
		β: r.take(p), resid: r.take(n), jacobian: r.take(n * p),
		free: make([]int, 0, p), triangle: blas64.General{Data: r.take((p + 1) * (p + 1))},
		stacked: r.take(n * (p + 1)), tau: r.take(p + 1), work: r.take(p + 1),
		condition: condition{inverse: r.take(p * p), work: r.take(p)},
	}
}

func tangentRoom(n, p int) int { return p + n + n*p + (p+1)*(p+1) + n*(p+1) + 2*(p+1) + p*p + p }

// evaluate finds residuals and derivatives at t.β. It reports false, and leaves
// t unfit for use, if one of them is not finite.
func (s *search) evaluate(t *tangent) bool {
	p := len(t.β)
	t.rss, t.rounding = 0, 0
	for i, point := range s.points {
		row := t.jacobian[i*p : (i+1)*p]
		value := s.model.Eval(t.β, point.Time, row)
		root := math.Sqrt(point.Weight)
		if s.trust != nil {
			root *= math.Sqrt(s.trust[i])
		}
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

// release lists the parameters that may move from t. At a bound that is if the
// sum falls towards the inside by more than rounding may fake.
func (s *search) release(t *tangent) {
	p := len(t.β)
	faked := math.Sqrt(t.unsure() * t.rss)
	t.free = t.free[:0]
	for j, b := range t.β {
		slope := 0.0 // half the derivative of the sum
		for i, r := range t.resid {
			slope += r * t.jacobian[i*p+j]
		}
		least := faked * s.scale[j]
		atLower := b <= s.lower[j] && slope >= -least
		atUpper := b >= s.upper[j] && slope <= least
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
	t.regular = t.condition.good(t.factor())
	t.within, t.offset = t.reachable(), 0
	if t.within > 0 {
		outside := math.Sqrt(max(0, t.rss-t.within*t.within))
		t.offset = t.within / math.Sqrt(float64(q)) / (outside / math.Sqrt(float64(n-q)))
	}
}

// reachable returns the length of the part of the residuals that steps can
// change. With a singular triangle that is not all of the shadow: the axes
// for which R has nothing but rounding are drawn at random by it.
func (t *tangent) reachable() float64 {
	if t.regular {
		return blas64.Nrm2(t.shadow())
	}
	var r mat.TriDense
	r.SetRawTriangular(t.factor())
	var svd mat.SVD
	if !svd.Factorize(&r, mat.SVDThinU) {
		return blas64.Nrm2(t.shadow())
	}
	var axes mat.Dense
	svd.UTo(&axes)
	stretch, sum := svd.Values(nil), 0.0
	for k := range stretch {
		if stretch[k] > singular*stretch[0] {
			axis := axes.ColView(k).(*mat.VecDense)
			along := blas64.Dot(axis.RawVector(), t.shadow())
			sum += along * along
		}
	}
	return math.Sqrt(sum)
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

// unsure is the relative difference in rss that rounding may fake.
func (t *tangent) unsure() float64 { return 2 * (math.Sqrt(t.rounding/t.rss) + 0x1p-53) }

// settled reports whether the linear model expects the whole way to the
// minimum to save little more than rounding may fake.
func (t *tangent) settled() bool {
	return t.within*t.within <= 100*t.unsure()*t.rss
}

// nearlyExact reports whether the residuals are below 1e-6 of the values. A
// curve that is free to move along the points without leaving them never
// comes to rest.
func (t *tangent) nearlyExact(points []Point) bool {
	values := 0.0
	for _, p := range points {
		values += p.Weight * p.Value * p.Value
	}
	return t.rss <= 1e-12*values
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
