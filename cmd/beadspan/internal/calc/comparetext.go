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
	if r.Strata > 1 {
		p.line("within %d strata", r.Strata)
	}
	p.line("")
	var rows [][]string
	for g, name := range r.Groups {
		rows = append(rows, []string{name, short(r.Observed[g]), short(r.Expected[g]), short(r.Sums[g])})
	}
	p.table(1, []string{r.groupColumns, "Ended", "expected", "weighted difference"}, rows)
	p.line("Whether all groups are alike: %s", r.words())
	if r.Trend != nil {
		p.line("Whether they rise or fall with the scores: %s, z = %s (above 0: higher scores end earlier)",
			r.Trend.words(), short(r.Trend.Z))
	}
	p.line("")
	if len(r.Pairs) > 0 {
		p.pairs(r.Pairs, r.Holm)
	}
	return p.to(w, r.Source)
}

// WriteText prints the groups and the test.
func (r *ScoreTestResult) WriteText(w io.Writer) error {
	var p page
	p.line("Score test for interval-censored lives, scores %s\n", r.Scoring)
	var rows [][]string
	for g, name := range r.Groups {
		rows = append(rows, []string{name, fmt.Sprint(r.N[g]), short(r.Centred[g])})
	}
	p.table(1, []string{r.groupColumns, "Lives", "sum of scores (above 0: ends earlier)"}, rows)
	p.line("Whether all groups are alike: %s\n", r.words())
	return p.to(w, r.Source)
}

// words writes the test on a line.
func (c chiSquare) words() string {
	if math.IsNaN(float64(c.ChiSq)) {
		return "the data do not tell"
	}
	return fmt.Sprintf("χ² = %s on %d df, p = %s", short(c.ChiSq), c.DF, probability(c.P))
}

func (p *page) pairs(pairs []pair, holm Numbers) {
	var rows [][]string
	for i, two := range pairs {
		rows = append(rows, []string{two.A + " and " + two.B, short(two.ChiSq), probability(two.P), probability(holm[i])})
	}
	p.table(1, []string{"Pair", "χ²", "p", "p by Holm for all pairs"}, rows)
}
