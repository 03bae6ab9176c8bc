package survival

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Resampling says how ClusterBootstrap is to work.
type Resampling struct {
	Times      []float64 // at which limits of S are wanted
	Shares     []float64 // of lives ended, for which limits of the quantile are wanted
	Level      float64   // confidence level
	Replicates int       // 999 is usual
	Seed       uint64    // the same seed gives the same limits

	// Done, if not nil, is called once after each replicate, whether it
	// converged or not. Several goroutines may call it at the same time.
	Done func()
}

// Limits are pointwise confidence limits of an estimate.
type Limits struct {
	At           float64 // the time of an S, the share of a quantile
	Lower, Upper float64
}

// BootstrapResult holds limits by resampling.
type BootstrapResult struct {
	Clusters     int
	Used, Failed int      // replicates; failed ones did not converge
	Survival     []Limits // of S, one for each of Resampling.Times
	Quantiles    []Limits // of times, one for each of Resampling.Shares; +Inf is not reached
}

// ErrClusters is returned where there are too few clusters to resample.
var ErrClusters = errors.New("two clusters or more are needed to resample")

// ErrReplicates is returned for too few replicates for the level.
var ErrReplicates = errors.New("too few replicates for the confidence level")

// ClusterBootstrap gives confidence limits to the Turnbull estimate of spans
// that share clusters. Each of B replicates draws as many clusters as there
// are, G, with replacement, and estimates from all of their spans. The limits
// are the kth smallest and the kth largest of the replicates,
//
//	k = max(1, ⌊(B + 1) Φ(−t)⌋)
//
// with Φ the normal distribution and t the quantile, for the level, of Student's
// on G − 1 degrees of freedom. With many clusters Φ(−t) comes to (1 − level)/2,
// that of plain percentile limits; with few the limits lie further out, since how
// much replicates scatter is then itself uncertain.
//
// What the visits leave open widens the limits: of each replicate the lower
// limit takes the lowest S, or the start of the quantile's interval, that the
// estimate allows, and the upper limit the highest, or the end. A quantile not
// reached counts as +Inf. Past the last visit the lower limit of S is soon 0.
//
// A span drawn twice counts with twice its weight. The weights themselves are
// taken as given, not drawn.
//
// From 2,000 clusters on the replicates draw from bags of 500 clusters each, and
// their distances from what a bag alone estimates make the limits: see
// replicateFromBags. It takes a hundredth of the time for 20,000 clusters.
//
// The limits are pointwise. In simulated fleets (BenchmarkCoverage, where the
// figures are) 95 % limits of the median and of S(12 months) held the truth in
// 95.6 to 97.2 %; where visits are months apart in 97.8 % for the median, as what
// they leave open is wide; with five clusters in 93 % for the median. Where S is
// nearly 0 or 1 they are too narrow, and where no life ended at all they tell
// nothing: see NobodyFailed.
//
// The result depends on the spans, the settings and the seed alone: not on the
// order of the spans, nor on how many processors work. ctx ends the work
// between replicates.
//
// No spans is ErrNoSpans, an impossible one a *SpanError, a bad level ErrLevel,
// a share outside (0, 1) ErrShare, one cluster ErrClusters, too few replicates
// for the level (39 is the least at 0.95) ErrReplicates; a cancelled ctx its own
// error.
//
// Source: Efron, Ann. Stat. 7 (1979) 1–26; Davison and Hinkley, Bootstrap
// Methods and their Application (1997), sections 3.8 (clusters) and 5.3 (limits)
// (sections from memory); Hesterberg, Am. Stat. 69 (2015) 371–386, for
// percentiles expanded by t (from memory), but for the factor √(G/(G − 1)): in
// simulations what visits leave open makes up for it.
func ClusterBootstrap(ctx context.Context, spans []Span, how Resampling) (*BootstrapResult, error) {
	clusters, err := how.prepare(spans)
	if err != nil {
		return nil, fmt.Errorf("cluster bootstrap: %w", err)
	}
	replicates, err := how.replicate(ctx, clusters)
	if err != nil {
		return nil, fmt.Errorf("cluster bootstrap: %w", err)
	}
	r := &BootstrapResult{Clusters: len(clusters)}
	kept := slices.DeleteFunc(replicates, func(x *replicate) bool { return x == nil })
	r.Used, r.Failed = len(kept), how.Replicates-len(kept)
	if how.plainRank(r.Used) < 1 {
		return nil, fmt.Errorf("cluster bootstrap: %w: %d of %d did not converge", ErrReplicates, r.Failed, how.Replicates)
	}
	k := how.rank(r.Used, r.Clusters)
	for i, t := range how.Times {
		r.Survival = append(r.Survival, percentiles(kept, t, k, func(x *replicate) [2]float64 { return x.survival[i] }))
	}
	for i, p := range how.Shares {
		r.Quantiles = append(r.Quantiles, percentiles(kept, p, k, func(x *replicate) [2]float64 { return x.quantiles[i] }))
	}
	return r, nil
}

