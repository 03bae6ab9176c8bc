package reports

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"beadspan/study"
)

// drawDrop draws a standing as Drop does for web pages: a drop in profile on its
// panel, 48 units wide and 32 high, here from the lower left corner and size
// times as large.
func drawDrop(c draw.Canvas, s study.Standing, corner vg.Point, size vg.Length) {
	c.Push()
	c.Translate(corner)
	c.Scale(float64(size), float64(size))
	d := dropPen{c}
	d.line(ink, 1.6, vg.Point{X: 2, Y: 3.5}, vg.Point{X: 46, Y: 3.5})
	switch s {
	case study.Holding:
		d.round(1.6)
	case study.Doubtful:
		d.round(1.6)
		d.film()
	case study.Spent:
		d.puddle()
	case study.Ended:
		d.round(1.6)
		d.line(ink, 3, vg.Point{X: 5, Y: 15}, vg.Point{X: 43, Y: 15})
	case study.Unread:
		c.SetLineDash([]vg.Length{2, 2.6}, 0)
		d.outline()
	}
	c.Pop()
}

type dropPen struct{ draw.Canvas }

// The round drop is the part above its panel of a circle about dropCentre, which
// meets the panel at 17 and 31.
const (
	dropRadius vg.Length = 11.8
	dropHalf   vg.Length = 7
	dropPanel  vg.Length = 3.5
)

func roundPath() vg.Path {
	rise := vg.Length(math.Sqrt(float64(dropRadius*dropRadius - dropHalf*dropHalf)))
	centre := vg.Point{X: 24, Y: dropPanel + rise}
	foot := math.Atan2(float64(rise), float64(dropHalf)) // below the horizontal
	var path vg.Path
	path.Arc(centre, dropRadius, -foot, math.Pi+2*foot)
	return path
}

func (d dropPen) round(width vg.Length) {
	path := roundPath()
	path.Close()
	d.SetColor(look{petrol, nil}.shade(0x40))
	d.Fill(path)
	d.SetLineWidth(width)
	d.SetColor(ink)
	d.Stroke(path)
}

func (d dropPen) outline() {
	d.SetLineWidth(1.6)
	d.SetColor(ink)
	d.Stroke(roundPath())
}

// film hatches the drop over: dirt that may hide the coating.
func (d dropPen) film() {
	d.SetLineWidth(1)
	d.SetColor(ink)
	var frame vg.Path
	for i, p := range []vg.Point{{X: 4, Y: 3.5}, {X: 4, Y: 27}, {X: 44, Y: 27}, {X: 44, Y: 3.5}} {
		if i == 0 {
			frame.Move(p)
		} else {
			frame.Line(p)
		}
	}
	frame.Close()
	d.Stroke(frame)
	for x := vg.Length(-12); x < 44; x += 8 {
		from, to := vg.Point{X: x, Y: 3.5}, vg.Point{X: x + 23.5, Y: 27}
		if from.X < 4 {
			from = vg.Point{X: 4, Y: 3.5 + 4 - x}
		}
		if to.X > 44 {
			to = vg.Point{X: 44, Y: 27 - (x + 23.5 - 44)}
		}
		d.line(ink, 1, from, to)
	}
}

// puddle is what is left of a drop on a panel that no longer repels water.
func (d dropPen) puddle() {
	var path vg.Path
	path.Move(vg.Point{X: 5, Y: 3.5})
	path.CubeTo(vg.Point{X: 7, Y: 7.5}, vg.Point{X: 13, Y: 9.1}, vg.Point{X: 24, Y: 9.1})
	path.CubeTo(vg.Point{X: 35, Y: 9.1}, vg.Point{X: 41, Y: 7.5}, vg.Point{X: 43, Y: 3.5})
	path.Close()
	d.SetColor(look{petrol, nil}.shade(0x40))
	d.Fill(path)
	d.SetLineWidth(1.6)
	d.SetColor(ink)
	d.Stroke(path)
}

func (d dropPen) line(colour color.Color, width vg.Length, from, to vg.Point) {
	d.StrokeLine2(draw.LineStyle{Color: colour, Width: width}, from.X, from.Y, to.X, to.Y)
}
