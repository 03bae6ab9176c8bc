package survival

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"
)

// ErrHorizon is returned for a time to count lives up to that is not above 0,
// or not the same for two means.
var ErrHorizon = errors.New("the time to count lives up to must be one time above 0")

// RestrictedMean is the mean of lives counted up to a time Tau at most: what a
// life has lasted on average by then. All of it is in the unit of time.
type RestrictedMean struct {
	Tau          float64
	Mean         float64 // NaN where Tau lies past what is known of S
	SE           float64
	Lower, Upper float64 // limits at Level; NaN where no life ended before Tau
	Level        float64
}

// RestrictedMean estimates the mean of min(life, tau), the area under the curve
// up to tau:
//
//	μ(τ) = ∫₀^τ Ŝ(t) dt,  SE² = ∑ A(tᵢ)² vᵢ,  A(t) = ∫ₜ^τ Ŝ(u) du
//
// over times tᵢ < τ at which lives ended; vᵢ is what tᵢ adds to the variance of
// log Ŝ, dᵢ/(nᵢ(nᵢ − dᵢ)) for Kaplan–Meier. Limits are μ ± z SE, cut to [0, τ].
// Where no life ended before τ, μ is τ and SE is 0, which is no certainty: there
// are no limits, and NobodyFailed is what can be said. With delayed entry μ
// supposes outliving the first entry.
//
// All is NaN where tau lies past the last time and Ŝ is not yet 0. A tau not
// above 0 is ErrHorizon.
//
// Source: Klein and Moeschberger, Survival Analysis (2nd ed. 2003), section 4.5
// (section from memory).
func (c *Curve) RestrictedMean(tau float64) (RestrictedMean, error) {
	if !(tau > 0) {
		return RestrictedMean{}, fmt.Errorf("restricted mean: %w: got %v", ErrHorizon, tau)
	}
	nan := math.NaN()
	m := RestrictedMean{Tau: tau, Mean: nan, SE: nan, Lower: nan, Upper: nan, Level: c.Level}
	if c.beyond(tau) {
		return m, nil
	}
	area, variance, to := 0.0, 0.0, tau
	before := sort.Search(len(c.Steps), func(i int) bool { return c.Steps[i].Time >= tau })
	for i := before - 1; i >= 0; i-- {
		s := c.Steps[i]
		if s.Survival > 0 { // else there is no area, nor a variance
			area += s.Survival * (to - s.Time)
			variance += area * area * (c.logVariance(i) - c.logVariance(i-1))
		}
		to = s.Time
	}
	m.Mean, m.SE = area+to, math.Sqrt(variance)
	if m.SE > 0 {
		z := normalQuantile(c.Level)
		m.Lower, m.Upper = max(0, m.Mean-z*m.SE), min(tau, m.Mean+z*m.SE)
	}
	return m, nil
}

// logVariance is the variance of log Ŝ from step i on; before the first it is 0.
func (c *Curve) logVariance(i int) float64 {
	if i < 0 {
		return 0
	}
	ratio := c.Steps[i].SE / c.Steps[i].Survival
	return ratio * ratio
}

// MeanDifference compares restricted means. It is in the unit of time.
type MeanDifference struct {
	Difference   float64
	SE           float64
	Lower, Upper float64 // limits at the level of the means
	Z            float64 // Difference/SE
	P            float64 // two-sided, of a Z this far from 0 were the means alike
}

// Less returns by how much m lies above other, for two groups of lives that are
// independent of each other:
//
//	δ = μ₁ − μ₂,  SE² = SE₁² + SE₂²,  limits δ ± z SE
//
// Unlike a hazard ratio it supposes no particular way in which the groups
// differ. Lives of the two groups that share clusters are not independent: where
// they end alike, SE is too large. What is NaN in either mean makes all NaN, as
// does an SE of 0.
//
// Means up to different times, or at different levels, are ErrHorizon and
// ErrLevel.
//
// Source: Royston and Parmar, BMC Med. Res. Methodol. 13 (2013) 152.
func (m RestrictedMean) Less(other RestrictedMean) (MeanDifference, error) {
	if m.Tau != other.Tau {
		return MeanDifference{}, fmt.Errorf("difference of means: %w: got %v and %v", ErrHorizon, m.Tau, other.Tau)
	}
	if m.Level != other.Level {
		return MeanDifference{}, fmt.Errorf("difference of means: %w, one for both: got %v and %v", ErrLevel, m.Level, other.Level)
	}
	nan := math.NaN()
	d := MeanDifference{Difference: m.Mean - other.Mean, SE: nan, Lower: nan, Upper: nan, Z: nan, P: nan}
	if se := math.Hypot(m.SE, other.SE); se > 0 {
		half := normalQuantile(m.Level) * se
		d.SE, d.Lower, d.Upper = se, d.Difference-half, d.Difference+half
		d.Z = d.Difference / se
		d.P = 2 * distuv.UnitNormal.Survival(math.Abs(d.Z))
	}
	return d, nil
}
