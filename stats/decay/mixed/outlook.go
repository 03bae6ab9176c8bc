package mixed

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// OutlookOptions say what is asked of a group's future.
type OutlookOptions struct {
	Times     []float64 // ascending
	Threshold float64
	Level     float64 // confidence level of the limits

	// HeldAt is the last time at which the group is known for sure to have
	// been above the threshold; nil if it is not. A reading above it is no such
	// knowledge: it has an error, and the fit counts it already. Of single last
	// readings above, 6 in 100 were of curves below in the simulations of
	// BenchmarkCoverage, and those were then told wrong.
	HeldAt *float64

	// Weight is that of a new reading; 0 stands for 1.
	Weight float64

	// Curves is how many curves are drawn of each population; 0 stands for 20.
	Curves int
	Seed   uint64
}

// Outlook is what may be expected of one group.
type Outlook struct {
	OutlookOptions
	Basis  Basis
	Own    int // readings of its own
	Others int // readings of other inner groups of its outer group

	OwnFirst, OwnLast float64 // times of its first and last reading; 0 without any

	// Agreeing is the share of the curves drawn that were above the threshold
	// at HeldAt, 1 without it: the others count no more.
	Agreeing float64

	Points []OutlookPoint // one for each of Times; none where Notes say so
	Notes  []string       // what a reader must know beside the numbers
}

// OutlookPoint is the outlook at one time. Limits are for that time alone.
type OutlookPoint struct {
	Time                float64
	Value, Lower, Upper float64 // of the curve: median, and limits
	NewLower, NewUpper  float64 // for a new reading

	// Below is the probability that the curve has come down to the threshold
	// by Time.
	Below float64

	// Extrapolated is set after the last reading of any group: what is said
	// then rests on the shape of the curve.
	Extrapolated bool
}

// Basis says whose readings an outlook rests on.
type Basis string

// The bases, from the most that can be known of a group to the least.
const (
	OwnReadings  Basis = "its own readings and the population"
	SameOuter    Basis = "other inner groups of its outer group, and the population"
	NoneOfItsOwn Basis = "the population alone"
)

const (
	fewestGroups = 5   // for an outlook; common practice, no source
	fewestCurves = 200 // that agree with what is known
)

// Outlook tells what may be expected of a group with given covariates, by its
// own readings and those of all others. In each population it draws curves of
// the group: random effects around their most likely values given its readings
// and those of its outer group, or as the population has them where there are
// none. The curves that were not above the threshold at HeldAt are left out;
// of the others
//
//	Value, Lower, Upper    are quantiles of m(t)
//	NewLower, NewUpper     of m(t) + ε/√Weight
//	Below                  is the share with m(t′) ≤ Threshold at some t′ of HeldAt and Times up to t
//
// So what is not known of fixed effects and variances is in all of them. They
// suppose that the curve is of the right shape, and one that falls: it is
// looked at only at the times given. Random effects are drawn from a normal
// distribution, which with very few readings is not quite theirs.
//
// Points is empty, and the Notes say why, with fewer than 5 groups to learn
// from, or where next to none of the curves agree with HeldAt. The same seed
// gives the same outlook.
//
// Times that are not finite or not ascending, a HeldAt or threshold that is not
// finite, a negative weight and a level outside (0, 1) are errors. It panics if
// the covariates are not as many as the model's.
//
// Source of averaging over draws of the parameters: Laird and Louis, J. Am.
// Stat. Assoc. 82 (1987) 739–750.
func (p *Populations) Outlook(outer, inner int, covariates []float64, ask OutlookOptions) (*Outlook, error) {
	return p.outlook(p.fit.posterior(outer, inner), covariates, ask)
}

// outlook tells of the group that a posterior is about.
func (p *Populations) outlook(group posterior, covariates []float64, ask OutlookOptions) (*Outlook, error) {
	p.fit.checkCovariates(covariates)
	if err := ask.check(); err != nil {
		return nil, fmt.Errorf("outlook: %w", err)
	}
	if ask.Weight == 0 {
		ask.Weight = 1
	}
	if ask.Curves == 0 {
		ask.Curves = 20
	}
	o := &Outlook{OutlookOptions: ask}
	o.count(group)
	if groups := p.fit.groupsLearntFrom(); groups < fewestGroups {
		o.note("Only %d groups: how groups differ cannot be told from fewer than %d, so there is no outlook.", groups, fewestGroups)
		return o, nil
	}
	drawn := p.curves(&group, covariates, ask)
	if o.Agreeing = drawn.agreeing(); drawn.kept < fewestCurves {
		o.note("Of the curves that its readings allow, a share of %.2g was above the threshold when it is known to have been: too little to go on from. The readings and that knowledge contradict each other.", o.Agreeing)
		return o, nil
	}
	o.Points = drawn.points(p.fit)
	o.explain(p.fit, covariates)
	return o, nil
}

func (o OutlookOptions) check() error {
	ascending := slices.IsSortedFunc(o.Times, func(a, b float64) int {
		if a < b {
			return -1
		}
		return 1
	})
	switch _, err := normalQuantile(o.Level); {
	case err != nil:
		return err
	case slices.ContainsFunc(o.Times, func(t float64) bool { return !finite(t) }) || !ascending:
		return errors.New("times are not finite and ascending")
	case len(o.Times) == 0:
		return errors.New("no times are asked for")
	case !finite(o.Threshold):
		return fmt.Errorf("threshold %g is not a finite number", o.Threshold)
	case o.HeldAt != nil && !finite(*o.HeldAt):
		return fmt.Errorf("the time %g at which it held is not a finite number", *o.HeldAt)
	case !(o.Weight >= 0) || math.IsInf(o.Weight, 1) || o.Curves < 0:
		return fmt.Errorf("weight %g of a new reading, or %d curves, are of no use", o.Weight, o.Curves)
	}
	return nil
}
