package reports

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// decayPicture shows the clean contact angles of one coating: its readings, the
// curve shown with its limits, between what single readings of patches lie, the
// threshold and the floor.
type decayPicture struct {
	decay     Decay
	look      look
	lastMonth float64
	low, high float64 // of the vertical axis, degrees
}

func (d decayPicture) height(width vg.Length) vg.Length { return max(280, width*0.48) }

func (d decayPicture) draw(c draw.Canvas) {
	axes, area := d.frame(c)
	axes.Add(levels{})
	if p := d.decay.Population; p != nil {
		axes.Add(spreadBand{p, d.look})
	}
	axes.Add(readingDots{drawn(d.decay.Readings), d.look}, angleCurve{d.decay.shown(), d.look, 2.2})
	axes.Draw(area)
	d.marks(axes.DataCanvas(area), axes)
}

// frame is the pair of axes and where it stands.
func (d decayPicture) frame(c draw.Canvas) (axes *plot.Plot, area draw.Canvas) {
	axes = newAxes(d.lastMonth)
	axes.Y.Min, axes.Y.Max = d.low, d.high
	axes.Y.Label.Text = "contact angle θ, clean panel (°)"
	axes.Y.Tick.Marker = plot.TickerFunc(degreeTicks)
	return axes, draw.Crop(c, 0, -12, 0, -8)
}

func (d decayPicture) panes(c draw.Canvas) []pane {
	axes, area := d.frame(c)
	return []pane{paneOf(axes.DataCanvas(area), axes, d.decay.tableSpots())}
}

func degreeTicks(low, high float64) []plot.Tick {
	step := 10.0
	if high-low > 90 {
		step = 20
	}
	var ticks []plot.Tick
	for v := math.Ceil(low/step) * step; v <= high; v += step {
		ticks = append(ticks, plot.Tick{Value: v, Label: fmt.Sprintf("%g°", v)})
	}
	return ticks
}

// marks draws the threshold and the floor, each with its name.
func (d decayPicture) marks(data draw.Canvas, axes *plot.Plot) {
	if d.decay.ThresholdDeg != nil {
		mark(data, axes, *d.decay.ThresholdDeg, "spent below "+degrees(*d.decay.ThresholdDeg), labelAbove,
			draw.LineStyle{Color: petrol, Width: 1.2, Dashes: []vg.Length{6, 3}})
	}
	if d.decay.ControlDeg != nil {
		mark(data, axes, *d.decay.ControlDeg, "uncoated panels "+degrees(*d.decay.ControlDeg), labelBelow,
			draw.LineStyle{Color: muted, Width: 1, Dashes: []vg.Length{1.5, 2.5}})
	}
}

// How far above its line a label stands.
const (
	labelAbove vg.Length = 4
	labelBelow vg.Length = -textSize - 3
)

// mark draws a line across with its label at the line's right end.
func mark(data draw.Canvas, axes *plot.Plot, value float64, label string, lift vg.Length, line draw.LineStyle) {
	y := at(data, axes, 0, value).Y
	data.StrokeLine2(line, data.Min.X, y, data.Max.X, y)
	style := aligned(textStyle(textSize, ink), draw.XRight, draw.YBottom)
	haloed(data, style, vg.Point{X: data.Max.X - 4, Y: y + lift}, label)
}

// angleCurve draws a curve with its limits.
type angleCurve struct {
	mean  []MeanAngle
	look  look
	width vg.Length
}

func (a angleCurve) Plot(c draw.Canvas, p *plot.Plot) {
	var middle, upper, lower []vg.Point
	for _, m := range a.mean {
		middle = append(middle, within(c, at(c, p, m.Months, m.AngleDeg)))
		if m.Limits != nil {
			upper = append(upper, within(c, at(c, p, m.Months, m.Limits.High)))
			lower = append(lower, within(c, at(c, p, m.Months, m.Limits.Low)))
		}
	}
	fillBetween(c, a.look.shade(0x55), simplified(upper, unseen), simplified(lower, unseen))
	if len(middle) > 1 {
		c.StrokeLines(a.look.line(a.width), simplified(middle, unseen))
	}
}

// within moves a point up or down into the canvas.
func within(c draw.Canvas, p vg.Point) vg.Point {
	return vg.Point{X: p.X, Y: min(c.Max.Y, max(c.Min.Y, p.Y))}
}

// spreadBand shades between what single readings lie.
type spreadBand struct {
	population *DecayPopulation
	look       look
}

func (s spreadBand) Plot(c draw.Canvas, p *plot.Plot) {
	var upper, lower []vg.Point
	for i, limits := range s.population.Spread {
		month := s.population.Mean[i].Months
		upper = append(upper, within(c, at(c, p, month, limits.High)))
		lower = append(lower, within(c, at(c, p, month, limits.Low)))
	}
	fillBetween(c, s.look.shade(0x18), simplified(upper, unseen), simplified(lower, unseen))
}
