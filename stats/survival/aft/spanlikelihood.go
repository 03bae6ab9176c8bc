package aft

import (
	"fmt"

	"beadspan/stats/survival"
)

// LogLikelihood is what one span of a life like l counts in the log-likelihood,
// on the scale of time as in Model.LogLik, with the span's weight. It lets a
// life be judged whose own effect isn't in the model, by its Shift.
//
// An impossible span, or one that ended at time 0, is a *survival.SpanError; an
// l that does not fit the model an error that says so.
func (e *Estimate) LogLikelihood(l Life, span survival.Span) (float64, error) {
	if err := e.fits(l); err != nil {
		return 0, fmt.Errorf("log-likelihood of a span: %w", err)
	}
	if err := survival.Validate([]survival.Span{span}); err != nil {
		return 0, fmt.Errorf("log-likelihood of a span: %w", err)
	}
	if span.Upper == 0 {
		return 0, fmt.Errorf("log-likelihood of a span: %w",
			&survival.SpanError{Span: span, Reason: "an end at time 0 has no logarithm: say until when it may have lasted"})
	}
	o := observe(span)
	if o.kind == rightCensored && (span.Lower == 0 || span.Lower == span.Entry) {
		return 0, nil
	}
	return o.weight * o.contribution(e.Distribution, e.predictor(l), e.sigma(l)).logLik, nil
}
