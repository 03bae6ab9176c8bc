package aft

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Mixed is a fitted model with a random intercept:
//
//	log T = x'b + u + σ W,  u ~ N(0, ω²), one u for each group
//
// Quantile, Survival, GivenAlive and RemainingLife of its Estimate are those of
// a typical group, u = 0; a Life with a group's Effect.Mean as Shift asks for
// that group. NewGroupSurvival is for a group not in the data.
type Mixed struct {
	Estimate
	Counts     Counts
	Omega      RandomSD
	Effects    []Effect // by group number
	LogLik     float64  // of the spans, the u integrated out
	AIC        float64
	Iterations int

	whole *mat.SymDense // covariance of b, ω, log σ in this order
}

// RandomSD is ω, the standard deviation of log life between groups. Where it
// comes to 0 the spans show no difference between groups beyond chance: SE and
// limits are then NaN. Limits are symmetric in log ω, at 95 %.
type RandomSD struct {
	SD, SE       float64
	Lower, Upper float64
}

// Effect is the empirical-Bayes prediction of one group's u: mean and standard
// deviation given its spans, with b, σ and ω taken as known.
type Effect struct {
	Group    int
	Mean, SD float64
}

// ErrGroups is returned where there is nothing to estimate a variance between
// groups from.
var ErrGroups = errors.New("three groups or more are needed for a variance between groups")

// defaultNodes are enough for ten digits with all but huge groups or ω.
const defaultNodes = 25

// FitMixed estimates a model with a random intercept by maximum likelihood.
// group numbers the group of each span, such as its vehicle or its climate,
// with any integers. Each group's likelihood is the integral over u, by
// adaptive Gauss–Hermite quadrature with 25 nodes about the mode of u; gradient
// and second derivatives are those of the integral (Louis), by the same nodes.
//
// With few groups ω is poorly known, and as all maximum-likelihood variances it
// errs on the small side: read its limits. survival.Span.Cluster plays no part.
// Groups of which no span tells anything have Mean 0 and SD ω.
//
// Errors are those of Fit; besides, ErrGroups for fewer than three groups that
// tell something, and an error for group numbers of another length.
//
// Source: Pinheiro and Bates, J. Comput. Graph. Stat. 4 (1995) 12–35, for the
// quadrature; Louis, J. R. Stat. Soc. B 44 (1982) 226–233, for the derivatives
// (from memory).
func FitMixed(data Data, law Distribution, group []int) (*Mixed, error) {
	if len(group) != len(data.Spans) {
		return nil, fmt.Errorf("fit mixed %v: there are %d group numbers for %d spans", law, len(group), len(data.Spans))
	}
	s, err := newSample(data, law)
	if err != nil {
		return nil, fmt.Errorf("fit mixed %v: %w", law, err)
	}
	m, err := s.fitMixed(group)
	if err != nil {
		return nil, fmt.Errorf("fit mixed %v: %w", law, err)
	}
	return m, nil
}

func (s *sample) fitMixed(group []int) (*Mixed, error) {
	fixed, err := s.fit()
	if err != nil {
		return nil, err
	}
	x := newMixture(s, group)
	if len(x.rows) < 3 {
		return nil, fmt.Errorf("%w: got %d", ErrGroups, len(x.rows))
	}
	p := s.columns
	start := x.start(fixed)
	natural := s.natural(fixed.parameters())
	natural = slices.Insert(natural, p, natural[0]) // ω has the intercept's unit
	at, err := climb(x.logLikelihood, start, natural, s.withinBounds)
	if err != nil {
		return nil, err
	}
	at.θ[p] = math.Abs(at.θ[p]) // the likelihood is the same for −ω
	x.logLikelihood(at.θ, at.d)
	f, ok := factorise(at.d.second, len(at.θ), -1, nil)
	if !ok {
		return nil, &NotEstimableError{[]string{"ω"}, "the spans do not tell it apart from σ"}
	}
	m := &Mixed{
		Counts: s.counts, LogLik: at.height, AIC: 2 * (float64(len(at.θ)) - at.height),
		Iterations: at.iterations, whole: f.inverse(),
	}
	m.Omega = randomSD(at.θ[p], math.Sqrt(m.whole.At(p, p)))
	m.Estimate = s.estimate(slices.Delete(slices.Clone(at.θ), p, p+1), without(m.whole, p))
	m.Effects = x.effects(m.Omega.SD, group)
	return m, nil
}

func randomSD(ω, se float64) RandomSD {
	const vanishing = 1e-5 // of se: the maximum is at the bound
	if ω <= vanishing*se {
		return RandomSD{0, math.NaN(), math.NaN(), math.NaN()}
	}
	factor := math.Exp(distuv.UnitNormal.Quantile(0.975) * se / ω)
	return RandomSD{ω, se, ω / factor, ω * factor}
}

// without returns a without row and column j.
func without(a *mat.SymDense, j int) *mat.SymDense {
	q := a.SymmetricDim()
	kept := mat.NewSymDense(q-1, nil)
	for r := range q - 1 {
		for c := r; c < q-1; c++ {
			from, to := r, c
			if from >= j {
				from++
			}
			if to >= j {
				to++
			}
			kept.SetSym(r, c, a.At(from, to))
		}
	}
	return kept
}

// NewGroupSurvival estimates P(T > t) of a life like l in a group of which
// nothing is known: the average of S over u ~ N(0, ω²). Limits are symmetric in
// log(−log S), by the delta method, and take in that b, ω and σ are estimated.
//
// A level outside (0, 1) is survival.ErrLevel; a negative t, or an l that does
// not fit the model, an error that says so.
func (m *Mixed) NewGroupSurvival(l Life, t, level float64) (Chance, error) {
	z, err := m.checkOutlook(l, t, level)
	if err != nil {
		return Chance{}, fmt.Errorf("survival in a new group: %w", err)
	}
	if t == 0 {
		return Chance{Survival: 1, Lower: 1, Upper: 1}, nil
	}
	q := m.whole.SymmetricDim()
	gradient := mat.NewVecDense(q, nil)
	c := Chance{Time: t}
	v, weight := hermite(2 * defaultNodes)
	for k := range v {
		shifted := l
		shifted.Shift += m.Omega.SD * v[k]
		logS, by, byLog := m.logSurvival(shifted, t)
		share := weight[k] * math.Exp(logS)
		c.Survival += share
		for j, x := range l.X {
			gradient.SetVec(j, gradient.AtVec(j)+share*by*x)
		}
		p := len(l.X)
		gradient.SetVec(p, gradient.AtVec(p)+share*by*v[k])
		if m.Distribution.scaled() {
			own := p + 1 + l.Stratum
			gradient.SetVec(own, gradient.AtVec(own)+share*byLog)
		}
	}
	c.SE = math.Sqrt(mat.Inner(gradient, m.whole, gradient))
	hazard := -math.Log(c.Survival)
	factor := math.Exp(z * c.SE / (c.Survival * hazard))
	c.Lower, c.Upper = math.Exp(-hazard*factor), math.Exp(-hazard/factor)
	return c, nil
}
