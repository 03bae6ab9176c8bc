package aft

import (
	"fmt"
	"math"
)

// LifeRatio is how many times as long lives of one kind last as lives of
// another, with limits.
type LifeRatio struct {
	Ratio        float64
	Log, SELog   float64 // of log Ratio, on whose scale the limits are symmetric
	Lower, Upper float64
	P            float64 // two-sided, of the test that Ratio is 1
}

// Ratio estimates how many times as long a life like l lasts as one like other.
// In an accelerated failure time model every quantile does, and so does the mean:
//
//	exp((x − y)'b)
//
// x and y being the rows of l and other; their shifts count as known. Limits are
// exp(log ratio ± z SE), with the covariance that the model has: of a model
// ByCluster they hold when lives of a cluster resemble each other.
//
// A level outside (0, 1) is survival.ErrLevel; a life that does not fit the model,
// or two of different strata, whose quantiles have no ratio in common, an error
// that says so. P is NaN where the two lives are the same.
//
// Source: Kalbfleisch and Prentice, The Statistical Analysis of Failure Time Data
// (2nd ed. 2002), chapter 3 (from memory).
func (e *Estimate) Ratio(l, other Life, level float64) (LifeRatio, error) {
	z, err := e.margin(level)
	if err == nil {
		err = e.fits(l)
	}
	if err == nil {
		err = e.fits(other)
	}
	if err != nil {
		return LifeRatio{}, fmt.Errorf("ratio of lives: %w", err)
	}
	if l.Stratum != other.Stratum {
		return LifeRatio{}, fmt.Errorf("ratio of lives: the one is of stratum %d, the other of %d", l.Stratum, other.Stratum)
	}
	between := Life{X: make([]float64, len(l.X)), Stratum: l.Stratum}
	for j := range l.X {
		between.X[j] = l.X[j] - other.X[j]
	}
	log := e.predictor(l) - e.predictor(other)
	se := e.standardError(between, 1, 0)
	return LifeRatio{math.Exp(log), log, se, math.Exp(log - z*se), math.Exp(log + z*se), e.twoSided(log / se)}, nil
}
