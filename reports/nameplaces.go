package reports

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// What makes a place for a name bad.
const (
	costOfCrossing  = 60 // a line runs through the name
	costOfConfusion = 25 // another curve is as near as its own
	costOfWay       = 30 // along the whole curve away from the best place
	costOfAbove     = 4  // above or below the line rather than beside it
	dear            = costOfConfusion
)

// namePlace is where a curve's name stands.
type namePlace struct {
	box vg.Rectangle
	// swatched: it isn't plain whose name it is, so a piece of the line stands
	// before it, and the box is wider by swatchRoom.
	swatched bool
}

// placeNames finds a place within area for each curve's name of the given size,
// none overlapping another; nil where there is no room.
func placeNames(area vg.Rectangle, curves [][]vg.Point, sizes []vg.Point) []*namePlace {
	area.Min = area.Min.Add(vg.Point{X: labelMargin, Y: labelMargin})
	p := placing{area: area}
	for _, curve := range curves {
		p.curves = append(p.curves, simplified(curve, 1))
	}
	for i, size := range sizes {
		box, cost := p.best(i, size)
		found := &namePlace{box: box}
		if cost >= dear {
			size.X += swatchRoom
			box, cost = p.best(i, size)
			found = &namePlace{box, true}
		}
		if math.IsInf(cost, 1) {
			found = nil
		}
		p.placed = append(p.placed, found)
	}
	return p.placed
}

// placing is names being placed, in the order of their curves.
type placing struct {
	area   vg.Rectangle
	curves [][]vg.Point
	placed []*namePlace // so far
}

// best finds the best box for the name of curve i; its cost is infinite if
// there is none.
func (p placing) best(i int, size vg.Point) (box vg.Rectangle, cost float64) {
	cost = math.Inf(1)
	rows := int((p.area.Max.Y - p.area.Min.Y) / size.Y)
	for row := 0; row < rows; row++ {
		// A second row above or below the line helps where the first is bad.
		// Those after it are for curves that share their course and need a list.
		if cost < dear || (row > 1 && !math.IsInf(cost, 1)) {
			break
		}
		for _, anchor := range anchors(p.curves[i], p.area) {
			for _, place := range around(anchor.at, size, row, p.area) {
				if c := p.cost(i, place.box) + anchor.cost + place.cost; c < cost {
					box, cost = place.box, c
				}
			}
		}
	}
	return box, cost
}

// cost tells how bad box is for the name of curve i; infinite if it can't be.
func (p placing) cost(i int, box vg.Rectangle) float64 {
	if box.Min.X < p.area.Min.X || box.Min.Y < p.area.Min.Y || box.Max.X > p.area.Max.X || box.Max.Y > p.area.Max.Y {
		return math.Inf(1)
	}
	for _, other := range p.placed {
		if other != nil && overlap(box, other.box) {
			return math.Inf(1)
		}
	}
	cost := 0.0
	own := clearance(box, p.curves[i])
	for j, curve := range p.curves {
		switch clear := clearance(box, curve); {
		case clear == 0:
			cost += costOfCrossing
		case j != i && clear < own+labelMargin:
			cost += costOfConfusion
		}
	}
	return cost
}

func overlap(a, b vg.Rectangle) bool {
	return a.Min.X < b.Max.X+labelMargin && b.Min.X < a.Max.X+labelMargin &&
		a.Min.Y < b.Max.Y+labelMargin && b.Min.Y < a.Max.Y+labelMargin
}

// anchor is a point of a curve beside which its name may stand.
type anchor struct {
	at   vg.Point
	cost float64
}

// anchors are points along a curve, the best where it comes down to half of
// the area's height, or else at its end.
func anchors(curve []vg.Point, area vg.Rectangle) []anchor {
	const most = 24
	whole, best := vg.Length(0), vg.Length(-1)
	for i := range curve[1:] {
		if half := (area.Min.Y + area.Max.Y) / 2; best < 0 && curve[i+1].Y <= half && curve[i].Y > half {
			share := (curve[i].Y - half) / (curve[i].Y - curve[i+1].Y)
			best = whole + share*length(curve[i:i+2])
		}
		whole += length(curve[i : i+2])
	}
	if best < 0 {
		best = whole
	}
	list := []anchor{{along(curve, best), 0}}
	for k := range most + 1 {
		way := whole * vg.Length(k) / most
		away := float64(max(way-best, best-way) / max(whole, 1))
		list = append(list, anchor{along(curve, way), costOfWay * away})
	}
	return list
}

// along is the point that far along a curve.
func along(curve []vg.Point, way vg.Length) vg.Point {
	for i := range curve[1:] {
		piece := length(curve[i : i+2])
		if way <= piece && piece > 0 {
			return curve[i].Add(curve[i+1].Sub(curve[i]).Scale(way / piece))
		}
		way -= piece
	}
	return curve[len(curve)-1]
}

func length(piece []vg.Point) vg.Length {
	return vg.Length(math.Hypot(float64(piece[1].X-piece[0].X), float64(piece[1].Y-piece[0].Y)))
}

type place struct {
	box  vg.Rectangle
	cost float64
}

// around lists where a name may stand at a point of a line: right or left of
// it, above or below; in a later row farther above or below.
func around(at, size vg.Point, row int, area vg.Rectangle) []place {
	box := func(x, y vg.Length, cost float64) place {
		low := vg.Point{X: x, Y: y}
		return place{vg.Rectangle{Min: low, Max: low.Add(size)}, cost}
	}
	middle := max(area.Min.X, min(at.X-size.X/2, area.Max.X-size.X))
	lift := labelGap + vg.Length(row)*(size.Y+labelMargin)
	places := []place{
		box(middle, at.Y+lift, costOfAbove*float64(1+row)),
		box(middle, at.Y-lift-size.Y, costOfAbove*float64(1+row)),
	}
	if row == 0 {
		places = append(places, box(at.X+labelGap, at.Y-size.Y/2, 0), box(at.X-labelGap-size.X, at.Y-size.Y/2, costOfAbove/2))
	}
	return places
}
