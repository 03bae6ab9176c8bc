package aft

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/stats/survival"
)

// TestSpanLikelihood: by hand, with S(t) = exp(−(t/10)²) of a Weibull with
// shape 2 and scale 10.
func TestSpanLikelihood(t *testing.T) {
	e := Estimate{Distribution: Weibull, Coefficients: []float64{math.Log(10)}, LogScale: []float64{math.Log(0.5)}}
	s := func(t float64) float64 { return math.Exp(-t * t / 100) }
	for name, c := range map[string]struct {
		span survival.Span
		want float64
	}{
		"exact":           {survival.Exact(6), math.Log(2 * 6 / 100.0 * s(6))},
		"right-censored":  {survival.RightCensored(6), math.Log(s(6))},
		"left-censored":   {survival.LeftCensored(6), math.Log(1 - s(6))},
		"interval":        {survival.Between(3, 6), math.Log(s(3) - s(6))},
		"late":            {survival.Between(3, 6).EnteredAt(2), math.Log((s(3) - s(6)) / s(2))},
		"two lives":       {survival.RightCensored(6).Weighing(2), 2 * math.Log(s(6))},
		"never watched":   {survival.RightCensored(0), 0},
		"left at arrival": {survival.RightCensored(6).EnteredAt(6), 0},
	} {
		got, err := e.LogLikelihood(Life{X: []float64{1}}, c.span)
		require.NoError(t, err, name)
		assert.InDelta(t, c.want, got, 1e-12, name)
	}
	// A life e^0.3 times as long is as likely as one with times as much shorter.
	shifted, err := e.LogLikelihood(Life{X: []float64{1}, Shift: 0.3}, survival.Between(3, 6))
	require.NoError(t, err)
	assert.InDelta(t, math.Log(s(3*math.Exp(-0.3))-s(6*math.Exp(-0.3))), shifted, 1e-12)

	for _, bad := range []survival.Span{survival.Between(6, 3), survival.Exact(0)} {
		_, err := e.LogLikelihood(Life{X: []float64{1}}, bad)
		var where *survival.SpanError
		assert.ErrorAs(t, err, &where)
	}
	_, err = e.LogLikelihood(Life{}, survival.Exact(6))
	assert.Error(t, err)
}
