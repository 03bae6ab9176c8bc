package aft

import (
	"errors"
	"fmt"
	"math"

	"beadspan/stats/survival"
)

// FitCheck holds a model against the Turnbull estimate of the same spans.
type FitCheck struct {
	// Points are for a probability plot: draw Score against the logarithm of
	// Time; the model is the straight line through slope 1/σ.
	Points []PlotPoint
	// Distance is the largest vertical distance between the model's S and what
	// the Turnbull estimate allows S to be, at AtTime. It measures misfit and is
	// no test: part of it is chance, about 1/√n with n exactly known ends.
	Distance, AtTime float64
}

// PlotPoint is an end of an innermost interval.
type PlotPoint struct {
	Time     float64
	Survival float64 // Turnbull estimate from Time on
	Model    float64 // the model's S at Time
	Score    float64 // the w with P(W > w) = Survival
}

// CheckFit compares the shape of the model's distribution with the Turnbull
// estimate. Every span is first carried over to the life l, with covariates and
// stratum such as the plot is to be for,
//
//	t* = exp(η_l + σ_l (log t − x'b)/σ)
//
// so that all are samples of one distribution if the model holds; without
// covariates or strata t* = t. Where the Turnbull estimate has S flat, the
// distance is |Ŝ − S|; inside an innermost interval it knows only bounds of S,
// and as the model's S falls from end to end, the ends tell all. Points are
// those ends at which Ŝ lies within (0, 1). With delayed entry both curves are
// given that the life outlasts the first entry.
//
// An l that does not fit the model is an error that says so; so is what
// survival.Turnbull returns.
//
// Source: probability plots of residuals: Lawless, Statistical Models and
// Methods for Lifetime Data (2nd ed. 2003), sections 3.3 and 6.2; the distance
// is Kolmogorov's (from memory).
func (m *Model) CheckFit(l Life) (*FitCheck, error) {
	if err := m.fits(l); err != nil {
		return nil, fmt.Errorf("check fit: %w", err)
	}
	spans, first := m.carried(l)
	curve, err := survival.Turnbull(spans)
	if err != nil {
		return nil, fmt.Errorf("check fit: %w", err)
	}
	given := 1.0
	if first > 0 {
		given = m.Distribution.survival(m.standardised(l, first))
	}
	if given == 0 {
		return nil, errors.New("check fit: under the model no life outlasts the first entry")
	}
	c := &FitCheck{AtTime: math.NaN()}
	before := 1.0
	for _, v := range curve.Intervals {
		if v.Mass <= 0 {
			continue
		}
		c.add(m, l, v.Lower, before, given)
		if !math.IsInf(v.Upper, 1) {
			c.add(m, l, v.Upper, v.After, given)
		}
		before = v.After
	}
	return c, nil
}

// carried returns the spans carried over to l, and the earliest entry.
func (m *Model) carried(l Life) (spans []survival.Span, first float64) {
	s := m.sample
	σ := s.sigmas(m.parameters())
	first = math.Inf(1)
	for i, o := range s.seen {
		η := 0.0
		for j, x := range s.row(i) {
			η += x * m.Coefficients[j]
		}
		carry := func(log float64) float64 {
			return math.Exp(m.predictor(l) + m.sigma(l)*(log-η)/σ[o.stratum])
		}
		span := survival.Span{Weight: o.weight}
		switch o.kind {
		case exact:
			span.Lower = carry(o.time)
			span.Upper = span.Lower
		case rightCensored:
			span.Lower, span.Upper = carry(o.time), math.Inf(1)
		case leftCensored:
			span.Upper = carry(o.time)
		case between:
			span.Lower, span.Upper = carry(o.time), carry(o.time+o.width)
		}
		if o.late {
			span.Entry = min(carry(o.entry), span.Lower)
		}
		first = min(first, span.Entry)
		spans = append(spans, span)
	}
	return spans, first
}

// add takes in that the Turnbull estimate is s at time t.
func (c *FitCheck) add(m *Model, l Life, t, s, given float64) {
	p := PlotPoint{Time: t, Survival: s, Model: 1, Score: m.Distribution.above(s * given)}
	if t > 0 {
		p.Model = min(1, m.Distribution.survival(m.standardised(l, t))/given)
	}
	if d := math.Abs(p.Model - s); !(d <= c.Distance) || math.IsNaN(c.AtTime) {
		c.Distance, c.AtTime = d, t
	}
	if s > 0 && s < 1 {
		c.Points = append(c.Points, p)
	}
}
