package pooling

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// maxSteps bounds the scoring steps from one start.
const maxSteps = 200

// ConvergenceError says that the search for the τ was given up.
type ConvergenceError struct {
	Steps int
	Gain  float64 // in log-likelihood that the next step still promised
}

// Error tells how far the search came.
func (e *ConvergenceError) Error() string {
	return fmt.Sprintf("the variances did not settle in %d steps (a gain of %.2g in log-likelihood was still promised)", e.Steps, e.Gain)
}

// search maximises the restricted likelihood from several starts, since with
// two variances it may have two tops: nothing differs, everything does.
func search(d Data) (*Model, error) {
	scale := spread(d)
	shared := make([]*mat.SymDense, len(d.Groupings))
	for k := range shared {
		shared[k] = d.shared(k)
	}
	var best *Model
	var failed error
	for start := range 1 << len(shared) {
		variances := make([]float64, len(shared))
		for k := range variances {
			variances[k] = scale * 0.05
			if start>>k&1 == 1 {
				variances[k] = scale
			}
		}
		m, err := ascend(d, shared, variances)
		if err != nil {
			failed = err
			continue
		}
		if best == nil || m.LogLik > best.LogLik {
			best = m
		}
	}
	if best == nil {
		return nil, failed
	}
	return best, nil
}

// spread is the variance of the estimates, where scoring starts from.
func spread(d Data) float64 {
	n := float64(len(d.Estimates))
	mean, sum := 0.0, 0.0
	for _, y := range d.Estimates {
		mean += y / n
	}
	for i, y := range d.Estimates {
		sum += (y-mean)*(y-mean)/n + 1e-6*d.Covariance.At(i, i)
	}
	return sum
}

// ascend climbs by Fisher scoring. A variance at 0 that would fall further
// stays there; steps are halved until the likelihood rises.
func ascend(d Data, shared []*mat.SymDense, variances []float64) (*Model, error) {
	const settled = 1e-14
	m, err := at(d, variances)
	if err != nil {
		return nil, err
	}
	promised := math.Inf(1)
	for steps := range maxSteps {
		m.Iterations = steps
		var step []float64
		step, promised = m.scoring(shared, variances)
		if promised < settled {
			return m, nil
		}
		rose := false
		for share := 1.0; share > 1e-9; share /= 2 {
			tried := make([]float64, len(variances))
			for k := range tried {
				tried[k] = math.Max(0, variances[k]+share*step[k])
			}
			next, err := at(d, tried)
			if err == nil && next.LogLik > m.LogLik {
				m, variances, rose = next, tried, true
				break
			}
		}
		if !rose {
			break // as high as rounding lets it come, or a step into nowhere
		}
	}
	const allowed = 1e-8
	if promised < allowed {
		return m, nil
	}
	return nil, &ConvergenceError{maxSteps, promised}
}

// scoring returns the step of Fisher scoring and the gain that it promises.
// With P = M⁻¹ − M⁻¹X(X'M⁻¹X)⁻¹X'M⁻¹ the score and information of τ² are
//
//	½ (y'P ZₖZₖ' P y − tr P ZₖZₖ'),  ½ tr P ZₖZₖ' P ZₗZₗ'
func (m *Model) scoring(shared []*mat.SymDense, variances []float64) (step []float64, promised float64) {
	q := len(shared)
	step = make([]float64, q)
	var weighted, bent, projection mat.Dense
	weighted.Mul(m.inverse, m.x)
	bent.Mul(&weighted, m.Covariance)
	projection.Mul(&bent, weighted.T())
	projection.Sub(m.inverse, &projection)
	products := make([]*mat.Dense, q) // P ZₖZₖ'
	score := make([]float64, q)
	var free []int
	for k, z := range shared {
		products[k] = new(mat.Dense)
		products[k].Mul(&projection, z)
		score[k] = (mat.Inner(m.residual, z, m.residual) - products[k].Trace()) / 2
		if variances[k] > 0 || score[k] > 0 {
			free = append(free, k)
		}
	}
	if len(free) == 0 {
		return step, 0
	}
	information := mat.NewSymDense(len(free), nil)
	right := mat.NewVecDense(len(free), nil)
	for i, k := range free {
		right.SetVec(i, score[k])
		for j := i; j < len(free); j++ {
			var both mat.Dense
			both.Mul(products[k], products[free[j]])
			information.SetSym(i, j, both.Trace()/2)
		}
	}
	var solved mat.VecDense
	if err := solved.SolveVec(information, right); err != nil {
		solved.CloneFromVec(right) // the groupings are all but the same: go uphill
	}
	for i, k := range free {
		step[k] = solved.AtVec(i)
		move := math.Max(step[k], -variances[k]) // no further than to 0
		promised += move * score[k]
	}
	return step, math.Abs(promised)
}
