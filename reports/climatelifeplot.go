package reports

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"beadspan/study/climate"
)

// climateLifePicture shows each coating's life in each climate as a point with
// its limits, the climates from the kindest to the hardest, and below them one
// that isn't in the study.
type climateLifePicture struct {
	blocks    []climateBlock
	lastMonth float64
}

// climateBlock is a climate with a line for each coating.
type climateBlock struct {
	label string
	lines []climateLine
}

// climateLine is one coating's life.
type climateLine struct {
	coating string
	number  int // of the coating: its mark
	look    look
	life    HalfLife
	own     *HalfLife // by itself, drawn faintly
	guessed bool      // of a climate that isn't in the study
	beyond  string    // a mark where the life is longer than any followed
}

// The picture's measures.
const (
	blockHead   vg.Length = 19
	blockLine   vg.Length = 21
	blockGap    vg.Length = 13
	axisRoom    vg.Length = 38
	markRadius  vg.Length = 4.2
	ownDrop     vg.Length = 6 // below the pooled line
	limitsWidth vg.Length = 2.6
)

func (p climateLifePicture) height(vg.Length) vg.Length {
	height := axisRoom
	for _, b := range p.blocks {
		height += blockHead + blockLine*vg.Length(len(b.lines)) + blockGap
	}
	return height
}

func (p climateLifePicture) draw(c draw.Canvas) {
	area := draw.Crop(c, 6, -14, axisRoom, 0)
	p.axis(area)
	y := area.Max.Y
	for _, b := range p.blocks {
		style := bold(textStyle(textSize, ink))
		area.FillText(style, vg.Point{X: area.Min.X, Y: y - textSize - 2}, fitted(style, b.label, area.Size().X))
		y -= blockHead
		for _, line := range b.lines {
			y -= blockLine
			p.line(area, line, y+blockLine/2)
		}
		y -= blockGap
	}
}

// x is the place of a month.
func (p climateLifePicture) x(c draw.Canvas, month float64) vg.Length {
	return c.Min.X + c.Size().X*vg.Length(month/p.lastMonth)
}

// axis draws the months below, and a thin line up from each.
func (p climateLifePicture) axis(c draw.Canvas) {
	style := aligned(textStyle(textSize, ink), draw.XCenter, draw.YTop)
	for _, tick := range monthTicks(0, p.lastMonth) {
		x := p.x(c, tick.Value)
		c.StrokeLine2(draw.LineStyle{Color: rule, Width: 0.6}, x, c.Min.Y, x, c.Max.Y-blockHead+4)
		c.FillText(style, vg.Point{X: x, Y: c.Min.Y - 6}, tick.Label)
	}
	c.StrokeLine2(draw.LineStyle{Color: ink, Width: 0.8}, c.Min.X, c.Min.Y, c.Max.X, c.Min.Y)
	c.FillText(style, vg.Point{X: (c.Min.X + c.Max.X) / 2, Y: c.Min.Y - 22}, "months until half of the patches are spent")
}

// line draws one coating: limits, mark, name and months; by itself faintly
// below.
func (p climateLifePicture) line(c draw.Canvas, l climateLine, y vg.Length) {
	right := c.Min.X
	if l.own != nil {
		faint := draw.LineStyle{Color: l.look.shade(0x70), Width: 0.9}
		right = p.limits(c, faint, l.own.Limits, y-ownDrop)
		p.mark(c, l, l.own.Months, y-ownDrop, 2.1, true)
	}
	style := l.look.line(limitsWidth)
	if l.guessed {
		style.Width = 1.6
		style.Color = l.look.shade(0xb0)
	}
	right = max(right, p.limits(c, style, l.life.Limits, y))
	p.mark(c, l, l.life.Months, y, markRadius, l.guessed)
	p.name(c, l, right, y)
}

