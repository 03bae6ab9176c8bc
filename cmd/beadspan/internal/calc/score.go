package calc

import (
	"math"
	"slices"

	"beadspan/stats/survival"
)

// ScoreNames are the names of scores that interval-censored lives can be
// compared by.
func ScoreNames() []string { return []string{"sun", "finkelstein", "wmw"} }

// ScoreTestResult compares groups of lives whose ends are known to intervals.
type ScoreTestResult struct {
	Source
	Scoring  string    `json:"scores"`
	Groups   []string  `json:"groups"`
	N        []int     `json:"n"`
	Sums     Numbers   `json:"score_sum"`
	Centred  Numbers   `json:"centred_score_sum"`
	Variance []Numbers `json:"permutation_variance"`
	chiSquare
	Z      Number  `json:"z_first_group"`
	Scores Numbers `json:"row_scores"`

	groupColumns string
}

// ScoreTest compares the groups of the data by one of ScoreNames.
func ScoreTest(d *Data, scores string) (*ScoreTestResult, error) {
	kind := []survival.Scores{survival.Sun, survival.Finkelstein, survival.Wilcoxon}[slices.Index(ScoreNames(), scores)]
	groups := split(d.Groups, d.Spans)
	test, err := survival.ScoreTest(groups, kind)
	if err != nil {
		return nil, d.blame(err)
	}
	r := &ScoreTestResult{
		Source: d.Source, Scoring: scores, Groups: d.Groups.Names, Centred: plain(test.Sums), Variance: matrix(test.Variance),
		chiSquare: chiSquare{Number(test.ChiSq), test.DF, Number(test.P)}, Z: Number(math.NaN()), groupColumns: d.groupColumns(),
	}
	for _, each := range test.Scores {
		sum := 0.0
		for _, score := range each {
			sum += score
		}
		r.N = append(r.N, len(each))
		r.Sums = append(r.Sums, Number(sum))
	}
	if len(groups) == 2 {
		r.Z = Number(test.Sums[0] / math.Sqrt(test.Variance[0][0]))
	}
	next := make([]int, len(groups))
	for _, g := range d.Groups.Of {
		r.Scores = append(r.Scores, Number(test.Scores[g][next[g]]))
		next[g]++
	}
	return r, nil
}
