package survival

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// Curve is an estimate of S(t) = P(life > t) that falls at the times at which
// lives ended.
type Curve struct {
	N      int     // lives
	Events int     // lives that ended
	Level  float64 // confidence level of the limits
	Scale  Scale   // scale on which the limits are symmetric
	Steps  []Step  // one for each time at which a life ended or was censored, in order

	entries, exits []float64 // sorted, for counts at any time
}

// Step is the estimate from its Time up to, not including, the next one's.
type Step struct {
	Time         float64
	AtRisk       int     // lives watched and holding just before Time
	Events       int     // lives that ended at Time
	Censored     int     // lives last seen at Time; they outlived its events
	Survival     float64 // S(Time)
	SE           float64 // Greenwood's, of Survival; NaN once Survival is 0
	Lower, Upper float64 // limits of Survival; NaN where Curve.Scale does not define them
}

// KaplanMeier estimates S(t) = P(life > t) from spans that are exact or
// right-censored:
//
//	Ŝ(t) = ∏ (1 − dᵢ/nᵢ)  over times tᵢ ≤ t
//
// dᵢ lives ended at tᵢ out of the nᵢ at risk: those with Entry < tᵢ that had
// neither ended nor been censored before tᵢ. A life censored at tᵢ counts in
// nᵢ: it outlived the ends of that time. Times that differ by rounding only
// (1.5e-8, absolutely or relative to the mean time) are one.
//
// The standard error is Greenwood's,
//
//	SE² = Ŝ² ∑ dᵢ / (nᵢ(nᵢ − dᵢ))
//
// and the limits at the confidence level (between 0 and 1) are pointwise and
// symmetric on the scale log(−log S); Curve.WithScale offers others. They treat
// the lives as independent: for lives that share clusters they are too narrow.
//
// With delayed entry Ŝ is conditional on outliving the first entry. Early on,
// when few have entered, the risk set can die out; Ŝ is then 0 for good,
// whatever later entrants show: condition on a later start instead.
//
// spans may come in any order and are not modified. No spans is ErrNoSpans, a
// bad level ErrLevel, a span that is impossible or known only to an interval a
// *SpanError.
//
// Source: Kaplan and Meier, J. Am. Stat. Assoc. 53 (1958) 457–481; Kalbfleisch
// and Prentice, The Statistical Analysis of Failure Time Data (2nd ed. 2002),
// chapter 1, for the limits.
func KaplanMeier(spans []Span, level float64) (*Curve, error) {
	if err := validLevel(level); err != nil {
		return nil, fmt.Errorf("kaplan-meier: %w", err)
	}
	spans, err := exactSpans(spans)
	if err != nil {
		return nil, fmt.Errorf("kaplan-meier: %w", err)
	}
	c := &Curve{N: len(spans), Level: level}
	c.entries = sortedEntries(spans)
	ends := sortedEnds(spans)
	c.exits = make([]float64, len(ends))
	for i, e := range ends {
		c.exits[i] = e.time
	}
	c.step(ends)
	return c.WithScale(LogLog), nil
}

// step walks through the ends in order and writes one Step for each time.
func (c *Curve) step(ends []end) {
	survival, variance := 1.0, 0.0 // variance of log S
	for i := 0; i < len(ends); {
		s := Step{Time: ends[i].time, AtRisk: c.AtRisk(ends[i].time)}
		for ; i < len(ends) && ends[i].time == s.Time; i++ {
			if ends[i].event {
				s.Events++
			} else {
				s.Censored++
			}
		}
		n, d := float64(s.AtRisk), float64(s.Events)
		if s.Events > 0 {
			survival *= (n - d) / n
			variance += d / (n * (n - d)) // +Inf when all at risk end
		}
		c.Events += s.Events
		s.Survival = survival
		s.SE = math.NaN()
		if survival > 0 {
			s.SE = survival * math.Sqrt(variance)
		}
		c.Steps = append(c.Steps, s)
	}
}

// AtRisk counts the lives at risk at t: watched since before t, and neither
// ended nor censored before t.
func (c *Curve) AtRisk(t float64) int {
	// Entry 0 is "from the start", so those lives are at risk at time 0 too.
	entered := sort.Search(len(c.entries), func(i int) bool { return c.entries[i] > 0 && c.entries[i] >= t })
	left := sort.SearchFloat64s(c.exits, t)
	return entered - left
}

// At returns the estimate at time t: the Step in force, with Time t, no events
// of its own and the number at risk at t. Before the first Step, S is 1. Past
// the last Time nothing is known unless S has reached 0: Survival, SE and
// limits are NaN.
func (c *Curve) At(t float64) Step {
	at := Step{Time: t, AtRisk: c.AtRisk(t), Survival: 1}
	at.Lower, at.Upper = c.Scale.limits(1, 0, normalQuantile(c.Level))
	next := sort.Search(len(c.Steps), func(i int) bool { return c.Steps[i].Time > t })
	if next > 0 {
		s := c.Steps[next-1]
		at.Survival, at.SE, at.Lower, at.Upper = s.Survival, s.SE, s.Lower, s.Upper
		if next == len(c.Steps) && t > s.Time && s.Survival > 0 {
			at.Survival, at.SE, at.Lower, at.Upper = math.NaN(), math.NaN(), math.NaN(), math.NaN()
		}
	}
	return at
}

// end is the last that was seen of a life.
type end struct {
	time  float64
	event bool
}

// exactSpans is mergedSpans for methods of exact and right-censored lives.
func exactSpans(spans []Span) ([]Span, error) {
	if err := validateExact(spans); err != nil {
		return nil, err
	}
	return mergedSpans(spans)
}

func sortedEntries(spans []Span) []float64 {
	entries := make([]float64, len(spans))
	for i, s := range spans {
		entries[i] = s.Entry
	}
	slices.Sort(entries)
	return entries
}

func sortedEnds(spans []Span) []end {
	ends := make([]end, len(spans))
	for i, s := range spans {
		ends[i] = end{time: s.Lower, event: s.exact()}
	}
	slices.SortFunc(ends, func(a, b end) int {
		if a.time < b.time {
			return -1
		}
		if a.time > b.time {
			return 1
		}
		return 0
	})
	return ends
}
