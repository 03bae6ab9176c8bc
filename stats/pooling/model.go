package pooling

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Model is a fitted model.
type Model struct {
	Coefficients []float64     // b
	Covariance   *mat.SymDense // of the coefficients, the τ taken as known
	SD           []float64     // τ of each grouping; 0 where groups don't differ by more than chance
	// LogLik is the restricted log-likelihood of the τ, but for a constant
	// that depends only on the number of estimates and coefficients.
	LogLik     float64
	Iterations int

	data     Data
	x        *mat.Dense
	inverse  *mat.SymDense // of M = V + ∑ τₖ² ZₖZₖ'
	residual *mat.VecDense // M⁻¹(y − Xb)
}

// Fit estimates b and the τ by restricted maximum likelihood (REML). With
// M = V + ∑ τₖ² ZₖZₖ' it maximises
//
//	−½ (log|M| + log|X'M⁻¹X| + (y − Xb)'M⁻¹(y − Xb)),  b = (X'M⁻¹X)⁻¹X'M⁻¹y
//
// over τₖ² ≥ 0 by Fisher scoring from several starts. With few groups the τ are
// poorly known, and 0 is a common result: it doesn't prove that groups are
// equal.
//
// Data that make no sense are ErrData: among others a V that isn't positive
// definite, a design with columns that depend on each other, or too few
// estimates to tell of variances. A *ConvergenceError says that the search
// didn't settle.
//
// Source: Patterson and Thompson, Biometrika 58 (1971) 545–554; Viechtbauer, J.
// Educ. Behav. Stat. 30 (2005) 261–293, for known V (from memory).
func Fit(d Data) (*Model, error) {
	if err := d.validate(); err != nil {
		return nil, fmt.Errorf("fit pooled estimates: %w", err)
	}
	m, err := search(d)
	if err != nil {
		return nil, fmt.Errorf("fit pooled estimates: %w", err)
	}
	return m, nil
}

// FitGiven estimates b alone, for τ that are known: one for each grouping, 0 or
// more. Errors are those of Fit.
func FitGiven(d Data, sd []float64) (*Model, error) {
	if err := d.validate(); err != nil {
		return nil, fmt.Errorf("fit pooled estimates: %w", err)
	}
	if len(sd) != len(d.Groupings) {
		return nil, fmt.Errorf("fit pooled estimates: %w: %d standard deviations for %d groupings", ErrData, len(sd), len(d.Groupings))
	}
	variances := make([]float64, len(sd))
	for k, τ := range sd {
		if !(τ >= 0) || math.IsInf(τ, 1) {
			return nil, fmt.Errorf("fit pooled estimates: %w: standard deviation %v", ErrData, τ)
		}
		variances[k] = τ * τ
	}
	m, err := at(d, variances)
	if err != nil {
		return nil, fmt.Errorf("fit pooled estimates: %w", err)
	}
	return m, nil
}

// at is the model with the given τ².
func at(d Data, variances []float64) (*Model, error) {
	n, p := len(d.Estimates), d.columns()
	whole := mat.NewSymDense(n, nil)
	whole.CopySym(d.Covariance)
	for i := range n {
		for j := i; j < n; j++ {
			sum := 0.0
			for k, v := range variances {
				if d.Groupings[k][i] == d.Groupings[k][j] {
					sum += v
				}
			}
			whole.SetSym(i, j, whole.At(i, j)+sum)
		}
	}
	m := &Model{data: d, x: d.design(), SD: make([]float64, len(variances))}
	for k, v := range variances {
		m.SD[k] = math.Sqrt(v)
	}
	var root mat.Cholesky
	if !root.Factorize(whole) {
		return nil, fmt.Errorf("%w: the covariance isn't positive definite", ErrData)
	}
	m.inverse = mat.NewSymDense(n, nil)
	if err := root.InverseTo(m.inverse); err != nil {
		return nil, fmt.Errorf("%w: the covariance is all but singular", ErrData)
	}
	var weighted, information mat.Dense
	weighted.Mul(m.inverse, m.x)
	information.Mul(m.x.T(), &weighted)
	var rootB mat.Cholesky
	if !rootB.Factorize(symmetric(&information)) || rootB.Cond() > 1e12 {
		return nil, fmt.Errorf("%w: the design's columns depend on each other", ErrData)
	}
	m.Covariance = mat.NewSymDense(p, nil)
	if err := rootB.InverseTo(m.Covariance); err != nil {
		return nil, fmt.Errorf("%w: the design's columns depend on each other", ErrData)
	}
	y := mat.NewVecDense(n, d.Estimates)
	var right, b, fitted, rest mat.VecDense
	right.MulVec(weighted.T(), y)
	b.MulVec(m.Covariance, &right)
	m.Coefficients = append([]float64(nil), b.RawVector().Data...)
	fitted.MulVec(m.x, &b)
	rest.SubVec(y, &fitted)
	m.residual = mat.NewVecDense(n, nil)
	m.residual.MulVec(m.inverse, &rest)
	m.LogLik = -(root.LogDet() + rootB.LogDet() + mat.Dot(&rest, m.residual)) / 2
	return m, nil
}

// symmetric is a matrix that is symmetric but for rounding.
func symmetric(a *mat.Dense) *mat.SymDense {
	n, _ := a.Dims()
	s := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			s.SetSym(i, j, (a.At(i, j)+a.At(j, i))/2)
		}
	}
	return s
}
