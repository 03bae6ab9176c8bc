package reports

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// readable is a picture in which rows of the plot's table have places, so that
// a page can show the numbers of the place at which somebody points.
type readable interface {
	panes(c draw.Canvas) []pane
}

// pane is a part of a picture that is read by itself, in steps: along the
// horizontal axis or, where it is a list, downwards.
type pane struct {
	frame vg.Rectangle
	list  bool
	spots []spot
}

// spot is the place of a row of the table.
type spot struct {
	row, line int // the line is that of a coating, say, from step to step
	at        vg.Point
}

// valueSpot is a spot in the values of a picture's axes.
type valueSpot struct {
	row, line     int
	months, value float64
}

// paneOf places spots on a pair of axes.
func paneOf(data draw.Canvas, axes *plot.Plot, spots []valueSpot) pane {
	p := pane{frame: data.Rectangle}
	for _, s := range spots {
		p.spots = append(p.spots, spot{s.row, s.line, within(data, at(data, axes, s.months, s.value))})
	}
	return p
}

// step is where one or more spots are read together.
type step struct {
	along vg.Length
	spots []spot
}

// steps gathers the spots that lie at one place along the direction of reading,
// in order, on a canvas of that height.
func (p pane) steps(height vg.Length) []step {
	byPlace := map[vg.Length][]spot{}
	for _, s := range p.spots {
		along := s.at.X
		if p.list {
			along = height - s.at.Y
		}
		place := tenth(along)
		byPlace[place] = append(byPlace[place], s)
	}
	var steps []step
	for place, spots := range byPlace {
		steps = append(steps, step{place, spots})
	}
	slices.SortFunc(steps, func(a, b step) int { return cmp.Compare(a.along, b.along) })
	return steps
}

// spotsAttribute tells a page's script where the rows of the table are drawn: a
// list of panes, [list, left, top, right, bottom, steps…], of which each step is
// [along, row, line, across, row, line, across…] in the picture's own units.
// It is empty where the picture can't be read.
func (p Plot) spotsAttribute(width, height vg.Length) string {
	picture, is := p.picture.(readable)
	if !is {
		return ""
	}
	var panes []string
	for _, pane := range picture.panes(draw.New(vgsvg.NewWith(vgsvg.UseWH(width, height)))) {
		if len(pane.spots) == 0 {
			continue
		}
		list := vg.Length(0)
		if pane.list {
			list = 1
		}
		parts := lengthWords(list, pane.frame.Min.X, height-pane.frame.Max.Y, pane.frame.Max.X, height-pane.frame.Min.Y)
		for _, step := range pane.steps(height) {
			values := []vg.Length{step.along}
			for _, s := range step.spots {
				across := height - s.at.Y
				if pane.list {
					across = s.at.X
				}
				values = append(values, vg.Length(s.row), vg.Length(s.line), across)
			}
			parts = append(parts, "["+strings.Join(lengthWords(values...), ",")+"]")
		}
		panes = append(panes, "["+strings.Join(parts, ",")+"]")
	}
	if len(panes) == 0 {
		return ""
	}
	return fmt.Sprintf(` data-spots="[%s]"`, strings.Join(panes, ","))
}

// lengthWords writes lengths to a tenth of a unit: less can't be seen.
func lengthWords(lengths ...vg.Length) []string {
	words := make([]string, len(lengths))
	for i, l := range lengths {
		words[i] = strconv.FormatFloat(float64(tenth(l)), 'f', -1, 64)
	}
	return words
}
