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
	Scores     string    `enum:"sun,finkelstein,wmw" default:"sun" help:"Scores of interval-censored lives (--lower, --upper): sun, finkelstein or wmw."`
}

// Help explains the command, its fields and an example.
func (calcLogRankCommand) Help() string {
	return `Whether groups last equally long. With --time and --status: the log-rank test, weighted
and within strata if wanted; with --lower and --upper: the score test for interval-censored
lives, which on the others leads to the log-rank's. Groups are in order of their
names, by number where all are numbers. Lives that share a vehicle are not
independent, and p is then too small.

Fields of --json, of the log-rank test:
  rank_weight       the weight
  strata            how many
  groups            names
  observed          of each group, lives that ended
  expected          how many would have, were all groups alike
  weighted_o_minus_e  the weighted sum of the differences: above 0, ends earlier
  variance          its covariance matrix
  chisq, df, p_value  the test that all groups are alike
  trend             null, or scores, u (sum with the scores), variance, z, chisq, df,
                    p_value
  pairs             with --pairs, for each two groups: a, b, chisq, p_value
  p_holm            of each pair, p_value adjusted for their number

Fields of --json, of the score test:
  scores            the kind
  groups, n         names and rows
  score_sum         sum of the scores: above 0, ends earlier
  centred_score_sum the same with the mean of all rows taken off
  permutation_variance  its covariance, were rows dealt to the groups at random
  chisq, df, p_value  the test that all groups are alike
  z_first_group     of two groups: above 0, the first ends earlier; null for more
  row_scores        of each row used, in the order of the file

Example:
  beadspan calc logrank testdata/reference/kaplan-meier/lung.csv --time time --status status --group ph_ecog --trend --pairs
  beadspan calc logrank testdata/reference/kaplan-meier/lung.csv --time time --status status --group sex --stratum ph_ecog --rank-weight fh-rho1
  beadspan calc logrank testdata/reference/npmle/cosmesis.csv --lower left --upper right --group group --json`
}

// Run computes and prints the test.
func (c calcLogRankCommand) Run(ctx context.Context, a *app) error {
	if err := checkLives(c.timeFlags, c.intervalFlags); err != nil {
		return err
	}
	columns := calc.Columns{Time: c.Time, Status: c.Status, Lower: c.Lower, Upper: c.Upper,
		Entry: c.Entry, Weight: c.Weight, Groups: c.Group, Strata: c.Stratum}
	if c.Lower != "" {
		return c.scoreTest(ctx, a, columns)
	}
	if _, err := calc.ParseRankWeight(c.RankWeight); err != nil {
		return usageError("calc: --rank-weight: " + err.Error())
	}
	return calculate(ctx, a, c.calcFlags, columns, func(d *calc.Data) (*calc.LogRankResult, error) {
		scores, err := c.trendScores(len(d.Groups.Names))
		if err != nil {
			return nil, err
		}
		return calc.LogRank(d, calc.CompareOptions{RankWeight: c.RankWeight, Trend: scores, Pairs: c.Pairs})
	})
}

// scoreTest compares interval-censored lives.
func (c calcLogRankCommand) scoreTest(ctx context.Context, a *app, columns calc.Columns) error {
	if c.Stratum != nil || c.Trend || c.TrendScore != nil || c.Pairs || c.RankWeight != "logrank" {
		return usageError("calc: --stratum, --trend, --trend-score, --pairs and --rank-weight go with --time and --status only")
	}
	return calculate(ctx, a, c.calcFlags, columns, func(d *calc.Data) (*calc.ScoreTestResult, error) {
		return calc.ScoreTest(d, c.Scores)
	})
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
