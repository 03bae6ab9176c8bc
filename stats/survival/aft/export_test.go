package aft

import "gonum.org/v1/gonum/mat"

// Information returns the observed information of b, ω and log σ.
func (m *Mixed) Information() *mat.Dense {
	var inverse mat.Dense
	if err := inverse.Inverse(m.whole); err != nil {
		panic(err)
	}
	return &inverse
}

// At returns row i of the design.
func (d *Design) At(i int) []float64 { return d.row(i) }

// Keep returns the design of the rows wanted.
func (d *Design) Keep(wanted func(i int) bool) *Design {
	kept := &Design{terms: d.terms, names: d.names, columns: d.columns}
	for i := range d.rows {
		if wanted(i) {
			kept.rows++
			kept.x = append(kept.x, d.row(i)...)
		}
	}
	return kept
}

// LogLikelihood returns the log-likelihood of data at θ = (b, log σ), its
// gradient and its second derivatives.
func LogLikelihood(data Data, law Distribution, θ []float64) (float64, []float64, *mat.SymDense) {
	s, err := newSample(data, law)
	if err != nil {
		panic(err)
	}
	d := newDerivatives(len(θ))
	height := s.logLikelihood(θ, d)
	return height, d.gradient, mat.NewSymDense(len(θ), d.second)
}

// Path returns the log-likelihoods that a fit went through.
func Path(data Data, law Distribution) ([]float64, error) {
	s, err := newSample(data, law)
	if err == nil {
		err = s.estimable()
	}
	if err != nil {
		return nil, err
	}
	at, err := climb(s.logLikelihood, s.start(), s.natural(s.start()), s.withinBounds)
	if err != nil {
		return nil, err
	}
	return at.path, nil
}

// ProfileSurface returns the log-likelihood of a model, with a life's quantile
// held at a logarithm, over the other parameters, and its derivatives.
func ProfileSurface(m *Model, l Life, p, log float64, rest []float64) (float64, []float64, *mat.SymDense) {
	r := &profile{model: m, life: l, w: m.Distribution.quantile(p), log: log}
	d := newDerivatives(len(rest))
	height := r.logLikelihood(rest, d)
	return height, d.gradient, mat.NewSymDense(len(rest), d.second)
}

// At returns the model with other b, ω and log σ, and the covariance of these.
func (m *Mixed) At(θ []float64) (*Mixed, *mat.SymDense) {
	moved, p := *m, len(m.Coefficients)
	moved.Coefficients, moved.LogScale, moved.Omega.SD = θ[:p], θ[p+1:], θ[p]
	return &moved, m.whole
}
