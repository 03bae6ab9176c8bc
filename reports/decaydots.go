package reports

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"beadspan/study"
)

// mostDots is how many readings a plot draws at most: more only make a darker
// cloud and a heavier page.
const mostDots = 1500

// drawn picks the readings to draw: all of them, or mostDots at even ranks in
// order of time, and of angle within a day, so that every time and every height
// keeps its share.
func drawn(readings []CleanReading) []CleanReading {
	n := len(readings)
	if n <= mostDots {
		return readings
	}
	ranked := slices.Clone(readings)
	slices.SortFunc(ranked, func(a, b CleanReading) int {
		return cmp.Or(cmp.Compare(a.Days, b.Days), cmp.Compare(a.AngleDeg, b.AngleDeg))
	})
	picked := make([]CleanReading, mostDots)
	for i := range picked {
		picked[i] = ranked[(2*i+1)*n/(2*mostDots)] // the middle of the ith of mostDots equal parts
	}
	return picked
}

// readingDots draws readings, all in one path and to a tenth of a unit, to keep
// the page small.
type readingDots struct {
	readings []CleanReading
	look     look
}

func (r readingDots) Plot(c draw.Canvas, p *plot.Plot) {
	half, alpha := dotLook(len(r.readings))
	var path vg.Path
	for _, reading := range r.readings {
		o := at(c, p, reading.Days/study.DaysPerMonth, reading.AngleDeg)
		o = vg.Point{X: tenth(o.X), Y: tenth(o.Y)}
		path.Move(vg.Point{X: o.X - half, Y: o.Y})
		path.Line(vg.Point{X: o.X, Y: o.Y + half})
		path.Line(vg.Point{X: o.X + half, Y: o.Y})
		path.Line(vg.Point{X: o.X, Y: o.Y - half})
		path.Close()
	}
	c.SetColor(r.look.shade(alpha))
	c.Fill(path)
}

// dotLook is how large and how dense a dot is: a few must be seen, many must
// let each other through.
func dotLook(n int) (half vg.Length, alpha uint8) {
	switch {
	case n <= mostListed:
		return 3, 0xc0
	case n <= 300:
		return 2, 0x90
	}
	return 1.3, 0x70
}

func tenth(x vg.Length) vg.Length { return vg.Length(math.Round(float64(x)*10) / 10) }
