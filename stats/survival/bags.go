package survival

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
)

const (
	// manyClusters is from how many clusters on a replicate draws from a bag.
	manyClusters = 2000
	// bagClusters is how many clusters are in a bag.
	bagClusters = 500
	// mostBags is how many bags there are at most.
	mostBags = 20
)

// bag is a part of the clusters, and what they alone estimate.
type bag struct {
	clusters [][]Span
	own      *evenly
}

// evenly is what an estimate says where lives are taken to end evenly within its
// intervals.
type evenly struct{ survival, quantiles []float64 }

// newBags deals clusters at random into bags; a cluster too many for them is in
// none.
func (how Resampling) newBags(clusters [][]Span) ([]bag, error) {
	order := rand.New(rand.NewPCG(how.Seed, 1)).Perm(len(clusters))
	var bags []bag
	for dealt := range slices.Chunk(order, bagClusters) {
		if len(dealt) < bagClusters || len(bags) == mostBags {
			break
		}
		b := bag{}
		for _, c := range dealt {
			b.clusters = append(b.clusters, clusters[c])
		}
		var err error
		if b.own, err = how.evenly(slices.Concat(b.clusters...)); err != nil {
			return nil, err
		}
		bags = append(bags, b)
	}
	return bags, nil
}

func (how Resampling) evenly(spans []Span) (*evenly, error) {
	curve, err := turnbull(spans)
	if err != nil {
		return nil, err
	}
	e := &evenly{}
	for _, t := range how.Times {
		e.survival = append(e.survival, curve.At(t).Survival)
	}
	for _, p := range how.Shares {
		e.quantiles = append(e.quantiles, curve.Quantile(p).Time)
	}
	return e, nil
}

// replicateFromBags makes the replicates of very many clusters from bags of a few:
// each draws as many clusters as there are, but from those of one bag. How far it
// lies from what the bag alone estimates is how far a whole resample would lie
// from what all clusters estimate; it is set off from that. Only the clusters of
// a bag are different ones, so that it is as fast however many there are.
//
// What visits leave open is that of a bag, which is more than that of all.
//
// Source: Kleiner, Talwalkar, Sarkar and Jordan, J. R. Stat. Soc. B 76 (2014)
// 795–816, the bag of little bootstraps (from memory); they average the limits
// of bags, where here the replicates of all bags are put together.
func (how Resampling) replicateFromBags(ctx context.Context, clusters [][]Span) ([]*replicate, error) {
	whole, err := how.evenly(slices.Concat(clusters...))
	if err != nil {
		return nil, err
	}
	bags, err := how.newBags(clusters)
	if err != nil {
		return nil, err
	}
	made := make([]*replicate, how.Replicates)
	err = inReplicates(ctx, how.Replicates, how.Seed, how.Done, func(b int, source *rand.Rand) {
		from := bags[b%len(bags)]
		x := how.once(resampleTo(len(clusters), from.clusters, source))
		if x == nil {
			return
		}
		for i := range x.survival {
			x.survival[i] = shifted(x.survival[i], from.own.survival[i], whole.survival[i], 1)
		}
		for i := range x.quantiles {
			x.quantiles[i] = shifted(x.quantiles[i], from.own.quantiles[i], whole.quantiles[i], math.Inf(1))
		}
		made[b] = x
	})
	return made, err
}

// shifted sets bounds that lie about one value off from another. Where either is
// not reached or not known they stay. They keep between 0 and most.
func shifted(bounds [2]float64, about, to, most float64) [2]float64 {
	by := to - about
	if math.IsNaN(by) || math.IsInf(by, 0) {
		return bounds
	}
	for i := range bounds {
		bounds[i] = min(max(bounds[i]+by, 0), most)
	}
	return bounds
}
