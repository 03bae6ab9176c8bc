package survival

import (
	"fmt"
	"slices"
)

// LogRankResult compares the survival of groups.
type LogRankResult struct {
	Observed []float64   // lives that ended, by group
	Expected []float64   // lives that would have, were all groups alike
	Variance [][]float64 // covariance of Observed − Expected
	ChiSq    float64
	DF       int
	P        float64 // of a ChiSq this large or larger, were all groups alike
}

// LogRank tests whether groups of exact and right-censored spans, with or
// without delayed entry, have the same survival, against any difference that
// does not change direction over time. At each time t at which lives end,
//
//	eᵍ = d nᵍ/n,  vᵍʰ = d (n − d)/(n − 1) nᵍ/n ([g = h] − nʰ/n)
//
// d lives ended of the n at risk, nᵍ of group g. Sums over t give Expected and
// Variance, and
//
//	χ² = (O − E)ᵀ V⁻ (O − E)
//
// has, for many lives that end independently, the χ² distribution on one fewer
// degrees of freedom than groups (fewer where groups are never at risk
// together). For lives that share clusters P is too small. Times that differ by
// rounding only are one.
//
// A group without spans is ErrNoSpans; an impossible span or one known only to
// an interval is a *SpanError, both wrapped with the group's position; fewer
// than two groups, or groups never at risk together, ErrIncomparable. For
// interval-censored spans use ScoreTest.
//
// Source: Mantel, Cancer Chemother. Rep. 50 (1966) 163–170; Peto and Peto, J.
// R. Stat. Soc. A 135 (1972) 185–207.
func LogRank(groups [][]Span) (*LogRankResult, error) {
	spans, group, err := pooled(groups, validateExact)
	if err != nil {
		return nil, fmt.Errorf("log-rank: %w", err)
	}
	k := len(groups)
	sets := make([]*riskSet, k)
	for g, members := range split(spans, group, k) {
		sets[g] = newRiskSet(members)
	}
	r := &LogRankResult{Observed: make([]float64, k), Expected: make([]float64, k), Variance: squareMatrix(k)}
	for _, t := range eventTimes(spans) {
		r.add(sets, t)
	}
	difference := make([]float64, k)
	for g := range difference {
		difference[g] = r.Observed[g] - r.Expected[g]
	}
	if r.ChiSq, r.DF, r.P, err = chiSquare(difference, r.Variance); err != nil {
		return nil, fmt.Errorf("log-rank: %w", err)
	}
	return r, nil
}

// add adds what time t says.
func (r *LogRankResult) add(sets []*riskSet, t float64) {
	n, d := 0.0, 0.0
	ofGroup := make([]float64, len(sets))
	for g, set := range sets {
		atRisk, events, _ := set.at(t)
		ofGroup[g] = float64(atRisk)
		r.Observed[g] += float64(events)
		n += float64(atRisk)
		d += float64(events)
	}
	spread := 0.0 // where one life is at risk there is nothing to compare
	if n > 1 {
		spread = d * (n - d) / (n - 1)
	}
	for g := range sets {
		share := ofGroup[g] / n
		r.Expected[g] += d * share
		r.Variance[g][g] += spread * share
		for h := range sets {
			r.Variance[g][h] -= spread * share * ofGroup[h] / n
		}
	}
}

// eventTimes returns the times at which lives ended, in order, each once.
func eventTimes(spans []Span) []float64 {
	var times []float64
	for _, s := range spans {
		if s.exact() {
			times = append(times, s.Lower)
		}
	}
	slices.Sort(times)
	return slices.Compact(times)
}
