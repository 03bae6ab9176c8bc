package reports

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// clearance is how far a line passes a box; 0 if it crosses it.
func clearance(box vg.Rectangle, line []vg.Point) vg.Length {
	corners := []vg.Point{box.Min, {X: box.Max.X, Y: box.Min.Y}, box.Max, {X: box.Min.X, Y: box.Max.Y}}
	least := vg.Length(math.Inf(1))
	for i := range line[1:] {
		a, b := line[i], line[i+1]
		if crosses(box, a, b) {
			return 0
		}
		for _, corner := range corners {
			least = min(least, distance(corner, a, b))
		}
		least = min(least, outside(box, a), outside(box, b))
	}
	return least
}

// outside is how far p lies from a box; 0 within it.
func outside(box vg.Rectangle, p vg.Point) vg.Length {
	x := max(box.Min.X-p.X, 0, p.X-box.Max.X)
	y := max(box.Min.Y-p.Y, 0, p.Y-box.Max.Y)
	return vg.Length(math.Hypot(float64(x), float64(y)))
}

// crosses reports whether the piece of line from a to b meets a box. The piece
// is cut down, by each pair of sides, to what lies between them.
//
// Source: Liang and Barsky, ACM Trans. Graphics 3 (1984) 1–22 (from memory).
func crosses(box vg.Rectangle, a, b vg.Point) bool {
	from, to := vg.Length(0), vg.Length(1)
	for _, side := range [][4]vg.Length{
		{a.X, b.X - a.X, box.Min.X, box.Max.X},
		{a.Y, b.Y - a.Y, box.Min.Y, box.Max.Y},
	} {
		start, way, low, high := side[0], side[1], side[2], side[3]
		if way == 0 {
			if start < low || start > high {
				return false
			}
			continue
		}
		enter, leave := (low-start)/way, (high-start)/way
		if enter > leave {
			enter, leave = leave, enter
		}
		from, to = max(from, enter), min(to, leave)
	}
	return from <= to
}

// distance is how far p is from the piece of line between a and b.
func distance(p, a, b vg.Point) vg.Length {
	along := b.Sub(a)
	share := 0.0
	if square := float64(along.Dot(along)); square > 0 {
		share = min(1, max(0, float64(p.Sub(a).Dot(along))/square))
	}
	off := p.Sub(a.Add(along.Scale(vg.Length(share))))
	return vg.Length(math.Sqrt(float64(off.Dot(off))))
}
