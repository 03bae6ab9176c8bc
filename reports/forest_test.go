package reports

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
	"pgregory.net/rapid"
)

// Whatever the limits, the axis shows no difference and all that lies within
// eightfold of it, its marks stand apart, and values keep their order.
func TestForestScale(t *testing.T) {
	t.Parallel()
	c := draw.New(vgsvg.NewWith(vgsvg.UseWH(400, 100)))
	rapid.Check(t, func(t *rapid.T) {
		p := forestPicture{asRatio: rapid.Bool().Draw(t, "ratio")}
		for range rapid.IntRange(1, 5).Draw(t, "lines") {
			x, wide := rapid.Float64Range(-3, 3).Draw(t, "x"), rapid.Float64Range(0.001, 3).Draw(t, "wide")
			line := forestLine{value: x, limits: Limits{x - wide, x + wide}}
			if p.asRatio {
				line = forestLine{value: math.Exp(x), limits: Limits{math.Exp(x - wide), math.Exp(x + wide)}}
			}
			p.lines = append(p.lines, line)
		}
		s := p.scale()
		assert.Less(t, s.low, p.none())
		assert.Greater(t, s.high, p.none())
		for _, line := range p.lines {
			for _, x := range []float64{line.limits.Low, line.value, line.limits.High} {
				if !p.asRatio || 0.125 <= x && x <= 8 {
					assert.True(t, s.low <= x && x <= s.high, "%v within %v", x, s)
				}
			}
			assert.LessOrEqual(t, s.x(c, line.limits.Low), s.x(c, line.value))
			assert.LessOrEqual(t, s.x(c, line.value), s.x(c, line.limits.High))
		}
		ticks := s.ticks(c.Size().X)
		assert.Contains(t, ticks, p.none())
		for i := 1; i < len(ticks); i++ {
			assert.GreaterOrEqual(t, s.x(c, ticks[i])-s.x(c, ticks[i-1]), tickRoom-0.001)
		}
	})
}

// Lines lie one below the other within the picture, at any width, each with its
// place for the row of the table.
func TestForestPlaces(t *testing.T) {
	t.Parallel()
	p := forestPicture{asRatio: true, axis: "times", lines: []forestLine{
		{label: "CEDAR and BIRCH", value: 1.4, limits: Limits{1.2, 1.6}, said: "1.40 (1.20–1.60)"},
		{label: "a label that is much longer than there is room for on any page", value: math.NaN(), said: "not estimable"},
	}}
	for _, width := range []vg.Length{720, 560, 358, 280} {
		c := draw.New(vgsvg.NewWith(vgsvg.UseWH(width, p.height(width))))
		p.draw(c)
		spots := p.panes(c)[0].spots
		assert.Len(t, spots, 2)
		frame := p.panes(c)[0].frame
		for i, s := range spots {
			assert.Equal(t, i, s.row)
			assert.True(t, frame.Min.X <= s.at.X && s.at.X <= frame.Max.X && frame.Min.Y <= s.at.Y && s.at.Y <= frame.Max.Y, width)
		}
		assert.Greater(t, spots[0].at.Y, spots[1].at.Y)
		assert.Greater(t, spots[0].at.X, spots[1].at.X, "1.4 lies right of 1")
	}
}

func TestMinus(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "−1.2", signed(-1.2))
	assert.Equal(t, "0.0", signed(-0.04))
	assert.Equal(t, "1.2", signed(1.2))
	assert.Equal(t, "−2", minus("-2"))
}
