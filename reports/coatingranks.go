package reports

import (
	"context"
	"math"

	"beadspan/stats/survival"
	"beadspan/study"
)

// adjustRatios adjusts the p-values of ratios for the number of pairs that have
// one.
func adjustRatios(pairs []CoatingPair) {
	ps := make([]float64, len(pairs))
	for i, pair := range pairs {
		ps[i] = math.NaN()
		if pair.Ratio != nil {
			ps[i] = pair.Ratio.P
		}
	}
	for i, p := range survival.Holm(ps) {
		if pairs[i].Ratio != nil {
			pairs[i].Ratio.Adjusted = p
		}
	}
}

// compareRanks fills in what the log-rank test says of each pair.
func (c *FleetComparison) compareRanks(ctx context.Context, followed []study.Followed) error {
	ranks, err := NewPairs(ctx, followed, c.Level, c.Seed)
	if err != nil {
		return err
	}
	for i := range c.Pairs {
		pair := &c.Pairs[i]
		pair.RankP, pair.RankAdjusted = math.NaN(), math.NaN()
		for _, row := range ranks.Rows {
			if row.A == pair.A && row.B == pair.B || row.A == pair.B && row.B == pair.A {
				pair.RankP, pair.RankAdjusted, pair.RankLonger = row.P, row.Adjusted, row.Longer
			}
		}
	}
	return nil
}
