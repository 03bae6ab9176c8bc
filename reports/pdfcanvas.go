package reports

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"
	"unicode"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"
	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// pdfCanvas is a page of a PDF to draw on, with plots as vectors and text as
// text, in fonts that the file brings along. Its unit is the point, and its
// origin the lower left corner of the page, as of any vg.Canvas.
type pdfCanvas struct {
	pdf    *fpdf.Fpdf
	height vg.Length
	images int
	pen    pen
	pens   []pen // below the present one
}

// pen is what lines and areas are drawn with.
type pen struct {
	width  vg.Length
	dashes []vg.Length
	offset vg.Length
	colour color.NRGBA
}

const pdfFont = "sans"

// newPDFCanvas begins a page.
func newPDFCanvas(pdf *fpdf.Fpdf) *pdfCanvas {
	pdf.AddUTF8FontFromBytes(pdfFont, "", liberationsansregular.TTF)
	pdf.AddUTF8FontFromBytes(pdfFont, "B", liberationsansbold.TTF)
	pdf.AddPage()
	pdf.SetLineCapStyle("butt")
	pdf.SetLineJoinStyle("round")
	_, height := pdf.GetPageSize()
	return &pdfCanvas{pdf: pdf, height: vg.Length(height), pen: pen{width: 1, colour: ink}}
}

// SetLineWidth sets the width of lines; none are drawn where it isn't positive.
func (c *pdfCanvas) SetLineWidth(width vg.Length) { c.pen.width = width }

// SetLineDash sets how lines are broken.
func (c *pdfCanvas) SetLineDash(pattern []vg.Length, offset vg.Length) {
	c.pen.dashes, c.pen.offset = pattern, offset
}

// SetColor sets the colour of all that is drawn next; nil is black.
func (c *pdfCanvas) SetColor(colour color.Color) {
	if colour == nil {
		colour = color.Black
	}
	c.pen.colour = color.NRGBAModel.Convert(colour).(color.NRGBA)
}

// Rotate turns what is drawn next about the origin, against the clock.
func (c *pdfCanvas) Rotate(radians float64) {
	c.pdf.TransformRotate(radians*180/math.Pi, 0, float64(c.height))
}

// Translate moves what is drawn next.
func (c *pdfCanvas) Translate(by vg.Point) {
	c.pdf.TransformTranslate(float64(by.X), -float64(by.Y))
}

// Scale stretches what is drawn next away from the origin.
func (c *pdfCanvas) Scale(x, y float64) { c.pdf.TransformScale(100*x, 100*y, 0, float64(c.height)) }

// Push remembers the pen and where things are drawn.
func (c *pdfCanvas) Push() {
	c.pdf.TransformBegin()
	c.pens = append(c.pens, c.pen)
}

// Pop goes back to what was remembered last. fpdf doesn't know that colour and
// font of the page go back too, and would leave out what it takes to be set.
func (c *pdfCanvas) Pop() {
	c.pdf.TransformEnd()
	c.pen, c.pens = c.pens[len(c.pens)-1], c.pens[:len(c.pens)-1]
	c.ink(c.pdf.SetFillColor)
	c.pdf.SetFont(pdfFont, "", 1)
}

// Stroke draws a path as a line.
func (c *pdfCanvas) Stroke(path vg.Path) {
	if c.pen.width <= 0 {
		return
	}
	dashes := make([]float64, len(c.pen.dashes))
	for i, d := range c.pen.dashes {
		dashes[i] = float64(d)
	}
	c.pdf.SetDashPattern(dashes, float64(c.pen.offset))
	c.pdf.SetLineWidth(float64(c.pen.width))
	c.ink(c.pdf.SetDrawColor)
	c.trace(path)
	c.pdf.DrawPath("D")
}

// Fill fills a path.
func (c *pdfCanvas) Fill(path vg.Path) {
	c.ink(c.pdf.SetFillColor)
	c.trace(path)
	c.pdf.DrawPath("F")
}

// ink dips the pen.
func (c *pdfCanvas) ink(set func(r, g, b int)) {
	set(int(c.pen.colour.R), int(c.pen.colour.G), int(c.pen.colour.B))
	c.pdf.SetAlpha(float64(c.pen.colour.A)/255, "Normal")
}

// place is a point as fpdf counts, from the top.
func (c *pdfCanvas) place(p vg.Point) (x, y float64) { return float64(p.X), float64(c.height - p.Y) }

