package reports

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// newAxes returns an empty plot in our look, with months of service along the
// bottom up to lastMonth.
func newAxes(lastMonth float64) *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	p.X.Min, p.X.Max = 0, lastMonth
	p.X.Label.Text = "months in service"
	p.X.Tick.Marker = plot.TickerFunc(monthTicks)
	for _, axis := range []*plot.Axis{&p.X, &p.Y} {
		axis.Color, axis.Width = ink, 0.8
		axis.Padding = 0
		axis.Label.TextStyle = aligned(textStyle(textSize, ink), draw.XCenter, draw.YBottom)
		axis.Label.Padding = 2
		axis.Tick.Color, axis.Tick.Width, axis.Tick.Length = ink, 0.8, 4
		axis.Tick.Label = textStyle(textSize, ink)
	}
	p.X.Tick.Label = aligned(p.X.Tick.Label, draw.XCenter, draw.YTop)
	p.Y.Tick.Label = aligned(p.Y.Tick.Label, draw.XRight, draw.YCenter)
	return p
}

// monthTicks marks half-years, or steps of a year or more when many years are
// shown; the months of a short study one by one.
func monthTicks(low, high float64) []plot.Tick {
	step := 120.0
	for _, s := range []float64{1, 2, 3, 6, 12, 24, 60} {
		if (high-low)/s <= 8 {
			step = s
			break
		}
	}
	var ticks []plot.Tick
	for m := math.Ceil(low/step) * step; m <= high; m += step {
		ticks = append(ticks, plot.Tick{Value: m, Label: fmt.Sprintf("%g", m)})
	}
	return ticks
}

// shareAxis runs the vertical axis from none to all.
func shareAxis(p *plot.Plot, label string) {
	p.Y.Min, p.Y.Max = 0, 1
	p.Y.Label.Text = label
	p.Y.Tick.Marker = plot.ConstantTicks{
		{Value: 0, Label: "0 %"}, {Value: 0.25, Label: "25 %"}, {Value: 0.5, Label: "50 %"},
		{Value: 0.75, Label: "75 %"}, {Value: 1, Label: "100 %"},
	}
}

// levels draws a thin line across at every tick of the vertical axis.
type levels struct{}

func (levels) Plot(c draw.Canvas, p *plot.Plot) {
	style := draw.LineStyle{Color: rule, Width: 0.6}
	for _, tick := range p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max) {
		if y := c.Y(p.Y.Norm(tick.Value)); c.ContainsY(y) {
			c.StrokeLine2(style, c.Min.X, y, c.Max.X, y)
		}
	}
}

// at returns the place on c of a month and a value.
func at(c draw.Canvas, p *plot.Plot, month, value float64) vg.Point {
	return vg.Point{X: c.X(p.X.Norm(month)), Y: c.Y(p.Y.Norm(value))}
}

// axisEnd is the month at which an axis that must show lastMonth ends: a
// little past it.
func axisEnd(lastMonth float64) float64 {
	return math.Max(1, math.Ceil(lastMonth+0.25))
}
