package reports

import (
	"image/color"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// press sets text, tables and plots one below the other, on as many pages as it
// takes. Pages are drawn later, when it is known how many there are.
type press struct {
	size  vg.Point
	pages []pressPage
	marks []pressMark // in the order of pages
	y     vg.Length   // how far down the last page is full
}

type pressPage struct {
	ops   []func(c draw.Canvas)
	links []pressLink
}

// pressMark is a heading that the contents and the outline lead to.
type pressMark struct {
	title string
	level int // 0 for a section's
	page  int
	y     vg.Length
	first bool // at the top of its page
	// unlisted ones are in the outline, but not among the contents.
	unlisted bool
}

// pressLink leads from a place on the page to a mark.
type pressLink struct {
	area vg.Rectangle
	mark int
}

const (
	pressMargin vg.Length = 56
	pressTop    vg.Length = 64 // margins above and below what is set
	pressBottom vg.Length = 58
)

// The styles of print.
func printText() text.Style  { return textStyle(9.6, ink) }
func printSmall() text.Style { return textStyle(8, muted) }
func printNote() text.Style  { return textStyle(8, ink) }

func newPress(size vg.Point) *press {
	p := &press{size: size}
	p.newPage()
	return p
}

func (p *press) width() vg.Length { return p.size.X - 2*pressMargin }
func (p *press) top() vg.Length   { return p.size.Y - pressTop }
func (p *press) room() vg.Length  { return p.y - pressBottom }
func (p *press) atTop() bool      { return p.y == p.top() }

func (p *press) newPage() {
	p.pages = append(p.pages, pressPage{})
	p.y = p.top()
}

// need begins a page where there isn't so much room left.
func (p *press) need(height vg.Length) {
	if height > p.room() && !p.atTop() {
		p.newPage()
	}
}

// space leaves a gap, but not at the top of a page.
func (p *press) space(gap vg.Length) {
	if !p.atTop() {
		p.y -= gap
	}
}

// draw draws on the last page.
func (p *press) draw(op func(c draw.Canvas)) {
	last := &p.pages[len(p.pages)-1]
	last.ops = append(last.ops, op)
}

// write writes a line with its foot at a height.
func (p *press) write(style text.Style, x, y vg.Length, line string) {
	p.draw(func(c draw.Canvas) { c.FillText(style, vg.Point{X: x, Y: y}, line) })
}

// fillRight writes a line that ends at a point.
func fillRight(c draw.Canvas, style text.Style, at vg.Point, line string) {
	at.X -= style.Width(line)
	c.FillText(style, at, line)
}

// words sets a paragraph that leaves room at its left. Its first line doesn't
// stay alone at the foot of a page, nor its last at the top of the next.
func (p *press) words(style text.Style, indent vg.Length, said string) {
	width := p.width() - indent
	lines := wrap(style, narrowed(style, said, width), width)
	each := style.Font.Size * 1.36
	for i, line := range lines {
		switch left := len(lines) - i; {
		case i == 0 && left > 1, left == 2 && i > 0:
			p.need(2 * each)
		default:
			p.need(each)
		}
		p.y -= each
		p.write(style, pressMargin+indent, p.y+style.Font.Size*0.3, line)
	}
}

// dotted sets a paragraph with a dot before it.
func (p *press) dotted(style text.Style, said string) {
	each := style.Font.Size * 1.36
	p.need(2 * each)
	dot := style
	dot.Color = petrol
	p.write(dot, pressMargin+1, p.y-each+style.Font.Size*0.3, "•")
	p.words(style, 11, said)
	p.space(1.6)
}

// heading sets a heading and marks it. It stays with what follows, which needs so
// much room.
func (p *press) heading(level int, title string, follows vg.Length) {
	style := bold(textStyle([]vg.Length{15, 11.2, 9.6}[level], []color.Color{petrol, ink, ink}[level]))
	p.space([]vg.Length{24, 13, 9}[level])
	lines := wrap(style, narrowed(style, title, p.width()), p.width())
	each := style.Font.Size * 1.25
	p.need(each*vg.Length(len(lines)) + follows)
	if level < 2 {
		p.marks = append(p.marks, pressMark{title: title, level: level, page: len(p.pages) - 1, y: p.y, first: p.atTop()})
	}
	for _, line := range lines {
		p.y -= each
		p.write(style, pressMargin, p.y+style.Font.Size*0.28, line)
	}
	p.y -= []vg.Length{7, 4, 3}[level]
}
