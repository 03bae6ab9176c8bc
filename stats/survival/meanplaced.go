package survival

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
)

// placed is lives of two groups within strata, gathered by cluster.
type placed struct {
	lives    []placedLife
	clusters [][]int // positions of each cluster's lives
	strata   int
}

// placedLife is a life with its place.
type placedLife struct {
	Span
	stratum, group int
}

// placedLives gathers the lives that tell something, of the strata with lives of
// both groups.
func placedLives(strata [][][]Span) (*placed, error) {
	p := &placed{strata: len(strata)}
	var spans []Span
	for s, groups := range strata {
		if len(groups) != 2 {
			return nil, fmt.Errorf("%w: stratum %d has %d groups, wanted 2", ErrIncomparable, s, len(groups))
		}
		for g, lives := range groups {
			for _, span := range lives {
				spans = append(spans, span)
				p.lives = append(p.lives, placedLife{stratum: s, group: g})
			}
		}
	}
	merged, err := mergedSpans(spans)
	if err != nil {
		return nil, err
	}
	for i, span := range merged {
		p.lives[i].Span = span
	}
	p.lives = slices.DeleteFunc(p.lives, func(l placedLife) bool { return l.saysNothing() })
	lives := p.count(nil)
	p.lives = slices.DeleteFunc(p.lives, func(l placedLife) bool { return lives[l.stratum][1-l.group] == 0 })
	p.gather()
	return p, nil
}

// count counts the lives of either group in each stratum; drawn is how often each
// was drawn, nil for once.
func (p *placed) count(drawn []int) [][2]float64 {
	lives := make([][2]float64, p.strata)
	for i, l := range p.lives {
		lives[l.stratum][l.group] += p.times(i, drawn)
	}
	return lives
}

// times is how many lives the i-th stands for.
func (p *placed) times(i int, drawn []int) float64 {
	if drawn == nil {
		return p.lives[i].Lives()
	}
	return p.lives[i].Lives() * float64(drawn[i])
}

// gather sorts the lives into their clusters, in the order of their numbers.
func (p *placed) gather() {
	members := map[int][]int{}
	for i, l := range p.lives {
		members[l.Cluster] = append(members[l.Cluster], i)
	}
	numbers := make([]int, 0, len(members))
	for number := range members {
		numbers = append(numbers, number)
	}
	slices.Sort(numbers)
	for _, number := range numbers {
		p.clusters = append(p.clusters, members[number])
	}
}

// carriers counts the clusters that carry lives of either group.
func (p *placed) carriers() (clusters [2]int) {
	for _, members := range p.clusters {
		for g := range clusters {
			if slices.ContainsFunc(members, func(i int) bool { return p.lives[i].group == g }) {
				clusters[g]++
			}
		}
	}
	return clusters
}

// weighted returns the lives of either group that count, with their weights.
func (p *placed) weighted(drawn []int) (groups [2][]Span) {
	lives := p.count(drawn)
	for i, l := range p.lives {
		n := lives[l.stratum]
		if weight := p.times(i, drawn) * n[1-l.group] / (n[0] + n[1]); weight > 0 {
			groups[l.group] = append(groups[l.group], l.Weighing(weight))
		}
	}
	return groups
}

// replicate returns the differences of means of the resamples that have any.
func (p *placed) replicate(ctx context.Context, how MeanResampling, clusters int) ([]float64, error) {
	found := make([]*float64, how.Replicates)
	err := inReplicates(ctx, how.Replicates, how.Seed, how.Done, func(b int, source *rand.Rand) {
		found[b] = p.difference(p.draw(source, clusters), how.Tau)
	})
	if err != nil {
		return nil, err
	}
	var differences []float64
	for _, d := range found {
		if d != nil {
			differences = append(differences, *d)
		}
	}
	return differences, nil
}

// draw draws so many clusters and tells how often each life came along.
func (p *placed) draw(source *rand.Rand, clusters int) []int {
	drawn := make([]int, len(p.lives))
	for range clusters {
		for _, i := range p.clusters[source.IntN(len(p.clusters))] {
			drawn[i]++
		}
	}
	return drawn
}

// difference is that of the means of a resample; nil where it has none.
func (p *placed) difference(drawn []int, tau float64) *float64 {
	var means [2]float64
	for g, spans := range p.weighted(drawn) {
		if len(spans) == 0 {
			return nil
		}
		curve, err := turnbull(spans)
		if err != nil {
			return nil
		}
		means[g], _ = curve.mean(tau)
	}
	return new(means[0] - means[1])
}
