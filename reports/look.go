package reports

import (
	"image/color"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"gonum.org/v1/plot"
)

// The page's colours: ink on paper, and one accent of deep petrol.
var (
	paper  = color.NRGBA{0xff, 0xff, 0xff, 0xff}
	ink    = color.NRGBA{0x1c, 0x23, 0x27, 0xff}
	muted  = color.NRGBA{0x55, 0x60, 0x66, 0xff}
	rule   = color.NRGBA{0xdd, 0xe2, 0xe4, 0xff}
	petrol = color.NRGBA{0x0b, 0x4f, 0x5c, 0xff}
)

// lineColours are the Okabe-Ito colours that stand out on paper, the strongest
// first. Source: Okabe and Ito, Color Universal Design (2002), as reprinted by
// Wong, Nature Methods 8 (2011) 441.
var lineColours = []color.NRGBA{
	{0x00, 0x72, 0xb2, 0xff}, // blue
	{0xd5, 0x5e, 0x00, 0xff}, // vermilion
	{0x00, 0x9e, 0x73, 0xff}, // bluish green
	{0xcc, 0x79, 0xa7, 0xff}, // reddish purple
	{0xe6, 0x9f, 0x00, 0xff}, // orange
	{0x56, 0xb4, 0xe9, 0xff}, // sky blue
}

// lineDashes tell the lines apart without colour.
var lineDashes = [][]vg.Length{
	nil,
	{7, 3},
	{2, 2.5},
	{9, 3, 2, 3},
	{4, 2, 1, 2, 1, 2},
}

// look is how one line of a plot is drawn. Colour and dash both change from
// one line to the next, and their cycles differ in length, so that thirty lines
// differ.
type look struct {
	colour color.NRGBA
	dashes []vg.Length
}

func lookOf(i int) look {
	return look{lineColours[i%len(lineColours)], lineDashes[i%len(lineDashes)]}
}

func (l look) line(width vg.Length) draw.LineStyle {
	return draw.LineStyle{Color: l.colour, Width: width, Dashes: l.dashes}
}

// shade is the colour, let through to the given degree.
func (l look) shade(alpha uint8) color.NRGBA {
	c := l.colour
	c.A = alpha
	return c
}

// The sizes of plot text, in the plot's own units: one unit is a CSS pixel on
// the page at full size.
const (
	textSize  = 12
	titleSize = 15
)

// textStyle is plot text: sans, in ink, standing on its baseline.
func textStyle(size vg.Length, colour color.Color) text.Style {
	return text.Style{
		Color:   colour,
		Font:    font.Font{Typeface: "Liberation", Variant: "Sans", Size: size},
		Handler: plot.DefaultTextHandler,
		XAlign:  draw.XLeft,
		YAlign:  draw.YBottom,
	}
}

func bold(s text.Style) text.Style {
	s.Font.Weight = xfont.WeightBold
	return s
}

func aligned(s text.Style, x text.XAlignment, y text.YAlignment) text.Style {
	s.XAlign, s.YAlign = x, y
	return s
}
