package survival

import (
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// MeanResampling says how CompareMeans is to work.
type MeanResampling struct {
	Tau        float64 // the time up to which lives are counted
	Level      float64 // confidence level
	Replicates int     // 200 is usual; 10 at the least
	Seed       uint64  // the same seed gives the same limits
	// Most, if not 0, is how many clusters a replicate draws at most, for data
	// so large that drawing all of them takes too long.
	Most int
	// Done is as in Resampling.
	Done func()
}

// MeanComparison compares the restricted means of two groups of lives. It is
// in the unit of time.
type MeanComparison struct {
	Tau   float64
	Level float64
	// Means are those of either group, of the lives that count; see CompareMeans.
	Means [2]float64
	// Open is how far apart the means may lie by what the estimates leave open,
	// the masses within innermost intervals being spread any other way.
	Open          Bounds
	Difference    float64 // of the first group's mean less the second's
	SE            float64
	Lower, Upper  float64 // limits of Difference
	Clusters      [2]int  // that carry lives of either group
	Used, Failed  int     // replicates; failed ones gave no means
	ClustersDrawn int     // in each replicate
}

// ErrUnseen is returned for a time up to which a group was not seen.
var ErrUnseen = errors.New("nobody was seen up to that time")

// leastMeanReplicates is from how many a standard error is taken at the least.
const leastMeanReplicates = 10

// CompareMeans compares the means of lives up to a time τ of two groups of spans
// of any kind, whose lives may share clusters, within strata, such as climates:
// strata[s][g] are the lives of group g, 0 or 1, in stratum s. A life of group 0
// counts with weight m/(n + m), one of group 1 with n/(n + m), n and m being how
// many lives the two groups have in its stratum, so that both groups have the same
// mix of strata and a stratum without one of them doesn't count. With Ŝ the
// Turnbull estimate of the weighted lives, the mass within an innermost interval
// spread evenly over it, a convention,
//
//	μ(τ) = ∫₀^τ Ŝ(t) dt,  δ = μ₀ − μ₁
//
// Of lives that are all known these are means, and δ is the coefficient of the
// group in a least-squares model with a term for each stratum.
//
// SE is the standard deviation of δ over replicates, each of b clusters drawn with
// replacement from all G, weights and estimates made anew, times √(b/G); b is G
// unless that is above Most. Limits are
//
//	δ ± t SE,  with t Student's quantile on one fewer degrees of freedom than the
//	           smaller group has clusters
//
// A replicate in which nobody is seen up to τ counts the last known Ŝ for the
// rest. A cluster that carries both groups brings both along when it is drawn, so
// that what its lives have in common doesn't count as a difference.
//
// The means suppose that some lives are watched from the start: with delayed
// entries only, they are of lives that outlast the first entry.
//
// ctx ends the work between replicates, with its own error. A τ that is not above
// 0 is ErrHorizon, one past the last sight of a group ErrUnseen; no lives
// ErrNoSpans, an impossible span a *SpanError, by its position in all strata laid
// end to end;
// strata that don't have two groups, or none that has lives of both,
// ErrIncomparable; a group on fewer than two clusters ErrClusters; fewer than 10
// replicates, or fewer than half of them used, ErrReplicates; a bad level
// ErrLevel. An estimate that is given up on is a *ConvergenceError. SE and limits
// are NaN where no replicate differs from another.
//
// Sources: Royston and Parmar, BMC Med. Res. Methodol. 13 (2013) 152, for the
// difference; Li, Morgan and Zaslavsky, J. Am. Stat. Assoc. 113 (2018) 390–400, for
// the weights (from memory); Davison and Hinkley, Bootstrap Methods and their
// Application (1997), section 3.8, for clusters, and Bickel, Götze and van Zwet,
// Stat. Sinica 7 (1997) 1–31, for drawing fewer (both from memory).
func CompareMeans(ctx context.Context, how MeanResampling, strata ...[][]Span) (*MeanComparison, error) {
	if err := how.validate(); err != nil {
		return nil, fmt.Errorf("compare means: %w", err)
	}
	lives, err := placedLives(strata)
	if err != nil {
		return nil, fmt.Errorf("compare means: %w", err)
	}
	if len(lives.lives) == 0 {
		return nil, fmt.Errorf("compare means: %w: no stratum has lives of both groups", ErrIncomparable)
	}
	c := &MeanComparison{Tau: how.Tau, Level: how.Level, Clusters: lives.carriers()}
	if min(c.Clusters[0], c.Clusters[1]) < 2 {
		return nil, fmt.Errorf("compare means: %w", ErrClusters)
	}
	if err := c.estimate(lives); err != nil {
		return nil, fmt.Errorf("compare means: %w", err)
	}
	if err := c.resample(ctx, lives, how); err != nil {
		return nil, fmt.Errorf("compare means: %w", err)
	}
	return c, nil
}

func (how MeanResampling) validate() error {
	switch {
	case !(how.Tau > 0) || math.IsInf(how.Tau, 1):
		return fmt.Errorf("%w: got %v", ErrHorizon, how.Tau)
	case how.Replicates < leastMeanReplicates:
		return fmt.Errorf("%w: %d, wanted %d or more for a standard error", ErrReplicates, how.Replicates, leastMeanReplicates)
	}
	return validLevel(how.Level)
}

// estimate finds the means of the lives as they are.
func (c *MeanComparison) estimate(lives *placed) error {
	var open [2]Bounds
	for g, spans := range lives.weighted(nil) {
		curve, err := turnbull(spans)
		if err != nil {
			return err
		}
		if curve.sight() < c.Tau {
			return fmt.Errorf("group %d: %w: %v", g, ErrUnseen, c.Tau)
		}
		c.Means[g], open[g] = curve.mean(c.Tau)
	}
	c.Difference = c.Means[0] - c.Means[1]
	c.Open = Bounds{open[0].Lower - open[1].Upper, open[0].Upper - open[1].Lower}
	return nil
}

// resample finds how far the difference may be off.
func (c *MeanComparison) resample(ctx context.Context, lives *placed, how MeanResampling) error {
	c.ClustersDrawn = len(lives.clusters)
	if how.Most > 0 {
		c.ClustersDrawn = min(c.ClustersDrawn, how.Most)
	}
	differences, err := lives.replicate(ctx, how, c.ClustersDrawn)
	if err != nil {
		return err
	}
	c.Used, c.Failed = len(differences), how.Replicates-len(differences)
	if c.Used < max(leastMeanReplicates, (how.Replicates+1)/2) {
		return fmt.Errorf("%w: %d of %d gave no means", ErrReplicates, c.Failed, how.Replicates)
	}
	c.SE, c.Lower, c.Upper = math.NaN(), math.NaN(), math.NaN()
	share := float64(c.ClustersDrawn) / float64(len(lives.clusters))
	if se := stat.StdDev(differences, nil) * math.Sqrt(share); se > 0 {
		student := distuv.StudentsT{Sigma: 1, Nu: float64(min(c.Clusters[0], c.Clusters[1]) - 1)}
		half := student.Quantile((1+how.Level)/2) * se
		c.SE, c.Lower, c.Upper = se, c.Difference-half, c.Difference+half
	}
	return nil
}

// sight is the last time at which S is known: beyond it only that it falls.
func (c *IntervalCurve) sight() float64 {
	last := c.Intervals[len(c.Intervals)-1]
	if math.IsInf(last.Upper, 1) && last.Mass > 0 {
		return last.Lower
	}
	return math.Inf(1) // S is 0 from Upper on
}

// mean is the area under S up to tau, the mass of an interval spread evenly over
// it, and the least and the largest that any other way gives. Beyond the last
// sight S counts as if nobody ended.
func (c *IntervalCurve) mean(tau float64) (mean float64, open Bounds) {
	from := 0.0
	add := func(to, least, even, most float64) {
		open.Lower += least * (to - from)
		mean += even * (to - from)
		open.Upper += most * (to - from)
		from = to
	}
	s := 1.0
	for _, v := range c.Intervals {
		if v.Lower >= tau || math.IsInf(v.Upper, 1) {
			break
		}
		add(v.Lower, s, s, s)
		if v.Upper > tau {
			add(tau, v.After, s-v.Mass*(tau-v.Lower)/(v.Upper-v.Lower)/2, s)
			return mean, open
		}
		add(v.Upper, v.After, (s+v.After)/2, s)
		s = v.After
	}
	add(tau, s, s, s)
	return mean, open
}
