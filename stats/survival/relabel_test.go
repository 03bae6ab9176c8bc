package survival

import (
	"context"
	"math"
	"math/big"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// matched makes ratings of clusters that carry each group once.
func matched(scores [][]float64) *ratings {
	r := &ratings{}
	for cluster, of := range scores {
		for g, score := range of {
			r.spans = append(r.spans, Exact(1).OfCluster(cluster))
			r.group = append(r.group, g)
			r.score = append(r.score, score)
		}
	}
	return r
}

// relabelled is what ClusterTest makes of ratings.
func relabelled(t rapid.TB, r *ratings, groups int, how Relabelling) *ClusterResult {
	d := newDeal(r, groups)
	result := &ClusterResult{Sums: d.sums(), Variance: d.variance}
	var err error
	result.ChiSq, result.DF, result.LargeP, err = chiSquare(result.Sums, result.Variance)
	require.NoError(t, err)
	require.NoError(t, result.relabel(context.Background(), d, how))
	return result
}

// Heights of 15 pairs of maize plants, crossed less self-fertilised, in eighths
// of an inch: Darwin (1876), as Fisher, The Design of Experiments (1935), section
// 21, gives each difference either sign. 863 of the 32,768 ways give a sum of
// 314 or more, so 1,726 one as far from 0 (figures from memory; the count
// was repeated with a loop of another language).
func TestRelabellingDarwinsMaize(t *testing.T) {
	var pairs [][]float64
	for _, d := range []float64{49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48} {
		pairs = append(pairs, []float64{d, 0})
	}
	r := relabelled(t, matched(pairs), 2, Relabelling{Replicates: 32768})
	assert.True(t, r.Exact)
	assert.Equal(t, 32768, r.Relabellings)
	assert.Equal(t, 1726.0/32768, r.P)
	assert.Equal(t, 2.0/32768, r.LeastP)
	assert.Equal(t, 157.0, r.Sums[0], "half of the sum of differences")

	chance := relabelled(t, matched(pairs), 2, Relabelling{Replicates: 9999, Seed: 1})
	assert.False(t, chance.Exact)
	assert.InDelta(t, r.P, chance.P, 4*chance.SE)
	assert.InDelta(t, math.Sqrt(r.P*(1-r.P)/9999), chance.SE, 2e-4)
}

// Ranks of three ways to round first base by 22 players: Hollander and Wolfe,
// Nonparametric Statistical Methods (1973), p. 140, with Friedman's statistic as
// the documentation of R's friedman.test prints it: 11.143 on 2 degrees of
// freedom, p = 0.003805. Friedman's test is that of exchanging names within
// blocks.
func TestVarianceWithinIsFriedmans(t *testing.T) {
	r := relabelled(t, matched(ranksWithin([][]float64{
		{5.40, 5.50, 5.55}, {5.85, 5.70, 5.75}, {5.20, 5.60, 5.50}, {5.55, 5.50, 5.40}, {5.90, 5.85, 5.70}, {5.45, 5.55, 5.60},
		{5.40, 5.40, 5.35}, {5.45, 5.50, 5.35}, {5.25, 5.15, 5.00}, {5.85, 5.80, 5.70}, {5.25, 5.20, 5.10}, {5.65, 5.55, 5.45},
		{5.60, 5.35, 5.45}, {5.05, 5.00, 4.95}, {5.50, 5.50, 5.40}, {5.45, 5.55, 5.50}, {5.55, 5.55, 5.35}, {5.45, 5.50, 5.55},
		{5.50, 5.45, 5.25}, {5.65, 5.60, 5.40}, {5.70, 5.65, 5.55}, {6.30, 6.30, 6.25},
	})), 3, Relabelling{Replicates: 9999, Seed: 2})
	assert.InDelta(t, 11.143, r.ChiSq, 5e-4)
	assert.Equal(t, 2, r.DF)
	assert.InDelta(t, 0.003805, r.LargeP, 5e-7)
	assert.InDelta(t, r.LargeP, r.P, 0.003, "22 blocks are nearly many")
}

func ranksWithin(blocks [][]float64) [][]float64 {
	ranks := make([][]float64, len(blocks))
	for i, block := range blocks {
		for _, x := range block {
			below, same := 0.0, 0.0
			for _, y := range block {
				if y < x {
					below++
				} else if y == x {
					same++
				}
			}
			ranks[i] = append(ranks[i], below+(same+1)/2)
		}
	}
	return ranks
}

// Going through all deals by orders of the alphabet against dealing by hand:
// every choice of who gets which label, with the variance of the sums over them.
func TestDealsAndTheirVariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		groups := rapid.IntRange(2, 3).Draw(t, "groups")
		r := &ratings{}
		for cluster := range rapid.IntRange(2, 5).Draw(t, "clusters") {
			for range rapid.IntRange(1, 3).Draw(t, "lives") {
				r.spans = append(r.spans, Exact(1).OfCluster(cluster).Weighing(rapid.Float64Range(0.5, 2).Draw(t, "weight")))
				r.group = append(r.group, rapid.IntRange(0, groups-1).Draw(t, "group"))
				r.score = append(r.score, rapid.Float64Range(-1, 1).Draw(t, "score"))
			}
		}
		d := newDeal(r, groups)
		d.first()
		seen := map[string]bool{}
		n := 0.0
		mean, squares := make([]float64, groups), squareMatrix(groups)
		for more := true; more; more = d.next() {
			key := ""
			for _, labels := range d.labels {
				key += string(labelText(labels)) + "|"
			}
			require.False(t, seen[key], "a deal comes once")
			seen[key] = true
			n++
			u := d.sums()
			for g := range u {
				mean[g] += u[g]
				for h := range u {
					squares[g][h] += u[g] * u[h]
				}
			}
		}
		require.InDelta(t, d.ways(), n, 1e-6)
		for g := range mean {
			require.InDelta(t, 0, mean[g]/n, 1e-9)
			for h := range mean {
				require.InDelta(t, d.variance[g][h], squares[g][h]/n, 1e-9*(1+d.variance[g][g]))
			}
		}
	})
}

func labelText(labels []int) []byte {
	text := make([]byte, len(labels))
	for i, g := range labels {
		text[i] = byte('a' + g)
	}
	return text
}

// 40 over 20 ways, beyond what is gone through, against exact integers.
func TestWaysAreCounted(t *testing.T) {
	d := &deal{labels: [][]int{slices.Repeat([]int{0, 1}, 20), {0, 1, 2}}}
	want := new(big.Int).Binomial(40, 20)
	f, _ := new(big.Float).SetInt(want.Mul(want, big.NewInt(6))).Float64()
	assert.InEpsilon(t, f, d.ways(), 1e-12)
	assert.Equal(t, 1.0, (&deal{}).ways())
}
