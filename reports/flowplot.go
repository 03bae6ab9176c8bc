package reports

import (
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// flowPicture is a chart of boxes from enrolment down to what became of the
// patches. What leaves on the way stands beside it, on narrow paper below.
type flowPicture struct {
	steps    []flowStep
	outcomes []string // stand side by side at the end
}

// flowStep is a box, and what leaves after it; empty where nothing does.
type flowStep struct{ stays, leaves string }

const (
	flowGap     vg.Length = 26 // between boxes, for the arrow
	flowPadding vg.Length = 9
	flowLine    vg.Length = 16
	// flowNarrow is the width below which there is no room for boxes side by side.
	flowNarrow vg.Length = 500
)

// flowBox is a box whose place is known.
type flowBox struct {
	left, top, width vg.Length // top counts down from the top of the picture
	lines            []string
	aside            bool
}

func (b flowBox) height() vg.Length { return flowLine*vg.Length(len(b.lines)) + 2*flowPadding }
func (b flowBox) bottom() vg.Length { return b.top + b.height() }

func flowText() text.Style { return textStyle(textSize, ink) }

func newFlowBox(left, top, width vg.Length, words string, aside bool) flowBox {
	style := flowText()
	room := width - 2*flowPadding
	return flowBox{left, top, width, wrap(style, narrowed(style, words, room), room), aside}
}

// flowArrow runs straight down or to the right; a line without a head leads to
// further arrows.
type flowArrow struct {
	from, to vg.Point
	head     bool
}

// layout places all boxes and arrows, and says how high they come.
func (p flowPicture) layout(width vg.Length) (boxes []flowBox, arrows []flowArrow, height vg.Length) {
	narrow := width < flowNarrow
	main, aside := width*0.52, width*0.40
	if narrow {
		main, aside = width*0.9, width*0.8
	}
	trunk, top := main/2, vg.Length(1)
	if narrow {
		trunk = width * 0.06
	}
	down := func(from, to vg.Length) {
		arrows = append(arrows, flowArrow{vg.Point{X: trunk, Y: from}, vg.Point{X: trunk, Y: to}, true})
	}
	for i, step := range p.steps {
		box := newFlowBox(0, top, main, step.stays, false)
		boxes = append(boxes, box)
		from := box.bottom()
		top = from + flowGap
		if step.leaves != "" {
			beside := newFlowBox(width-aside-1, from+flowGap*0.35, aside, step.leaves, true)
			middle := beside.top + beside.height()/2
			boxes = append(boxes, beside)
			arrows = append(arrows, flowArrow{vg.Point{X: trunk, Y: middle}, vg.Point{X: beside.left, Y: middle}, true})
			top = beside.bottom() + flowGap*0.6
		}
		switch {
		case i < len(p.steps)-1 || narrow:
			down(from, top)
		default:
			return p.spread(boxes, arrows, width, from, trunk)
		}
	}
	for _, words := range p.outcomes {
		box := newFlowBox(0, top, main, words, false)
		boxes = append(boxes, box)
		top = box.bottom() + flowGap*0.4
	}
	return boxes, arrows, top - flowGap*0.4 + 1
}

// spread places the outcomes side by side, under a line from which an arrow leads
// to each.
func (p flowPicture) spread(boxes []flowBox, arrows []flowArrow, width, from, trunk vg.Length) ([]flowBox, []flowArrow, vg.Length) {
	const between = 14
	n := vg.Length(len(p.outcomes))
	each := (width - between*(n-1) - 1) / n
	line, top := from+flowGap*0.4, from+flowGap
	height := top
	first, last := trunk, trunk
	for i, words := range p.outcomes {
		box := newFlowBox((each+between)*vg.Length(i), top, each, words, false)
		boxes = append(boxes, box)
		height = max(height, box.bottom()+1)
		middle := box.left + each/2
		first, last = min(first, middle), max(last, middle)
		arrows = append(arrows, flowArrow{vg.Point{X: middle, Y: line}, vg.Point{X: middle, Y: top}, true})
	}
	return boxes, append(arrows,
		flowArrow{vg.Point{X: trunk, Y: from}, vg.Point{X: trunk, Y: line}, false},
		flowArrow{vg.Point{X: first, Y: line}, vg.Point{X: last, Y: line}, false}), height
}

func (p flowPicture) height(width vg.Length) vg.Length {
	_, _, height := p.layout(width)
	return height
}

func (p flowPicture) draw(c draw.Canvas) {
	boxes, arrows, _ := p.layout(c.Max.X - c.Min.X)
	place := func(at vg.Point) vg.Point { return vg.Point{X: c.Min.X + at.X, Y: c.Max.Y - at.Y} }
	for _, a := range arrows {
		from, to := place(a.from), place(a.to)
		c.StrokeLine2(draw.LineStyle{Color: muted, Width: 1}, from.X, from.Y, to.X, to.Y)
	}
	for _, b := range boxes {
		b.draw(c, place(vg.Point{X: b.left, Y: b.top}))
	}
	for _, a := range arrows {
		if a.head {
			arrowHead(c, place(a.from), place(a.to))
		}
	}
}

// draw draws the box with its upper left corner at a point.
func (b flowBox) draw(c draw.Canvas, corner vg.Point) {
	low, right := corner.Y-b.height(), corner.X+b.width
	outline := []vg.Point{corner, {X: right, Y: corner.Y}, {X: right, Y: low}, {X: corner.X, Y: low}}
	fill(c, paper, outline...)
	line := draw.LineStyle{Color: petrol, Width: 1.2}
	if b.aside {
		line = draw.LineStyle{Color: muted, Width: 1, Dashes: []vg.Length{4, 3}}
	}
	c.StrokeLines(line, append(outline, corner))
	for i, words := range b.lines {
		c.FillText(flowText(), vg.Point{X: corner.X + flowPadding, Y: corner.Y - flowPadding - flowLine*vg.Length(i+1) + 4}, words)
	}
}

// arrowHead ends an arrow that runs straight down or to the right.
func arrowHead(c draw.Canvas, from, to vg.Point) {
	const long, wide = 6, 3.5
	if from.X == to.X {
		fill(c, muted, to, vg.Point{X: to.X - wide, Y: to.Y + long}, vg.Point{X: to.X + wide, Y: to.Y + long})
		return
	}
	fill(c, muted, to, vg.Point{X: to.X - long, Y: to.Y - wide}, vg.Point{X: to.X - long, Y: to.Y + wide})
}
