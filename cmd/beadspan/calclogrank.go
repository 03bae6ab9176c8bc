package main

import (
	"context"
	"fmt"
	"math"

	"beadspan/cmd/beadspan/internal/calc"
)

type calcLogRankCommand struct {
	calcFlags
	timeFlags
	intervalFlags
	lifeFlags
	Group      []string  `required:"" placeholder:"COLUMN" help:"Columns whose values tell the groups apart."`
	Stratum    []string  `placeholder:"COLUMN" help:"Columns within whose values groups are compared."`
	RankWeight string    `default:"logrank" help:"What weight times get: logrank, gehan, tarone-ware, peto-modified, peto-andersen, fh-rhoR or fh-rhoR-gammaG."`
	Trend      bool      `help:"Test for groups that rise or fall in order, with scores 0, 1, 2 …"`
	TrendScore []float64 `placeholder:"SCORE" help:"Test for trend with these scores, one for each group in order."`
	Pairs      bool      `help:"Also compare each two groups, and adjust for their number by Holm's method."`
	Scores     string    `enum:"sun,finkelstein,wmw" default:"sun" help:"Scores of lives, with --lower and --upper or --cluster: sun (leads to the log-rank test), finkelstein or wmw."`
	Cluster    string    `placeholder:"COLUMN" help:"Column that tells which lives share their circumstances, as patches of one vehicle do: compare by clusters."`
	Replicates int       `default:"9999" help:"With --cluster: random relabellings behind p, where there are too many to go through all."`
	Seed       uint64    `default:"1" help:"With --cluster: seed of the relabellings."`
}

// Help explains the command, its fields and an example.
func (calcLogRankCommand) Help() string {
	return `Whether groups last equally long. With --time and --status: the log-rank test, weighted
if wanted; with --lower and --upper: the score test for interval-censored lives, which
on the others leads to the log-rank's. Both take lives as independent: where some share
a vehicle, --cluster gives a test by relabelling whole clusters, and within clusters
that carry several groups their lives. Groups are in order of their names, by number
where all are numbers.

Fields of --json:
  groups            names
  strata            how many (not with --cluster)
  chisq, df, p_value  the test that all groups are alike
  trend             null, or scores, u (sum with the scores), variance, z, chisq, df,
                    p_value (not with --cluster)
  pairs             with --pairs, for each two groups: a, b, chisq, p_value
  p_holm            of each pair, p_value adjusted for their number

of the log-rank test:
  rank_weight       the weight
  observed          of each group, lives that ended
  expected          how many would have, were all groups alike
  weighted_o_minus_e  the weighted sum of the differences: above 0, ends earlier
  variance          its covariance matrix

of the score test:
  scores, n         kind of scores, and rows of each group
  score_sum         sum of the scores: above 0, ends earlier
  centred_score_sum the same with the mean of all rows taken off
  permutation_variance  its covariance, were rows dealt to the groups at random
  z_first_group     of two groups: above 0, the first ends earlier; null for more
  row_scores        of each row used, in the order of the file

of the test by clusters:
  scores, n, score_sum, permutation_variance  as above, for relabelled clusters
  layout            how groups lie in clusters
  clusters_whole, clusters_shared, clusters_idle  carry one group; carry several;
                    carry one and have nothing to be compared with
  p_value           share of relabellings as extreme
  relabellings, exact, monte_carlo_se, seed  how many, whether that is all of them,
                    standard error of p_value if not
  p_value_large_sample  by the distribution for many clusters
  least_p_value     below this p_value could not have come

Example:
  beadspan calc logrank testdata/reference/kaplan-meier/lung.csv --time time --status status --group ph_ecog --trend --pairs
  beadspan calc logrank testdata/reference/kaplan-meier/lung.csv --time time --status status --group sex --stratum ph_ecog --rank-weight fh-rho1
  beadspan calc logrank testdata/reference/npmle/cosmesis.csv --lower left --upper right --group group --json
  beadspan calc logrank testdata/reference/npmle/sim-three-coatings.csv --lower left --upper right --group coating --cluster vehicle --pairs`
}

// Run computes and prints the test.
func (c calcLogRankCommand) Run(ctx context.Context, a *app) error {
	if err := c.checkFlags(); err != nil {
		return err
	}
	columns := calc.Columns{Time: c.Time, Status: c.Status, Lower: c.Lower, Upper: c.Upper,
		Entry: c.Entry, Weight: c.Weight, Cluster: c.Cluster, Groups: c.Group, Strata: c.Stratum}
	switch {
	case c.Cluster != "":
		return calculate(ctx, a, c.calcFlags, columns, func(d *calc.Data) (*calc.ClusterTestResult, error) {
			return calc.ClusterTest(ctx, d, c.options(nil))
		})
	case c.Lower != "":
		return calculate(ctx, a, c.calcFlags, columns, func(d *calc.Data) (*calc.ScoreTestResult, error) {
			scores, err := c.trendScores(len(d.Groups.Names))
			if err != nil {
				return nil, err
			}
			return calc.ScoreTest(d, c.options(scores))
		})
	}
	return calculate(ctx, a, c.calcFlags, columns, func(d *calc.Data) (*calc.LogRankResult, error) {
		scores, err := c.trendScores(len(d.Groups.Names))
		if err != nil {
			return nil, err
		}
		return calc.LogRank(d, c.options(scores))
	})
}

func (c calcLogRankCommand) options(trend []float64) calc.CompareOptions {
	return calc.CompareOptions{RankWeight: c.RankWeight, Scores: c.Scores, Trend: trend, Pairs: c.Pairs,
		Replicates: c.Replicates, Seed: c.Seed}
}

// checkFlags refuses what does not go together.
func (c calcLogRankCommand) checkFlags() error {
	if err := checkLives(c.timeFlags, c.intervalFlags); err != nil {
		return err
	}
	if _, err := calc.ParseRankWeight(c.RankWeight); err != nil {
		return usageError("calc: --rank-weight: " + err.Error())
	}
	switch {
	case c.RankWeight != "logrank" && (c.Lower != "" || c.Cluster != ""):
		return usageError("calc: --rank-weight goes with --time and --status, and without --cluster: elsewhere --scores says what counts how much")
	case c.Cluster != "" && (c.Stratum != nil || c.Trend || c.TrendScore != nil):
		return usageError("calc: --cluster goes with neither --stratum nor --trend")
	case c.Replicates < 0:
		return usageError("calc: --replicates: 0 or more")
	}
	return nil
}

// trendScores are the scores of the groups, nil if no test for trend is wanted.
func (c calcLogRankCommand) trendScores(groups int) ([]float64, error) {
	if c.TrendScore != nil {
		if len(c.TrendScore) != groups {
			return nil, usageError(fmt.Sprintf("calc: --trend-score: %d scores for %d groups", len(c.TrendScore), groups))
		}
		for _, score := range c.TrendScore {
			if math.IsNaN(score) || math.IsInf(score, 0) {
				return nil, usageError("calc: --trend-score: scores are finite numbers")
			}
		}
		return c.TrendScore, nil
	}
	if !c.Trend {
		return nil, nil
	}
	scores := make([]float64, groups)
	for g := range scores {
		scores[g] = float64(g)
	}
	return scores, nil
}
