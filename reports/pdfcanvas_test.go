package reports

import (
	"bytes"
	"image"
	"math"
	"strings"
	"testing"

	"codeberg.org/go-pdf/fpdf"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"pgregory.net/rapid"
)

// A curve with one handle has the same points as the one with two that is drawn:
// B(t) of degree 2 is (1−t)²p + 2t(1−t)q + t²r.
func TestCubicIsTheSameCurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		point := func(name string) vg.Point {
			x := rapid.Float64Range(-500, 500)
			return vg.Point{X: vg.Length(x.Draw(t, name+" x")), Y: vg.Length(x.Draw(t, name+" y"))}
		}
		from, handle, to := point("from"), point("handle"), point("to")
		first, second := cubic(from, vg.PathComp{Type: vg.CurveComp, Control: []vg.Point{handle}, Pos: to})
		for _, s := range []vg.Length{0, 0.2, 0.5, 0.9, 1} {
			l := 1 - s
			square := from.Scale(l * l).Add(handle.Scale(2 * s * l)).Add(to.Scale(s * s))
			cube := from.Scale(l * l * l).Add(first.Scale(3 * s * l * l)).Add(second.Scale(3 * s * s * l)).Add(to.Scale(s * s * s))
			assert.InDelta(t, 0, math.Hypot(float64(square.X-cube.X), float64(square.Y-cube.Y)), 1e-9)
		}
	})
}

// An arc ends where it should, whichever way round it goes.
func TestArcEnds(t *testing.T) {
	pdf := fpdf.New("P", "pt", "A4", "")
	c := newPDFCanvas(pdf)
	for _, angle := range []float64{0.1, math.Pi, 2 * math.Pi, -1, -5} {
		step := vg.PathComp{Type: vg.ArcComp, Pos: vg.Point{X: 100, Y: 200}, Radius: 50, Start: 0.7, Angle: angle}
		end := c.arc(step, true)
		assert.InDelta(t, 100+50*math.Cos(0.7+angle), float64(end.X), 1e-9)
		assert.InDelta(t, 200+50*math.Sin(0.7+angle), float64(end.Y), 1e-9)
	}
}

// What is pushed comes back: pen, place and turn; and pictures and alpha do no
// harm.
func TestPDFCanvasPushPop(t *testing.T) {
	pdf := fpdf.New("P", "pt", "A4", "")
	c := newPDFCanvas(pdf)
	before := c.pen
	c.Push()
	c.SetLineWidth(7)
	c.SetLineDash([]vg.Length{1, 2}, 1)
	c.SetColor(nil)
	c.Rotate(1)
	c.Translate(vg.Point{X: 3, Y: 4})
	c.Scale(2, 2)
	var path vg.Path
	path.Move(vg.Point{})
	path.Line(vg.Point{X: 1, Y: 1})
	c.Stroke(path)
	c.Pop()
	assert.Equal(t, before, c.pen)
	c.DrawImage(vg.Rectangle{Max: vg.Point{X: 10, Y: 10}}, image.NewNRGBA(image.Rect(0, 0, 2, 2)))
	var buf bytes.Buffer
	require.NoError(t, pdf.Output(&buf))
}

// Text after a Pop has its own colour and size, also where those within were the
// same: the file says them again after Q, which took them back.
func TestPDFTextAfterPop(t *testing.T) {
	pdf := fpdf.New("P", "pt", "A4", "")
	pdf.SetCompression(false)
	c := newPDFCanvas(pdf)
	style := textStyle(9, petrol)
	page := draw.Canvas{Canvas: c, Rectangle: vg.Rectangle{Max: vg.Point{X: 500, Y: 500}}}
	page.FillText(textStyle(20, ink), vg.Point{X: 10, Y: 10}, "before")
	c.Push()
	fill(page, petrol, vg.Point{}, vg.Point{X: 1}, vg.Point{Y: 1})
	page.FillText(style, vg.Point{X: 10, Y: 20}, "within")
	c.Pop()
	page.FillText(style, vg.Point{X: 10, Y: 30}, "after")
	var buf bytes.Buffer
	require.NoError(t, pdf.Output(&buf))
	content := buf.String()
	content = content[:strings.Index(content, "endstream")]
	after := content[strings.LastIndex(content, "\nQ\n"):]
	assert.Contains(t, after, "9.00 Tf", "the size")
	assert.Contains(t, after, "0.043 0.310 0.361 rg", "the colour: petrol is 0x0b 0x4f 0x5c of 0xff")
}
