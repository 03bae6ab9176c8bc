package reports

import (
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// climatePicture shows one coating's curve in each climate in a small plot of
// its own, over the coating's curve in all climates together.
type climatePicture struct {
	overall   *Curve
	look      look
	climates  []namedCurve
	spots     [][]valueSpot // of each climate
	lastMonth float64
}

const (
	cellHeight vg.Length = 232
	cellGap    vg.Length = 18
	// roomyWidth is the width from which two plots fit beside each other.
	roomyWidth vg.Length = 560
)

func (p climatePicture) height(width vg.Length) vg.Length {
	rows := (len(p.climates) + columns(width) - 1) / columns(width)
	return vg.Length(rows)*(cellHeight+cellGap) - cellGap
}

func columns(width vg.Length) int {
	if width < roomyWidth {
		return 1
	}
	return 2
}

func (p climatePicture) draw(c draw.Canvas) {
	for i, climate := range p.climates {
		p.cell(p.cellAt(c, i), climate)
	}
}

func (p climatePicture) panes(c draw.Canvas) []pane {
	var panes []pane
	for i := range p.climates {
		axes, area := p.frame(p.cellAt(c, i))
		panes = append(panes, paneOf(axes.DataCanvas(area), axes, p.spots[i]))
	}
	return panes
}

// cellAt is the place of the climate of that number.
func (p climatePicture) cellAt(c draw.Canvas, i int) draw.Canvas {
	size := c.Size()
	n := columns(size.X)
	width := (size.X - cellGap*vg.Length(n-1)) / vg.Length(n)
	left := vg.Length(i%n) * (width + cellGap)
	top := vg.Length(i/n) * (cellHeight + cellGap)
	return draw.Crop(c, left, left+width-size.X, size.Y-top-cellHeight, -top)
}

// followedLabel names the numbers below the axis.
const followedLabel = "followed"

// frame is a cell's pair of axes and where it stands.
func (p climatePicture) frame(cell draw.Canvas) (axes *plot.Plot, area draw.Canvas) {
	axes = newAxes(p.lastMonth)
	shareAxis(axes, "still hydrophobic")
	left := textStyle(textSize, ink).Width(followedLabel) + riskGap
	return axes, draw.Crop(cell, max(0, left-yAxisRoom), -12, riskLine, -textSize-8)
}

func (p climatePicture) cell(c draw.Canvas, climate namedCurve) {
	style := textStyle(textSize, ink)
	c.FillText(bold(style), vg.Point{X: c.Min.X, Y: c.Max.Y - textSize - 2}, fitted(bold(style), climate.label, c.Size().X))

	axes, area := p.frame(c)
	axes.Add(levels{},
		survivalLine{curve: p.overall, look: look{muted, nil}, width: 1})
	if climate.curve != nil {
		axes.Add(survivalLine{curve: climate.curve, look: p.look, width: 1.8, shaded: true})
	}
	axes.Draw(area)
	if climate.curve == nil {
		data := axes.DataCanvas(area)
		data.FillText(style, vg.Point{X: data.Min.X + 8, Y: data.Min.Y + 8}, "too few for a curve of its own")
		return
	}
	c.FillText(style, vg.Point{X: c.Min.X, Y: c.Min.Y}, followedLabel)
	riskRow(c, axes.DataCanvas(area), axes, climate.curve, c.Min.Y)
}
