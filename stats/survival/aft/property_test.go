package aft_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
	"beadspan/stats/survival"
	. "beadspan/stats/survival/aft"
)

// near is check.Value for rapid's tests.
func near(t assert.TestingT, what string, got, want float64, tol check.Tolerance) {
	assert.True(t, check.Near(got, want, tol), "%s: got %v, want %v", what, got, want)
}

// seen draws lives of a Weibull distribution, seen in every way there is.
func seen(t *rapid.T, n int) []survival.Span {
	spans := make([]survival.Span, n)
	uniform := rapid.Float64Range(0.01, 0.99)
	for i := range spans {
		life := 100 * math.Pow(-math.Log(uniform.Draw(t, "life")), 0.6)
		gap := 5 + 40*uniform.Draw(t, "gap")
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0:
			spans[i] = survival.Exact(life)
		case 1:
			spans[i] = survival.RightCensored(life * uniform.Draw(t, "seen"))
		case 2:
			spans[i] = survival.Between(gap*math.Floor(life/gap), gap*math.Ceil(life/gap+1e-9))
		default:
			spans[i] = survival.Exact(life).EnteredAt(life * uniform.Draw(t, "entry") / 2)
		}
	}
	return spans
}

// withEnds adds spans that make every model estimable.
func withEnds(spans []survival.Span) []survival.Span {
	return append(spans, survival.Exact(20), survival.Exact(60), survival.Exact(110), survival.Exact(190))
}

func anyLaw(t *rapid.T) Distribution {
	return rapid.SampledFrom(Distributions()).Draw(t, "law")
}

// Exponential, exact and right-censored: the mean is the time watched by the
// number of ends, its logarithm has standard error 1/√ends (Epstein and Sobel,
// J. Am. Stat. Assoc. 48 (1953) 486–502, from memory).
func TestExponentialIsClosedForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var spans []survival.Span
		watched, ends := 0.0, 0.0
		for range rapid.IntRange(1, 30).Draw(t, "n") {
			time := rapid.Float64Range(0.01, 1e9).Draw(t, "time")
			weight := rapid.Float64Range(0.1, 5).Draw(t, "weight")
			span := survival.RightCensored(time)
			if len(spans) == 0 || rapid.Bool().Draw(t, "ended") {
				span = survival.Exact(time)
				ends += weight
			}
			entry := time * rapid.SampledFrom([]float64{0, 0.5}).Draw(t, "entry")
			watched += weight * (time - entry)
			span.Weight = weight
			spans = append(spans, span.EnteredAt(entry))
		}
		m, err := Fit(Data{Spans: spans}, Exponential)
		require.NoError(t, err)
		tol := check.Tolerance{Rel: 1e-9, Abs: 1e-9}
		near(t, "log mean", m.Coefficients[0], math.Log(watched/ends), tol)
		near(t, "variance", m.Covariance.At(0, 0), 1/ends, tol)
	})
}

func TestLikelihoodNeverFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		path, err := Path(Data{Spans: withEnds(seen(t, rapid.IntRange(0, 40).Draw(t, "n")))}, anyLaw(t))
		require.NoError(t, err)
		for i := range path[1:] {
			assert.GreaterOrEqual(t, path[i+1], path[i]-1e-12*math.Abs(path[i]))
		}
	})
}

// Other units of time move the intercept by their logarithm and leave σ; so do
// all standard errors stay.
func TestScalingTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spans, law := withEnds(seen(t, 20)), anyLaw(t)
		c := rapid.SampledFrom([]float64{1e-6, 1 / 30.4375, 24, 1e9}).Draw(t, "factor")
		if law == Exponential && c > 1 {
			c = 24
		}
		scaled := slices.Clone(spans)
		for i := range scaled {
			scaled[i].Entry *= c
			scaled[i].Lower *= c
			scaled[i].Upper *= c
		}
		a, err := Fit(Data{Spans: spans}, law)
		require.NoError(t, err)
		b, err := Fit(Data{Spans: scaled}, law)
		require.NoError(t, err)
		tol := check.Tolerance{Rel: 1e-6, Abs: 1e-6}
		near(t, "intercept", b.Coefficients[0], a.Coefficients[0]+math.Log(c), tol)
		near(t, "log σ", b.LogScale[0], a.LogScale[0], tol)
		near(t, "variance", b.Covariance.At(0, 0), a.Covariance.At(0, 0), tol)
	})
}

