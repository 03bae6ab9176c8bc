package survival

import (
	"fmt"
	"math"
)

// KaplanMeier estimates S(t) = P(life > t) from spans that are exact or
// right-censored:
//
//	Ŝ(t) = ∏ (1 − dᵢ/nᵢ)  over times tᵢ ≤ t
//
// dᵢ lives ended at tᵢ out of the nᵢ at risk: those with Entry < tᵢ that had
// neither ended nor been censored before tᵢ. A life censored at tᵢ counts in
// nᵢ: it outlived the ends of that time. Times that differ by rounding only
// (1.5e-8 of the mean time) are one. A span of weight w counts as w lives, in
// the standard error too.
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
// For strata, call it once for each.
//
// spans may come in any order and are not modified. No spans is ErrNoSpans, a
// bad level ErrLevel, a span that is impossible or known only to an interval a
// *SpanError.
//
// Source: Kaplan and Meier, J. Am. Stat. Assoc. 53 (1958) 457–481; Kalbfleisch
// and Prentice, The Statistical Analysis of Failure Time Data (2nd ed. 2002),
// chapter 1, for the limits.
func KaplanMeier(spans []Span, level float64) (*Curve, error) {
	c, err := productLimit(spans, level)
	if err != nil {
		return nil, fmt.Errorf("kaplan-meier: %w", err)
	}
	return c, nil
}

func productLimit(spans []Span, level float64) (*Curve, error) {
	c, _, err := counted(spans, level)
	if err != nil {
		return nil, err
	}
	survival, variance := 1.0, 0.0 // variance of log S
	for i := range c.Steps {
		s := &c.Steps[i]
		if n, d := s.AtRisk, s.Events; d > 0 {
			survival *= (n - d) / n
			variance += d / (n * (n - d)) // +Inf when all at risk end
		}
		s.Survival, s.SE = survival, math.NaN()
		if survival > 0 {
			s.SE = survival * math.Sqrt(variance)
		}
	}
	c.limit(c.Steps)
	return c, nil
}
