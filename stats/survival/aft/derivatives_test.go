package aft_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"

	"beadspan/stats/survival"
	. "beadspan/stats/survival/aft"
)

// TestDerivatives holds gradient and second derivatives of every distribution ×
// kind of span × entry against central differences, and the height against the
// plain formula.
func TestDerivatives(t *testing.T) {
	kinds := map[string]survival.Span{
		"exact":         survival.Exact(3),
		"right":         survival.RightCensored(2.5),
		"left":          survival.LeftCensored(1.7),
		"interval":      survival.Between(1.2, 4),
		"late interval": survival.Between(5, 9),
		"narrow":        survival.Between(3, 3.0001),
	}
	design, err := NewDesign(1, Numeric("x", []float64{0.7}))
	require.NoError(t, err)
	for _, law := range Distributions() {
		for name, span := range kinds {
			for _, entry := range []float64{0, 1.1} {
				if name == "left" && entry > 0 {
					continue // would have been seen to hold
				}
				t.Run(fmt.Sprintf("%v/%s/%v", law, name, entry), func(t *testing.T) {
					span := span
					span.Entry, span.Weight = entry, 1.5
					data := Data{Spans: []survival.Span{span}, Design: design}
					θ := []float64{0.9, 0.4, math.Log(0.6)}
					if law == Exponential {
						θ = θ[:2]
					}
					differentiate(t, data, law, θ)
				})
			}
		}
	}
}

// TestDerivativesByStratum does the same with two σ.
func TestDerivativesByStratum(t *testing.T) {
	design, err := NewDesign(3, Factor("coating", []string{"A", "B", "B"}))
	require.NoError(t, err)
	data := Data{
		Spans:  []survival.Span{survival.Exact(3), survival.Between(1, 2), survival.RightCensored(4).EnteredAt(2)},
		Design: design, Strata: []int{0, 1, 1},
	}
	differentiate(t, data, LogNormal, []float64{1, -0.3, -0.2, 0.4})
}

func differentiate(t *testing.T, data Data, law Distribution, θ []float64) {
	height, gradient, second := LogLikelihood(data, law, θ)
	assert.InEpsilon(t, naiveLogLik(data, law, θ), height, 1e-8)
	value := func(θ []float64) float64 { h, _, _ := LogLikelihood(data, law, θ); return h }
	central := &fd.Settings{Formula: fd.Central}
	for j, want := range fd.Gradient(nil, value, θ, central) {
		assert.InDelta(t, want, gradient[j], 1e-6*(1+math.Abs(want)), "gradient %d", j)
		slope := func(θ []float64) float64 { _, g, _ := LogLikelihood(data, law, θ); return g[j] }
		for k, want := range fd.Gradient(nil, slope, θ, central) {
			// Narrow intervals leave the differences fewer digits.
			assert.InDelta(t, want, second.At(j, k), 1e-5*(1+math.Abs(want)), "second %d %d", j, k)
		}
	}
}

// TestTails: far out, where S and f are 0 in floating point, heights stay
// finite and derivatives follow them. At w = 40 of the normal distribution log S
// is −804.608…: Abramowitz and Stegun (1964) 26.2.12 with w²/2 + log(w√2π) +
// 1/w² (from memory).
func TestTails(t *testing.T) {
	height, _, _ := LogLikelihood(Data{Spans: []survival.Span{survival.RightCensored(math.Exp(40))}}, LogNormal, []float64{0, 0})
	assert.InDelta(t, -(800 + math.Log(40*math.Sqrt(2*math.Pi)) + 1.0/1600), height, 1e-5)

	for _, law := range []Distribution{LogNormal, LogLogistic} {
		for _, at := range []float64{-45, -31, -29, -5.01, -4.99, 29.9, 30.1, 45} { // log time
			for _, span := range []survival.Span{
				survival.Exact(math.Exp(at)), survival.RightCensored(math.Exp(at)), survival.LeftCensored(math.Exp(at)),
				survival.Between(math.Exp(at), math.Exp(at+0.3)),
			} {
				tail(t, law, span)
			}
		}
	}
	for _, law := range []Distribution{Weibull, Exponential} {
		for _, at := range []float64{-600, -50, 3, 6, 8} {
			for _, span := range []survival.Span{
				survival.RightCensored(math.Exp(at)), survival.LeftCensored(math.Exp(at)),
				survival.Between(math.Exp(at), math.Exp(at+0.3)), survival.Between(math.Exp(at), math.Exp(at+800-max(0, at+100))),
			} {
				tail(t, law, span)
			}
		}
	}
}

// Where e^w is 0 in floating point, or the hazard so steep that it grows within
// a narrow interval, the Weibull's closed forms still hold: S is 1 − e^w there,
// and log D is −e^w + log(1 − exp(−e^w (e^width − 1))).
func TestWeibullFarOut(t *testing.T) {
	θ := []float64{0, math.Log(0.05)}
	early := survival.Between(math.Exp(-50), math.Exp(-49))
	height, gradient, _ := LogLikelihood(Data{Spans: []survival.Span{early}}, Weibull, θ)
	assert.InDelta(t, -980+math.Log(-math.Expm1(-20)), height, 1e-9)
	assert.InDelta(t, -20, gradient[0], 1e-6)

	// From e^w = 0 to where all have ended, at a step that e^width overflows.
	long := survival.Between(math.Exp(-40), 1)
	height, gradient, _ = LogLikelihood(Data{Spans: []survival.Span{long}}, Weibull, θ)
	assert.InDelta(t, math.Log(-math.Expm1(-1)), height, 1e-9)
	assert.InDelta(t, -20/(math.E-1), gradient[0], 1e-9)

	const at, width = 1e5, 0.2
	steep := survival.Between(at, at+width)
	height, _, _ = LogLikelihood(Data{Spans: []survival.Span{steep}}, Exponential, []float64{0})
	assert.InDelta(t, -at+math.Log(-math.Expm1(-width)), height, 1e-9)
}

func tail(t *testing.T, law Distribution, span survival.Span) {
	t.Helper()
	data := Data{Spans: []survival.Span{span}}
	θ := []float64{0, 0}
	if law == Exponential {
		θ = θ[:1]
	}
	height, gradient, second := LogLikelihood(data, law, θ)
	require.False(t, math.IsNaN(height) || math.IsInf(height, 0), "%v %v: %v", law, span, height)
	value := func(θ []float64) float64 { h, _, _ := LogLikelihood(data, law, θ); return h }
	slope := func(θ []float64) float64 { _, g, _ := LogLikelihood(data, law, θ); return g[0] }
	central := &fd.Settings{Formula: fd.Central, Step: 1e-4}
	size := 1 + math.Abs(height)
	assert.InDelta(t, fd.Gradient(nil, value, θ, central)[0], gradient[0], 1e-5*size, "%v %v", law, span)
	assert.InDelta(t, fd.Gradient(nil, slope, θ, central)[0], second.At(0, 0), 1e-5*(1+math.Abs(second.At(0, 0))), "%v %v", law, span)
}
