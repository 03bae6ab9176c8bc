package aft_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "beadspan/stats/survival/aft"
)

// Treatment contrasts: a column for each level but the first, as in any
// textbook of regression.
func TestDesignCodesFactors(t *testing.T) {
	d, err := NewDesign(4, Numeric("washes", []float64{1, 2, 3, 4}),
		Factor("climate", []string{"marine", "cold", "desert", "cold"}, "cold", "marine", "desert"))
	require.NoError(t, err)
	assert.Equal(t, []string{"(Intercept)", "washes", "climate=marine", "climate=desert"}, d.Names())
	for i, want := range [][]float64{{1, 1, 1, 0}, {1, 2, 0, 0}, {1, 3, 0, 1}, {1, 4, 0, 0}} {
		assert.Equal(t, want, d.At(i))
	}
	sorted, err := NewDesign(3, Factor("climate", []string{"marine", "cold", "desert"}))
	require.NoError(t, err)
	assert.Equal(t, []string{"(Intercept)", "climate=desert", "climate=marine"}, sorted.Names())

	row, err := d.Row(Values{"washes": 2.5, "climate": "desert"})
	require.NoError(t, err)
	assert.Equal(t, []float64{1, 2.5, 0, 1}, row)
	for _, bad := range []struct {
		values Values
		says   string
	}{
		{Values{"washes": 1.0}, `no value for term "climate"`},
		{Values{"washes": "two", "climate": "cold"}, `want a number, got "two"`},
		{Values{"washes": math.NaN(), "climate": "cold"}, "not a finite number"},
		{Values{"washes": 2, "climate": "cold"}, "got a int"},
		{Values{"washes": 2.0, "climate": 3.0}, "want one of the levels cold, marine, desert"},
		{Values{"washes": 2.0, "climate": "lunar"}, `"lunar" is not among`},
		{Values{"washes": 2.0, "climate": "cold", "shade": 1.0}, `no term "shade"`},
	} {
		_, err := d.Row(bad.values)
		assert.ErrorContains(t, err, bad.says)
	}
}

func TestDesignRefuses(t *testing.T) {
	for _, bad := range []struct {
		term Term
		says string
	}{
		{Numeric("x", []float64{1}), `term "x": it has 1 values for 2 spans`},
		{Numeric("x", []float64{1, math.Inf(1)}), "row 1: +Inf is not a finite number"},
		{Factor("f", []string{"a", "c"}, "a", "b"), `row 1: "c" is not among the levels a, b`},
		{Factor("f", []string{"a", "b"}, "a", "b", "a"), `level "a": it is listed twice`},
		{Numeric("(Intercept)", []float64{1, 2}), "there are two of that name"},
	} {
		_, err := NewDesign(2, bad.term)
		assert.ErrorContains(t, err, bad.says)
	}
}

func TestParseDistribution(t *testing.T) {
	for _, law := range Distributions() {
		got, err := ParseDistribution(law.String())
		require.NoError(t, err)
		assert.Equal(t, law, got)
	}
	_, err := ParseDistribution("gamma")
	assert.ErrorContains(t, err, "want one of [exponential weibull lognormal loglogistic]")
}