// limits draws a line from limit to limit, with an arrow where it goes on beyond
// the axis, and returns where it ends.
func (p climateLifePicture) limits(c draw.Canvas, style draw.LineStyle, limits Limits, y vg.Length) (right vg.Length) {
	left := p.x(c, math.Min(limits.Low, p.lastMonth))
	right = p.x(c, math.Min(limits.High, p.lastMonth))
	c.StrokeLine2(style, left, y, right, y)
	if limits.High > p.lastMonth {
		style.Dashes = nil
		c.StrokeLine2(style, right-5, y+3.5, right, y)
		c.StrokeLine2(style, right-5, y-3.5, right, y)
	}
	return right
}

// name writes the coating with its months after the limits, or before them
// where there is no room.
func (p climateLifePicture) name(c draw.Canvas, l climateLine, right, y vg.Length) {
	style := aligned(textStyle(textSize, ink), draw.XLeft, draw.YCenter)
	label := fitted(style, l.coating, c.Size().X/3) + " " + months(l.life.Months) + l.beyond
	at := vg.Point{X: right + 7, Y: y + 1}
	if room := style.Width(label); at.X+room > c.Max.X {
		at.X = p.x(c, math.Min(l.life.Limits.Low, p.lastMonth)) - 7 - room
		if at.X < c.Min.X { // limits from end to end: over the line, beside the mark
			at = vg.Point{X: min(p.x(c, l.life.Months)+7, c.Max.X-room), Y: y + 8}
		}
	}
	haloed(c, style, at, label)
}

// lifeByClimate is the picture's name.
const lifeByClimate = "life-by-climate"

// climateLifePlot is the picture of life by climate; ok is false where nothing
// is pooled.
func (r *Report) climateLifePlot() (p Plot, ok bool) {
	c := r.ClimateLife
	if c == nil || c.ClimateSD == nil {
		return Plot{}, false
	}
	return Plot{
		Name: lifeByClimate, Title: c.Sentence(),
		Description: "For each climate, from the kindest to the hardest, a mark for each coating: the months until half of its patches are spent, with " +
			confidence(c.Level) + " limits. The small faint mark below is what these patches show by themselves. The last block is a climate that is not in the study. A star: beyond the longest time that any such patch was followed.",
		Table:   c.LifeTable(),
		picture: c.picture(r.lookOf),
	}, true
}

// picture arranges the lives, the kindest climate first.
func (c *ClimateLife) picture(lookOf func(coating string) look) climateLifePicture {
	p := climateLifePicture{}
	classes := c.byKindness()
	for _, class := range classes {
		b := climateBlock{label: capital(climate.Words(class)) + " (" + class + ")"}
		for i, o := range c.Coatings {
			for _, row := range c.Rows {
				if row.Coating == o.Coating && row.Climate == class && row.Pooled != nil {
					b.lines = append(b.lines, climateLine{coating: o.Coating, number: i, look: lookOf(o.Coating), life: *row.Pooled, own: row.Own, beyond: row.beyond()})
					p.lastMonth = math.Max(p.lastMonth, row.Pooled.Limits.High)
				}
			}
		}
		p.blocks = append(p.blocks, b)
	}
	p.lastMonth *= 1.3 // room for names
	fresh := climateBlock{label: "A climate not in the study"}
	for i, o := range c.Coatings {
		fresh.lines = append(fresh.lines, climateLine{coating: o.Coating, number: i, look: lookOf(o.Coating), life: o.NewPlace, guessed: true, beyond: o.NewPlace.beyond(o.LongestMonths)})
	}
	p.blocks = append(p.blocks, fresh)
	p.lastMonth = axisEnd(p.lastMonth)
	return p
}

// byKindness lists the climates with a pooled life from the one in which
// coatings last longest.
func (c *ClimateLife) byKindness() []string {
	kindness := c.kindness()
	var classes []string
	for class := range kindness {
		classes = append(classes, class)
	}
	slices.SortFunc(classes, func(a, b string) int {
		if kindness[a] != kindness[b] {
			return map[bool]int{true: -1, false: 1}[kindness[a] > kindness[b]]
		}
		return strings.Compare(a, b)
	})
	return classes
}

// capital begins words with a capital letter.
func capital(words string) string {
	if words == "" {
		return ""
	}
	return strings.ToUpper(words[:1]) + words[1:]
}
