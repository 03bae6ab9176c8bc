package reports

import (
	"strings"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// sheet is paper on which columns are written from top to bottom. A dry one only
// finds out how much room they take.
type sheet struct {
	draw.Canvas
	ruler *ruler
	scale vg.Length // of all sizes
	dry   bool
}

// column is a part of a sheet, written as far as y.
type column struct {
	*sheet
	left, width, y vg.Length
}

// lineHeight is the distance of lines, in text sizes.
const lineHeight = 1.27

// words writes a paragraph.
func (c *column) words(style text.Style, said string) {
	c.indented(style, 0, said)
}

// indented writes a paragraph that leaves room at its left.
func (c *column) indented(style text.Style, by vg.Length, said string) {
	style.Font.Size *= c.scale
	style.Handler = c.ruler
	by *= c.scale
	for _, line := range wrap(style, narrowed(style, said, c.width-by), c.width-by) {
		c.y -= style.Font.Size * lineHeight
		if !c.dry {
			c.FillText(style, vg.Point{X: c.left + by, Y: c.y + style.Font.Size*0.25}, line)
		}
	}
}

// dotted writes a paragraph with a dot before it.
func (c *column) dotted(style text.Style, said string) {
	if !c.dry {
		dot := textStyle(style.Font.Size*c.scale, petrol)
		c.FillText(dot, vg.Point{X: c.left, Y: c.y - style.Font.Size*c.scale*(lineHeight-0.25)}, "•")
	}
	c.indented(style, 9, said)
}

// space leaves a gap.
func (c *column) space(gap vg.Length) { c.y -= gap * c.scale }

// narrowed breaks words that are wider than a line.
func narrowed(style text.Style, said string, width vg.Length) string {
	words := strings.Fields(said)
	for i, word := range words {
		if style.Width(word) > width {
			words[i] = broken(style, word, width)
		}
	}
	return strings.Join(words, " ")
}

// broken puts a blank into a word wherever a line is full.
func broken(style text.Style, word string, width vg.Length) string {
	var parts []string
	part := ""
	for _, letter := range word {
		if part != "" && style.Width(part+string(letter)) > width {
			parts = append(parts, part)
			part = ""
		}
		part += string(letter)
	}
	return strings.Join(append(parts, part), " ")
}
