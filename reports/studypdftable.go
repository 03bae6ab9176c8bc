package reports

import (
	"image/color"
	"regexp"
	"strings"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// printedTable is a table whose columns have their widths.
type printedTable struct {
	Table
	columns []tableColumn
	widths  []vg.Length
	body    text.Style
	measure measured
}

// measured remembers how wide words are.
type measured map[string]vg.Length

func (m measured) width(style text.Style, words string) vg.Length {
	if w, known := m[words]; known {
		return w
	}
	w := style.Width(words)
	m[words] = w
	return w
}

const columnGap vg.Length = 9

// tableSizes are how large the text of a table may be; the largest is taken at
// which no word needs breaking.
var tableSizes = []vg.Length{8.4, 7.8, 7.2, 6.6}

func newPrintedTable(t Table, width vg.Length) *printedTable {
	p := &printedTable{Table: t, columns: columnsOf(t)}
	for _, size := range tableSizes {
		p.body, p.measure = textStyle(size, ink), measured{}
		if p.fit(width) {
			break
		}
	}
	return p
}

func (p *printedTable) head() text.Style { return bold(p.body) }

// fit gives each column its widest cell where there is room, else at least its
// longest word and a share of what is left. It says whether that was possible.
func (p *printedTable) fit(width vg.Length) bool {
	width -= columnGap * vg.Length(len(p.columns)-1)
	least, most := make([]vg.Length, len(p.columns)), make([]vg.Length, len(p.columns))
	leasts, mosts := vg.Length(0), vg.Length(0)
	for i := range p.columns {
		least[i], most[i] = p.columnRoom(i)
		leasts += least[i]
		mosts += most[i]
	}
	p.widths = most
	switch {
	case mosts <= width:
		return true
	case leasts > width:
		for i := range least {
			p.widths[i] = least[i] * width / leasts
		}
		return false
	}
	share := (width - leasts) / (mosts - leasts)
	for i := range least {
		p.widths[i] = least[i] + (most[i]-least[i])*share
	}
	return true
}

// columnRoom is the width of a column's longest word, and of its widest cell.
// Headings may take two lines or more.
func (p *printedTable) columnRoom(i int) (least, most vg.Length) {
	room := func(m measured, style text.Style, cell string) {
		for _, word := range unbreakable(cell) {
			least = max(least, m.width(style, word))
		}
	}
	heads := measured{}
	room(heads, p.head(), p.Head[i])
	most = max(least, p.head().Width(p.Head[i])*0.6)
	for _, row := range p.Rows {
		room(p.measure, p.body, row[i])
		most = max(most, p.measure.width(p.body, row[i]))
	}
	return least, max(least, most)
}

// cells breaks a row into lines.
func (p *printedTable) cells(style text.Style, row []string) (cells [][]string, lines int) {
	for i, cell := range row {
		broken := p.wrapped(style, unbreakable(cell), p.widths[i]+0.01)
		cells = append(cells, broken)
		lines = max(lines, len(broken))
	}
	return cells, lines
}

// table sets a table. Where it goes on on another page its head is set again.
func (p *press) table(t Table) {
	printed := newPrintedTable(t, p.width())
	p.space(4)
	if beside := printed.beside(p.width()); beside > 1 {
		printed.setBeside(p, beside)
	} else {
		printed.set(p)
	}
	p.space(11)
}

func (t *printedTable) line() vg.Length { return t.body.Font.Size * 1.3 }

// set sets the rows one below the other. A row higher than what is left of a page
// goes to the next, one higher than a page is parted.
func (t *printedTable) set(p *press) {
	each := t.line()
	t.begin(p, t.Caption, 1, 4*each)
	for _, row := range t.Rows {
		cells, lines := t.cells(t.body, row)
		for from := 0; from < lines; {
			fit := int((p.room() - 5) / each)
			if fit < min(lines-from, 3) && !p.atTop() {
				p.newPage()
				t.begin(p, t.Caption+" (continued)", 1, 4*each)
				fit = int((p.room() - 5) / each)
			}
			to := min(lines, from+max(fit, 1))
			t.lines(p, t.body, pressMargin, cells, from, to)
			from = to
		}
		p.rule(rule, 0.4, pressMargin, t.width())
	}
}

const (
	// besideGap lies between blocks of rows.
	besideGap vg.Length = 26
	// fewRows is from where rows are set in blocks beside each other, if the table
	// is narrow.
	fewRows = 16
)

// beside is how many blocks of rows find room beside each other. Cells of such a
// table have a line each.
func (t *printedTable) beside(width vg.Length) int {
	if len(t.Rows) < fewRows {
		return 1
	}
	return min(int((width+besideGap)/(t.width()+besideGap)), (len(t.Rows)+fewRows/2-1)/(fewRows/2))
}

// setBeside sets the rows in blocks beside each other, to be read down and then
// across.
func (t *printedTable) setBeside(p *press, blocks int) {
	each := t.line() + 4.4
	caption := t.Caption
	for rows := t.Rows; len(rows) > 0; {
		t.begin(p, caption, blocks, 4*each)
		caption = t.Caption + " (continued)"
		high := min(int(p.room()/each), (len(rows)+blocks-1)/blocks)
		top := p.y
		for block := 0; block < blocks && len(rows) > 0; block++ {
			p.y = top
			left := pressMargin + (t.width()+besideGap)*vg.Length(block)
			n := min(high, len(rows))
			for _, row := range rows[:n] {
				cells, lines := t.cells(t.body, row)
				t.lines(p, t.body, left, cells, 0, lines)
				p.rule(rule, 0.4, left, t.width())
			}
			rows = rows[n:]
		}
		if p.y = top - each*vg.Length(high); len(rows) > 0 {
			p.newPage()
		}
	}
}

// begin sets the caption, and the head above each of the blocks, with room for
// first rows below.
func (t *printedTable) begin(p *press, caption string, blocks int, follows vg.Length) {
	style := bold(textStyle(8.8, ink))
	captionLines := wrap(style, narrowed(style, caption, p.width()), p.width())
	head, high := t.cells(t.head(), t.Head)
	p.need(style.Font.Size*1.36*vg.Length(len(captionLines)) + t.line()*vg.Length(high) + follows + 12)
	p.words(style, 0, caption)
	top := p.y - 2
	for block := range blocks {
		p.y = top
		left := pressMargin + (t.width()+besideGap)*vg.Length(block)
		t.lines(p, t.head(), left, head, 0, high)
		p.rule(ink, 0.9, left, t.width())
	}
}

// lines sets lines of a row's cells.
func (t *printedTable) lines(p *press, style text.Style, left vg.Length, cells [][]string, from, to int) {
	each := t.line()
	p.y -= 2.2
	for i, lines := range cells {
		for n := from; n < min(to, len(lines)); n++ {
			x := left
			if t.columns[i].Numbers {
				x += t.widths[i] - style.Width(lines[n])
			}
			p.write(style, x, p.y-each*vg.Length(n-from+1)+t.body.Font.Size*0.3, lines[n])
		}
		left += t.widths[i] + columnGap
	}
	p.y -= each*vg.Length(to-from) + 2.2
}

func (t *printedTable) width() vg.Length {
	width := columnGap * vg.Length(len(t.widths)-1)
	for _, w := range t.widths {
		width += w
	}
	return width
}

// rule draws a line across a table.
func (p *press) rule(colour color.Color, thick, left, width vg.Length) {
	y := p.y
	p.draw(func(c draw.Canvas) {
		c.StrokeLine2(draw.LineStyle{Color: colour, Width: thick}, left, y, left+width, y)
	})
}

// numberWithUnit is what a line doesn't end within.
var numberWithUnit = regexp.MustCompile(`[\d.,]+ (%|of [\d.,]+)|[<>] [\d.]+`)

// unbreakable splits a cell between words, but keeps numbers with what belongs to
// them: "12 of 40", "95 %", "< 0.001".
func unbreakable(cell string) []string {
	const joint = "\x00"
	joined := numberWithUnit.ReplaceAllStringFunc(cell, func(s string) string { return strings.ReplaceAll(s, " ", joint) })
	words := strings.Fields(joined)
	for i := range words {
		words[i] = strings.ReplaceAll(words[i], joint, " ")
	}
	return words
}

// wrapped puts words into lines no wider than a column. A word that is wider is
// broken.
func (t *printedTable) wrapped(style text.Style, words []string, width vg.Length) []string {
	var lines []string
	line := ""
	for _, word := range words {
		if style.Width(word) > width {
			pieces := strings.Fields(broken(style, word, width))
			if line != "" {
				lines = append(lines, line)
			}
			lines = append(lines, pieces[:len(pieces)-1]...)
			line = pieces[len(pieces)-1]
			continue
		}
		longer := strings.TrimSpace(line + " " + word)
		if line != "" && style.Width(longer) > width {
			lines = append(lines, line)
			longer = word
		}
		line = longer
	}
	return append(lines, line)
}
