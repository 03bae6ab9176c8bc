package reports

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// livesPicture shows the share of a coating's patches that still hold, by
// checkups and by curves, each with its limits.
type livesPicture struct {
	decay     Decay
	look      look
	lastMonth float64
}

// impliedLook is that of the life by curves: ink, dashed where the coating's line
// isn't, so that the two are told apart without colour.
func impliedLook(coating look) look {
	if coating.dashes == nil {
		return look{ink, []vg.Length{5, 2.5}}
	}
	return look{ink, nil}
}

// The names of the two lives.
const (
	byCheckups = "by checkups"
	byCurves   = "by curves"
)

func (l livesPicture) height(width vg.Length) vg.Length { return max(280, width*0.46) + 2*riskLine }

func (l livesPicture) draw(c draw.Canvas) {
	axes, area := l.frame(c)
	implied := impliedLine{l.decay.Population.Life.Points, impliedLook(l.look)}
	axes.Add(levels{}, survivalLine{curve: l.decay.seen, look: l.look, width: 1.8, shaded: true}, implied)
	axes.Draw(area)
	data := axes.DataCanvas(area)
	nameCurves(data, [][]vg.Point{survivalLine{curve: l.decay.seen}.path(data, axes), implied.path(data, axes)},
		[]namedCurve{{byCheckups, l.decay.seen, l.look}, {byCurves, nil, implied.look}})
	c.FillText(textStyle(textSize, ink), vg.Point{X: c.Min.X, Y: c.Min.Y + riskLine + 2}, "Patches still followed")
	riskRow(c, data, axes, l.decay.seen, c.Min.Y+2)
}

// frame is the pair of axes and where it stands.
func (l livesPicture) frame(c draw.Canvas) (axes *plot.Plot, area draw.Canvas) {
	axes = newAxes(l.lastMonth)
	shareAxis(axes, "patches still hydrophobic")
	return axes, draw.Crop(c, 0, -12, 2*riskLine, -8)
}

// panes has each row of the table on both lines.
func (l livesPicture) panes(c draw.Canvas) []pane {
	var spots []valueSpot
	for row, month := range l.decay.livesMonths() {
		if month <= l.decay.seen.EndMonths {
			spots = append(spots, valueSpot{row, 0, month, l.decay.seen.drawnShare(month)})
		}
		if i := int(2 * month); i < len(l.decay.Population.Life.Points) {
			spots = append(spots, valueSpot{row, 1, month, l.decay.Population.Life.Points[i].Share})
		}
	}
	axes, area := l.frame(c)
	return []pane{paneOf(axes.DataCanvas(area), axes, spots)}
}

// impliedLine draws the life by curves with its limits.
type impliedLine struct {
	points []Share
	look   look
}

func (l impliedLine) Plot(c draw.Canvas, p *plot.Plot) {
	var upper, lower []vg.Point
	for _, point := range l.points {
		if point.Limits != nil {
			upper = append(upper, at(c, p, point.Months, point.Limits.High))
			lower = append(lower, at(c, p, point.Months, point.Limits.Low))
		}
	}
	fillBetween(c, l.look.shade(0x20), simplified(upper, unseen), simplified(lower, unseen))
	c.StrokeLines(l.look.line(1.8), l.path(c, p))
}

func (l impliedLine) path(c draw.Canvas, p *plot.Plot) []vg.Point {
	var line []vg.Point
	for _, point := range l.points {
		line = append(line, at(c, p, point.Months, point.Share))
	}
	return simplified(line, unseen)
}

// livesPlot sets the two lives side by side; ok is false where either is
// missing.
func (d Decay) livesPlot(look look) (plot Plot, ok bool) {
	if d.LivesFinding() == "" {
		return Plot{}, false
	}
	return Plot{
		Name:  livesPlotName + fileName(d.Coating),
		Title: d.LivesFinding() + ".",
		Description: fmt.Sprintf("Two estimates of the share of %s’s patches that are still hydrophobic, by months in service, each with a pale band for its %s limits: "+
			"from the checkups between which patches were spent (Turnbull’s), and in black from when the patches’ curves come down to %s.",
			d.Coating, confidence(d.Level), degrees(*d.ThresholdDeg)),
		Table:   d.livesTable(),
		picture: livesPicture{d, look, axisEnd(d.livesEnd())},
	}, true
}

// livesEnd is the month with which the longer of the two lives ends.
func (d Decay) livesEnd() float64 {
	implied := d.Population.Life.Points
	return math.Max(d.seen.EndMonths, implied[len(implied)-1].Months)
}

// livesMonths are those of the table's rows.
func (d Decay) livesMonths() []float64 {
	var months []float64
	for month := 0.0; month <= d.livesEnd(); month += tableStep(d.livesEnd()) {
		months = append(months, month)
	}
	return months
}

// livesTable holds both lives.
func (d Decay) livesTable() Table {
	limits := confidence(d.Level) + " limits"
	t := Table{
		Caption: "Share of " + d.Coating + "’s patches still hydrophobic, by checkups and by curves",
		Head:    []string{"Months", "By checkups, %", limits, "By curves, %", limits},
	}
	for _, month := range d.livesMonths() {
		row := []string{fmt.Sprint(month)}
		for _, points := range [][]Share{d.seen.Points, d.Population.Life.Points} {
			row = append(row, shareCells(points, month)...)
		}
		t.add(row...)
	}
	return t
}

// shareCells write the share at a month and its limits.
func shareCells(points []Share, month float64) []string {
	i := int(2 * month)
	if i >= len(points) {
		return []string{"–", "–"}
	}
	share := percent(points[i].AtMost)
	if percent(points[i].AtLeast) != share {
		share = fmt.Sprintf("%.0f to %s", 100*points[i].AtLeast, share)
	}
	limits := "–"
	if points[i].Limits != nil {
		limits = percentLimits(*points[i].Limits)
	}
	return []string{bare(share), bare(limits)}
}
