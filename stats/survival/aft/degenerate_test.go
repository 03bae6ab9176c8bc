package aft_test

import (
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/survival"
	. "beadspan/stats/survival/aft"
)

// What the spans do not determine is said, by name, in every distribution that
// it is true of.
func TestNotEstimable(t *testing.T) {
	exact, right, left := survival.Exact, survival.RightCensored, survival.LeftCensored
	ends := []survival.Span{exact(3), exact(5), exact(9), right(7), survival.Between(2, 6), exact(4)}
	coating := []string{"A", "A", "A", "B", "A", "A"}
	scaled := []Distribution{Weibull, LogNormal, LogLogistic}
	for _, c := range []struct {
		name   string
		spans  []survival.Span
		terms  []Term
		laws   []Distribution
		names  []string
		reason string
	}{
		{"all censored", []survival.Span{right(3), right(5)}, nil, Distributions(), nil, "no life is known to have ended"},
		{"all ended before a look", []survival.Span{left(3), left(5)}, nil, Distributions(), nil, "no life was ever seen to hold"},
		{"watched for no time", []survival.Span{right(0), right(4).EnteredAt(4)}, nil, Distributions(), nil, "no life was watched"},
		{"one exact", []survival.Span{exact(3)}, nil, scaled, []string{"log(scale)"}, "σ runs to 0"},
		{"all at once", []survival.Span{exact(3), exact(3), exact(3)}, nil, scaled, []string{"log(scale)"}, "σ runs to 0"},
		{"a level without ends", ends, []Term{Factor("coating", coating)}, Distributions(),
			[]string{"coating=B"}, "no life is known to have ended where it is 1"},
		{"a base without ends", ends, []Term{Factor("coating", coating, "B", "A")}, Distributions(),
			[]string{"coating=A"}, "no life is known to have ended where it is 0"},
		{"the base of three", append(slices.Clone(ends), right(3), right(8)),
			[]Term{Factor("coating", []string{"A", "A", "B", "B", "B", "A", "C", "C"}, "C", "A", "B")}, Distributions(),
			[]string{"(Intercept)", "coating=A", "coating=B"}, "however far they run"},
		{"collinear", ends, []Term{Numeric("x", []float64{1, 2, 3, 4, 5, 6}), Numeric("y", []float64{12, 14, 16, 18, 20, 22})},
			Distributions(), []string{"y"}, "follows from those before it"},
		{"constant", ends, []Term{Numeric("x", []float64{7, 7, 7, 7, 7, 7})}, Distributions(), []string{"x"}, "is the same for all"},
		{"as many columns as lives", ends[:3], []Term{Numeric("x", []float64{1, 2, 3}), Numeric("y", []float64{4, 1, 2})}, scaled,
			[]string{"log(scale)"}, "σ runs to 0"},
	} {
		design, err := NewDesign(len(c.spans), c.terms...)
		require.NoError(t, err)
		for _, law := range c.laws {
			_, err := Fit(Data{Spans: c.spans, Design: design}, law)
			var unknown *NotEstimableError
			if assert.ErrorAs(t, err, &unknown, "%s, %v", c.name, law) {
				assert.Equal(t, c.names, unknown.Parameters, "%s, %v", c.name, law)
				assert.ErrorContains(t, err, c.reason, "%s, %v", c.name, law)
			}
		}
	}
}

// Lives that fit in one point of time leave no σ; lives that end sooner the
// later they are looked at, none either.
func TestScaleRunsOff(t *testing.T) {
	common := []survival.Span{survival.Between(2, 6), survival.Between(3, 9), survival.LeftCensored(5), survival.RightCensored(1)}
	backward := []survival.Span{survival.LeftCensored(1), survival.LeftCensored(2), survival.RightCensored(3), survival.RightCensored(4)}
	for _, law := range []Distribution{Weibull, LogNormal, LogLogistic} {
		for _, spans := range [][]survival.Span{common, backward} {
			_, err := Fit(Data{Spans: spans}, law)
			var unknown *NotEstimableError
			assert.ErrorAs(t, err, &unknown, "%v %v", law, spans)
		}
		_, err := Fit(Data{Spans: common}, Exponential)
		assert.NoError(t, err)
	}
}

