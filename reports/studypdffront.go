package reports

import (
	"fmt"
	"strings"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// printTitle sets the first page.
func (r *Report) printTitle(p *press) {
	p.y -= 90
	p.words(bold(textStyle(11, petrol)), 0, "Durability report · study "+r.Study.Code)
	p.y -= 8
	p.words(bold(textStyle(24, ink)), 0, r.heading())
	p.y -= 10
	p.words(textStyle(10.5, muted), 0, r.facts())
	p.y -= 26
	for _, row := range r.Life.Rows {
		p.words(bold(textStyle(11.5, ink)), 0, row.Coating)
		if h := row.Headline(); h != nil {
			p.words(textStyle(11.5, ink), 0, h.Large+" "+h.Small)
		} else {
			p.words(textStyle(11.5, ink), 0, row.Answer())
		}
		if p.y -= 9; p.room() < 230 {
			p.words(textStyle(11.5, muted), 0, "… and the other coatings on the pages that follow.")
			break
		}
	}
	p.y -= 12
	p.caution(estimateCaution)
	o := r.Options
	p.y = min(p.y, 190)
	for _, line := range [][2]string{
		{"Made", o.Made.String() + " by beadspan " + o.Version}, {"Database tables", o.Provenance.Schema}, {"SHA-256 of the data", o.Provenance.DataSHA256},
	} {
		if line[1] != "" {
			p.words(printSmall(), 0, line[0]+": "+line[1])
		}
	}
	p.words(printSmall(), 0, "How to work every figure out again: see the last section, and reproduce.zip beside this file.")
}

// caution sets a paragraph beside a bar of the accent.
func (p *press) caution(words string) {
	p.need(60)
	top := p.y
	p.words(printText(), 14, words)
	bottom := p.y - 3
	p.draw(func(c draw.Canvas) {
		fill(c, petrol, vg.Point{X: pressMargin, Y: top}, vg.Point{X: pressMargin + 3, Y: top},
			vg.Point{X: pressMargin + 3, Y: bottom}, vg.Point{X: pressMargin, Y: bottom})
	})
	p.y -= 10
}

// printAnswer sets what the page begins with.
func (r *Report) printAnswer(p *press) {
	p.heading(0, "The answer", 110)
	if len(r.Life.Rows) == 0 {
		p.words(printText(), 0, nothingYet)
		p.space(8)
		p.caution(estimateCaution)
		return
	}
	for _, row := range r.Life.Rows {
		p.need(60)
		p.words(bold(textStyle(11.2, ink)), 0, row.Coating)
		if h := row.Headline(); h != nil {
			p.words(bold(printText()), 0, h.Large+" "+h.Small)
			p.words(printText(), 0, row.Detail())
		} else {
			p.words(printText(), 0, row.Answer())
		}
		p.space(8)
	}
	p.caution(estimateCaution)
	p.heading(1, "How the patches stand today", 60)
	for _, s := range r.Standings {
		const drop = 0.62
		p.need(26)
		corner := vg.Point{X: pressMargin, Y: p.y - 32*drop}
		p.draw(func(c draw.Canvas) { drawDrop(c, s.Standing, corner, drop) })
		p.y -= 4
		p.words(printText(), 40, fmt.Sprintf("%s %s: %s", number(s.Patches), s.Standing, s.Meaning))
		p.y = min(p.y, corner.Y) - 3
	}
}

// contents lists the headings of the body, with links to them.
func (p *press) contents(body *press) {
	p.newPage()
	style := bold(textStyle(15, petrol))
	p.words(style, 0, "Contents")
	p.y -= 8
	before := p.contentsPages(body.marks)
	for i, mark := range body.marks {
		if mark.unlisted {
			continue
		}
		style, indent := printText(), vg.Length(16)
		if mark.level == 0 {
			style, indent = bold(printText()), 0
		}
		p.need(mark.line())
		p.y -= mark.line()
		p.entry(style, indent, mark.title, before+mark.page+1, i)
	}
}

// line is the height of its line in the contents.
func (m pressMark) line() vg.Length {
	switch {
	case m.unlisted:
		return 0
	case m.level == 0:
		return 18
	}
	return 13
}

// contentsPages is how many pages stand before the body, with the contents of
// these marks.
func (p *press) contentsPages(marks []pressMark) int {
	try := &press{size: p.size, pages: make([]pressPage, len(p.pages)), y: p.y}
	for _, mark := range marks {
		try.need(mark.line())
		try.y -= mark.line()
	}
	return len(try.pages)
}

// entry sets a line of the contents.
func (p *press) entry(style text.Style, indent vg.Length, title string, page, mark int) {
	left, right := pressMargin+indent, p.size.X-pressMargin
	title = fitted(style, title, right-left-50)
	where := fmt.Sprint(page)
	y := p.y + 3
	p.write(style, left, y, title)
	dots := int((right - left - style.Width(title) - style.Width(where) - 12) / style.Width("."))
	leader := printSmall()
	leader.Font.Size = style.Font.Size
	line := strings.Repeat(" .", max(dots/2, 0))
	p.draw(func(c draw.Canvas) {
		fillRight(c, leader, vg.Point{X: right - style.Width(where) - 5, Y: y}, line)
		fillRight(c, style, vg.Point{X: right, Y: y}, where)
	})
	last := &p.pages[len(p.pages)-1]
	last.links = append(last.links, pressLink{vg.Rectangle{Min: vg.Point{X: left, Y: p.y}, Max: vg.Point{X: right, Y: p.y + 14}}, mark})
}
