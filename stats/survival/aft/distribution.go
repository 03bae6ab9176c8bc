package aft

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Distribution is that of the lives, named for T; in brackets that of the
// error W of log T = x'b + σ W, with its survival function.
type Distribution int

const (
	// Weibull (smallest extreme value, exp(−e^w)): shape 1/σ, scale e^{x'b}.
	Weibull Distribution = iota
	// Exponential is the Weibull with σ = 1: a life does not age.
	Exponential
	// LogNormal (normal): log T has mean x'b and standard deviation σ.
	LogNormal
	// LogLogistic (logistic, 1/(1 + e^w)): odds of survival fall as t^{1/σ}.
	LogLogistic
)

// Distributions lists all there are.
func Distributions() []Distribution {
	return []Distribution{Exponential, Weibull, LogNormal, LogLogistic}
}

// String returns the name that ParseDistribution reads.
func (d Distribution) String() string {
	switch d {
	case Weibull:
		return "weibull"
	case Exponential:
		return "exponential"
	case LogNormal:
		return "lognormal"
	case LogLogistic:
		return "loglogistic"
	}
	return fmt.Sprintf("Distribution(%d)", int(d))
}

// ParseDistribution returns the distribution of a name: weibull, exponential,
// lognormal or loglogistic. Another name is an error that lists these.
func ParseDistribution(name string) (Distribution, error) {
	for _, d := range Distributions() {
		if d.String() == name {
			return d, nil
		}
	}
	return 0, fmt.Errorf("distribution %q: want one of %v", name, Distributions())
}

// check panics for a distribution that does not exist.
func (d Distribution) check() {
	if d < Weibull || d > LogLogistic {
		panic("aft: no such distribution: " + d.String())
	}
}

// scaled reports whether σ is estimated.
func (d Distribution) scaled() bool { return d != Exponential }

// quantile returns the w that a share p of errors lies below.
func (d Distribution) quantile(p float64) float64 {
	switch d {
	case LogNormal:
		return distuv.UnitNormal.Quantile(p)
	case LogLogistic:
		return math.Log(p) - math.Log1p(-p)
	default:
		return math.Log(-math.Log1p(-p))
	}
}

// above returns the w that a share s of errors lies above: quantile(1 − s), but
// exact for s near 0.
func (d Distribution) above(s float64) float64 {
	switch d {
	case LogNormal:
		return -distuv.UnitNormal.Quantile(s)
	case LogLogistic:
		return math.Log1p(-s) - math.Log(s)
	default:
		return math.Log(-math.Log(s))
	}
}

// survival returns P(W > w).
func (d Distribution) survival(w float64) float64 {
	s, _, _ := d.tail(w)
	return math.Exp(s)
}
