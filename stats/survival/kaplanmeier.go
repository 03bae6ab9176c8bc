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
// (1.5e-8 of the mean time) are one.
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
	risk := newRiskSet(spans)
	c := &Curve{N: len(spans), Level: level, entries: risk.entries, exits: make([]float64, len(spans))}
	for i, e := range risk.ends {
		c.exits[i] = e.time
	}
	c.walk(risk)
	return c.WithScale(LogLog), nil
}

// walk writes one Step for each time at which something was last seen.
func (c *Curve) walk(risk *riskSet) {
	survival, variance := 1.0, 0.0 // variance of log S
	for _, t := range slices.Compact(slices.Clone(c.exits)) {
		s := Step{Time: t, SE: math.NaN()}
		s.AtRisk, s.Events, s.Censored = risk.at(t)
		if n, d := float64(s.AtRisk), float64(s.Events); d > 0 {
			survival *= (n - d) / n
			variance += d / (n * (n - d)) // +Inf when all at risk end
		}
		c.Events += s.Events
		s.Survival = survival
		if survival > 0 {
			s.SE = survival * math.Sqrt(variance)
		}
		c.Steps = append(c.Steps, s)
	}
}

// AtRisk counts the lives at risk at t: watched since before t, and neither
// ended nor censored before t.
func (c *Curve) AtRisk(t float64) int {
	came := sort.Search(len(c.entries), func(i int) bool { return !entered(c.entries[i], t) })
	return came - sort.SearchFloat64s(c.exits, t)
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

// exactSpans is mergedSpans for methods of exact and right-censored lives.
func exactSpans(spans []Span) ([]Span, error) {
	if err := validateExact(spans); err != nil {
		return nil, err
	}
	return mergedSpans(spans)
}
