package reports

import (
	"fmt"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"beadspan/study"
)

// panelPicture shows patches in small plots of their own, from early to late:
// the patch's readings, its own curve, and thinly the typical patch's.
type panelPicture struct {
	decay     Decay
	look      look
	lastMonth float64
	low, high float64 // of the vertical axes, degrees
}

const (
	panelHeight vg.Length = 158
	panelGap    vg.Length = 10
	panelFoot   vg.Length = textSize + 6 // for the name of the horizontal axes
)

// panelColumns is how many small plots stand beside each other.
func panelColumns(width vg.Length) int {
	if width < roomyWidth {
		return 2
	}
	return 4
}

func (p panelPicture) height(width vg.Length) vg.Length {
	n := len(p.decay.Population.Panel)
	rows := (n + panelColumns(width) - 1) / panelColumns(width)
	return vg.Length(rows)*(panelHeight+panelGap) - panelGap + panelFoot
}

func (p panelPicture) draw(c draw.Canvas) {
	foot := aligned(textStyle(textSize, ink), draw.XCenter, draw.YBottom)
	c.FillText(foot, vg.Point{X: (c.Min.X + c.Max.X) / 2, Y: c.Min.Y + 2}, "months in service (across), contact angle θ on a clean panel (up)")
	for i, patch := range p.decay.Population.Panel {
		p.cell(p.cellAt(c, i), patch)
	}
}

// cellAt is the place of the patch of that number.
func (p panelPicture) cellAt(c draw.Canvas, i int) draw.Canvas {
	c = draw.Crop(c, 0, 0, panelFoot, 0)
	size := c.Size()
	n := panelColumns(size.X)
	width := (size.X - panelGap*vg.Length(n-1)) / vg.Length(n)
	left := vg.Length(i%n) * (width + panelGap)
	top := vg.Length(i/n) * (panelHeight + panelGap)
	return draw.Crop(c, left, left+width-size.X, size.Y-top-panelHeight, -top)
}

// frame is a cell's pair of axes and where it stands.
func (p panelPicture) frame(cell draw.Canvas) (axes *plot.Plot, area draw.Canvas) {
	axes = newAxes(p.lastMonth)
	axes.X.Label.Text = ""
	axes.X.Tick.Marker = plot.TickerFunc(fewMonths)
	axes.Y.Min, axes.Y.Max = p.low, p.high
	axes.Y.Tick.Marker = plot.TickerFunc(fewDegrees)
	return axes, draw.Crop(cell, 0, -6, 0, -2*textSize-8)
}

// panes has each patch's row of the table at its last reading.
func (p panelPicture) panes(c draw.Canvas) []pane {
	var panes []pane
	for i, patch := range p.decay.Population.Panel {
		axes, area := p.frame(p.cellAt(c, i))
		last := patch.lastReading()
		panes = append(panes, paneOf(axes.DataCanvas(area), axes, []valueSpot{{i, 0, last.Days / study.DaysPerMonth, last.AngleDeg}}))
	}
	return panes
}

func (p panelPicture) cell(c draw.Canvas, patch PatchCurve) {
	style := bold(textStyle(textSize, ink))
	c.FillText(style, vg.Point{X: c.Min.X, Y: c.Max.Y - textSize}, fitted(style, patch.Vehicle+" "+patch.Patch, c.Size().X))
	c.FillText(textStyle(textSize, ink), vg.Point{X: c.Min.X, Y: c.Max.Y - 2*textSize - 2}, p.words(patch))

	axes, area := p.frame(c)
	seen := patch.seen()
	axes.Add(levels{}, angleCurve{withoutLimits(p.decay.Population.Mean), look{muted, nil}, 0.9},
		angleCurve{patch.Mean[:seen], p.look, 1.8}, angleCurve{patch.Mean[max(0, seen-1):], p.look, 0.8}, readingDots{patch.Readings, look{ink, nil}})
	axes.Draw(area)
	if p.decay.ThresholdDeg != nil {
		data := axes.DataCanvas(area)
		y := at(data, axes, 0, *p.decay.ThresholdDeg).Y
		data.StrokeLine2(draw.LineStyle{Color: petrol, Width: 1.2, Dashes: []vg.Length{6, 3}}, data.Min.X, y, data.Max.X, y)
	}
}

// words say when the patch comes down to the threshold.
func (p panelPicture) words(patch PatchCurve) string {
	if patch.Crossing == nil {
		return fmt.Sprintf("τ %s months", months(patch.tau/study.DaysPerMonth))
	}
	if m, ok := patch.monthsBy(p.decay.Population.last / study.DaysPerMonth); ok {
		return degrees(*p.decay.ThresholdDeg) + " at " + months(m) + " months"
	}
	return degrees(*p.decay.ThresholdDeg) + " later than read"
}

// seen is how many points of the curve lie up to the patch's last reading, and
// one beyond.
func (c PatchCurve) seen() int {
	last := 0.0
	for _, r := range c.Readings {
		last = max(last, r.Days/study.DaysPerMonth)
	}
	return min(len(c.Mean), int(2*last)+2)
}

// withoutLimits is a curve of which only the line is drawn.
func withoutLimits(mean []MeanAngle) []MeanAngle {
	line := make([]MeanAngle, len(mean))
	for i, m := range mean {
		line[i] = MeanAngle{Months: m.Months, AngleDeg: m.AngleDeg}
	}
	return line
}

// fewMonths marks months as monthTicks does, with room for a small plot.
func fewMonths(low, high float64) []plot.Tick {
	ticks := monthTicks(low, high)
	if len(ticks) <= 4 {
		return ticks
	}
	var few []plot.Tick
	for i := 0; i < len(ticks); i += 2 {
		few = append(few, ticks[i])
	}
	return few
}

// fewDegrees marks every other one of degreeTicks.
func fewDegrees(low, high float64) []plot.Tick {
	var few []plot.Tick
	for i, tick := range degreeTicks(low, high) {
		if i%2 == 0 {
			few = append(few, tick)
		}
	}
	return few
}
