package mixed

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// fewGroups is the number below which standard errors that take the variances
// as known are too small to pass over. Common practice, from memory: 20 to 30.
const fewGroups = 20

// estimate minimises the deviance and leaves n at the minimum. It tries one
// start after the other until one leads to a minimum in the covariances, not
// only in θ.
func (n *nested) estimate(f form, by Criterion, starts [][]float64) (minimum, error) {
	objective := func(θ, gradient []float64) float64 {
		λ := f.factors(θ)
		if !n.absorb(λ[0], λ[1]) {
			return math.Inf(1)
		}
		if gradient != nil {
			f.chain(λ, n.slopes(by), gradient)
		}
		return n.deviance(by)
	}
	var best minimum
	var problem error
	for _, start := range starts {
		m, err := minimise("variances", objective, differenced(objective), start)
		if n.exact(m) {
			return m, fmt.Errorf("the values lie on the fitted lines, so the error's variance is %w", ErrNotIdentified)
		}
		if err != nil {
			problem = err
			continue
		}
		if best.at == nil || m.value < best.value {
			best = m
		}
		objective(m.at, nil)
		if f.steepest(n.slopes(by)) >= -1e-4-1e-6*float64(len(n.order)) {
			break
		}
	}
	if best.at == nil {
		return best, problem
	}
	best.at = f.angles(f.factors(best.at))
	objective(best.at, nil)
	return best, nil
}

// exact reports whether the search ran after a likelihood without bound.
func (n *nested) exact(m minimum) bool {
	return n.rss <= 1e-26*n.size || n.r2 <= 1e-11*n.rss || math.IsInf(m.value, 1)
}

// NoSpread is the note of a fit that is Singular.
const NoSpread = "The data show no spread between groups in at least one random effect, or one that always goes with another: a variance of 0 or a correlation of 1 is the best estimate."

// fitness describes the estimate that n is left at.
func (n *nested) fitness(f form, by Criterion, m minimum) Fitness {
	fit := Fitness{
		N: len(n.order), ResidualSD: n.sigma(by), Singular: f.singular(m.at), Iterations: m.iterations,
	}
	fit.judge(n.logLik(by), n.p+f.size+1)
	if fit.Singular {
		fit.Notes = append(fit.Notes, NoSpread)
	}
	if groups := len(n.outer); groups < fewGroups {
		fit.Notes = append(fit.Notes, fmt.Sprintf("Only %d groups: standard errors take the spread between groups as known and are too small.", groups))
	}
	return fit
}

// judge fills in the log-likelihood and what follows from it and the number of
// parameters.
func (fit *Fitness) judge(logLik float64, parameters int) {
	k := float64(parameters)
	fit.LogLik = logLik
	fit.AIC = 2*k - 2*logLik
	fit.BIC = k*math.Log(float64(fit.N)) - 2*logLik
}

func (n *nested) sigma(by Criterion) float64 { return math.Sqrt(n.r2 / n.freedom(by)) }

func (n *nested) fixedEffects(names []string) []Effect {
	effects := make([]Effect, n.p)
	for j, b := range n.fixed() {
		effects[j] = Effect{Name: names[j], Value: b}
	}
	return effects
}

// fixedCovariance is σ² (XᵀV⁻¹X)⁻¹.
func (n *nested) fixedCovariance(by Criterion) *mat.SymDense {
	σ := n.sigma(by)
	columns := mat.NewDense(n.p, n.p, nil)
	for j := range n.p {
		unit := make([]float64, n.p)
		unit[j] = σ
		columns.SetCol(j, n.standard(unit))
	}
	covariance := mat.NewSymDense(n.p, nil)
	covariance.SymOuterK(1, columns.T())
	return covariance
}

// standard returns t with tᵀt = aᵀ(XᵀV⁻¹X)⁻¹a.
func (n *nested) standard(a []float64) []float64 {
	t := slices.Clone(a)
	blas64.Trsv(blas.Trans, n.r, vector(t))
	blas64.Trsv(blas.NoTrans, n.leftFactor(), vector(t))
	return t
}