// prepare checks the settings and sorts the spans into clusters.
func (how Resampling) prepare(spans []Span) (clusters [][]Span, err error) {
	if err := validLevel(how.Level); err != nil {
		return nil, err
	}
	for _, p := range how.Shares {
		if !(p > 0 && p < 1) {
			return nil, fmt.Errorf("%w: got %v", ErrShare, p)
		}
	}
	if how.plainRank(how.Replicates) < 1 {
		return nil, fmt.Errorf("%w: %d at level %v", ErrReplicates, how.Replicates, how.Level)
	}
	if spans, err = mergedSpans(spans); err != nil {
		return nil, err
	}
	byNumber := map[int][]Span{}
	for _, s := range spans {
		members := byNumber[s.Cluster] // a cluster that tells nothing still is one
		if !s.saysNothing() {
			members = append(members, s)
		}
		byNumber[s.Cluster] = members
	}
	if len(byNumber) < 2 {
		return nil, ErrClusters
	}
	numbers := make([]int, 0, len(byNumber))
	for number := range byNumber {
		numbers = append(numbers, number)
	}
	slices.Sort(numbers) // so that the order of the spans does not matter
	for _, number := range numbers {
		clusters = append(clusters, byNumber[number])
	}
	return clusters, nil
}

// plainRank is the place, from either end, of the plain percentile limits among
// b replicates.
func (how Resampling) plainRank(b int) int {
	return int(float64(b+1)*(1-how.Level)/2 + 1e-9)
}

// rank is that of the limits expanded for the number of clusters; they go no
// further out than the replicates do.
func (how Resampling) rank(b, clusters int) int {
	t := distuv.StudentsT{Sigma: 1, Nu: float64(clusters - 1)}.Quantile((1 + how.Level) / 2)
	return max(1, int(float64(b+1)*distuv.UnitNormal.CDF(-t)+1e-9))
}

// replicate is what one resample says: bounds of S, and of quantiles.
type replicate struct {
	survival, quantiles [][2]float64
}

// replicate estimates from every resample; a nil did not converge.
func (how Resampling) replicate(ctx context.Context, clusters [][]Span) ([]*replicate, error) {
	if len(clusters) >= manyClusters {
		return how.replicateFromBags(ctx, clusters)
	}
	made := make([]*replicate, how.Replicates)
	err := inReplicates(ctx, how.Replicates, how.Seed, how.Done, func(b int, source *rand.Rand) {
		made[b] = how.once(resample(clusters, source))
	})
	return made, err
}

// resample draws as many clusters as there are and returns their spans, each
// once, its weight times how often it was drawn.
func resample(clusters [][]Span, source *rand.Rand) []Span {
	return resampleTo(len(clusters), clusters, source)
}

// resampleTo is resample of n draws.
func resampleTo(n int, clusters [][]Span, source *rand.Rand) (spans []Span) {
	drawn := make([]int, len(clusters))
	for range n {
		drawn[source.IntN(len(clusters))]++
	}
	for c, times := range drawn {
		if times == 0 {
			continue
		}
		for _, s := range clusters[c] {
			spans = append(spans, s.Weighing(s.Lives()*float64(times)))
		}
	}
	return spans
}

func (how Resampling) once(spans []Span) *replicate {
	curve, err := turnbull(spans)
	if err != nil {
		return nil
	}
	r := &replicate{}
	for _, t := range how.Times {
		p := curve.At(t)
		r.survival = append(r.survival, [2]float64{p.Lower, p.Upper})
	}
	for _, p := range how.Shares {
		q := curve.Quantile(p)
		r.quantiles = append(r.quantiles, [2]float64{q.Lower, q.Upper})
	}
	return r
}

// percentiles returns the kth smallest lower and kth largest upper bound.
func percentiles(of []*replicate, at float64, k int, bounds func(*replicate) [2]float64) Limits {
	lower, upper := make([]float64, len(of)), make([]float64, len(of))
	for i, x := range of {
		b := bounds(x)
		lower[i], upper[i] = b[0], b[1]
	}
	slices.Sort(lower)
	slices.Sort(upper)
	return Limits{At: at, Lower: lower[k-1], Upper: upper[len(upper)-k]}
}
