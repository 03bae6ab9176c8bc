package mixed

import (
	"math"
	"runtime"
	"slices"
	"sync"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
)

// integral is the likelihood of a fleet as an integral over the one random
// effect of each group, by adaptive quadrature: a function of ψ = (β, θ, log σ).
// It is searched in units of about one standard error around the first-order
// estimates.
type integral struct {
	*fleet
	σ         float64
	center    []float64  // ψ of the first-order estimates
	unit      *mat.Dense // ψ = center + unit·z
	nodes     []float64  // of Gauss–Hermite quadrature
	logWeight []float64  // with x² of the node added
}

func newIntegral(l *fleet, nodes int) *integral {
	in := &integral{fleet: l, σ: l.sigma(ML)}
	in.center = slices.Concat(l.β, l.best.at, []float64{math.Log(in.σ)})
	k := len(in.center)
	in.unit = mat.NewDense(k, k, nil)
	in.unit.Slice(0, k-1, 0, k-1).(*mat.Dense).Copy(l.units())
	in.unit.Set(k-1, k-1, 1/math.Sqrt(2*float64(len(l.order))))
	in.nodes, in.logWeight = make([]float64, nodes), make([]float64, nodes)
	quad.Hermite{}.FixedLocations(in.nodes, in.logWeight, math.Inf(-1), math.Inf(1))
	for i, x := range in.nodes {
		in.logWeight[i] = math.Log(in.logWeight[i]) + x*x
	}
	return in
}

// fit maximises the likelihood. Standard errors are from its curvature there.
// The search does with the curvature at its start, which in units of standard
// errors changes little: a few more steps cost less than another curvature.
func (in *integral) fit(model CurveModel) (*CurvesFit, error) {
	start := make([]float64, len(in.center))
	first := in.curvature(start)
	m, err := minimise("likelihood", in.slope, func(_, _ []float64) *mat.SymDense { return first }, start)
	if err != nil {
		return nil, err
	}
	covariance, root, err := in.covariance(m)
	if err != nil {
		return nil, err
	}
	deviance := in.deviance(m.at) // and leave the fleet there
	if err := in.rest(); err != nil {
		return nil, err
	}
	ψ := in.psi(m.at)
	θ := ψ[in.p : len(in.center)-1]
	fit := &CurvesFit{
		Fitness: in.fitness(in.form, ML, minimum{at: θ, iterations: m.iterations}), Covariance: covariance,
		model: model, fleet: in.fleet, ψ: ψ, ψRoot: root,
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

// covariance returns that of the fixed effects, and a root of that of all of ψ:
// twice the inverse Hessian of the deviance.
func (in *integral) covariance(m minimum) (fixed *mat.SymDense, root *mat.Dense, err error) {
	var hessian mat.Cholesky
	if !hessian.Factorize(in.curvature(m.at)) {
		return nil, nil, &NotConvergedError{"likelihood", m.iterations, math.NaN(), in.psi(m.at)}
	}
	var upper mat.TriDense // H = UᵀU, so that 2H⁻¹ = (√2 U⁻¹)(√2 U⁻¹)ᵀ
	hessian.UTo(&upper)
	if err := upper.InverseTri(&upper); err != nil {
		return nil, nil, &NotConvergedError{"likelihood", m.iterations, math.NaN(), in.psi(m.at)}
	}
	root = new(mat.Dense)
	root.Mul(in.unit, &upper)
	root.Scale(math.Sqrt2, root)
	fixed = mat.NewSymDense(in.p, nil)
	fixed.SymOuterK(1, root.Slice(0, in.p, 0, len(in.center)))
	return fixed, root, nil
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

// curvature is the Hessian of the deviance by differences: over ±h in each
// direction, and over ±(h, h) in each pair.
func (in *integral) curvature(z []float64) *mat.SymDense {
	const h = 0.05
	k := len(z)
	here := in.deviance(z)
	both := func(i, j int) float64 { // the deviance at z+h and z−h, less twice that here
		sum := -2 * here
		for _, step := range []float64{h, -h} {
			moved := slices.Clone(z)
			moved[i] += step
			if j != i {
				moved[j] += step
			}
			sum += in.deviance(moved)
		}
		return sum / (h * h)
	}
	hessian := mat.NewSymDense(k, nil)
	for i := range k {
		hessian.SetSym(i, i, both(i, i))
	}
	for i := range k {
		for j := i + 1; j < k; j++ {
			hessian.SetSym(i, j, (both(i, j)-hessian.At(i, i)-hessian.At(j, j))/2)
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
	parts := make([]float64, len(in.outers))
	var workers sync.WaitGroup
	count := runtime.GOMAXPROCS(0)
	for w := range count {
		workers.Go(func() {
			m := newModes(in.fleet)
			for g := w; g < len(parts); g += count {
				parts[g] = in.part(m, g)
			}
		})
	}
	workers.Wait()
	sum := float64(len(in.order))*math.Log(2*math.Pi*in.σ*in.σ) - in.logWeights + floats.Sum(parts)
	if math.IsNaN(sum) {
		return math.Inf(1)
	}
	return sum
}

// part returns −2 log of the integral over the one random effect of each member
// of outer group g, but for the constants that all share:
//
//	∫ exp(−(RSS(u) + u²)/2σ²) du/√(2πσ²),  nodes u = û + √2 σ x/L
//
// around the modes û, with L² the element of the arrow there.
func (in *integral) part(m *modes, g int) float64 {
	if _, _, ok := m.settle(g, in.σ); !ok {
		return math.Inf(1)
	}
	if in.q1 > 0 {
		return in.overOne(m, m.arrow.trunk[0], 0, in.rowsOf[g], g)
	}
	sum := 0.0
	for s := range m.arrow.branches {
		sum += in.overOne(m, m.arrow.branches[s].m[0], s, in.inner[in.outer[g].from+s], g)
	}
	return sum
}

// overOne integrates over m.u[at], which moves the curves of some rows.
func (in *integral) overOne(m *modes, curve float64, at int, rows block, g int) float64 {
	logs := make([]float64, len(in.nodes))
	mode := m.u[at]
	for k, x := range in.nodes {
		m.u[at] = mode + math.Sqrt2*in.σ*x/curve
		sum := m.u[at] * m.u[at]
		m.move(m.u, at)
		for i := rows.from; i < rows.to; i++ {
			r := &in.readings[i]
			off := m.look(i-in.rowsOf[g].from, r).off
			sum += r.Weight * off * off
		}
		logs[k] = in.logWeight[k] - sum/(2*in.σ*in.σ)
	}
	m.u[at] = mode
	return -2 * (floats.LogSumExp(logs) - math.Log(curve) - math.Log(math.Pi)/2)
}
