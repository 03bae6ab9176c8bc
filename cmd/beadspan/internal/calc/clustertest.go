package calc

import (
	"context"
	"math"

	"beadspan/stats/survival"
)

// ClusterTestResult compares groups of lives that share clusters.
type ClusterTestResult struct {
	Source
	Scoring      string    `json:"scores"`
	Groups       []string  `json:"groups"`
	N            []int     `json:"n"`
	Layout       *string   `json:"layout"`
	Whole        int       `json:"clusters_whole"`
	Shared       int       `json:"clusters_shared"`
	Idle         int       `json:"clusters_idle"`
	Sums         Numbers   `json:"score_sum"`
	Variance     []Numbers `json:"permutation_variance"`
	chiSquare              // by relabelling
	LargeP       Number    `json:"p_value_large_sample"`
	Relabellings int       `json:"relabellings"`
	Exact        bool      `json:"exact"`
	SE           Number    `json:"monte_carlo_se"`
	LeastP       Number    `json:"least_p_value"`
	Seed         uint64    `json:"seed"`
	pairs

	groupColumns string
}

// ClusterTest compares the groups of the data by relabelling whole clusters
// and, within clusters that carry several groups, their lives. ctx ends it.
func ClusterTest(ctx context.Context, d *Data, o CompareOptions) (*ClusterTestResult, error) {
	groups := split(d.Groups, d.Spans)
	how := survival.Relabelling{Scores: scoring(o.Scores), Replicates: o.Replicates, Seed: o.Seed}
	k, nan := len(groups), Number(math.NaN())
	r := &ClusterTestResult{
		Source: d.Source, Scoring: o.Scores, Groups: d.Groups.Names, N: d.groupSizes(),
		Sums: unknown(k), Variance: unknownMatrix(k), chiSquare: noTest(), LargeP: nan, SE: nan, LeastP: nan,
		Seed: o.Seed, pairs: newPairs(nil, nil), groupColumns: d.groupColumns(),
	}
	test, err := survival.ClusterTest(ctx, groups, how)
	if open, err := d.compared(&r.Source, err); open {
		return r, err
	}
	layout := test.Layout.String()
	r.Layout, r.Whole, r.Shared, r.Idle = &layout, test.WholeClusters, test.SharedClusters, test.IdleClusters
	r.Sums, r.Variance = plain(test.Sums), matrix(test.Variance)
	r.chiSquare, r.LargeP = chiSquare{Number(test.ChiSq), test.DF, Number(test.P)}, Number(test.LargeP)
	r.Relabellings, r.Exact, r.SE, r.LeastP = test.Relabellings, test.Exact, Number(test.SE), Number(test.LeastP)
	return r, r.pairs.fill(o, r.Groups, func() ([]survival.Pair, error) {
		return survival.Pairwise(len(groups), func(a, b int) (chiSq, p float64, err error) {
			test, err := survival.ClusterTest(ctx, [][]survival.Span{groups[a], groups[b]}, how)
			if err != nil {
				return 0, 0, err
			}
			return test.ChiSq, test.P, nil
		})
	})
}
