package reports

import (
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// climateLifePicture shows each coating's life in each climate as a point with
// its limits, the climates from the kindest to the hardest, and below them one
// that isn't in the study.
type climateLifePicture struct {
	blocks    []climateBlock
	lastMonth float64
}

// climateBlock is a climate with a line for each coating.
type climateBlock struct {
	label string
	lines []climateLine
}

// climateLine is one coating's life.
type climateLine struct {
	coating string
	number  int // of the coating: its mark
	look    look
	life    HalfLife
	own     *HalfLife // by itself, drawn faintly
	guessed bool      // of a climate that isn't in the study
	row     int       // of the plot's table
	beyond  string    // a mark where the life is longer than any followed
}

// The picture's measures.
const (
	blockHead   vg.Length = 19
	blockLine   vg.Length = 21
	blockGap    vg.Length = 13
	axisRoom    vg.Length = 38
	markRadius  vg.Length = 4.2
	ownDrop     vg.Length = 6 // below the pooled line
	limitsWidth vg.Length = 2.6
)

func (p climateLifePicture) height(vg.Length) vg.Length {
	height := axisRoom
	for _, b := range p.blocks {
		height += blockHead + blockLine*vg.Length(len(b.lines)) + blockGap
	}
	return height
}

func (p climateLifePicture) draw(c draw.Canvas) {
	area := p.area(c)
	p.axis(area)
	y := area.Max.Y
	for _, b := range p.blocks {
		style := bold(textStyle(textSize, ink))
		area.FillText(style, vg.Point{X: area.Min.X, Y: y - textSize - 2}, fitted(style, b.label, area.Size().X))
		y -= blockHead
		for _, line := range b.lines {
			y -= blockLine
			p.line(area, line, y+blockLine/2)
		}
		y -= blockGap
	}
}

// area is where lives stand above their axis.
func (p climateLifePicture) area(c draw.Canvas) draw.Canvas { return draw.Crop(c, 6, -14, axisRoom, 0) }

func (p climateLifePicture) panes(c draw.Canvas) []pane {
	area := p.area(c)
	list := pane{frame: area.Rectangle, list: true}
	y := area.Max.Y
	for _, b := range p.blocks {
		y -= blockHead
		for _, line := range b.lines {
			y -= blockLine
			list.spots = append(list.spots, spot{line.row, 0, vg.Point{X: p.x(area, math.Min(line.life.Months, p.lastMonth)), Y: y + blockLine/2}})
		}
		y -= blockGap
	}
	return []pane{list}
}

// x is the place of a month.
func (p climateLifePicture) x(c draw.Canvas, month float64) vg.Length {
	return c.Min.X + c.Size().X*vg.Length(month/p.lastMonth)
}

// axis draws the months below, and a thin line up from each.
func (p climateLifePicture) axis(c draw.Canvas) {
	style := aligned(textStyle(textSize, ink), draw.XCenter, draw.YTop)
	for _, tick := range monthTicks(0, p.lastMonth) {
		x := p.x(c, tick.Value)
		c.StrokeLine2(draw.LineStyle{Color: rule, Width: 0.6}, x, c.Min.Y, x, c.Max.Y-blockHead+4)
		c.FillText(style, vg.Point{X: x, Y: c.Min.Y - 6}, tick.Label)
	}
	c.StrokeLine2(draw.LineStyle{Color: ink, Width: 0.8}, c.Min.X, c.Min.Y, c.Max.X, c.Min.Y)
	c.FillText(style, vg.Point{X: (c.Min.X + c.Max.X) / 2, Y: c.Min.Y - 22}, "months until half of the patches are spent")
}

// line draws one coating: limits, mark, name and months; by itself faintly
// below.
func (p climateLifePicture) line(c draw.Canvas, l climateLine, y vg.Length) {
	right := c.Min.X
	if l.own != nil {
		faint := draw.LineStyle{Color: l.look.shade(0x70), Width: 0.9}
		right = p.limits(c, faint, l.own.Limits, y-ownDrop)
		p.mark(c, l, l.own.Months, y-ownDrop, 2.1, true)
	}
	style := l.look.line(limitsWidth)
	if l.guessed {
		style.Width = 1.6
		style.Color = l.look.shade(0xb0)
	}
	right = max(right, p.limits(c, style, l.life.Limits, y))
	p.mark(c, l, l.life.Months, y, markRadius, l.guessed)
	p.name(c, l, right, y)
}

// limits draws a line from limit to limit, with an arrow where it goes on beyond
// the axis, and returns where it ends.
func (p climateLifePicture) limits(c draw.Canvas, style draw.LineStyle, limits Limits, y vg.Length) (right vg.Length) {
	left := p.x(c, math.Min(limits.Low, p.lastMonth))
	right = p.x(c, math.Min(limits.High, p.lastMonth))
	c.StrokeLine2(style, left, y, right, y)
	if limits.High > p.lastMonth {
		style.Dashes = nil
		c.StrokeLine2(style, right-5, y+3.5, right, y)
		c.StrokeLine2(style, right-5, y-3.5, right, y)
	}
	return right
}

// name writes the coating with its months after the limits, or before them
// where there is no room.
func (p climateLifePicture) name(c draw.Canvas, l climateLine, right, y vg.Length) {
	style := aligned(textStyle(textSize, ink), draw.XLeft, draw.YCenter)
	label := fitted(style, l.coating, c.Size().X/3) + " " + months(l.life.Months) + l.beyond
	at := vg.Point{X: right + 7, Y: y + 1}
	if room := style.Width(label); at.X+room > c.Max.X {
		at.X = p.x(c, math.Min(l.life.Limits.Low, p.lastMonth)) - 7 - room
		if at.X < c.Min.X { // limits from end to end: over the line, beside the mark
			at = vg.Point{X: min(p.x(c, l.life.Months)+7, c.Max.X-room), Y: y + 8}
		}
	}
	haloed(c, style, at, label)
}
