package calc

import (
	"encoding/json"
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestNumbersAsJSON(t *testing.T) {
	text, err := json.Marshal(Numbers{1, 0.1, Number(math.NaN()), Number(math.Inf(1)), Number(math.Inf(-1)), 1e300})
	require.NoError(t, err)
	assert.Equal(t, `[1,0.1,null,"Inf","-Inf",1e+300]`, string(text))
	for _, c := range []struct {
		list Numbers
		want string
	}{{nil, "null"}, {Numbers{}, "[]"}, {unknown(2), "[null,null]"}} {
		text, err := json.Marshal(c.list)
		require.NoError(t, err)
		assert.Equal(t, c.want, string(text))
	}
}

// Every finite number reads back to the same float.
func TestNumbersKeepAllDigits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64().Filter(func(x float64) bool { return !math.IsInf(x, 0) && !math.IsNaN(x) }).Draw(t, "x")
		text, err := json.Marshal(Number(x))
		require.NoError(t, err)
		back, err := strconv.ParseFloat(string(text), 64)
		require.NoError(t, err)
		assert.Equal(t, x, back)
	})
}

func TestShortNumbers(t *testing.T) {
	assert.Equal(t, "–", short(Number(math.NaN())))
	assert.Equal(t, "∞", short(Number(math.Inf(1))))
	assert.Equal(t, "0.333333", short(1.0/3))
	assert.Equal(t, "after 7", interval(7, Number(math.Inf(1)), false))
	assert.Equal(t, "1.0e-05", probability(1e-5))
	assert.Equal(t, "0.0500", probability(0.05))
	assert.Equal(t, "–", probability(Number(math.NaN())))
}

func TestParseRankWeight(t *testing.T) {
	for _, name := range []string{"logrank", "gehan", "tarone-ware", "peto-modified", "peto-andersen", "fh-rho0", "fh-rho1-gamma0.5"} {
		_, err := ParseRankWeight(name)
		assert.NoError(t, err, name)
	}
	for _, name := range []string{"", "fh", "fh-rho", "fh-rho-1", "fh-rho1-gamma", "fh-rho1-gammax", "fh-rhonan"} {
		_, err := ParseRankWeight(name)
		assert.ErrorContains(t, err, "no rank weight", name)
	}
}
