package reports

import (
	"slices"

	"gonum.org/v1/plot/vg"
)

// unseen is how far a drawn line may stray from the true one: less than can be
// seen.
const unseen vg.Length = 0.25

// simplified leaves out corners of a line from which it strays no farther than
// tolerance without them. The two ends stay.
//
// Source: Douglas and Peucker, Cartographica 10 (1973) 112–122, taking the
// distance from the piece of line, not from the line without end (from memory).
func simplified(line []vg.Point, tolerance vg.Length) []vg.Point {
	if len(line) < 3 {
		return line
	}
	first, last := line[0], line[len(line)-1]
	farthest, most := 0, tolerance
	for i := 1; i < len(line)-1; i++ {
		if d := distance(line[i], first, last); d > most {
			farthest, most = i, d
		}
	}
	if farthest == 0 {
		return []vg.Point{first, last}
	}
	before := simplified(line[:farthest+1], tolerance)
	return slices.Concat(before[:len(before)-1], simplified(line[farthest:], tolerance))
}
