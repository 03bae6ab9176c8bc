package reports

import (
	"fmt"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// forestPicture shows estimates one below the other, each a mark with its limits
// beside a line that stands for no difference.
type forestPicture struct {
	lines []forestLine
	// asRatio is of ratios, on a logarithmic axis with no difference at 1; else
	// they are differences, with none at 0.
	asRatio bool
	axis    string // what the numbers are
}

// forestLine is one estimate; the lines are in the order of the table's rows.
type forestLine struct {
	label  string
	value  float64 // NaN where there is none
	limits Limits
	said   string // value and limits in words, or why there are none
	kind   forestKind
}

// forestKind says how a line is drawn.
type forestKind int

const (
	plainLine   forestKind = iota
	ownLine                // the one that the others are held against
	mistakeLine            // a reading that is wrong
)

// The picture's measures. Where the page is narrow, words stand above their line.
const (
	forestLineHeight vg.Length = 25
	forestTall       vg.Length = 40 // of a line below its words
	forestGap        vg.Length = 14 // between words and the plot
	forestRoom       vg.Length = 42 // of the axis below
	forestWide       vg.Length = 520
	forestTop        vg.Length = 6
	forestMark       vg.Length = 9   // above and below a line
	mostForestRatio            = 8.0 // the axis doesn't go further, to either side
)

func (p forestPicture) lineHeight(width vg.Length) vg.Length {
	if width >= forestWide {
		return forestLineHeight
	}
	return forestTall
}

func (p forestPicture) height(width vg.Length) vg.Length {
	return forestTop + p.lineHeight(width)*vg.Length(len(p.lines)) + forestRoom
}

func (p forestPicture) draw(c draw.Canvas) {
	area, scale := p.area(c), p.scale()
	p.drawAxis(area, scale)
	p.marks(area, scale, area.Min.Y, area.Min.Y+4)
	if c.Size().X >= forestWide {
		p.marks(area, scale, area.Min.Y, area.Max.Y)
	}
	for i, line := range p.lines {
		y := p.place(c, i)
		if c.Size().X < forestWide { // not through the words
			p.marks(area, scale, y-forestMark, y+forestMark)
		}
		p.words(c, line, y)
		p.estimate(area, scale, line, y)
	}
}

// panes are the places of the table's rows.
func (p forestPicture) panes(c draw.Canvas) []pane {
	area, scale := p.area(c), p.scale()
	list := pane{frame: area.Rectangle, list: true}
	for i, line := range p.lines {
		value := line.value
		if math.IsNaN(value) {
			value = p.none()
		}
		list.spots = append(list.spots, spot{i, 0, vg.Point{X: scale.x(area, value), Y: p.place(c, i)}})
	}
	return []pane{list}
}

// none is the value of no difference.
func (p forestPicture) none() float64 {
	if p.asRatio {
		return 1
	}
	return 0
}

// area is where estimates are drawn: between the words to its left and right, or
// below them.
func (p forestPicture) area(c draw.Canvas) draw.Canvas {
	left, right := vg.Length(10), vg.Length(10)
	if c.Size().X >= forestWide {
		labels, said := p.rooms(c)
		left, right = labels+forestGap, said+forestGap
	}
	return draw.Crop(c, left, -right, forestRoom, -forestTop)
}

// rooms are the widths of the words on either side.
func (p forestPicture) rooms(c draw.Canvas) (labels, said vg.Length) {
	for _, line := range p.lines {
		labels = max(labels, textStyle(textSize, ink).Width(line.label))
		said = max(said, textStyle(textSize, ink).Width(line.said))
	}
	most := c.Size().X * 2 / 5
	return min(labels, most), min(said, most)
}

// place is how high line i lies.
func (p forestPicture) place(c draw.Canvas, i int) vg.Length {
	height := p.lineHeight(c.Size().X)
	below := height / 2
	if height == forestTall {
		below = 9
	}
	return c.Max.Y - forestTop - height*vg.Length(i+1) + below
}

// words writes what the line is and what it says.
func (p forestPicture) words(c draw.Canvas, line forestLine, y vg.Length) {
	style := aligned(textStyle(textSize, ink), draw.XLeft, draw.YCenter)
	if line.kind == ownLine {
		style = bold(style)
	}
	if line.kind == mistakeLine {
		style.Color = muted
	}
	labels, said := p.rooms(c)
	y++
	if c.Size().X < forestWide {
		y += forestTall / 2
		labels = c.Size().X - said - forestGap
	}
	c.FillText(style, vg.Point{X: c.Min.X, Y: y}, fitted(style, line.label, labels))
	words := fitted(style, line.said, said+6)
	c.FillText(style, vg.Point{X: c.Max.X - style.Width(words), Y: y}, words)
}

// estimate draws the limits and the mark, with an arrow where limits go on
// beyond the axis.
func (p forestPicture) estimate(c draw.Canvas, scale forestScale, line forestLine, y vg.Length) {
	if math.IsNaN(line.value) {
		return
	}
	colour := petrol
	if line.kind == mistakeLine {
		colour = muted
	}
	style := draw.LineStyle{Color: colour, Width: limitsWidth}
	left, right := scale.x(c, line.limits.Low), scale.x(c, line.limits.High)
	c.StrokeLine2(style, left, y, right, y)
	if line.limits.Low < scale.low {
		c.StrokeLines(style, []vg.Point{{X: left + 5, Y: y + 4}, {X: left, Y: y}, {X: left + 5, Y: y - 4}})
	}
	if line.limits.High > scale.high {
		c.StrokeLines(style, []vg.Point{{X: right - 5, Y: y + 4}, {X: right, Y: y}, {X: right - 5, Y: y - 4}})
	}
	at := vg.Point{X: scale.x(c, line.value), Y: y}
	if line.kind == ownLine {
		c.DrawGlyph(draw.GlyphStyle{Color: colour, Radius: markRadius + 1, Shape: diamondGlyph{}}, at)
		return
	}
	c.DrawGlyph(draw.GlyphStyle{Color: colour, Radius: markRadius, Shape: squareGlyph{}}, at)
	if line.kind == mistakeLine {
		c.DrawGlyph(draw.GlyphStyle{Color: paper, Radius: markRadius * 0.6, Shape: squareGlyph{}}, at)
	}
}

// drawAxis draws the numbers below.
func (p forestPicture) drawAxis(c draw.Canvas, scale forestScale) {
	style := aligned(textStyle(textSize, ink), draw.XCenter, draw.YTop)
	for _, tick := range scale.ticks(c.Size().X) {
		c.FillText(style, vg.Point{X: scale.x(c, tick), Y: c.Min.Y - 6}, minus(fmt.Sprintf("%g", tick)))
	}
	c.StrokeLine2(draw.LineStyle{Color: ink, Width: 0.8}, c.Min.X, c.Min.Y, c.Max.X, c.Min.Y)
	c.FillText(style, vg.Point{X: (c.Min.X + c.Max.X) / 2, Y: c.Min.Y - 24}, p.axis)
}

// marks draws a thin line up from each number, and a strong one where there is no
// difference.
func (p forestPicture) marks(c draw.Canvas, scale forestScale, from, to vg.Length) {
	for _, tick := range scale.ticks(c.Size().X) {
		line := draw.LineStyle{Color: rule, Width: 0.6}
		if tick == p.none() {
			line = draw.LineStyle{Color: ink, Width: 1}
		}
		c.StrokeLine2(line, scale.x(c, tick), from, scale.x(c, tick), to)
	}
}
