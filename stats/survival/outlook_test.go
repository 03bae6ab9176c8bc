package survival_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	. "beadspan/stats/survival"
)

// S falls from 1 to 0.6 somewhere in (2, 4], by 0.4 at 6 exactly, and to 0 some
// time after 8.
func outlookCurve() *IntervalCurve {
	return &IntervalCurve{N: 5, Intervals: []Interval{
		{Lower: 2, Upper: 4, Mass: 0.4, After: 0.6},
		{Lower: 6, Upper: 6, Exact: true, Mass: 0.4, After: 0.2},
		{Lower: 8, Upper: math.Inf(1), Mass: 0.2, After: 0},
	}}
}

func TestIntervalGivenAlive(t *testing.T) {
	nan := math.NaN()
	c := outlookCurve()
	for _, x := range []struct {
		alive, t float64
		want     Bounds
	}{
		{0, 2, Bounds{1, 1}},
		{0, 3, Bounds{0.6, 1}},
		{0, 5, Bounds{0.6, 0.6}},
		{4, 6, Bounds{1.0 / 3, 1.0 / 3}},
		{3, 6, Bounds{0.2, 1.0 / 3}}, // S(3) is 0.6 to 1
		{3, 3.5, Bounds{0.6, 1}},     // all of the fall may lie between, or none
		{6, 9, Bounds{0, 1}},
		{9, 12, Bounds{0, 1}},
		{3, 3, Bounds{1, 1}},
	} {
		got := c.GivenAlive(x.alive, x.t)
		assert.InDelta(t, x.want.Lower, got.Lower, 1e-12, "%v", x)
		assert.InDelta(t, x.want.Upper, got.Upper, 1e-12, "%v", x)
	}
	ended, err := Turnbull([]Span{Exact(3), Exact(5)})
	require.NoError(t, err)
	assert.Equal(t, Bounds{0, 0}, ended.GivenAlive(4, 5))
	gone := ended.GivenAlive(5, 6)
	assert.True(t, math.IsNaN(gone.Lower) && math.IsNaN(gone.Upper), "%v %v", gone, nan)
	assert.Panics(t, func() { c.GivenAlive(3, 2) })
	assert.Panics(t, func() { c.GivenAlive(nan, 2) })
}

func TestIntervalRemainingLife(t *testing.T) {
	c := outlookCurve()
	for _, x := range []struct {
		alive, horizon float64
		want           Bounds
	}{
		{0, 2, Bounds{2, 2}},
		{0, 6, Bounds{2 + 0.6*4, 4 + 0.6*2}}, // the fall comes at once, or at 4
		{4, 4, Bounds{2 + 2.0/3, 2 + 2.0/3}}, // 2 days at 1, 2 at 1/3
		{3, 3, Bounds{0.6*1 + 0.6*2, 1 + 1*2}},
		{6, 10, Bounds{2, 10}},
	} {
		got := c.RemainingLife(x.alive, x.horizon)
		assert.InDelta(t, x.want.Lower, got.Lower, 1e-12, "%v", x)
		assert.InDelta(t, x.want.Upper, got.Upper, 1e-12, "%v", x)
	}
	assert.Panics(t, func() { c.RemainingLife(0, math.Inf(1)) })
	assert.Panics(t, func() { c.RemainingLife(0, 0) })
}

// On exact lives nothing is open: the chance is the share of those alive that
// hold at t, the rest of life the mean of what they had left.
func TestOutlookOnExactLives(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lives := rapid.SliceOfN(rapid.IntRange(1, 50), 1, 20).Draw(t, "lives")
		alive := float64(rapid.IntRange(0, 40).Draw(t, "alive"))
		horizon := float64(rapid.IntRange(1, 40).Draw(t, "horizon"))
		var spans []Span
		holding, held, left := 0.0, 0.0, 0.0
		for _, life := range lives {
			end := float64(life)
			spans = append(spans, Exact(end))
			if end > alive {
				holding++
				left += min(end-alive, horizon)
			}
			if end > alive+horizon {
				held++
			}
		}
		curve, err := Turnbull(spans)
		require.NoError(t, err)
		chance, rest := curve.GivenAlive(alive, alive+horizon), curve.RemainingLife(alive, horizon)
		if holding == 0 {
			assert.True(t, math.IsNaN(chance.Lower) && math.IsNaN(rest.Upper))
			return
		}
		for _, got := range []float64{chance.Lower, chance.Upper} {
			assert.InDelta(t, held/holding, got, 1e-7)
		}
		for _, got := range []float64{rest.Lower, rest.Upper} {
			assert.InDelta(t, left/holding, got, 1e-5)
		}
	})
}