func (c *pdfCanvas) trace(path vg.Path) {
	var last vg.Point
	for i, step := range path {
		switch step.Type {
		case vg.MoveComp:
			c.pdf.MoveTo(c.place(step.Pos))
			last = step.Pos
		case vg.LineComp:
			c.pdf.LineTo(c.place(step.Pos))
			last = step.Pos
		case vg.ArcComp:
			last = c.arc(step, i == 0)
		case vg.CurveComp:
			first, second := cubic(last, step)
			c.curve(first, second, step.Pos)
			last = step.Pos
		case vg.CloseComp:
			c.pdf.ClosePath()
		default:
			panic(fmt.Sprintf("unknown step %d of a path", step.Type)) // vg has no other
		}
	}
}

func (c *pdfCanvas) curve(first, second, end vg.Point) {
	x1, y1 := c.place(first)
	x2, y2 := c.place(second)
	x, y := c.place(end)
	c.pdf.CurveBezierCubicTo(x1, y1, x2, y2, x, y)
}

// cubic gives the two handles of a curve, which vg may describe by one: the
// handles of the same curve lie two thirds of the way to that.
func cubic(from vg.Point, step vg.PathComp) (first, second vg.Point) {
	if len(step.Control) == 2 {
		return step.Control[0], step.Control[1]
	}
	towards := func(p vg.Point) vg.Point { return p.Add(step.Control[0].Sub(p).Scale(2. / 3)) }
	return towards(from), towards(step.Pos)
}

// arc draws a part of a circle, by curves of a quarter at most. The handles of a
// curve that spans an angle α lie 4/3 tan(α/4) radii along the tangents at its
// ends; it is off the circle by less than 0.03 % of the radius.
//
// Source: Goldapp, Computer Aided Geometric Design 8 (1991) 227–238.
func (c *pdfCanvas) arc(step vg.PathComp, begins bool) (end vg.Point) {
	on := func(angle float64) vg.Point {
		return step.Pos.Add(vg.Point{X: vg.Length(math.Cos(angle)), Y: vg.Length(math.Sin(angle))}.Scale(step.Radius))
	}
	start := on(step.Start)
	if begins {
		c.pdf.MoveTo(c.place(start))
	} else {
		c.pdf.LineTo(c.place(start))
	}
	n := max(1, int(math.Ceil(math.Abs(step.Angle)/(math.Pi/2))))
	α := step.Angle / float64(n)
	reach := step.Radius * vg.Length(4./3*math.Tan(α/4))
	for i := range n {
		from, to := step.Start+float64(i)*α, step.Start+float64(i+1)*α
		first := on(from).Add(vg.Point{X: vg.Length(-math.Sin(from)), Y: vg.Length(math.Cos(from))}.Scale(reach))
		second := on(to).Add(vg.Point{X: vg.Length(math.Sin(to)), Y: vg.Length(-math.Cos(to))}.Scale(reach))
		end = on(to)
		c.curve(first, second, end)
	}
	return end
}

// FillString writes text from a point on its baseline.
func (c *pdfCanvas) FillString(face font.Face, at vg.Point, text string) {
	if face.Font.Size == 0 {
		return
	}
	style := ""
	if face.Font.Weight >= xfont.WeightSemiBold {
		style = "B"
	}
	c.pdf.SetFont(pdfFont, style, float64(face.Font.Size))
	c.ink(c.pdf.SetTextColor)
	x, y := c.place(at)
	c.pdf.Text(x, y, strings.Map(inFont, text))
}

// inFont replaces letters beyond the basic plane, which the fonts don't hold and
// which fpdf doesn't survive, by the mark for them.
func inFont(letter rune) rune {
	if letter > 0xffff {
		return unicode.ReplacementChar
	}
	return letter
}

// DrawImage draws a picture made of points.
func (c *pdfCanvas) DrawImage(into vg.Rectangle, picture image.Image) {
	var buf bytes.Buffer
	if err := png.Encode(&buf, picture); err != nil {
		c.pdf.SetError(err)
		return
	}
	c.images++
	name := fmt.Sprint("image ", c.images)
	options := fpdf.ImageOptions{ImageType: "png"}
	c.pdf.RegisterImageOptionsReader(name, options, &buf)
	x, y := c.place(vg.Point{X: into.Min.X, Y: into.Max.Y})
	c.pdf.SetAlpha(1, "Normal")
	c.pdf.ImageOptions(name, x, y, float64(into.Size().X), float64(into.Size().Y), false, options, 0, "")
}
