package mixed

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The figures are worked by hand: the implied S falls in a line from 1 at 0 to
// 0.5 at 10 and to 0.2 at 20.
func TestAgree(t *testing.T) {
	life := &Life{Points: []LifePoint{{Time: 0, Above: 1}, {Time: 10, Above: 0.5}, {Time: 20, Above: 0.2}}}
	got, err := life.Agree([]Seen{
		{Time: 0, Least: 1, Most: 1, Lower: 1, Upper: 1},
		{Time: 4, Least: 0.7, Most: 0.8, Lower: 0.6, Upper: 0.9},   // implied 0.8: within
		{Time: 10, Least: 0.6, Most: 0.7, Lower: 0.52, Upper: 0.8}, // 0.5: below by 0.1, outside
		{Time: 18, Least: 0.2, Most: 0.24, Lower: 0.1, Upper: 0.3}, // 0.26: above by 0.02, within
	})
	require.NoError(t, err)
	assert.InDelta(t, -0.1, got.Gap, 1e-12)
	assert.Equal(t, 10., got.GapAt)
	// ∫ implied: 4·0.9 + 6·0.65 + 8·0.38 = 10.54
	// most:      4·0.9 + 6·0.75 + 8·0.47 = 11.86; least: 4·0.85 + 6·0.65 + 8·0.4 = 10.5
	assert.InDelta(t, 10.54-11.86, got.LeastLonger, 1e-12)
	assert.InDelta(t, 10.54-10.5, got.MostLonger, 1e-12)
	assert.InDelta(t, (4+3+4)/18., got.Within, 1e-12)
	assert.Equal(t, []Stretch{{4, 18}}, got.Outside)
	assert.Equal(t, [2]float64{0, 18}, [2]float64{got.From, got.To})

	nan := math.NaN()
	got, err = life.Agree([]Seen{{0, 1, 1, nan, nan}, {20, 0, 0.5, nan, nan}})
	require.NoError(t, err)
	assert.Zero(t, got.Gap)
	assert.True(t, math.IsNaN(got.Within))
	assert.Empty(t, got.Outside)

	got, err = life.Agree([]Seen{{0, 1, 1, nan, nan}, {10, 0.2, 0.3, nan, nan}})
	require.NoError(t, err)
	assert.InDelta(t, 0.2, got.Gap, 1e-12)

	_, err = life.Agree([]Seen{{Time: 0, Least: 1, Most: 1}, {Time: 21, Most: 1}})
	assert.ErrorIs(t, err, ErrNoOverlap)
	_, err = life.Agree([]Seen{{Time: 0, Least: 1, Most: 1}})
	assert.ErrorContains(t, err, "1 points")
	_, err = life.Agree([]Seen{{Time: 1, Least: 1, Most: 1}, {Time: 1, Most: 1}})
	assert.ErrorContains(t, err, "ascending at point 1")
	_, err = life.Agree([]Seen{{Time: 0, Least: 1, Most: 1}, {Time: 1, Least: 0.6, Most: 0.5}})
	assert.ErrorContains(t, err, "bounds 0.6 and 0.5")
}
