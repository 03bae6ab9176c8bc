package aft

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// LikelihoodRatio is a test of a model against one that is a special case of
// it. ChiSq has DF degrees of freedom if the special case holds.
type LikelihoodRatio struct {
	ChiSq float64 // 2 (LogLik of the larger − LogLik of the smaller)
	DF    int
	P     float64
}

// CompareNested tests a model against a special case of it: one with fewer
// covariates, with one σ for all strata, or an exponential against a Weibull.
// Both must have been fitted to the same spans. It takes spans as independent.
//
// A pair with no parameter between them, or fitted to spans of other number, is
// an error.
func CompareNested(smaller, larger *Model) (LikelihoodRatio, error) {
	df := len(larger.Names) - len(smaller.Names)
	if df < 1 || smaller.Counts != larger.Counts {
		return LikelihoodRatio{}, errors.New("likelihood ratio: the models are not a special case and a larger one of the same spans")
	}
	r := LikelihoodRatio{ChiSq: max(0, 2*(larger.LogLik-smaller.LogLik)), DF: df}
	r.P = distuv.ChiSquared{K: float64(df)}.Survival(r.ChiSq)
	return r, nil
}

// Choice holds the models that Choose fitted.
type Choice struct {
	Models []*Model // by AIC, the best first
	Failed []error  // of the distributions that could not be fitted
}

// Choose fits every distribution to the data and sorts them by AIC, least
// first. Models within 2 of the best are about as good. AIC compares the
// distributions with each other and does not tell whether any of them fits:
// see CheckFit.
//
// With strata of σ the exponential is left out. It is left out, too, where the
// likelihood of the Weibull, of which it is a special case, has no maximum: lives
// that all end within one visit's interval are told best by a σ of 0, and by the
// exponential, whose σ is 1, worst of all. It is an error if none could be fitted:
// the first one's.
func Choose(data Data) (*Choice, error) {
	c := &Choice{}
	weibullRuns := false
	for _, law := range Distributions() {
		if !law.scaled() && data.Strata != nil {
			continue
		}
		m, err := Fit(data, law)
		if err != nil {
			c.Failed = append(c.Failed, err)
			_, runs := errors.AsType[*NotEstimableError](err)
			weibullRuns = weibullRuns || runs && law == Weibull
			continue
		}
		c.Models = append(c.Models, m)
	}
	if weibullRuns {
		c.Models = slices.DeleteFunc(c.Models, func(m *Model) bool { return m.Distribution == Exponential })
	}
	if len(c.Models) == 0 {
		return nil, fmt.Errorf("choose a distribution: %w", c.Failed[0])
	}
	slices.SortStableFunc(c.Models, func(a, b *Model) int { return cmp.Compare(a.AIC, b.AIC) })
	return c, nil
}
