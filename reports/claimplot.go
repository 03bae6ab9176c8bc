package reports

import (
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Plots are a picture for each coating of which there is a curve: the curve, what
// is claimed, and what the claim takes.
func (c *Claims) Plots() []Plot {
	var plots []Plot
	for _, row := range c.Rows {
		if row.curve != nil {
			plots = append(plots, row.plot(confidence(c.Rule.ConfidencePct/100)))
		}
	}
	return plots
}

// PlotName is the name of the row's plot, if there is one.
func (row ClaimRow) PlotName() string { return "claim-" + fileName(row.Coating) }

func (row ClaimRow) plot(level string) Plot {
	table := Table{
		Caption: "Share of " + row.Coating + "’s patches still hydrophobic",
		Head:    []string{"Coating and months", "Share, %", level + " limits", "Patches still followed"},
	}
	picture := claimPicture{row: row}
	picture.spots = addCurve(&table, LifeRow{Group: row.Group, Curve: row.curve}, tableStep(row.curve.EndMonths), 0)
	return Plot{
		Name:  row.PlotName(),
		Title: row.Finding(),
		Description: "The falling line is the share of " + row.Coating + "’s patches that are still hydrophobic, by months in service, with a pale band for its " + level +
			" limits. The hatched strip is what is claimed. At either end of it a short bar stands at the share that the claim takes, beside the share that the study found, with the limits that the verdict goes by.",
		Table:   table,
		picture: picture,
	}
}

// claimPicture shows a coating's curve with the claim on it.
type claimPicture struct {
	row   ClaimRow
	spots []valueSpot
}

func (p claimPicture) height(width vg.Length) vg.Length { return max(280, width*0.46) + riskLine }

// frame is the pair of axes and where it stands.
func (p claimPicture) frame(c draw.Canvas) (axes *plot.Plot, area draw.Canvas) {
	last := axisEnd(p.row.curve.EndMonths)
	for _, end := range p.row.Ends {
		last = math.Max(last, axisEnd(end.Months))
	}
	axes = newAxes(last)
	shareAxis(axes, "patches still hydrophobic")
	left := textStyle(textSize, ink).Width(followedLabel) + riskGap
	return axes, draw.Crop(c, max(0, left-yAxisRoom), -12, riskLine, -8)
}

func (p claimPicture) panes(c draw.Canvas) []pane {
	axes, area := p.frame(c)
	return []pane{paneOf(axes.DataCanvas(area), axes, p.spots)}
}

func (p claimPicture) draw(c draw.Canvas) {
	axes, area := p.frame(c)
	axes.Add(p.claimed(), levels{}, survivalLine{curve: p.row.curve, look: p.row.look, width: 1.8, shaded: true})
	for _, end := range p.row.Ends {
		axes.Add(claimMark{end})
	}
	axes.Draw(area)
	c.FillText(textStyle(textSize, ink), vg.Point{X: c.Min.X, Y: c.Min.Y}, followedLabel)
	riskRow(c, axes.DataCanvas(area), axes, p.row.curve, c.Min.Y)
}

// claimed is the strip of what is claimed: from the lower end to the higher, from
// the lower on where that is all, or up to the higher.
func (p claimPicture) claimed() claimStrip {
	strip := claimStrip{0, math.Inf(1)}
	for _, end := range p.row.Ends {
		if end.End == LowEnd {
			strip.from = end.Months
		} else {
			strip.to = end.Months
		}
	}
	return strip
}

// claimStrip is a strip of months, hatched so that it is told from a band of
// limits.
type claimStrip struct{ from, to float64 }

const (
	hatchGap   vg.Length = 8
	hatchWidth vg.Length = 0.35
)

// Plot draws it.
func (s claimStrip) Plot(c draw.Canvas, p *plot.Plot) {
	low, high := at(c, p, s.from, 0), at(c, p, math.Min(s.to, p.X.Max), 1)
	tall := high.Y - low.Y
	style := draw.LineStyle{Color: petrol, Width: hatchWidth}
	for x := low.X - tall; x < high.X; x += hatchGap {
		from, to := vg.Point{X: x, Y: low.Y}, vg.Point{X: x + tall, Y: high.Y}
		if cut := low.X - from.X; cut > 0 {
			from = from.Add(vg.Point{X: cut, Y: cut})
		}
		if cut := to.X - high.X; cut > 0 {
			to = to.Sub(vg.Point{X: cut, Y: cut})
		}
		if from.X < to.X {
			c.StrokeLine2(style, from.X, from.Y, to.X, to.Y)
		}
	}
	style.Width = 2 * hatchWidth
	for _, x := range []vg.Length{low.X, high.X} {
		c.StrokeLine2(style, x, low.Y, x, high.Y)
	}
}

// claimMark is what an end takes and what was found there.
type claimMark struct{ end ClaimEnd }

const (
	markReach vg.Length = 7 // of the bar at what is promised, to either side
	markCap   vg.Length = 3 // of a limit's end
)

// Plot draws it.
func (m claimMark) Plot(c draw.Canvas, p *plot.Plot) {
	end := m.end
	takes := at(c, p, end.Months, end.Promised)
	thin := draw.LineStyle{Color: ink, Width: 1.2}
	if end.Basis != ByNothing {
		low, high := at(c, p, end.Months, end.Limits.Low), at(c, p, end.Months, end.Limits.High)
		c.StrokeLine2(thin, low.X, low.Y, high.X, high.Y)
		for _, y := range []vg.Length{low.Y, high.Y} {
			c.StrokeLine2(thin, low.X-markCap, y, low.X+markCap, y)
		}
	}
	if end.Share != nil {
		c.DrawGlyph(draw.GlyphStyle{Color: ink, Radius: 3.2, Shape: draw.CircleGlyph{}}, at(c, p, end.Months, end.Share.Share))
	}
	c.StrokeLine2(draw.LineStyle{Color: ink, Width: 3}, takes.X-markReach, takes.Y, takes.X+markReach, takes.Y)
	m.label(c, takes)
}

// label writes what the end takes and the verdict, on the side that has more
// room.
func (m claimMark) label(c draw.Canvas, takes vg.Point) {
	style := textStyle(textSize, ink)
	lines := []string{"takes " + percent(m.end.Promised), verdictWords(m.end.Verdict)}
	wide := vg.Length(0)
	for _, line := range lines {
		wide = max(wide, style.Width(line))
	}
	gap := markReach + 4
	x, align := takes.X+gap, text.XAlignment(draw.XLeft)
	if x+wide > c.Max.X {
		x, align = takes.X-gap, draw.XRight
	}
	y := min(takes.Y+2, c.Max.Y-labelLine)
	if y < c.Min.Y+labelLine { // a label at the foot stands above its bar
		y = c.Min.Y + labelLine + 2
	}
	haloed(c, aligned(style, align, draw.YBottom), vg.Point{X: x, Y: y}, lines[0])
	haloed(c, aligned(bold(style), align, draw.YBottom), vg.Point{X: x, Y: y - labelLine}, lines[1])
}
