package aft

import (
	"fmt"

	"gonum.org/v1/gonum/mat"
)

// Model is a fitted accelerated failure time model.
type Model struct {
	Estimate
	Counts     Counts
	LogLik     float64 // on the scale of time: exact ends count with their density per unit of time
	AIC        float64 // −2 LogLik + 2 × number of parameters
	Iterations int

	sample      *sample
	independent *mat.SymDense // the covariance that takes spans as independent
}

// Fit estimates b and σ of log T = x'b + σ W by maximum likelihood. With
// w(t) = (log t − x'b)/σ, S the survival function of W and f its density, a
// span counts, Weight times, with
//
//	exact            f(w(t)) / (σ t)
//	right-censored   S(w(Lower))
//	left-censored    1 − S(w(Upper))
//	interval         S(w(Lower)) − S(w(Upper))
//
// divided by S(w(Entry)) where it entered late. The exponential has σ = 1.
//
// The maximum is found by Newton's method with exact derivatives. The
// covariance, of b and the logarithms of σ in this order, is the inverse of
// the observed information: it takes all spans as independent, and weights as
// numbers of lives. ByCluster takes account of clusters. data is not modified.
//
// No spans is survival.ErrNoSpans; an impossible one, or an end at time 0, a
// *survival.SpanError; a design or strata of another length, an error that says
// so. A *NotEstimableError names what the spans do not determine: all when no
// life ended (or none was seen to hold), a column where that holds for one of
// its levels, σ when the model passes through all spans. A *ConvergenceError
// says that 200 iterations did not do. It panics for a distribution that does
// not exist.
//
// Source: Lawless, Statistical Models and Methods for Lifetime Data (2nd ed.
// 2003), chapters 2, 5 and 6; Kalbfleisch and Prentice, The Statistical
// Analysis of Failure Time Data (2nd ed. 2002), chapter 3 (chapters from
// memory).
func Fit(data Data, law Distribution) (*Model, error) {
	s, err := newSample(data, law)
	if err != nil {
		return nil, fmt.Errorf("fit %v: %w", law, err)
	}
	m, err := s.fit()
	if err != nil {
		return nil, fmt.Errorf("fit %v: %w", law, err)
	}
	return m, nil
}

func (s *sample) fit() (*Model, error) {
	if err := s.estimable(); err != nil {
		return nil, err
	}
	start := s.start()
	at, err := climb(s.logLikelihood, start, s.natural(start), s.withinBounds)
	if at == nil {
		return nil, err
	}
	if unknown := s.diagnose(at); unknown != nil {
		return nil, unknown
	}
	if err != nil {
		return nil, err
	}
	f, _ := factorise(at.d.second, s.parameters(), -1, nil)
	covariance := f.inverse()
	m := &Model{
		Estimate: s.estimate(at.θ, covariance), Counts: s.counts,
		LogLik: at.height, AIC: 2 * (float64(s.parameters()) - at.height),
		Iterations: at.iterations, sample: s, independent: covariance,
	}
	return m, nil
}

// estimate is what θ says, with its covariance.
func (s *sample) estimate(θ []float64, covariance *mat.SymDense) Estimate {
	e := Estimate{
		Distribution: s.law, Names: s.parameterNames(),
		Coefficients: θ[:s.columns:s.columns], LogScale: make([]float64, s.strata),
		Covariance: covariance,
	}
	if s.law.scaled() {
		copy(e.LogScale, θ[len(θ)-s.strata:])
	}
	return e
}

// parameterNames lists the columns, then log(scale), with its stratum where
// there are several.
func (s *sample) parameterNames() []string {
	names := append([]string(nil), s.names...)
	for k := range s.scales() {
		if s.strata == 1 {
			names = append(names, "log(scale)")
		} else {
			names = append(names, fmt.Sprintf("log(scale) %d", k))
		}
	}
	return names
}
