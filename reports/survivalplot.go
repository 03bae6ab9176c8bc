package reports

import (
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// survivalPicture shows the curves of several groups on one pair of axes, with
// the number of patches still followed below.
type survivalPicture struct {
	lines     []namedCurve
	spots     []valueSpot
	lastMonth float64
}

// namedCurve is a curve with its label and its look.
type namedCurve struct {
	label string
	curve *Curve // nil: too little is known for one
	look  look
}

// riskLine is the height of a line of the numbers below the axis.
const riskLine vg.Length = 17

func (s survivalPicture) height(width vg.Length) vg.Length {
	return max(300, width*0.52) + s.below()
}

func (s survivalPicture) draw(c draw.Canvas) {
	axes, area := s.frame(c)
	axes.Add(levels{})
	for _, line := range s.lines {
		axes.Add(survivalLine{curve: line.curve, look: line.look, width: 1.8, shaded: true})
	}
	axes.Draw(area)

	data := axes.DataCanvas(area)
	var curves [][]vg.Point
	for _, line := range s.lines {
		curves = append(curves, survivalLine{curve: line.curve}.path(data, axes))
	}
	nameCurves(data, curves, s.lines)
	s.risks(c, data, axes)
}

// frame is the pair of axes and where it stands.
func (s survivalPicture) frame(c draw.Canvas) (axes *plot.Plot, area draw.Canvas) {
	axes = newAxes(s.lastMonth)
	shareAxis(axes, "patches still hydrophobic")
	return axes, draw.Crop(c, max(0, s.labelsLeft(c)-yAxisRoom), -12, s.below(), -8)
}

func (s survivalPicture) panes(c draw.Canvas) []pane {
	axes, area := s.frame(c)
	return []pane{paneOf(axes.DataCanvas(area), axes, s.spots)}
}

// below is the height of the numbers below the axis.
func (s survivalPicture) below() vg.Length { return riskLine * vg.Length(len(s.lines)+1) }

// risks writes how many patches are still followed.
func (s survivalPicture) risks(c, data draw.Canvas, axes *plot.Plot) {
	style := textStyle(textSize, ink)
	y := c.Min.Y + s.below() - riskLine + 2
	c.FillText(style, vg.Point{X: c.Min.X, Y: y}, "Patches still followed")
	for i, line := range s.lines {
		y := y - riskLine*vg.Length(i+1)
		swatch(c, line.look, c.Min.X, y+4)
		c.FillText(style, vg.Point{X: c.Min.X + swatchRoom, Y: y}, fitted(style, line.label, s.labelsLeft(c)-swatchRoom-riskGap))
		riskRow(c, data, axes, line.curve, y)
	}
}

const (
	yAxisRoom  vg.Length = 58 // what the vertical axis takes
	swatchRoom vg.Length = 24
	riskGap    vg.Length = 22 // between a label and the first number
)

// swatch is a short piece of a line.
func swatch(c draw.Canvas, l look, x, y vg.Length) {
	c.StrokeLine2(l.line(1.8), x, y, x+swatchRoom-6, y)
}

// labelsLeft is the room that the labels below the axis need on the left.
func (s survivalPicture) labelsLeft(c draw.Canvas) vg.Length {
	room := yAxisRoom - swatchRoom - riskGap
	for _, line := range s.lines {
		room = max(room, textStyle(textSize, ink).Width(line.label))
	}
	return swatchRoom + min(room, (c.Max.X-c.Min.X)/5) + riskGap
}

// riskRow writes how many patches are still followed below each tick.
func riskRow(c, data draw.Canvas, axes *plot.Plot, curve *Curve, y vg.Length) {
	style := aligned(textStyle(textSize, ink), draw.XCenter, draw.YBottom)
	for _, tick := range axes.X.Tick.Marker.Ticks(axes.X.Min, axes.X.Max) {
		c.FillText(style, vg.Point{X: data.X(axes.X.Norm(tick.Value)), Y: y}, number(curve.followed(tick.Value)))
	}
}
