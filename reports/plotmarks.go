package reports

import (
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// mark draws a coating's mark: round, square, diamond or triangle.
func (p climateLifePicture) mark(c draw.Canvas, l climateLine, month float64, y, radius vg.Length, hollow bool) {
	at := vg.Point{X: p.x(c, math.Min(month, p.lastMonth)), Y: y}
	shapes := []draw.GlyphDrawer{draw.CircleGlyph{}, squareGlyph{}, diamondGlyph{}, draw.PyramidGlyph{}}
	shape := shapes[l.number%len(shapes)]
	c.DrawGlyph(draw.GlyphStyle{Color: l.look.colour, Radius: radius, Shape: shape}, at)
	if hollow {
		c.DrawGlyph(draw.GlyphStyle{Color: paper, Radius: radius * 0.6, Shape: shape}, at)
	}
}

// squareGlyph is a filled square.
type squareGlyph struct{}

// DrawGlyph draws it.
func (squareGlyph) DrawGlyph(c *draw.Canvas, style draw.GlyphStyle, at vg.Point) {
	r := style.Radius * 0.9
	fill(*c, style.Color, vg.Point{X: at.X - r, Y: at.Y - r}, vg.Point{X: at.X - r, Y: at.Y + r}, vg.Point{X: at.X + r, Y: at.Y + r}, vg.Point{X: at.X + r, Y: at.Y - r})
}

// diamondGlyph is a square on its corner.
type diamondGlyph struct{}

// DrawGlyph draws it.
func (diamondGlyph) DrawGlyph(c *draw.Canvas, style draw.GlyphStyle, at vg.Point) {
	r := style.Radius * 1.15
	fill(*c, style.Color, vg.Point{X: at.X - r, Y: at.Y}, vg.Point{X: at.X, Y: at.Y + r}, vg.Point{X: at.X + r, Y: at.Y}, vg.Point{X: at.X, Y: at.Y - r})
}
