package decay

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A grid of squared courses is that of the exponentials themselves: it reaches
// from bound to bound, no step of it is longer than the form asks for, and each
// curve is the best one of its pace.
func TestHalvingIsTheGridOfExponentials(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 15).Draw(t, "points")
		points := make([]Point, n)
		for i := range points {
			points[i] = Point{rapid.Float64Range(0, 1000).Draw(t, "time"), rapid.Float64Range(20, 120).Draw(t, "angle"), rapid.Float64Range(0.5, 3).Draw(t, "weight"), 0}
		}
		low := rapid.Float64Range(0.01, 1).Draw(t, "low")
		high := low * rapid.Float64Range(1.01, 1e7).Draw(t, "stretch")
		s := newScan(newEnds(points, nil), exponentialForm(), low, high, false)
		grid := s.halving(0)
		require.Equal(t, low, grid[0].pace.scale)
		require.Equal(t, high, grid[len(grid)-1].pace.scale)
		for i, c := range grid {
			if i > 0 {
				step := c.pace.scale / grid[i-1].pace.scale
				assert.LessOrEqual(t, step, 1.3335214321633242, "eight a decade")
				assert.GreaterOrEqual(t, step, 1-1e-12)
			}
			want := s.at(c.pace.scale, 0)
			assert.InDelta(t, want.rss, c.rss, 1e-7*s.ends.total+1e-9)
		}
	})
}
