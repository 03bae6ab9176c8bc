package survival

import (
	"fmt"
	"math"
	"sort"
)

// Scores are ways to rate how early a life ended. With S the pooled Turnbull
// estimate, a at the span's lower end (just before an exact point) and b at its
// upper, each divided by S at a delayed entry, a life scores
type Scores int

const (
	// Finkelstein is (a log a − b log b)/(a − b): the score of a proportional
	// hazards model. Finkelstein, Biometrics 42 (1986) 845–854.
	Finkelstein Scores = iota
	// Sun is Finkelstein's with −∑ pₖ/Sₖ₋₁, the sum of discrete hazards, for log S;
	// on exact and right-censored spans it leads to the log-rank statistic. Sun,
	// Statistics in Medicine 15 (1996) 1387–1395.
	Sun
	// Wilcoxon is a + b − 1: weighs early ends more. Fay, Biometrics 52 (1996)
	// 811–822 (from memory).
	Wilcoxon
)

// ScoreResult compares the survival of groups of censored spans.
type ScoreResult struct {
	Scores   [][]float64 // of each life, by group, as given; positive is early
	Sums     []float64   // of Scores less their overall mean, by group: positive means shorter lives
	Variance [][]float64 // of Sums, were the lives dealt to the groups at random
	ChiSq    float64
	DF       int
	P        float64 // of a ChiSq this large or larger, were all groups alike
}

// ScoreTest tests whether groups of spans of any kind have the same survival.
// Each life gets a score c from the estimate of all groups together; the test
// compares the groups' sums with how they would vary if lives were dealt to
// groups at random:
//
//	uᵍ = ∑ (cᵢ − c̄) over group g
//	vᵍʰ = ∑ (cᵢ − c̄)²/(n − 1) · (nᵍ [g = h] − nᵍ nʰ/n)
//	χ² = uᵀ v⁻ u  on one fewer degrees of freedom than groups
//
// P is that of large groups. It takes visits, drop-out and entries to be alike
// in all groups: a group that is visited more often, or enrolled later, can
// look different though it is not. For lives that share clusters P is too
// small.
//
// A group without spans is ErrNoSpans; an impossible span, or a late entrant
// after all others are known to have ended, a *SpanError, both wrapped with the
// group's position; fewer than two groups, or scores all alike, ErrIncomparable.
//
// Source: Fay and Shaw, J. Stat. Softw. 36(2) (2010), for the permutation form.
func ScoreTest(groups [][]Span, scores Scores) (*ScoreResult, error) {
	spans, group, err := pooled(groups, Validate)
	if err != nil {
		return nil, fmt.Errorf("score test: %w", err)
	}
	curve, err := turnbull(telling(spans))
	if err != nil {
		return nil, fmt.Errorf("score test: %w", err)
	}
	each := make([]float64, len(spans))
	rater := newRater(curve, scores)
	for i, s := range spans {
		each[i] = rater.score(s)
		if math.IsNaN(each[i]) {
			return nil, fmt.Errorf("score test: group %d: %w", group[i], &SpanError{Index: within(group, i), Span: s,
				Reason: "entered when all that entered before had ended: test from a later start"})
		}
	}
	r := &ScoreResult{Scores: split(each, group, len(groups))}
	r.sum(each, group)
	if r.ChiSq, r.DF, r.P, err = chiSquare(r.Sums, r.Variance); err != nil {
		return nil, fmt.Errorf("score test: %w", err)
	}
	return r, nil
}

// within is the position of pooled span i in its own group.
func within(group []int, i int) (position int) {
	for _, g := range group[:i] {
		if g == group[i] {
			position++
		}
	}
	return position
}

// sum computes the groups' centred sums and their permutation covariance.
func (r *ScoreResult) sum(each []float64, group []int) {
	k, n := len(r.Scores), float64(len(each))
	mean := 0.0
	for _, c := range each {
		mean += c / n
	}
	r.Sums, r.Variance = make([]float64, k), squareMatrix(k)
	squares := 0.0
	for i, c := range each {
		r.Sums[group[i]] += c - mean
		squares += (c - mean) * (c - mean)
	}
	for g := range k {
		share := float64(len(r.Scores[g]))
		r.Variance[g][g] += squares / (n - 1) * share
		for h := range k {
			r.Variance[g][h] -= squares / (n - 1) * share * float64(len(r.Scores[h])) / n
		}
	}
}

// rater scores lives by an estimate.
type rater struct {
	curve  *IntervalCurve
	scores Scores
	hazard []float64 // sum of discrete hazards before each interval
}

func newRater(curve *IntervalCurve, scores Scores) rater {
	r := rater{curve: curve, scores: scores, hazard: make([]float64, len(curve.Intervals)+1)}
	for k, v := range curve.Intervals {
		r.hazard[k+1] = r.hazard[k]
		if v.Mass > 0 {
			r.hazard[k+1] += v.Mass / curve.reaching(k)
		}
	}
	return r
}

// score rates one life; NaN where S is 0 at its entry.
func (r rater) score(s Span) float64 {
	if s.saysNothing() {
		return 0
	}
	from := r.passed(s.Entry, false)
	if s.Entry == 0 {
		from = 0
	}
	lower, upper := r.passed(s.Lower, s.exact()), r.passed(s.Upper, false)
	entered := r.curve.reaching(from)
	a, b := r.curve.reaching(lower)/entered, r.curve.reaching(upper)/entered
	if s.rightCensored() {
		b = 0
	}
	switch r.scores {
	case Wilcoxon:
		return a + b - 1
	case Sun:
		return (b*(r.hazard[upper]-r.hazard[from]) - a*(r.hazard[lower]-r.hazard[from])) / (a - b)
	default: // Finkelstein
		return (xLogX(a) - xLogX(b)) / (a - b)
	}
}

// passed counts the intervals that lie wholly up to t; wholly before it where
// short.
func (r rater) passed(t float64, short bool) int {
	return sort.Search(len(r.curve.Intervals), func(j int) bool {
		upper := r.curve.Intervals[j].Upper
		return upper > t || short && upper == t
	})
}

// xLogX is x log x, continued by 0 at 0.
func xLogX(x float64) float64 {
	if x == 0 {
		return 0
	}
	return x * math.Log(x)
}
