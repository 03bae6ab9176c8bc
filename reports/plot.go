package reports

import (
	"bytes"
	"fmt"
	"html"
	"io"
	"regexp"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Plot is one picture of a report, to be shown on the page or kept as a file.
type Plot struct {
	Name  string // fit for a file name, such as "survival"
	Title string // the finding, as a sentence
	// Description says what is drawn, for those who don't see it.
	Description string
	// Table holds the numbers behind the picture.
	Table Table

	picture picture
}

// picture draws on a canvas of any width that is as high as it asks for.
type picture interface {
	height(width vg.Length) vg.Length
	draw(c draw.Canvas)
}

// The widths at which pictures are drawn: a page on a desk, and a page on a
// phone, where the same text must stay readable.
const (
	wideWidth   vg.Length = 720
	narrowWidth vg.Length = 358
	margin      vg.Length = 12
)

// pngDotsPerInch makes a wide picture 1,488 pixels wide.
const pngDotsPerInch = 144

// WriteSVG writes the plot, with its title above it, as a file of its own.
func (p Plot) WriteSVG(w io.Writer) error {
	canvas := vgsvg.NewWith(vgsvg.UseWH(p.fileSize()))
	p.drawFile(draw.New(canvas))
	svg, err := p.svg(canvas, p.Name, "")
	if err != nil {
		return err
	}
	if _, err := io.WriteString(w, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"+svg); err != nil {
		return fmt.Errorf("write plot %s: %w", p.Name, err)
	}
	return nil
}

// WritePNG writes the plot, with its title above it, at 144 dots per inch.
func (p Plot) WritePNG(w io.Writer) error {
	width, height := p.fileSize()
	canvas := vgimg.NewWith(vgimg.UseWH(width, height), vgimg.UseDPI(pngDotsPerInch), vgimg.UseBackgroundColor(paper))
	p.drawFile(draw.New(canvas))
	if _, err := (vgimg.PngCanvas{Canvas: canvas}).WriteTo(w); err != nil {
		return fmt.Errorf("write plot %s: %w", p.Name, err)
	}
	return nil
}

// inline draws the plot for the page, where its title is text, and its numbers
// can be pointed at.
func (p Plot) inline(width vg.Length, id string) (string, error) {
	height := p.picture.height(width)
	canvas := vgsvg.NewWith(vgsvg.UseWH(width, height))
	p.picture.draw(draw.New(canvas))
	return p.svg(canvas, id, p.spotsAttribute(width, height))
}

func (p Plot) fileSize() (width, height vg.Length) {
	return wideWidth + 2*margin, p.titleHeight() + p.picture.height(wideWidth) + 2*margin
}

func (p Plot) drawFile(c draw.Canvas) {
	c.SetColor(paper)
	c.Fill(c.Rectangle.Path())
	c = draw.Crop(c, margin, -margin, margin, -margin)
	style := bold(textStyle(titleSize, ink))
	y := c.Max.Y
	for _, line := range wrap(style, p.Title, wideWidth) {
		y -= titleLine
		c.FillText(style, vg.Point{X: c.Min.X, Y: y}, line)
	}
	p.picture.draw(draw.Crop(c, 0, 0, 0, -p.titleHeight()))
}

const titleLine vg.Length = 20

func (p Plot) titleHeight() vg.Length {
	lines := wrap(bold(textStyle(titleSize, ink)), p.Title, wideWidth)
	return titleLine*vg.Length(len(lines)) + margin
}

// opening is what vgsvg writes before the picture itself.
var opening = regexp.MustCompile(`(?s)^.*?<svg [^>]*>`)

// svg replaces the opening that vgsvg writes by one with a title, a description
// and further attributes, that scales with the page. Liberation Sans has the widths of
// Arial and Helvetica, one of which is on most machines.
func (p Plot) svg(canvas *vgsvg.Canvas, id, attributes string) (string, error) {
	var buf bytes.Buffer
	if _, err := canvas.WriteTo(&buf); err != nil {
		return "", fmt.Errorf("draw plot %s: %w", p.Name, err)
	}
	width, height := canvas.Size()
	head := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="%.0f" height="%.0f" viewBox="0 0 %.0f %.0f" role="img" aria-labelledby="%s-title %s-desc"%s>`+"\n"+
		`<title id="%s-title">%s</title>`+"\n"+`<desc id="%s-desc">%s</desc>`,
		float64(width), float64(height), float64(width), float64(height), id, id, attributes,
		id, html.EscapeString(p.Title), id, html.EscapeString(p.Description))
	body := opening.ReplaceAllLiteralString(buf.String(), head)
	return strings.ReplaceAll(body, "font-family:Liberation Sans;font-variant:normal;",
		"font-family:Liberation Sans,Arial,Helvetica,sans-serif;"), nil
}
