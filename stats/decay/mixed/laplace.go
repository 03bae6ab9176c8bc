package mixed

import (
	"math"
	"runtime"
	"slices"
	"sync"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// laplace is the likelihood of a fleet by Laplace's approximation, with the
// curvature of the curves' tangents at the modes û of the random effects:
//
//	−2 log L = n log(2πσ²) − ∑ log w + log|I + AᵀA| + (RSS(û) + ‖û‖²)/σ²
//
// A are the derivatives of the weighted curves by u. The modes do not depend on
// σ, so that the best σ² is (RSS + ‖û‖²)/n, which leaves a function of the fixed
// effects β and the θ of the covariances. It is searched in units z of about
// one standard error around the first-order estimates.
type laplace struct {
	*fleet
	center []float64  // β and θ of the first-order estimates
	unit   *mat.Dense // (β, θ) = center + unit·z
	σ      float64    // at the last deviance
	size   float64    // σ of the first-order estimates
	ofLogσ []float64  // derivatives of log σ by z, of the last gradient
}

func newLaplace(l *fleet) *laplace {
	a := &laplace{fleet: l, σ: l.sigma(ML)}
	a.center = slices.Concat(l.β, l.best.at)
	for j, p := range a.form.allPlaces() {
		// At a spread of 0 the slope is 0 too, whatever lies beside it.
		if at := &a.center[l.p+j]; p.row == p.col && math.Abs(*at) < leastSpread {
			*at = leastSpread
		}
	}
	a.unit, a.size = l.units(), a.σ
	return a
}

// leastSpread is the least SD of a random effect to search from, as a share of
// the error's size.
const leastSpread = 0.1

// fit maximises the likelihood. What is not known of the estimates is from its
// curvature there.
func (a *laplace) fit(model CurveModel) (*CurvesFit, error) {
	m, root, err := a.search()
	if err != nil {
		return nil, err
	}
	value := a.deviance(m.at, nil) // and leave the fleet there
	if err := a.rest(); err != nil {
		return nil, err
	}
	at := a.place(m.at)
	fit := &CurvesFit{
		Fitness:    a.fitness(a.form, ML, minimum{at: at[a.p:], iterations: m.iterations}),
		Covariance: mat.NewSymDense(a.p, nil), model: model, fleet: a.fleet,
		ψ: append(at, math.Log(a.σ)), ψRoot: root,
	}
	fit.Covariance.SymOuterK(1, root.Slice(0, a.p, 0, len(at)+1))
	fit.ResidualSD = a.σ
	fit.judge(-value/2, len(at)+1)
	fit.describe(a.σ)
	return fit, nil
}

// search looks for the minimum of the deviance, and again should it end on a
// saddle, where the spread of an effect is 0.
func (a *laplace) search() (m minimum, root *mat.Dense, err error) {
	start, iterations := make([]float64, len(a.center)), 0
	for range 3 {
		m, err = minimise("likelihood", a.deviance, a.updated(), start)
		if err != nil {
			return m, nil, err
		}
		m.iterations += iterations
		iterations = m.iterations
		gradient := make([]float64, len(start))
		a.deviance(m.at, gradient)
		ofLogσ := a.ofLogσ
		var eigen mat.EigenSym
		if !eigen.Factorize(a.curvature(m.at), true) {
			break
		}
		if root = a.root(&eigen, ofLogσ); root != nil {
			return m, root, nil
		}
		var axes mat.Dense
		eigen.VectorsTo(&axes)
		floats.AddTo(start, m.at, mat.Col(nil, 0, &axes))
	}
	return m, nil, &NotConvergedError{"likelihood", m.iterations, math.NaN(), a.place(m.at)}
}

// place returns (β, θ) at z.
func (a *laplace) place(z []float64) []float64 {
	at := mat.NewVecDense(len(z), nil)
	at.MulVec(a.unit, mat.NewVecDense(len(z), z))
	floats.Add(at.RawVector().Data, a.center)
	return at.RawVector().Data
}

// deviance is −2 log of the likelihood at z for the best σ, +Inf where there is
// none; it sets the gradient, unless that is nil. It leaves the fleet at z with
// the modes of its random effects.
func (a *laplace) deviance(z, gradient []float64) float64 {
	at := a.place(z)
	a.β, a.λ = at[:a.p], a.form.factors(at[a.p:])
	logDet, sum, d := a.overGroups(gradient != nil)
	n := float64(len(a.order))
	a.σ = math.Sqrt(sum / n)
	value := n*(1+math.Log(2*math.Pi*sum/n)) - a.logWeights + logDet
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return math.Inf(1)
	}
	if gradient != nil {
		a.ofLogσ = a.byUnit(d.sum)
		floats.Scale(1/(2*sum), a.ofLogσ)
		copy(gradient, a.byUnit(d.logDet))
		floats.AddScaled(gradient, 2*n, a.ofLogσ)
	}
	return value
}

// byUnit turns derivatives by β and R into those by z.
func (a *laplace) byUnit(d shares) []float64 {
	list := slices.Clone(d.β)
	for level, f := range a.form.levels {
		r, parameters := d.r1, a.outerParams
		if level == 1 {
			r, parameters = d.r2, a.innerParams
		}
		for _, p := range f.places() {
			list = append(list, r.Data[parameters[p.row]*r.Stride+p.col]/f.scale[p.row])
		}
	}
	by := mat.NewVecDense(len(list), nil)
	by.MulVec(a.unit.T(), mat.NewVecDense(len(list), list))
	return by.RawVector().Data
}

// overGroups adds up what the outer groups give, several at once. The sum is
// NaN where a mode is not found.
func (a *laplace) overGroups(derived bool) (logDet, sum float64, d *bends) {
	workers := min(runtime.GOMAXPROCS(0), 1+len(a.order)/500)
	parts := make([]*bends, workers)
	logDets, sums := make([]float64, len(a.outer)), make([]float64, len(a.outer))
	var wait sync.WaitGroup
	for w := range workers {
		wait.Go(func() {
			b := newBends(a.fleet)
			parts[w] = b
			from, to := w*len(sums)/workers, (w+1)*len(sums)/workers
			for g := from; g < to; g++ {
				var ok bool
				if logDets[g], sums[g], ok = b.settle(g, a.size); !ok {
					sums[g] = math.NaN()
					return
				}
				if derived {
					b.add(g)
				}
			}
		})
	}
	wait.Wait()
	for _, part := range parts[1:] {
		parts[0].logDet.plus(part.logDet)
		parts[0].sum.plus(part.sum)
	}
	return floats.Sum(logDets), floats.Sum(sums), parts[0]
}
