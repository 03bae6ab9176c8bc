package reports

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"
)

func TestSimplified(t *testing.T) {
	line := []vg.Point{{X: 0, Y: 0}, {X: 1, Y: 0.1}, {X: 2, Y: 0}, {X: 3, Y: 5}, {X: 4, Y: 0}}
	assert.Equal(t, []vg.Point{{X: 0, Y: 0}, {X: 2, Y: 0}, {X: 3, Y: 5}, {X: 4, Y: 0}}, simplified(line, 0.2))
	assert.Equal(t, line, simplified(line, 0.05))
	turned := []vg.Point{{X: 0, Y: 0}, {X: 5, Y: 0}, {X: 0, Y: 0}}
	assert.Equal(t, turned, simplified(turned, 0.2), "there and back is not a point")
	assert.Len(t, simplified(slices.Repeat([]vg.Point{{X: 1, Y: 1}}, 9), 0.2), 2)
}

// TestSimplifiedStaysClose: every corner that was left out lies within the
// tolerance of what is drawn instead, and the corners that stay are corners.
func TestSimplifiedStaysClose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var line []vg.Point
		x, y := 0.0, 400.0
		for range rapid.IntRange(2, 300).Draw(t, "corners") {
			x += rapid.Float64Range(0, 3).Draw(t, "right")
			y -= rapid.Float64Range(0, 3).Draw(t, "down")
			line = append(line, vg.Point{X: vg.Length(x), Y: vg.Length(y)})
		}
		short := simplified(line, unseen)
		require.Equal(t, line[0], short[0])
		require.Equal(t, line[len(line)-1], short[len(short)-1])
		for _, corner := range short {
			require.Contains(t, line, corner)
		}
		for _, corner := range line {
			nearest := vg.Length(1e9)
			for i := range short[1:] {
				nearest = min(nearest, distance(corner, short[i], short[i+1]))
			}
			require.LessOrEqual(t, nearest, unseen+1e-9)
		}
	})
}
