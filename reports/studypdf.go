package reports

import (
	"bytes"
	"fmt"
	"io"

	"codeberg.org/go-pdf/fpdf"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// WritePDF writes the report for print: a title page, the contents, the answer,
// the sections of the page, and at the end the tables that the page folds away.
// Plots are vectors and text is text, in fonts that the file brings along.
// Its dates are the day on which the report was made, so that the same report is
// the same bytes.
//
// A paper that there isn't is ErrOptions.
func (r *Report) WritePDF(w io.Writer, paper Paper) error {
	fail := func(err error) error { return fmt.Errorf("print report of study %s: %w", r.Study.Code, err) }
	pdf, err := r.newStudyPDF(paper)
	if err != nil {
		return fail(err)
	}
	width, height := pdf.GetPageSize()
	size := vg.Point{X: vg.Length(width), Y: vg.Length(height)}
	body := newPress(size)
	r.printAnswer(body)
	appendix := &printedAppendix{}
	for _, s := range r.Sections() {
		body.section(s, appendix)
	}
	appendix.print(body)
	front := newPress(size)
	r.printTitle(front)
	front.contents(body)
	r.bind(pdf, front, body)
	var buf bytes.Buffer // so that no half report is written
	if err := pdf.Output(&buf); err != nil {
		return fail(err)
	}
	if _, err := buf.WriteTo(w); err != nil {
		return fail(err)
	}
	return nil
}

// newStudyPDF begins the report's file.
func (r *Report) newStudyPDF(paper Paper) (*fpdf.Fpdf, error) {
	pdf, err := newPDF(paper, r.Options.Made, r.Options.Version)
	if err != nil {
		return nil, err
	}
	pdf.SetTitle("Durability report: study "+r.Study.Code, true)
	pdf.SetSubject(r.heading(), true)
	pdf.SetLang("en")
	return pdf, nil
}

// bind prints the pages one after the other, with what stands at their heads and
// feet, links from the contents, and an outline.
func (r *Report) bind(pdf *fpdf.Fpdf, front, body *press) {
	total := len(front.pages) + len(body.pages)
	links := make([]int, len(body.marks))
	for i := range links {
		links[i] = pdf.AddLink()
	}
	next := 0 // of the marks
	title := ""
	for i, page := range append(front.pages, body.pages...) {
		c := draw.Canvas{Canvas: newPDFCanvas(pdf), Rectangle: vg.Rectangle{Max: front.size}}
		inBody := i - len(front.pages)
		for next < len(body.marks) && body.marks[next].page == inBody {
			mark := body.marks[next]
			fromTop := float64(front.size.Y - mark.y)
			pdf.Bookmark(mark.title, mark.level, fromTop)
			pdf.SetLink(links[next], fromTop, i+1)
			if mark.level == 0 && (title == "" || mark.first) {
				title = mark.title
			}
			next++
		}
		for _, l := range page.links {
			pdf.Link(float64(l.area.Min.X), float64(front.size.Y-l.area.Max.Y), float64(l.area.Size().X), float64(l.area.Size().Y), links[l.mark])
		}
		for _, op := range page.ops {
			op(c)
		}
		if i > 0 {
			r.printEdges(c, title, i+1, total)
		}
		for _, mark := range body.marks[:next] { // what the next page goes on with
			if mark.level == 0 {
				title = mark.title
			}
		}
	}
}

// printEdges prints the head and the foot of a page.
func (r *Report) printEdges(c draw.Canvas, title string, page, of int) {
	style := textStyle(7.8, muted)
	left, right := pressMargin, c.Max.X-pressMargin
	head := c.Max.Y - 42
	c.StrokeLine2(draw.LineStyle{Color: rule, Width: 0.7}, left, head-6, right, head-6)
	about := fitted(style, "Durability report · study "+r.Study.Code, (right-left)*0.6)
	c.FillText(style, vg.Point{X: left, Y: head}, about)
	fillRight(c, style, vg.Point{X: right, Y: head}, fitted(style, title, (right-left)*0.38))
	const foot = 34
	words := fmt.Sprintf("Made %s by beadspan %s", r.Options.Made, r.Options.Version)
	if sum := r.Options.Provenance.DataSHA256; sum != "" {
		words += " · data " + sum[:min(16, len(sum))] + "…"
	}
	c.FillText(style, vg.Point{X: left, Y: foot}, words)
	fillRight(c, style, vg.Point{X: right, Y: foot}, fmt.Sprintf("page %d of %d", page, of))
}