// The order of rows says nothing, by cluster either.
func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		type row struct {
			span survival.Span
			x    float64
		}
		law := anyLaw(t)
		var rows []row
		for i, s := range withEnds(seen(t, 20)) {
			rows = append(rows, row{s.OfCluster(i % 7), float64(i % 4)})
		}
		fit := func(rows []row) *Model {
			var spans []survival.Span
			var x []float64
			for _, r := range rows {
				spans, x = append(spans, r.span), append(x, r.x)
			}
			design, err := NewDesign(len(spans), Numeric("x", x))
			require.NoError(t, err)
			m, err := Fit(Data{Spans: spans, Design: design}, law)
			require.NoError(t, err)
			robust, err := m.ByCluster(Jackknife)
			require.NoError(t, err)
			return robust
		}
		a, b := fit(rows), fit(rapid.Permutation(rows).Draw(t, "order"))
		tol := check.Tolerance{Rel: 1e-6, Abs: 1e-8}
		near(t, "log-likelihood", b.LogLik, a.LogLik, tol)
		for j := range a.Coefficients {
			near(t, "coefficient", b.Coefficients[j], a.Coefficients[j], tol)
			near(t, "variance by cluster", b.Covariance.At(j, j), a.Covariance.At(j, j), tol)
		}
	})
}

// S starts at 1, never rises and stays within its limits and these within [0, 1];
// quantiles undo it.
func TestSurvivalFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, err := Fit(Data{Spans: withEnds(seen(t, 15))}, anyLaw(t))
		require.NoError(t, err)
		life, last := Life{X: []float64{1}}, 1.0
		for _, time := range []float64{0, 1e-9, 0.1, 3, 20, 50, 90, 200, 1000, 1e9} {
			c, err := m.Survival(life, time, 0.95)
			require.NoError(t, err)
			require.True(t, 0 <= c.Lower && c.Lower <= c.Survival && c.Survival <= c.Upper && c.Upper <= 1, "%+v", c)
			require.LessOrEqual(t, c.Survival, last)
			last = c.Survival
		}
		lastTime := 0.0
		for _, p := range []float64{0.01, 0.25, 0.5, 0.75, 0.99} {
			q, err := m.Quantile(life, p, 0.95)
			require.NoError(t, err)
			require.Greater(t, q.Time, lastTime)
			c, err := m.Survival(life, q.Time, 0.95)
			require.NoError(t, err)
			near(t, "S at the quantile", c.Survival, 1-p, check.Tolerance{Abs: 1e-9})
			lastTime = q.Time
		}
	})
}

// A weight of k is k spans alike, and order does not matter.
func TestWeightIsRepetition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spans, law := withEnds(seen(t, 12)), anyLaw(t)
		var repeated []survival.Span
		for i := range spans {
			k := rapid.IntRange(1, 4).Draw(t, "weight")
			repeated = append(repeated, slices.Repeat(spans[i:i+1], k)...)
			spans[i].Weight = float64(k)
		}
		slices.Reverse(repeated)
		a, err := Fit(Data{Spans: spans}, law)
		require.NoError(t, err)
		b, err := Fit(Data{Spans: repeated}, law)
		require.NoError(t, err)
		tol := check.Tolerance{Rel: 1e-7, Abs: 1e-7}
		near(t, "intercept", a.Coefficients[0], b.Coefficients[0], tol)
		near(t, "log σ", a.LogScale[0], b.LogScale[0], tol)
		near(t, "variance", a.Covariance.At(0, 0), b.Covariance.At(0, 0), tol)
		near(t, "log-likelihood", a.LogLik, b.LogLik, tol)
	})
}

// An interval that shrinks to a point counts as the density there times its
// width, through all ways that the difference of the tails is taken.
func TestIntervalShrinksToAPoint(t *testing.T) {
	for _, law := range Distributions() {
		θ := []float64{math.Log(90), math.Log(0.4)}
		if law == Exponential {
			θ = θ[:1]
		}
		for _, at := range []float64{0.5, 40, 85, 130, 400} {
			density, slope, bend := LogLikelihood(Data{Spans: []survival.Span{survival.Exact(at)}}, law, θ)
			last := math.Inf(1)
			for width := at / 100; width > at*1e-13; width /= 7 {
				span := survival.Between(at-width/2, at+width/2)
				h, g, b := LogLikelihood(Data{Spans: []survival.Span{span}}, law, θ)
				gap := math.Abs(h - math.Log(span.Upper-span.Lower) - density)
				assert.Less(t, gap, max(last, 1e-8), "%v at %v, width %v", law, at, width)
				last = gap
				if width < at*1e-4 {
					assert.InDelta(t, slope[0], g[0], 1e-4*(1+math.Abs(slope[0])), "%v at %v, width %v", law, at, width)
					assert.InDelta(t, bend.At(0, 0), b.At(0, 0), 1e-3*(1+math.Abs(bend.At(0, 0))), "%v at %v, width %v", law, at, width)
				}
			}
			assert.Less(t, last, 1e-8)
		}
	}
}
