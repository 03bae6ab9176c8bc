package reports

import (
	"math"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// How names stand beside their curves.
const (
	labelGap    vg.Length = 5 // between a name and its line
	labelMargin vg.Length = 2 // between two names, and a name and the axes
	labelLine   vg.Length = textSize + 2
	haloWidth   vg.Length = 1.6
)

// nameCurves writes each curve's name beside it: where half of its patches are
// spent if it comes to that, else at its end, or as near to that as there is
// room. A name that finds none is left out; it stands below the axis too.
func nameCurves(data draw.Canvas, curves [][]vg.Point, lines []namedCurve) {
	style := aligned(bold(textStyle(textSize, ink)), draw.XLeft, draw.YBottom)
	names := make([]string, len(lines))
	sizes := make([]vg.Point, len(lines))
	for i, line := range lines {
		names[i] = fitted(style, line.label, (data.Max.X-data.Min.X)*0.3)
		sizes[i] = vg.Point{X: style.Width(names[i]), Y: labelLine}
	}
	for i, place := range placeNames(data.Rectangle, curves, sizes) {
		if place == nil {
			continue
		}
		left := place.box.Min.Add(vg.Point{Y: 1})
		if place.swatched {
			swatch(data, lines[i].look, left.X, left.Y+4)
			left.X += swatchRoom
		}
		haloed(data, style, left, names[i])
	}
}

// haloed writes text that reads over bands and lines.
func haloed(c draw.Canvas, style text.Style, place vg.Point, words string) {
	halo := style
	halo.Color = paper
	for turn := 0.0; turn < 2*math.Pi; turn += math.Pi / 4 {
		off := vg.Point{X: haloWidth * vg.Length(math.Cos(turn)), Y: haloWidth * vg.Length(math.Sin(turn))}
		c.FillText(halo, place.Add(off), words)
	}
	c.FillText(style, place, words)
}
