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

// ratings are the scores of groups of lives together.
type ratings struct {
	spans []Span // of all groups
	group []int  // of each span
	score []float64
}

// rate scores the lives of groups, of which some may be empty, by the estimate
// of all of them.
func rate(groups [][]Span, scores Scores) (*ratings, error) {
	spans, group, err := pooled(groups)
	if err != nil {
		return nil, err
	}
	curve, err := turnbull(telling(spans))
	if err != nil {
		return nil, err
	}
	r := &ratings{spans: spans, group: group, score: make([]float64, len(spans))}
	rater := newRater(curve, scores)
	for i, s := range spans {
		if r.score[i] = rater.score(s); math.IsNaN(r.score[i]) {
			return nil, fmt.Errorf("group %d: %w", group[i], &SpanError{Index: within(group, i), Span: s,
				Reason: "entered when all that entered before had ended: test from a later start"})
		}
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
