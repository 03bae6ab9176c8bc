package calc

import (
	"fmt"
	"io"
	"math"
)

// WriteText prints the groups, the test, and trend and pairs where they were
// asked for.
func (r *LogRankResult) WriteText(w io.Writer) error {
	var p page
	p.line("Log-rank test, weight %s", r.RankWeight)
	p.within(r.Strata)
	var rows [][]string
	for g, name := range r.Groups {
		rows = append(rows, []string{name, short(r.Observed[g]), short(r.Expected[g]), short(r.Sums[g])})
	}
	p.table(1, []string{r.groupColumns, "Ended", "expected", "weighted difference"}, rows)
	p.test(r.chiSquare, r.Trend)
	r.pairs.write(&p)
	return p.to(w, r.Source)
}

// WriteText prints the groups, the test, and trend and pairs where they were
// asked for.
func (r *ScoreTestResult) WriteText(w io.Writer) error {
	var p page
	p.line("Score test for interval-censored lives, scores %s", r.Scoring)
	p.within(r.Strata)
	p.scores(r.groupColumns, r.Groups, r.N, r.Centred)
	p.test(r.chiSquare, r.Trend)
	r.pairs.write(&p)
	return p.to(w, r.Source)
}

// WriteText prints the groups, how they lie in clusters, and the test.
func (r *ClusterTestResult) WriteText(w io.Writer) error {
	var p page
	p.line("Score test by clusters, scores %s", r.Scoring)
	if r.Layout != nil {
		p.line("%s: %s with one group, %s with several, %s with nothing to compare with", *r.Layout,
			counted(r.Whole, "cluster", "clusters"), counted(r.Shared, "cluster", "clusters"), counted(r.Idle, "cluster", "clusters"))
	}
	p.line("")
	p.scores(r.groupColumns, r.Groups, r.N, r.Sums)
	if r.Layout == nil {
		p.test(r.chiSquare, nil)
		return p.to(w, r.Source)
	}
	p.line("Whether all groups are alike: χ² = %s on %d df", short(r.ChiSq), r.DF)
	switch {
	case r.Exact:
		p.line("  p = %s by all %d relabellings", probability(r.P), r.Relabellings)
	case r.Relabellings > 0:
		p.line("  p = %s (SE %s) by %d random relabellings, seed %d", probability(r.P), short(r.SE), r.Relabellings, r.Seed)
	}
	p.line("  p = %s by the distribution for many clusters", probability(r.LargeP))
	p.line("  p could not have come below %s\n", probability(r.LeastP))
	r.pairs.write(&p)
	return p.to(w, r.Source)
}

func (p *page) within(strata int) {
	if strata > 1 {
		p.line("within %d strata", strata)
	}
	p.line("")
}

func (p *page) scores(column string, groups []string, lives []int, sums Numbers) {
	var rows [][]string
	for g, name := range groups {
		rows = append(rows, []string{name, fmt.Sprint(lives[g]), short(sums[g])})
	}
	p.table(1, []string{column, "Lives", "sum of scores (above 0: ends earlier)"}, rows)
}

func (p *page) test(all chiSquare, ordered *trend) {
	p.line("Whether all groups are alike: %s", all.words())
	if ordered != nil {
		p.line("Whether they rise or fall with the scores: %s, z = %s (above 0: higher scores end earlier)",
			ordered.words(), short(ordered.Z))
	}
	p.line("")
}

// words writes the test on a line.
func (c chiSquare) words() string {
	if math.IsNaN(float64(c.ChiSq)) {
		return "the data do not tell"
	}
	return fmt.Sprintf("χ² = %s on %d df, p = %s", short(c.ChiSq), c.DF, probability(c.P))
}

func (of pairs) write(p *page) {
	var rows [][]string
	for i, two := range of.Pairs {
		rows = append(rows, []string{two.A + " and " + two.B, short(two.ChiSq), probability(two.P), probability(of.Holm[i])})
	}
	if len(rows) > 0 {
		p.table(1, []string{"Pair", "χ²", "p", "p by Holm for all pairs"}, rows)
	}
}
