package survival

import (
	"context"
	"fmt"
)

// Relabelling says how ClusterTest is to work.
type Relabelling struct {
	Scores Scores
	// Replicates is the number of random relabellings where there are too many
	// to go through all of them; 9999 is usual. 0 asks for the P of many
	// clusters only.
	Replicates int
	Seed       uint64 // the same seed gives the same P
}

// Layout tells how groups lie in clusters.
type Layout int

const (
	// Whole clusters carry one group each; they are compared with each other.
	Whole Layout = iota
	// Matched means that groups are compared only within clusters that carry
	// several.
	Matched
	// Mixed means that both comparisons are made and put together.
	Mixed
)

// String names the layout.
func (l Layout) String() string {
	switch l {
	case Whole:
		return "whole clusters"
	case Matched:
		return "matched within clusters"
	default:
		return "within and between clusters"
	}
}

// ClusterResult compares the survival of groups of lives that share clusters.
type ClusterResult struct {
	Layout Layout
	// Clusters that inform the comparison: that carry one group and are compared
	// with those of others, and that carry several.
	WholeClusters, SharedClusters int
	// IdleClusters carry one group and have no cluster of another to be compared
	// with.
	IdleClusters int

	Sums     []float64   // by group: positive means shorter lives
	Variance [][]float64 // of Sums over all relabellings
	ChiSq    float64
	DF       int
	LargeP   float64 // of a ChiSq this large or larger, by its distribution for many clusters

	// P is the share of relabellings with a ChiSq this large or larger; LargeP
	// where none were asked for.
	P            float64
	Relabellings int     // gone through, the labels as they are included if Exact; 0 if none
	Exact        bool    // all of them
	SE           float64 // Monte Carlo standard error of P; 0 if Exact or none
	// LeastP is the smallest P that any difference could have reached: where it is
	// above the level of a test, so few clusters cannot show one.
	LeastP float64
}

// ClusterTest tests whether groups of spans of any kind have the same survival
// when lives share clusters, such as the patches of one vehicle. Lives of one
// cluster may be as alike as they please: not lives but clusters change groups.
// Spans of one Cluster are one cluster, in whatever groups they are.
//
// Each life is scored by the estimate of all groups together, as in ScoreTest,
// c its score and w its weight. Two comparisons are made from the scores:
//
// Between clusters that carry one group each. Of the V that do, V_g of group g,
// with C = ∑ w (c − c̄) over the lives of one and c̄ the mean over all of them,
//
//	uᵍ = ∑ C over clusters of group g
//	vᵍʰ = ∑ C²/(V − 1) · (V_g [g = h] − V_g V_h/V)
//
// is what dealing the groups to whole clusters at random gives. With one life a
// cluster this is ScoreTest.
//
// Within clusters that carry several groups. With c̄ the mean of the cluster and
// xᵍ = ∑ w (c − c̄) over its lives of group g, of the k groups it carries,
//
//	uᵍ = ∑ xᵍ over clusters
//	vᵍʰ = ∑ (∑ x²)/(k − 1) · ([g = h] − 1/k) over clusters that carry g and h
//
// is what exchanging the groups' names within each cluster gives: of two
// groups, the sign of xᵍ.
//
// Where both can be made the sums and covariances are added, those between
// clusters times λ and λ²,
//
//	λ = min(1, (K e + b)/((K + 1) b))
//
// b and e being the traces of the covariances between and within, each divided
// by what scores of 1 more per life of a group would add to its sums, ∑ n̄ V_g (1
// − V_g/V) and ∑ ∑ nᵍ (1 − nᵍ/n), and K the shared clusters: about e/b, as the less
// exact of two measurements deserves, but never more than life for life, and
// never near 0 on the word of a few shared clusters. Then
//
//	χ² = uᵀ v⁻ u
//
// on one fewer degrees of freedom than groups (fewer where some are never
// compared) is the fast test for many clusters, 30 or more on either side; its
// variance is that of cluster sums, whatever the dependence within. P counts
// the relabellings, of whole clusters and within clusters, that give as large a
// χ²: all of them where there are few (P = b/m), else m at random (P = (b +
// 1)/(m + 1)). P does not need many clusters.
//
// It takes visits, drop-out, entries and numbers of lives in a cluster to come
// about alike in all groups, and the places within a cluster to have been given
// to groups at random or to be alike. Doubling all lives of a cluster changes
// nothing.
//
// ctx ends the work between relabellings, with its own error. Other errors are
// those of ScoreTest, but that any weight is taken. ErrIncomparable is
// also that there are no two clusters to compare and none that carries several
// groups. It panics if Replicates is negative.
//
// Sources: Jung and Jeong, Lifetime Data Anal. 9 (2003) 21–33, for rank tests
// whose variance is that of clusters; Gail, Mark, Carroll, Green and Pee, Stat.
// Med. 15 (1996) 1069–1092, for dealing to whole clusters and within matched
// ones (from memory); Davison and Hinkley, Bootstrap Methods and their
// Application (1997), section 4.2, for P at random (section from memory). λ is ours.
func ClusterTest(ctx context.Context, groups [][]Span, how Relabelling) (*ClusterResult, error) {
	if how.Replicates < 0 {
		panic(fmt.Sprintf("survival: cluster test: %d replicates", how.Replicates))
	}
	k, err := groupsOf([][][]Span{groups})
	if err != nil {
		return nil, fmt.Errorf("cluster test: %w", err)
	}
	rated, err := rate(groups, how.Scores)
	if err != nil {
		return nil, fmt.Errorf("cluster test: %w", err)
	}
	d := newDeal(rated, k)
	r := &ClusterResult{
		WholeClusters:  len(d.whole),
		SharedClusters: len(d.shared),
		IdleClusters:   d.idle,
		Sums:           d.sums(),
		Variance:       d.variance,
	}
	switch {
	case len(d.shared) == 0:
		r.Layout = Whole
	case len(d.whole) == 0:
		r.Layout = Matched
	default:
		r.Layout = Mixed
	}
	if r.ChiSq, r.DF, r.LargeP, err = chiSquare(r.Sums, r.Variance); err != nil {
		return nil, fmt.Errorf("cluster test: %w", err)
	}
	r.P = r.LargeP
	if how.Replicates > 0 {
		if err := r.relabel(ctx, d, how); err != nil {
			return nil, fmt.Errorf("cluster test: %w", err)
		}
	}
	return r, nil
}
