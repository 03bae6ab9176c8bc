package mixed

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
)

// integral is the likelihood of a fleet as an integral over the random
// effects, a function of ψ = (β, θ, log σ). It is searched in units of about
// one standard error around the first-order estimates.
type integral struct {
	*fleet
	σ           float64
	center      []float64  // ψ of the first-order estimates
	unit        *mat.Dense // ψ = center + unit·z
	nodes       []float64  // of Gauss–Hermite quadrature, none for Laplace
	logWeight   []float64  // with x² of the node added
	scratchLeft []float64
}

func newIntegral(l *fleet, nodes int) *integral {
	in := &integral{fleet: l, σ: l.sigma(ML), scratchLeft: make([]float64, (l.p+1)*(l.p+1))}
	in.center = slices.Concat(l.β, l.best.at, []float64{math.Log(in.σ)})
	k := len(in.center)
	in.unit = mat.NewDense(k, k, nil)
	var root mat.Cholesky
	var lower mat.TriDense
	root.Factorize(l.fixedCovariance(ML))
	root.LTo(&lower)
	in.unit.Slice(0, l.p, 0, l.p).(*mat.Dense).Copy(&lower)
	for j, x := range l.best.at {
		size := 0.1 * max(0.1, math.Abs(x))
		if bend := l.best.hessian.At(j, j); bend > 0 {
			size = min(math.Sqrt(2/bend), max(0.1, math.Abs(x)))
		}
		in.unit.Set(l.p+j, l.p+j, size)
	}
	in.unit.Set(k-1, k-1, 1/math.Sqrt(2*float64(len(l.order))))
	if nodes > 1 {
		in.nodes, in.logWeight = make([]float64, nodes), make([]float64, nodes)
		quad.Hermite{}.FixedLocations(in.nodes, in.logWeight, math.Inf(-1), math.Inf(1))
		for i, x := range in.nodes {
			in.logWeight[i] = math.Log(in.logWeight[i]) + x*x
		}
	}
	return in
}

// fit maximises the likelihood. Standard errors are from its curvature.
func (in *integral) fit(model CurveModel) (*CurvesFit, error) {
	m, err := minimise("likelihood", in.slope, in.curvature, make([]float64, len(in.center)))
	if err != nil {
		return nil, err
	}
	covariance, err := in.covariance(m)
	if err != nil {
		return nil, err
	}
	deviance := in.deviance(m.at) // and leave the fleet there
	if err := in.rest(); err != nil {
		return nil, err
	}
	θ := in.psi(m.at)[in.p : len(in.center)-1]
	fit := &CurvesFit{
		Fitness: in.fitness(in.form, ML, minimum{at: θ, iterations: m.iterations}), Covariance: covariance,
		model: model, fleet: in.fleet,
	}
	fit.ResidualSD = in.σ
	fit.judge(-deviance/2, len(in.center))
	fit.describe(in.σ)
	return fit, nil
}

func (in *integral) psi(z []float64) []float64 {
	ψ := mat.NewVecDense(len(z), nil)
	ψ.MulVec(in.unit, mat.NewVecDense(len(z), z))
	floats.Add(ψ.RawVector().Data, in.center)
	return ψ.RawVector().Data
}

// covariance of the fixed effects: twice the inverse Hessian of the deviance.
func (in *integral) covariance(m minimum) (*mat.SymDense, error) {
	var root mat.Cholesky
	if !root.Factorize(in.curvature(m.at, nil)) {
		return nil, &NotConvergedError{"likelihood", m.iterations, math.NaN(), in.psi(m.at)}
	}
	var inverse mat.SymDense
	if err := root.InverseTo(&inverse); err != nil {
		return nil, &NotConvergedError{"likelihood", m.iterations, math.NaN(), in.psi(m.at)}
	}
	var whole mat.Dense
	whole.Product(in.unit, &inverse, in.unit.T())
	covariance := mat.NewSymDense(in.p, nil)
	for i := range in.p {
		for j := i; j < in.p; j++ {
			covariance.SetSym(i, j, whole.At(i, j)+whole.At(j, i))
		}
	}
	return covariance, nil
}

// slope is the deviance with its gradient by central differences.
func (in *integral) slope(z, gradient []float64) float64 {
	const h = 0.01
	moved := slices.Clone(z)
	for j := range gradient {
		moved[j] = z[j] + h
		up := in.deviance(moved)
		moved[j] = z[j] - h
		gradient[j] = (up - in.deviance(moved)) / (2 * h)
		moved[j] = z[j]
	}
	return in.deviance(z)
}

// curvature is the Hessian of the deviance by differences.
func (in *integral) curvature(z, _ []float64) *mat.SymDense {
	const h = 0.05
	k := len(z)
	hessian := mat.NewSymDense(k, nil)
	at := func(i int, a float64, j int, b float64) float64 {
		moved := slices.Clone(z)
		moved[i] += a
		moved[j] += b
		return in.deviance(moved)
	}
	here := in.deviance(z)
	for i := range k {
		hessian.SetSym(i, i, (at(i, h, i, 0)-2*here+at(i, -h, i, 0))/(h*h))
		for j := i + 1; j < k; j++ {
			hessian.SetSym(i, j, (at(i, h, j, h)-at(i, h, j, -h)-at(i, -h, j, h)+at(i, -h, j, -h))/(4*h*h))
		}
	}
	return hessian
}

// deviance is −2 log of the likelihood at z, +Inf where there is none. It
// leaves the fleet at z with the modes of its random effects.
func (in *integral) deviance(z []float64) float64 {
	ψ := in.psi(z)
	in.β = ψ[:in.p]
	in.λ = in.form.factors(ψ[in.p : len(ψ)-1])
	in.σ = math.Exp(ψ[len(ψ)-1])
	copy(in.coef, in.β)
	left := square(in.p+1, in.scratchLeft)
	sum := float64(len(in.order))*math.Log(2*math.Pi*in.σ*in.σ) - in.logWeights
	for g := range in.outers {
		logDet, penalised, ok := in.mode(g, left)
		if !ok {
			return math.Inf(1)
		}
		if in.nodes == nil {
			sum += logDet + penalised/(in.σ*in.σ)
		} else {
			sum += in.quadrature(g)
		}
	}
	if math.IsNaN(sum) {
		return math.Inf(1)
	}
	return sum
}

// mode moves the random effects of group g, and of its inner groups, to their
// mode by Gauss–Newton steps, and returns log|V| of the tangents and the
// penalised sum of squares there.
func (in *integral) mode(g int, left blas64.General) (logDet, penalised float64, ok bool) {
	here := in.groupSum(g)
	for range 100 {
		in.groupTangents(g)
		if logDet, ok = in.absorbGroup(g, in.λ[0], in.λ[1], left); !ok {
			return 0, 0, false
		}
		u := in.groupEffects(g)
		moved, sum := in.groupStep(g, u, here)
		here = sum
		if moved <= 1e-8*in.σ {
			return logDet, here, !math.IsInf(here, 0)
		}
	}
	return 0, 0, false
}
