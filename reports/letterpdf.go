package reports

import (
	"bytes"
	"fmt"
	"image"
	"io"

	"codeberg.org/go-pdf/fpdf"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// LetterLook says how letters look.
type LetterLook struct {
	Language Language
	Paper    Paper
	Shop     string      // its name; empty for none
	Logo     image.Image // nil for none; see ReadLogo
}

// WritePDF writes the letter on one page. Its fonts are in the file, and its
// dates are the letter's day, so that the same letter is the same bytes.
//
// A language or paper that there isn't is ErrOptions. Where there is more to say
// than fits, the text gets smaller, down to two thirds; beyond that, which takes
// names as long as paragraphs, it is an error.
func (l *Letter) WritePDF(w io.Writer, look LetterLook) error {
	page, err := l.page(look.Language)
	if err != nil {
		return fmt.Errorf("letter for vehicle %q: %w", l.Vehicle, err)
	}
	pdf, err := l.newPDF(page, look)
	if err != nil {
		return fmt.Errorf("letter for vehicle %q: %w", l.Vehicle, err)
	}
	c := draw.NewCanvas(newPDFCanvas(pdf), 0, 0)
	width, height := pdf.GetPageSize()
	c.Rectangle = vg.Rectangle{Max: vg.Point{X: vg.Length(width), Y: vg.Length(height)}}
	if err := page.put(draw.Crop(c, letterMargin, -letterMargin, letterMargin, -letterMargin), look, l.ruler); err != nil {
		return fmt.Errorf("letter for vehicle %q: %w", l.Vehicle, err)
	}
	var buf bytes.Buffer // so that no half letter is written
	if err := pdf.Output(&buf); err != nil {
		return fmt.Errorf("letter for vehicle %q: %w", l.Vehicle, err)
	}
	_, err = buf.WriteTo(w)
	return err
}

// newPDF begins the letter's file.
func (l *Letter) newPDF(page *letterPage, look LetterLook) (*fpdf.Fpdf, error) {
	pdf, err := newPDF(look.Paper, l.On, l.Version)
	if err != nil {
		return nil, err
	}
	pdf.SetTitle(page.Title+": "+page.Of, true)
	pdf.SetLang(string(page.Language))
	pdf.SetAuthor(look.Shop, true)
	return pdf, nil
}

const (
	letterMargin vg.Length = 40
	letterGap    vg.Length = 20 // between columns
)

// letterScales are how large text may be: larger where there is little to say, and
// smaller where there is much.
var letterScales = []vg.Length{1.15, 1.07, 1, 0.94, 0.88, 0.82, 0.76, 0.7, 0.66}

// errNoRoom says that a letter doesn't fit its page.
var errNoRoom = fmt.Errorf("it doesn't fit on one page: shorten the names of panels and coatings")

// put draws the page as large as fits.
func (p *letterPage) put(c draw.Canvas, look LetterLook, measured *ruler) error {
	for _, scale := range letterScales {
		s := &sheet{Canvas: c, ruler: measured, scale: scale, dry: true}
		if p.write(s, look) < c.Min.Y {
			continue
		}
		s.dry = false
		p.write(s, look)
		return nil
	}
	return errNoRoom
}

// The styles of a letter's text.
func letterHeading() text.Style { return bold(textStyle(11, petrol)) }
func letterText() text.Style    { return textStyle(9.5, ink) }
func letterSmall() text.Style   { return textStyle(8.2, muted) }

// write writes all parts and returns how far down the page they come.
func (p *letterPage) write(s *sheet, look LetterLook) (bottom vg.Length) {
	all := &column{sheet: s, left: s.Min.X, width: s.Max.X - s.Min.X, y: s.Max.Y}
	p.writeHead(all, look)
	p.writeAnswers(all)
	half := (all.width - letterGap) / 2
	left := &column{s, all.left, half, all.y}
	right := &column{s, all.left + half + letterGap, half, all.y}
	p.writePanels(left)
	p.writeChart(right)
	all.y = min(left.y, right.y)
	all.space(10)
	for i := 0; i < len(p.Sections); i += 2 {
		left.y, right.y = all.y, all.y
		p.Sections[i].write(left)
		if i+1 < len(p.Sections) {
			p.Sections[i+1].write(right)
		}
		all.y = min(left.y, right.y)
		all.space(7)
	}
	p.writeFoot(all)
	return all.y
}

func (p *letterPage) writeHead(c *column, look LetterLook) {
	whole := c.width
	if look.Logo != nil {
		size := logoSize(look.Logo, logoWidth*c.scale, logoHeight*c.scale)
		if !c.dry {
			corner := vg.Point{X: c.left + c.width - size.X, Y: c.y - size.Y}
			c.DrawImage(vg.Rectangle{Min: corner, Max: corner.Add(size)}, look.Logo)
		}
		c.width -= size.X + letterGap
		defer func(top vg.Length) { c.y = min(c.y, top-size.Y-6*c.scale) }(c.y)
	}
	if look.Shop != "" {
		c.words(bold(textStyle(10.5, petrol)), look.Shop)
		c.space(3)
	}
	c.words(bold(textStyle(20, ink)), p.Title)
	c.words(textStyle(10.5, ink), p.Of)
	if p.Facts != "" {
		c.words(letterSmall(), p.Facts)
	}
	c.space(9)
	c.width = whole
}

// logoSize is how large a logo is drawn: within a box, in its own shape.
func logoSize(logo image.Image, width, height vg.Length) vg.Point {
	size := logo.Bounds().Size()
	scale := min(width/vg.Length(size.X), height/vg.Length(size.Y))
	return vg.Point{X: scale * vg.Length(size.X), Y: scale * vg.Length(size.Y)}
}

// writeAnswers writes what the letter is for beside a bar of the accent.
func (p *letterPage) writeAnswers(c *column) {
	top := c.y
	for i, answer := range p.Answers {
		if i > 0 {
			c.space(5)
		}
		c.indented(textStyle(10.5, ink), 12, answer)
	}
	c.indented(bold(textStyle(10.5, petrol)), 12, p.Estimate)
	if !c.dry {
		fill(c.Canvas, petrol, vg.Point{X: c.left, Y: top}, vg.Point{X: c.left + 3, Y: top},
			vg.Point{X: c.left + 3, Y: c.y - 2}, vg.Point{X: c.left, Y: c.y - 2})
	}
	c.space(14)
}

func (p *letterPage) writePanels(c *column) {
	c.words(letterHeading(), p.PanelsHead)
	for _, panel := range p.Panels {
		c.space(5)
		top := c.y
		const drop = 0.8
		if !c.dry {
			drawDrop(c.Canvas, panel.Standing, vg.Point{X: c.left, Y: top - 30*drop*c.scale}, drop*c.scale)
		}
		const beside = 48*drop + 8
		c.indented(bold(letterText()), beside, panel.Name)
		c.indented(letterText(), beside, panel.Words)
		for _, detail := range panel.Details {
			c.indented(letterSmall(), beside, detail)
		}
		c.y = min(c.y, top-32*drop*c.scale)
	}
	if p.More != "" {
		c.space(5)
		c.words(letterText(), p.More)
	}
}

func (p *letterPage) writeChart(c *column) {
	if p.Chart == nil {
		c.words(letterText(), p.ChartCaption)
		return
	}
	c.words(letterHeading(), p.ChartHead)
	c.space(4)
	height := p.Chart.picture.height(c.width)
	if !c.dry {
		area := c.Canvas
		area.Rectangle = vg.Rectangle{Min: vg.Point{X: c.left, Y: c.y - height}, Max: vg.Point{X: c.left + c.width, Y: c.y}}
		p.Chart.picture.draw(area)
	}
	c.y -= height
	c.space(3)
	for i, key := range p.ChartKeys {
		if !c.dry {
			letterMark(c.Canvas, i, 3*c.scale, vg.Point{X: c.left + 5*c.scale, Y: c.y - 5.6*c.scale})
		}
		c.indented(letterSmall(), 14, key)
	}
	c.space(2)
	c.words(letterSmall(), p.ChartCaption)
}

func (s letterSection) write(c *column) {
	c.words(letterHeading(), s.Heading)
	c.space(1)
	for _, line := range s.Lines {
		c.dotted(letterText(), line)
	}
}

func (p *letterPage) writeFoot(c *column) {
	if !c.dry {
		c.StrokeLine2(draw.LineStyle{Color: rule, Width: 0.8}, c.left, c.y, c.left+c.width, c.y)
	}
	c.space(3)
	for _, small := range p.Small {
		c.words(letterSmall(), small)
	}
	c.space(2)
	c.words(textStyle(7.2, muted), p.Origin)
}
