package survival

import "fmt"

// LogRankResult compares the survival of groups.
type LogRankResult struct {
	Observed []float64   // lives that ended, by group
	Expected []float64   // lives that would have, were all groups alike
	Sums     []float64   // of weight · (observed − expected), by group: positive means shorter lives
	Variance [][]float64 // covariance of Sums, were all groups alike
	ChiSq    float64
	DF       int
	P        float64 // of a ChiSq this large or larger, were all groups alike
}

// LogRank tests whether groups of exact and right-censored spans, with or
// without delayed entry, have the same survival, against any difference that
// does not change direction over time. It is WeightedLogRank with equal weights
// and one stratum.
func LogRank(groups [][]Span) (*LogRankResult, error) {
	return WeightedLogRank(nil, groups)
}

// WeightedLogRank tests whether groups of exact and right-censored spans, with
// or without delayed entry, have the same survival within strata, against
// differences that do not change direction over time or between strata.
// strata[s][g] are the lives of group g in stratum s. At each time t at which
// lives end, stratum by stratum,
//
//	eᵍ = d nᵍ/n,  vᵍʰ = d (n − d)/(n − 1) nᵍ/n ([g = h] − nʰ/n)
//
// d lives ended of the n at risk, dᵍ of the nᵍ of group g. With w(t) the weight,
// 1 everywhere if weight is nil,
//
//	uᵍ = ∑ w (dᵍ − eᵍ),  Vᵍʰ = ∑ w² vᵍʰ,  χ² = uᵀ V⁻ u
//
// over all times and strata. Observed and Expected are ∑ dᵍ and ∑ eᵍ without
// weights. For many lives that end independently χ² has the χ² distribution on
// one fewer degrees of freedom than groups (fewer where groups are never at
// risk together). For lives that share clusters P is too small: use
// ClusterTest. Times that differ by rounding only are one.
//
// A span's Weight counts it as that many lives, and must be whole: P supposes
// that each of them ended on its own.
//
// A group without spans in any stratum is ErrNoSpans; an impossible span, one
// known only to an interval or one whose weight is not whole a *SpanError, both
// wrapped with the group's position; fewer than two groups, strata of different
// numbers of groups, or groups never at risk together, ErrIncomparable. For
// interval-censored spans use ScoreTest.
//
// Source: Mantel, Cancer Chemother. Rep. 50 (1966) 163–170; Peto and Peto, J.
// R. Stat. Soc. A 135 (1972) 185–207.
func WeightedLogRank(weight RankWeight, strata ...[][]Span) (*LogRankResult, error) {
	r, err := newLogRank(weight, strata)
	if err != nil {
		return nil, fmt.Errorf("log-rank: %w", err)
	}
	if r.ChiSq, r.DF, r.P, err = chiSquare(r.Sums, r.Variance); err != nil {
		return nil, fmt.Errorf("log-rank: %w", err)
	}
	return r, nil
}

// Trend tests against survival that rises or falls with the scores given for the
// groups; see Trend for formula and errors.
func (r *LogRankResult) Trend(scores []float64) (*Trend, error) {
	return newTrend(r.Sums, r.Variance, scores)
}

func newLogRank(weight RankWeight, strata [][][]Span) (*LogRankResult, error) {
	k, err := groupsOf(strata)
	if err != nil {
		return nil, err
	}
	if weight == nil {
		weight = func(RankPoint) float64 { return 1 }
	}
	r := &LogRankResult{Observed: make([]float64, k), Expected: make([]float64, k),
		Sums: make([]float64, k), Variance: squareMatrix(k)}
	for s, groups := range strata {
		race, err := newRace(groups)
		if err != nil {
			if len(strata) > 1 {
				err = fmt.Errorf("stratum %d: %w", s, err)
			}
			return nil, err
		}
		r.add(race, weight)
	}
	return r, nil
}

// groupsOf checks that all strata have the same two or more groups and that
// each of these has a life somewhere.
func groupsOf(strata [][][]Span) (groups int, err error) {
	if len(strata) > 0 {
		groups = len(strata[0])
	}
	if groups < 2 {
		return 0, fmt.Errorf("%w: there must be two or more, got %d", ErrIncomparable, groups)
	}
	lives := make([]int, groups)
	for s, stratum := range strata {
		if len(stratum) != groups {
			return 0, fmt.Errorf("%w: stratum %d has %d groups, the first has %d", ErrIncomparable, s, len(stratum), groups)
		}
		for g, members := range stratum {
			lives[g] += len(members)
		}
	}
	for g, n := range lives {
		if n == 0 {
			return 0, fmt.Errorf("group %d: %w", g, ErrNoSpans)
		}
	}
	return groups, nil
}

// add adds what a stratum says.
func (r *LogRankResult) add(race race, weight RankWeight) {
	p := RankPoint{Before: 1, Modified: 1}
	atRisk := make([]float64, len(race))
	for {
		time, more := race.next()
		if !more {
			return
		}
		n, d := 0.0, 0.0
		for _, group := range race {
			n += group.atRisk
			d += group.ended
		}
		if d == 0 {
			continue
		}
		p.Time, p.AtRisk, p.Events = time, n, d
		p.Modified *= 1 - d/(n+1)
		w := weight(p)
		p.Before *= 1 - d/n

		spread := 0.0 // where one life is at risk there is nothing to compare
		if n > 1 {
			spread = w * w * d * (n - d) / (n - 1)
		}
		for g, group := range race {
			atRisk[g] = group.atRisk
			expected := d * group.atRisk / n
			r.Observed[g] += group.ended
			r.Expected[g] += expected
			r.Sums[g] += w * (group.ended - expected)
		}
		addDeal(r.Variance, spread/n, atRisk)
	}
}
