package survival

import "fmt"

// ScoreResult compares the survival of groups of censored spans.
type ScoreResult struct {
	Scores   [][]float64 // of each life, by group, as given, stratum after stratum; positive is early
	Sums     []float64   // of Scores less their stratum's mean, by group: positive means shorter lives
	Variance [][]float64 // of Sums, were the lives dealt to the groups at random
	ChiSq    float64
	DF       int
	P        float64 // of a ChiSq this large or larger, were all groups alike
}

// ScoreTest tests whether groups of spans of any kind have the same survival.
// It is StratifiedScoreTest with one stratum.
func ScoreTest(groups [][]Span, scores Scores) (*ScoreResult, error) {
	return StratifiedScoreTest(scores, groups)
}

// StratifiedScoreTest tests whether groups of spans of any kind have the same
// survival within strata; strata[s][g] are the lives of group g in stratum s.
// Each life gets a score c from the estimate of all groups of its stratum
// together; the test compares the groups' sums with how they would vary if
// lives were dealt to groups at random within strata:
//
//	uᵍ = ∑ (cᵢ − c̄) over group g
//	vᵍʰ = ∑ (cᵢ − c̄)²/(n − 1) · (nᵍ [g = h] − nᵍ nʰ/n)
//	χ² = uᵀ v⁻ u  on one fewer degrees of freedom than groups
//
// with u and v added up over strata. P is that of large groups, or of many
// strata. It takes visits, drop-out and entries to be alike in all groups of a
// stratum: a group that is visited more often, or enrolled later, can look
// different though it is not. For lives that share clusters P is too small: use
// ClusterTest.
//
// A span's Weight counts it as that many lives, and must be whole: P supposes
// that each of them was dealt on its own.
//
// A group without spans in any stratum is ErrNoSpans; an impossible span, one
// whose weight is not whole, or a late entrant after all others are known to
// have ended, a *SpanError, both wrapped with the group's position; fewer than
// two groups, strata of different numbers of groups, or scores all alike,
// ErrIncomparable. An estimate that is given up on is a *ConvergenceError.
//
// Source: Fay and Shaw, J. Stat. Softw. 36(2) (2010), for the permutation form;
// Shih and Fay, Biometrics 55 (1999) 1156–1161, for dealing within strata.
func StratifiedScoreTest(scores Scores, strata ...[][]Span) (*ScoreResult, error) {
	r, err := newScoreResult(scores, strata)
	if err != nil {
		return nil, fmt.Errorf("score test: %w", err)
	}
	if r.ChiSq, r.DF, r.P, err = chiSquare(r.Sums, r.Variance); err != nil {
		return nil, fmt.Errorf("score test: %w", err)
	}
	return r, nil
}

// Trend tests against survival that rises or falls with the scores given for the
// groups; see Trend for formula and errors.
func (r *ScoreResult) Trend(scores []float64) (*Trend, error) {
	return newTrend(r.Sums, r.Variance, scores)
}

func newScoreResult(scores Scores, strata [][][]Span) (*ScoreResult, error) {
	k, err := groupsOf(strata)
	if err != nil {
		return nil, err
	}
	r := &ScoreResult{Scores: make([][]float64, k), Sums: make([]float64, k), Variance: squareMatrix(k)}
	for s, groups := range strata {
		rated, err := rateWhole(groups, scores)
		if err != nil {
			if len(strata) > 1 {
				err = fmt.Errorf("stratum %d: %w", s, err)
			}
			return nil, err
		}
		for i, c := range rated.score {
			g := rated.group[i]
			r.Scores[g] = append(r.Scores[g], c)
		}
		r.add(rated)
	}
	return r, nil
}

// rateWhole is rate for groups of whole lives.
func rateWhole(groups [][]Span, scores Scores) (*ratings, error) {
	for g, spans := range groups {
		if err := wholeWeights(spans); err != nil {
			return nil, fmt.Errorf("group %d: %w", g, err)
		}
	}
	return rate(groups, scores)
}

// add adds a stratum's centred sums and their permutation covariance.
func (r *ScoreResult) add(rated *ratings) {
	share := make([]float64, len(r.Sums)) // lives of each group
	n, mean := 0.0, 0.0
	for i, c := range rated.score {
		w := rated.spans[i].Lives()
		share[rated.group[i]] += w
		n += w
		mean += w * c
	}
	if n <= 1 { // nothing to deal
		return
	}
	mean /= n
	squares := 0.0
	for i, c := range rated.score {
		w, away := rated.spans[i].Lives(), less(c, mean)
		r.Sums[rated.group[i]] += w * away
		squares += w * away * away
	}
	addDeal(r.Variance, squares/(n-1), share)
}
