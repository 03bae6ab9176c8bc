package reports

import (
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"beadspan/study"
)

// LetterChart is a vehicle's own contact angles with one coating over time, and
// between what those of others lie.
type LetterChart struct {
	Lines        []LetterLine
	ThresholdDeg *float64
	// Population holds the band; nil where patches aren't told apart yet.
	Population *DecayPopulation
	lastMonth  float64
	low, high  float64
}

// LetterLine is one panel's angles.
type LetterLine struct {
	Panel    string
	Readings []LetterReading
}

// LetterReading is the mean angle of one reading.
type LetterReading struct {
	Months, AngleDeg float64
	Clean            bool // after a decontamination wash
}

// newLetterChart returns nil where nothing was read.
func newLetterChart(coat []study.Followed, fall *letterFall, o LetterOptions) *LetterChart {
	c := &LetterChart{low: 70, high: 120, lastMonth: 1}
	if o.Study.Protocol.Metric == study.Angle {
		c.ThresholdDeg = &o.Study.Protocol.Threshold
		c.show(*c.ThresholdDeg)
	}
	for _, f := range coat {
		if line := newLetterLine(f); len(line.Readings) > 0 {
			c.Lines = append(c.Lines, line)
		}
	}
	if len(c.Lines) == 0 {
		return nil
	}
	for _, line := range c.Lines {
		for _, r := range line.Readings {
			c.show(r.AngleDeg)
			c.lastMonth = math.Max(c.lastMonth, axisEnd(r.Months))
		}
	}
	if fall.decay != nil {
		c.Population = fall.decay.Population
	}
	// Room to see where the band goes next.
	c.lastMonth = math.Max(12, c.lastMonth+3)
	return c
}

func (c *LetterChart) show(angle float64) {
	c.low, c.high = math.Min(c.low, math.Floor(angle/10)*10), math.Max(c.high, math.Ceil(angle/10)*10)
}

func newLetterLine(f study.Followed) LetterLine {
	line := LetterLine{Panel: panelName(f.Patch)}
	for _, checkup := range f.Vehicle.Checkups {
		for _, r := range checkup.Readings {
			angle, measured := r.MeanAngleDeg()
			if r.PatchID != f.Patch.ID || !measured {
				continue
			}
			months := math.Max(0, float64(checkup.Day-f.Patch.InService())/study.DaysPerMonth)
			line.Readings = append(line.Readings, LetterReading{months, angle, r.Stage == study.Decon})
		}
	}
	return line
}

// letterPicture draws a chart with its words in a language.
type letterPicture struct {
	chart             *LetterChart
	across, threshold string // words
}

// letterPlotSize is the size of a chart's text.
const letterPlotSize = 9

func (p letterPicture) height(width vg.Length) vg.Length { return max(150, width*0.55) }

func (p letterPicture) draw(c draw.Canvas) {
	axes := newAxes(p.chart.lastMonth)
	axes.X.Label.Text = p.across
	for _, style := range []*text.Style{&axes.X.Label.TextStyle, &axes.X.Tick.Label, &axes.Y.Tick.Label} {
		style.Font.Size = letterPlotSize
	}
	axes.Y.Min, axes.Y.Max = p.chart.low, p.chart.high
	axes.Y.Tick.Marker = plot.TickerFunc(degreeTicks)
	axes.Add(levels{})
	band := look{petrol, nil}
	if p.chart.Population != nil {
		axes.Add(letterBand{p.chart.Population, p.chart.lastMonth, band})
	}
	area := draw.Crop(c, 0, -8, 0, -6)
	axes.Draw(area)
	data := axes.DataCanvas(area)
	if p.chart.ThresholdDeg != nil {
		y := at(data, axes, 0, *p.chart.ThresholdDeg).Y
		data.StrokeLine2(draw.LineStyle{Color: petrol, Width: 1.2, Dashes: []vg.Length{6, 3}}, data.Min.X, y, data.Max.X, y)
		data.FillText(aligned(textStyle(letterPlotSize, petrol), draw.XLeft, draw.YTop), vg.Point{X: data.Min.X + 3, Y: y - 2}, p.threshold)
	}
	for i, line := range p.chart.Lines {
		drawLetterLine(data, axes, line, i)
	}
}

// drawLetterLine draws one panel's readings: filled where clean, hollow where
// dirt may hide the coating, a line through the clean ones.
func drawLetterLine(c draw.Canvas, axes *plot.Plot, line LetterLine, number int) {
	look := lookOf(number)
	var clean []vg.Point
	for _, r := range line.Readings {
		o := at(c, axes, r.Months, r.AngleDeg)
		if r.Clean {
			clean = append(clean, o)
			continue
		}
		drawRing(c, look.line(1.1), 2.4, o)
	}
	if len(clean) > 1 {
		c.StrokeLines(look.line(1.2), clean)
	}
	for _, o := range clean {
		letterMark(c, number, 3, o)
	}
}

// drawRing draws a circle, thick enough for paper.
func drawRing(c draw.Canvas, style draw.LineStyle, radius vg.Length, at vg.Point) {
	style.Dashes = nil
	var path vg.Path
	path.Move(vg.Point{X: at.X + radius, Y: at.Y})
	path.Arc(at, radius, 0, 2*math.Pi)
	path.Close()
	c.SetLineStyle(style)
	c.Stroke(path)
}

// letterMark is the mark of a vehicle's panel by its number.
func letterMark(c draw.Canvas, number int, radius vg.Length, at vg.Point) {
	shapes := []draw.GlyphDrawer{draw.CircleGlyph{}, squareGlyph{}, diamondGlyph{}, draw.PyramidGlyph{}}
	c.DrawGlyph(draw.GlyphStyle{Color: lookOf(number).colour, Radius: radius, Shape: shapes[number%len(shapes)]}, at)
}

// letterBand shades between what single clean readings of such panels lie, up to
// a month.
type letterBand struct {
	population *DecayPopulation
	to         float64
	look       look
}

func (b letterBand) Plot(c draw.Canvas, p *plot.Plot) {
	var upper, lower []vg.Point
	for i, limits := range b.population.Spread {
		if month := b.population.Mean[i].Months; month <= b.to {
			upper = append(upper, within(c, at(c, p, month, limits.High)))
			lower = append(lower, within(c, at(c, p, month, limits.Low)))
		}
	}
	fillBetween(c, b.look.shade(0x26), upper, lower)
}