func TestFitRefuses(t *testing.T) {
	nan := math.NaN()
	for _, bad := range []survival.Span{survival.Exact(-1), survival.Exact(nan), survival.Between(4, 3), survival.Exact(0)} {
		_, err := Fit(Data{Spans: []survival.Span{survival.Exact(1), bad}}, Weibull)
		var wrong *survival.SpanError
		if assert.ErrorAs(t, err, &wrong) {
			assert.Equal(t, 1, wrong.Index)
		}
	}
	_, err := Fit(Data{}, Weibull)
	assert.ErrorIs(t, err, survival.ErrNoSpans)

	two := []survival.Span{survival.Exact(1), survival.Exact(2)}
	one, err := NewDesign(1)
	require.NoError(t, err)
	_, err = Fit(Data{Spans: two, Design: one}, Weibull)
	assert.ErrorContains(t, err, "1 rows for 2 spans")
	_, err = Fit(Data{Spans: two, Strata: []int{0}}, Weibull)
	assert.ErrorContains(t, err, "1 strata for 2 spans")
	_, err = Fit(Data{Spans: two, Strata: []int{0, 2}}, Weibull)
	assert.ErrorContains(t, err, "without gaps")
	_, err = Fit(Data{Spans: two, Strata: []int{0, 1}}, Exponential)
	assert.ErrorContains(t, err, "no σ to differ")
	assert.Panics(t, func() { _, _ = Fit(Data{Spans: two}, Distribution(9)) })
}

// One life that ended is enough for the exponential; an interval of no length
// is an exact end.
func TestLittleIsEnough(t *testing.T) {
	m, err := Fit(Data{Spans: []survival.Span{survival.Exact(3)}}, Exponential)
	require.NoError(t, err)
	assert.InDelta(t, math.Log(3), m.Coefficients[0], 1e-9)

	a, err := Fit(Data{Spans: []survival.Span{survival.Exact(3), survival.Between(5, 5), survival.Between(2, 9)}}, LogNormal)
	require.NoError(t, err)
	assert.Equal(t, 2, a.Counts.Exact)
}

// Times of 1e9 days and of 1e-9, and covariates of any unit.
func TestExtremeUnits(t *testing.T) {
	for _, unit := range []float64{1e-9, 1e9} {
		var spans []survival.Span
		var year []float64
		for i := range 40 {
			spans = append(spans, survival.Between(unit*float64(1+i%7), unit*float64(2+i%7+i%3)))
			year = append(year, 2000+float64(i)/365.25)
		}
		design, err := NewDesign(len(spans), Numeric("year", year))
		require.NoError(t, err)
		for _, law := range Distributions() {
			_, err := Fit(Data{Spans: spans, Design: design}, law)
			assert.NoError(t, err, "%v", law)
		}
	}
}

// Whatever the spans, Fit answers with finite numbers or says why not, and never
// that it merely gave up.
func TestFitAlwaysAnswers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SampledFrom([]float64{1e-9, 1, 1e9}).Draw(t, "unit")
		n := rapid.IntRange(0, 10).Draw(t, "n")
		spans, labels := make([]survival.Span, n), make([]string, n)
		for i := range spans {
			lower := rapid.IntRange(0, 6).Draw(t, "lower")
			upper := lower + rapid.IntRange(0, 3).Draw(t, "length")
			spans[i] = survival.Between(unit*float64(lower), unit*float64(upper))
			if rapid.Bool().Draw(t, "censored") {
				spans[i].Upper = math.Inf(1)
			}
			if rapid.Bool().Draw(t, "late") {
				spans[i].Entry = spans[i].Lower / 2
			}
			spans[i].Cluster = rapid.IntRange(0, 3).Draw(t, "cluster")
			labels[i] = rapid.SampledFrom([]string{"A", "B", "C"}).Draw(t, "label")
		}
		data := Data{Spans: spans}
		if n > 0 && rapid.Bool().Draw(t, "factor") {
			data.Design, _ = NewDesign(n, Factor("f", labels))
		}
		law := anyLaw(t)
		m, err := Fit(data, law)
		var unknown *NotEstimableError
		var wrong *survival.SpanError
		switch {
		case err == nil:
			parameters, err := m.Parameters(0.95)
			require.NoError(t, err)
			for _, p := range parameters {
				assert.False(t, math.IsNaN(p.Value+p.SE) || math.IsInf(p.Value+p.SE, 0) || p.SE <= 0, "%+v", p)
			}
			life := Life{X: make([]float64, len(m.Coefficients))}
			life.X[0] = 1
			requireProfile(t, m, life)
			if robust, err := m.ByCluster(Jackknife); err == nil {
				requireProfile(t, robust, life)
			}
			_, err = m.CheckFit(life)
			assert.NoError(t, err)
			_, err = m.RemainingLife(life, unit, 3*unit, 0.95)
			assert.NoError(t, err)
		case errors.As(err, &unknown), errors.As(err, &wrong), errors.Is(err, survival.ErrNoSpans):
		default:
			t.Fatalf("%v: %v", law, err)
		}
	})
}

// requireProfile asks for profile limits about the estimate, however far they lie.
// Of tens of thousands of such fleets one may be given up on.
func requireProfile(t *rapid.T, m *Model, l Life) {
	for _, share := range []float64{0.5, 0.9} {
		q, err := m.ProfileQuantile(l, share, 0.95)
		var lost *ConvergenceError
		if errors.As(err, &lost) {
			return
		}
		require.NoError(t, err)
		require.True(t, 0 <= q.Lower && q.Lower <= q.Time && q.Time <= q.Upper, "%+v", q)
	}
}
