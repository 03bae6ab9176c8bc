package ingest

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestParseNumber(t *testing.T) {
	for text, want := range map[string]float64{
		"104": 104, "104.5": 104.5, "104,5": 104.5, "-3,25": -3.25, "−3": -3, "+7": 7,
		".5": 0.5, ",5": 0.5, "5.": 5, "0": 0, "1e3": 1000, "1.5E-2": 0.015, "51.925": 51.925, "51,925": 51.925,
	} {
		x, problem := parseNumber(text, "")
		assert.Empty(t, problem, text)
		assert.Equal(t, want, x, text)
	}
	for _, text := range []string{
		"1.234,5", "1,234.5", "1.234.567", "1 234", "1\u00a0234", "1'234", "1_000", "0x10", "0b1", "inf", "-Inf", "NaN",
		"1e999", "12 h", "95°", "45%", "-", "+", ".", ",", "e5", "--1", "1-2", "n/a", "١٢",
	} {
		_, problem := parseNumber(text, "h")
		assert.Contains(t, problem, "expected a number (h)", text)
	}
	x, problem := parseNumber("45 %", "%")
	assert.Empty(t, problem)
	assert.Equal(t, 45.0, x)
	_, problem = parseNumber("%", "%")
	assert.NotEmpty(t, problem)
}

// The ambiguous ones are those that one country reads as thousands.
func TestLooksLikeThousands(t *testing.T) {
	for _, text := range []string{"1,000", "12.000", "-999,999", "+1.125", "−1.125"} {
		assert.True(t, looksLikeThousands(text), text)
	}
	for _, text := range []string{"1000", "1,00", "0.125", "1234.567", "1.0000", "12,5", "01.125", "1,000.5"} {
		assert.False(t, looksLikeThousands(text), text)
	}
}

func TestFormatNumberReadsBack(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		want := rapid.Float64().Draw(rt, "x")
		got, problem := parseNumber(formatNumber(want), "")
		assert.Empty(rt, problem)
		assert.Equal(rt, math.Float64bits(want), math.Float64bits(got))
	})
}

func TestParseWhole(t *testing.T) {
	for text, want := range map[string]int{"2": 2, "2.0": 2, "2,000": 2, "-1": -1, "1e1": 10} {
		n, problem := parseWhole(text)
		assert.Empty(t, problem, text)
		assert.Equal(t, want, n, text)
	}
	for _, text := range []string{"2.5", "two", "1e300", "99999999999"} {
		_, problem := parseWhole(text)
		assert.NotEmpty(t, problem, text)
	}
}
