package aft_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/stats/internal/check"
	"beadspan/stats/survival"
	. "beadspan/stats/survival/aft"
)

// climateModel fits the made-up climates of the reference by a factor.
func climateModel(t *testing.T) (*Model, *Design) {
	t.Helper()
	for _, c := range check.Cases(t, "aft") {
		if c.ID != "aft/sim-climate-mixed" {
			continue
		}
		lower, upper := c.Data.Floats(t, "left", 0), c.Data.Floats(t, "right", math.Inf(1))
		var spans []survival.Span
		for i := range lower {
			spans = append(spans, survival.Between(lower[i], upper[i]).OfCluster(i))
		}
		design, err := NewDesign(len(spans), Factor("climate", c.Data.Text(t, "climate")),
			Numeric("garaged", c.Data.Floats(t, "garaged", 0)), Numeric("washes", c.Data.Floats(t, "washes", 0)))
		require.NoError(t, err)
		m, err := Fit(Data{Spans: spans, Design: design}, Weibull)
		require.NoError(t, err)
		return m, design
	}
	require.FailNow(t, "the case is missing")
	return nil, nil
}

// Of two levels neither of which is the model's first, the ratio is the
// coefficient that R 4.2.2 finds when one of them is made the first: survreg
// (survival 3.5-3) of testdata/reference/aft/sim-climate-mixed.csv on
// relevel(climate, "desert") + garaged + washes.
func TestRatioIsACoefficient(t *testing.T) {
	m, design := climateModel(t)
	in := func(climate string) Life {
		row, err := design.Row(Values{"climate": climate, "garaged": 1.0, "washes": 3.0})
		require.NoError(t, err)
		return Life{X: row}
	}
	r, err := m.Ratio(in("marine"), in("desert"), 0.95)
	require.NoError(t, err)
	const value, se, p = 0.4300958131664381345, 0.104822422887698538, 4.0766894217005702e-05
	check.Value(t, "log", r.Log, value, check.Tolerance{Rel: 1e-5})
	check.Value(t, "SE", r.SELog, se, check.Tolerance{Rel: 1e-5})
	check.Value(t, "p", r.P, p, check.Tolerance{Rel: 1e-3})
	check.Value(t, "ratio", r.Ratio, math.Exp(value), check.Tolerance{Rel: 1e-5})
	check.Value(t, "lower", r.Lower, math.Exp(value-1.959963984540054*se), check.Tolerance{Rel: 1e-5})
	check.Value(t, "upper", r.Upper, math.Exp(value+1.959963984540054*se), check.Tolerance{Rel: 1e-5})

	// The other way round it is the inverse, and it is that of medians too.
	back, err := m.Ratio(in("desert"), in("marine"), 0.95)
	require.NoError(t, err)
	near(t, "inverse", back.Ratio, 1/r.Ratio, check.Tolerance{Rel: 1e-12})
	near(t, "inverse limit", back.Lower, 1/r.Upper, check.Tolerance{Rel: 1e-12})
	near(t, "p", back.P, r.P, check.Tolerance{Rel: 1e-12})
	here, err := m.Quantile(in("marine"), 0.5, 0.95)
	require.NoError(t, err)
	there, err := m.Quantile(in("desert"), 0.5, 0.95)
	require.NoError(t, err)
	near(t, "of medians", here.Time/there.Time, r.Ratio, check.Tolerance{Rel: 1e-12})

	same, err := m.Ratio(in("cold"), in("cold"), 0.95)
	require.NoError(t, err)
	assert.Equal(t, []float64{1, 1, 1}, []float64{same.Ratio, same.Lower, same.Upper})
	assert.True(t, math.IsNaN(same.P))
}

func TestRatioRefuses(t *testing.T) {
	m, design := climateModel(t)
	row, err := design.Row(Values{"climate": "cold", "garaged": 1.0, "washes": 3.0})
	require.NoError(t, err)
	life := Life{X: row}
	_, err = m.Ratio(life, life, 1)
	require.ErrorIs(t, err, survival.ErrLevel)
	_, err = m.Ratio(life, Life{X: row[1:]}, 0.95)
	require.ErrorContains(t, err, "5 covariates with its intercept, the model 6")
	_, err = m.Ratio(life, Life{X: row, Stratum: 1}, 0.95)
	require.ErrorContains(t, err, "stratum")
}
