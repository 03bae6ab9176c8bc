package calc

import (
	"math"
	"slices"

	"beadspan/stats/survival"
)

// ScoreNames are the names of scores that interval-censored lives can be
// compared by.
func ScoreNames() []string { return []string{"sun", "finkelstein", "wmw"} }

// scoring finds a kind of scores by its name, which must be one of ScoreNames.
func scoring(name string) survival.Scores {
	return []survival.Scores{survival.Sun, survival.Finkelstein, survival.Wilcoxon}[slices.Index(ScoreNames(), name)]
}

// ScoreTestResult compares groups of lives whose ends are known to intervals.
type ScoreTestResult struct {
	Source
	Scoring  string    `json:"scores"`
	Strata   int       `json:"strata"`
	Groups   []string  `json:"groups"`
	N        []int     `json:"n"`
	Sums     Numbers   `json:"score_sum"`
	Centred  Numbers   `json:"centred_score_sum"`
	Variance []Numbers `json:"permutation_variance"`
	comparison
	Z      Number  `json:"z_first_group"`
	Scores Numbers `json:"row_scores"`

	groupColumns string
}

// ScoreTest compares the groups of the data, within strata if there are any.
func ScoreTest(d *Data, o CompareOptions) (*ScoreTestResult, error) {
	kind, strata := scoring(o.Scores), d.strata()
	k := len(d.Groups.Names)
	r := &ScoreTestResult{
		Source: d.Source, Scoring: o.Scores, Strata: len(strata), Groups: d.Groups.Names, N: d.groupSizes(),
		Sums: unknown(k), Centred: unknown(k), Variance: unknownMatrix(k), Scores: unknown(len(d.Spans)),
		comparison: noComparison(), Z: Number(math.NaN()), groupColumns: d.groupColumns(),
	}
	test, err := survival.StratifiedScoreTest(kind, strata...)
	if open, err := d.compared(&r.Source, err); open {
		return r, err
	}
	r.Centred, r.Variance = plain(test.Sums), matrix(test.Variance)
	r.chiSquare = chiSquare{Number(test.ChiSq), test.DF, Number(test.P)}
	r.score(d, test.Scores)
	if len(r.Groups) == 2 {
		r.Z = Number(test.Sums[0] / math.Sqrt(test.Variance[0][0]))
	}
	return r, r.further(o, r.Groups, test.Trend, func() ([]survival.Pair, error) { return scoreTestPairs(kind, strata) })
}

// score adds the scores up by group and puts them in the order of the file.
// They come by group, and within each stratum after stratum.
func (r *ScoreTestResult) score(d *Data, scores [][]float64) {
	for g, each := range scores {
		r.Sums[g] = 0
		for _, score := range each {
			r.Sums[g] += Number(score)
		}
	}
	next := make([]int, len(scores))
	for stratum := range r.Strata {
		for i, g := range d.Groups.Of {
			if d.Strata == nil || d.Strata.Of[i] == stratum {
				r.Scores[i] = Number(scores[g][next[g]])
				next[g]++
			}
		}
	}
}

func scoreTestPairs(kind survival.Scores, strata [][][]survival.Span) ([]survival.Pair, error) {
	return survival.Pairwise(len(strata[0]), func(a, b int) (chiSq, p float64, err error) {
		two := make([][][]survival.Span, len(strata))
		for s, groups := range strata {
			two[s] = [][]survival.Span{groups[a], groups[b]}
		}
		test, err := survival.StratifiedScoreTest(kind, two...)
		if err != nil {
			return 0, 0, err
		}
		return test.ChiSq, test.P, nil
	})
}
