package reports

import (
	"image/color"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// survivalLine draws one curve: its limits as a pale band, the stretches in
// which its course is unknown as boxes, and the curve itself, which crosses a
// box along its diagonal.
type survivalLine struct {
	curve *Curve
	look  look
	width vg.Length
	// shaded draws the limits and the boxes; without it there is only the line.
	shaded bool
}

const (
	bandAlpha = 0x22
	boxAlpha  = 0x40
)

func (l survivalLine) Plot(c draw.Canvas, p *plot.Plot) {
	if l.shaded {
		l.band(c, p)
		l.boxes(c, p)
	}
	c.StrokeLines(l.look.line(l.width), l.path(c, p))
}

// boxes marks where the curve's course is unknown. A box that the line itself
// covers is left out: a large fleet has a thousand of them.
func (l survivalLine) boxes(c draw.Canvas, p *plot.Plot) {
	var path vg.Path
	for _, s := range l.curve.Stretches {
		from, to := at(c, p, s.FromMonths, s.Before), at(c, p, s.ToMonths, s.After)
		if to.X-from.X < l.width || from.Y-to.Y < l.width {
			continue
		}
		path.Move(from)
		path.Line(vg.Point{X: to.X, Y: from.Y})
		path.Line(to)
		path.Line(vg.Point{X: from.X, Y: to.Y})
		path.Close()
	}
	if len(path) > 0 {
		c.SetColor(l.look.shade(boxAlpha))
		c.Fill(path)
	}
}

// band fills the space between the limits.
func (l survivalLine) band(c draw.Canvas, p *plot.Plot) {
	var upper, lower []vg.Point
	for _, point := range l.curve.Points {
		if point.Limits == nil || point.Months > l.curve.EndMonths {
			continue
		}
		upper = append(upper, at(c, p, point.Months, point.Limits.High))
		lower = append(lower, at(c, p, point.Months, point.Limits.Low))
	}
	fillBetween(c, l.look.shade(bandAlpha), upper, lower)
}

// path is the curve as the eye sees it: a large fleet's has thousands of
// corners.
func (l survivalLine) path(c draw.Canvas, p *plot.Plot) []vg.Point {
	corners := []vg.Point{at(c, p, 0, 1)}
	for _, s := range l.curve.Stretches {
		corners = append(corners, at(c, p, s.FromMonths, s.Before), at(c, p, s.ToMonths, s.After))
	}
	return simplified(append(corners, at(c, p, l.curve.EndMonths, l.curve.endShare())), unseen)
}

// drawnShare is the height of the drawn line at a month: within a stretch on its
// diagonal.
func (c Curve) drawnShare(months float64) float64 {
	share := 1.0
	for _, s := range c.Stretches {
		if months < s.FromMonths {
			break
		}
		share = s.After
		if months < s.ToMonths {
			return s.Before + (s.After-s.Before)*(months-s.FromMonths)/(s.ToMonths-s.FromMonths)
		}
	}
	return share
}

// fillBetween fills the space between two lines that run the same way.
func fillBetween(c draw.Canvas, colour color.Color, upper, lower []vg.Point) {
	if len(upper) > 1 {
		back := slices.Clone(lower)
		slices.Reverse(back)
		fill(c, colour, slices.Concat(upper, back)...)
	}
}

// fill fills a polygon. Unlike draw.Canvas.FillPolygon it doesn't stroke it.
func fill(c draw.Canvas, colour color.Color, corners ...vg.Point) {
	var path vg.Path
	path.Move(corners[0])
	for _, corner := range corners[1:] {
		path.Line(corner)
	}
	path.Close()
	c.SetColor(colour)
	c.Fill(path)
}
