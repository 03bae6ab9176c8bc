package decay

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// stepSolver finds the steps of a search with at most p parameters.
type stepSolver struct {
	delta, normal []float64
	stacked       []float64 // [R, Qᵀresid; √λ I, 0]
	tau, work     []float64
}

func newStepSolver(r *room, p int) *stepSolver {
	return &stepSolver{
		delta: r.take(p), normal: r.take(p), stacked: r.take(2 * p * (p + 1)), tau: r.take(p + 1), work: r.take(p + 1),
	}
}

func stepSolverRoom(p int) int { return 2*p + 2*p*(p+1) + 2*(p+1) }

// step returns the δ that minimises ‖R δ + Qᵀresid‖ with ‖δ‖ ≤ radius, to a
// tenth of the radius. It is the Gauss–Newton step if that is short enough,
// and else solves (RᵀR + λI) δ = −Rᵀ Qᵀresid for the λ that gives the length:
// Newton's method on 1/‖δ(λ)‖ = 1/radius, kept between proven bounds of λ.
// The result is overwritten by the next call.
func (s *stepSolver) step(t *tangent, radius float64) []float64 {
	const tolerance = 0.1
	low, high := 0.0, s.steepest(t)/radius
	if t.regular {
		δ := s.solve(t, 0)
		excess := blas64.Nrm2(δ) - radius
		if excess <= tolerance*radius {
			return δ.Data
		}
		low = excess / radius / s.bend(t.factor(), δ)
	}
	λ := max(low, high/1000)
	for range 30 {
		δ := s.solve(t, λ)
		excess := blas64.Nrm2(δ) - radius
		if math.Abs(excess) <= tolerance*radius || high <= low {
			break
		}
		if excess > 0 {
			low = max(low, λ)
		} else {
			high = min(high, λ)
		}
		λ += excess / radius / s.bend(s.damped(len(t.free)), δ)
		if λ <= low || λ >= high {
			λ = max(math.Sqrt(low*high), high/1000)
		}
	}
	return s.delta[:len(t.free)]
}

// solve sets δ to the step for λ and, if λ > 0, leaves the damped factor in
// s.stacked.
func (s *stepSolver) solve(t *tangent, λ float64) blas64.Vector {
	q := len(t.free)
	δ := blas64.Vector{N: q, Inc: 1, Data: s.delta[:q]}
	if λ == 0 {
		blas64.Copy(t.shadow(), δ)
		blas64.Scal(-1, δ)
		blas64.Trsv(blas.NoTrans, t.factor(), δ)
		return δ
	}
	a := blas64.General{Rows: 2 * q, Cols: q + 1, Stride: q + 1, Data: s.stacked[:2*q*(q+1)]}
	clear(a.Data)
	copy(a.Data, t.triangle.Data[:q*(q+1)])
	for k := range q {
		clear(a.Data[k*(q+1) : k*(q+1)+k]) // below R lie the reflectors of its decomposition
		a.Data[(q+k)*(q+1)+k] = math.Sqrt(λ)
	}
	lapack64.Geqrf(a, s.tau[:min(2*q, q+1)], s.work[:q+1], q+1)
	for k := range q {
		δ.Data[k] = -a.Data[k*(q+1)+q]
	}
	blas64.Trsv(blas.NoTrans, s.damped(q), δ)
	return δ
}

// damped is the factor that solve left: its square is RᵀR + λI.
func (s *stepSolver) damped(q int) blas64.Triangular {
	return blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: q, Stride: q + 1, Data: s.stacked}
}

// bend returns ‖F⁻ᵀ δ/‖δ‖‖², minus the derivative of log ‖δ(λ)‖, for the
// factor F that δ was found with.
func (s *stepSolver) bend(factor blas64.Triangular, δ blas64.Vector) float64 {
	w := blas64.Vector{N: δ.N, Inc: 1, Data: s.normal[:δ.N]}
	blas64.Copy(δ, w)
	blas64.Scal(1/blas64.Nrm2(δ), w)
	blas64.Trsv(blas.Trans, factor, w)
	length := blas64.Nrm2(w)
	return length * length
}

// steepest returns the length of the gradient Rᵀ Qᵀresid.
func (s *stepSolver) steepest(t *tangent) float64 {
	g := blas64.Vector{N: len(t.free), Inc: 1, Data: s.normal[:len(t.free)]}
	blas64.Copy(t.shadow(), g)
	blas64.Trmv(blas.Trans, t.factor(), g)
	return blas64.Nrm2(g)
}

// singular is the reciprocal condition number at which a triangle has no
// inverse worth having.
const singular = 1e-13

// condition finds how well systems with small triangles can be solved.
type condition struct{ inverse, work []float64 }

// good reports whether systems with factor can be solved to some correct
// digits. Of triangles as small as these the inverse itself is found sooner
// than an estimate of how large it is.
func (c condition) good(factor blas64.Triangular) bool {
	n := factor.N
	if n == 0 {
		return true
	}
	inverse := factor
	inverse.Stride, inverse.Data = n, c.inverse[:n*n]
	for i := range n {
		copy(inverse.Data[i*n+i:(i+1)*n], factor.Data[i*factor.Stride+i:])
	}
	size := lapack64.Lantr(lapack.MaxColumnSum, factor, c.work)
	return lapack64.Trtri(inverse) && 1/(size*lapack64.Lantr(lapack.MaxColumnSum, inverse, c.work)) > singular
}
