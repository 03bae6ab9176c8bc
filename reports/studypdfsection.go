package reports

import (
	"fmt"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// section sets a section. What is folded on the page goes to the appendix.
func (p *press) section(s Section, appendix *printedAppendix) {
	p.heading(0, s.Heading, p.following(s.Parts))
	for i, part := range s.Parts {
		p.part(part, s.Parts[i+1:], s.Heading, appendix)
	}
}

// following is the room that the first of parts needs, so that a heading doesn't
// stay alone at the foot of a page.
func (p *press) following(parts []Part) vg.Length {
	switch {
	case len(parts) == 0:
		return 0
	case parts[0].Heading != "":
		return 30 + p.following(parts[1:])
	case parts[0].Plot != nil:
		return p.plotRoom(*parts[0].Plot)
	case parts[0].Table != nil:
		return 110
	case parts[0].Text != "" && len(parts) > 1 && len(parts[0].Text) < 200: // a line or two
		return 30 + min(p.following(parts[1:]), 200)
	}
	return 60
}

// part sets one part; after are those that follow it.
func (p *press) part(part Part, after []Part, section string, appendix *printedAppendix) {
	switch {
	case part.Heading != "":
		p.heading(1, part.Heading, p.following(after))
	case part.Text != "":
		p.words(printText(), 0, part.Text)
		p.space(5)
	case part.Small != "":
		p.words(printSmall(), 0, part.Small)
		p.space(5)
	case part.Points != nil:
		for _, point := range part.Points {
			p.dotted(printText(), point)
		}
		p.space(4)
	case part.Notes != nil:
		for _, note := range part.Notes {
			p.dotted(printNote(), note)
		}
		p.space(4)
	case part.Table != nil && part.Folded != "":
		p.words(printSmall(), 0, fmt.Sprintf("%s: table %s at the end.", part.Folded, appendix.add(section, *part.Table)))
		p.space(5)
	case part.Table != nil:
		p.table(*part.Table)
	case part.Plot != nil:
		p.plot(*part.Plot, section, appendix)
	}
}

const (
	// plotUnits is how many of its own units a picture is drawn wide: its text then
	// comes out a little smaller than that of paragraphs.
	plotUnits vg.Length = 640
	// plotShare is how much of the page's width a plot takes: two usual ones then
	// find room on a page.
	plotShare vg.Length = 0.92
)

// plotScale is by how much a plot is drawn smaller than its units.
func (p *press) plotScale(plot Plot) vg.Length {
	scale := plotShare * p.width() / plotUnits
	most := p.top() - pressBottom - 100
	if height := plot.picture.height(plotUnits) * scale; height > most { // with very many rows
		scale *= most / height
	}
	return scale
}

// plotRoom is the height of a plot with its title.
func (p *press) plotRoom(plot Plot) vg.Length {
	return plot.picture.height(plotUnits)*p.plotScale(plot) + 50
}

// plot sets a plot below its title.
func (p *press) plot(plot Plot, section string, appendix *printedAppendix) {
	scale, height := p.plotScale(plot), plot.picture.height(plotUnits)
	p.heading(2, plot.Title, height*scale+24)
	left, bottom := pressMargin, p.y-height*scale
	p.draw(func(c draw.Canvas) {
		c.Push()
		c.Translate(vg.Point{X: left, Y: bottom})
		c.Scale(float64(scale), float64(scale))
		area := c
		area.Rectangle = vg.Rectangle{Max: vg.Point{X: plotUnits, Y: height}}
		plot.picture.draw(area)
		c.Pop()
	})
	p.y = bottom - 6
	words := plot.Description
	if len(plot.Table.Rows) > 0 {
		words += fmt.Sprintf(" Its numbers: table %s at the end.", appendix.add(section, plot.Table))
	}
	p.words(printSmall(), 0, words)
	p.space(8)
}

// printedAppendix gathers the tables for the end.
type printedAppendix struct{ tables []appendixTable }

type appendixTable struct {
	number, section string
	table           Table
}

// add puts a table there and returns its number.
func (a *printedAppendix) add(section string, t Table) string {
	number := fmt.Sprintf("A%d", len(a.tables)+1)
	a.tables = append(a.tables, appendixTable{number, section, t})
	return number
}

// mostPrintedRows bounds what is printed of a table at the end. The page and the
// files beside it have it whole.
const mostPrintedRows = 400

func (a *printedAppendix) print(p *press) {
	if len(a.tables) == 0 {
		return
	}
	p.newPage()
	p.heading(0, "Appendix: further tables", 110)
	section := ""
	for _, t := range a.tables {
		if t.section != section {
			section = t.section
			p.heading(1, section, 60)
			p.marks[len(p.marks)-1].unlisted = true
		}
		table := t.table
		table.Caption = t.number + ". " + table.Caption
		if n := len(table.Rows); n > mostPrintedRows {
			table.Rows = table.Rows[:mostPrintedRows]
			table.Caption += fmt.Sprintf(" (the first %d rows of %s, all of which are on the web page)", mostPrintedRows, number(n))
		}
		p.table(table)
	}
}
